"""At the key: one learner sends by hand, the others copy what is keyed, then the next one sends.

The sender hears their own tone at once; all others hear it in step, a steady while later, in parts as they
come in. When a turn is over its tones are read, and the copies are held against what was keyed: so a letter
that went out as another one is no fault of those who wrote what they heard.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np
from msgspec.structs import replace

from copyroom.core import composition
from copyroom.core.text import normalise
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Event, Part
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Act, exercise, together
from copyroom.room.exercises.key.handling import begin_turn
from copyroom.room.exercises.key.reading import read_turn
from copyroom.room.exercises.key.shown import console_view, learner_view, name_of, wall_view
from copyroom.room.exercises.key.turns import KIND, TIDY_MS, AtKey, KeySetup, Turn, due_event, due_ms
from copyroom.room.figures import Figures, Job
from copyroom.room.keyed import ByHand, Stretch, delay_ms, ended
from copyroom.room.keyed.events import TurnRead
from copyroom.room.keyed.playing import keyed_acts
from copyroom.room.run import Run


@exercise
class AtTheKey(ByHand):
    """Sending by hand in turns, copied by all others."""

    kind = KIND
    title = "At the key"
    hint = "One sends by hand, the others copy; afterwards all see what was meant, keyed and copied."
    setup = KeySetup
    ends_with_others = True

    def proposed(self, figures: Figures) -> Part | None:
        """Not before the class has copied twice this evening, and knows enough to write short words with."""
        room = figures.room
        runs = room.meeting_runs()
        copied = sum(run.counted and run.closed and not run.within for run in runs)
        able = sum(seat.here and seat.inside and seat.device for seat in room.seats.values())
        if copied < 2 or able < 2 or len(room.symbols) < 8 or any(run.kind == self.kind for run in runs):
            return None
        return KeySetup()

    def settle(self, figures: Figures, setup: KeySetup, rng: np.random.Generator, now_ms: float) -> Part:
        """Who sends, what each one sends, and how much later all others hear it."""
        return self.settle_for(figures, setup, None, rng, now_ms)

    def settle_for(
        self,
        figures: Figures,
        setup: KeySetup,
        seats: Collection[int] | None,
        rng: np.random.Generator,
        now_ms: float,
    ) -> Part:
        """The same among those of a circle."""
        room = figures.room
        within = [seat for seat in room.seats.values() if seats is None or seat.id in seats]
        able = tuple(seat.id for seat in within if seat.here and seat.inside and seat.device)
        chosen = dict.fromkeys(seat for seat in setup.senders if any(one.id == seat for one in within))
        order = tuple(chosen) or able
        if not order:
            raise Refused("Nobody here has a device to key with.")
        texts = tuple(_text(room, setup, rng) for _ in order)
        return replace(setup, order=order, texts=texts, delay_ms=delay_ms(room.lead_ms()))

    def compose(self, room: Classroom, setup: KeySetup, number: int, start_room_ms: float) -> Run:
        """Nothing of it sounds by itself."""
        if not any(seat in room.seats for seat in setup.order):
            raise Refused("None of those who were to send is in the room.")
        queue = list(zip(setup.order, setup.texts, strict=True))
        return together(room, self, number, start_room_ms, AtKey(setup, queue))

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The first one comes to the key."""
        return begin_turn(room, run, run.start_room_ms, now_ms)

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """A sender's turn goes on; anybody else copies what is left of it."""
        turn: Turn = run.state.turn
        if turn.seat == seat.id:
            turn.back_ms = now_ms
        elif not turn.over and run.has(seat.id):
            turn.part.seats = frozenset((*(turn.part.seats or ()), seat.id))

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The turn ends, or what comes after it comes now."""
        state: AtKey = run.state
        if state.is_over:
            raise Refused("Everybody has sent.")
        turn = state.turn
        turn.hurry = True
        return [] if turn.over else ended(room, run, self, turn, turn.sounded_by_ms(run, now_ms), now_ms)

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """The turn at hand is another's, from its beginning; or one that is still to come."""
        state: AtKey = run.state
        if not (room.seat(to).device and room.seat(to).inside):
            raise Refused(f"{name_of(room, to)} has no device to key with.")
        if not run.has(to):
            raise Refused(f"{name_of(room, to)} is in another circle.")
        turn, queued = state.turn, [number for number, _ in state.queue]
        if turn.seat == seat and not turn.over:
            own = state.queue.pop(queued.index(to))[1] if to in queued else turn.meant
            state.queue.insert(0, (to, own))
            turn.handed_over = True
            return self.skip(room, run, now_ms)
        if seat not in queued:
            raise Refused("That learner is not at the key, nor comes to it.")
        place = queued.index(seat)
        state.queue[place] = (to, state.queue[place][1])
        return []

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """What was keyed until then is read."""
        state: AtKey = run.state
        state.queue.clear()
        turn = state.turn
        effects: list[Effect] = []
        if not turn.over:
            effects = ended(room, run, self, turn, turn.sounded_by_ms(run, now_ms), now_ms)
        turn.sounded = turn.done = True
        return effects

    # ---- what is keyed

    def stretches(self, run: Run) -> Sequence[Stretch]:
        """Each turn is one."""
        state: AtKey = run.state
        return state.turns

    def end_stretch(self, room: Classroom, run: Run, stretch: Stretch, now_ms: float) -> list[Effect]:
        """Where nothing was keyed there is no copy to finish."""
        turn: Turn = run.state.turns[stretch.number - 1]
        turn.hurry = turn.hurry or not turn.on_ms
        return []

    def reading(self, run: Run, stretch: Stretch) -> Job:
        """With the hand that sent it."""
        turn: Turn = run.state.turns[stretch.number - 1]
        return read_turn(run.id, turn, turn.part.symbols)

    def take_reading(self, room: Classroom, run: Run, stretch: Stretch, read: TurnRead) -> list[Effect]:
        """It is shown."""
        run.state.turns[stretch.number - 1].read = read
        return []

    # ---- what is told

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """To the sender the text, to the others nothing of it, and to each what came of the turn before."""
        if seat is not None:
            return learner_view(figures, run, seat)
        return console_view(figures, run) if audience is Audience.CONSOLE else wall_view(figures.room, run)

    # ---- what comes by itself, and what it takes

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """A turn's end, its reading, the next turn."""
        return due_ms(room, run)

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """One of these."""
        return [due_event(run, now_ms)]

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """With a sender goes what was keyed, and with that the text of those who copied it."""
        state: AtKey = run.state
        state.queue = [queued for queued in state.queue if queued[0] not in seats]
        for turn in state.turns:
            if turn.seat in seats:
                turn.forget()

    def lasts_s(self, setup: KeySetup) -> float:
        """Half of the time that each may take, and what comes between."""
        each_s = setup.turn_s / 2.0 + TIDY_MS / 1000.0 + setup.gap_s
        return each_s * (len(setup.senders) or 4)

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """A simulated learner sends its text in its turn, by a hand that shakes a little."""
        now = told["now"]
        if told["place"] != 0 or now["stage"] != "keying" or told["kept"] or not told["text"]:
            return ()
        return keyed_acts(now["turn"], told["text"], now["gap_s"], rng)


def _text(room: Classroom, setup: KeySetup, rng: np.random.Generator) -> str:
    """What one sender is to key. Raises Refused."""
    if setup.text == "said":
        return ""
    try:
        if setup.text == "given":
            return normalise(setup.given)
        if not room.symbols:
            raise Refused("No sounds are known yet, so nothing can be drawn: give a text.")
        count = 5 * setup.groups
        if setup.text == "words" and any(set(word) <= set(room.symbols) for word in room.words):
            return composition.known_words(room.words, room.symbols, count, rng)
        return composition.mixed_groups(room.symbols, count, rng)
    except ValueError as fault:
        raise Refused(str(fault)) from None
