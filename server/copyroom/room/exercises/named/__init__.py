"""Named rounds: a sound, a gap to answer in, then its name, so that every answer is weighed by its time, too.

Only what was answered before the name counts. What is put right after it is kept beside, and in no table.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Any

import numpy as np
from msgspec import Meta, field

from copyroom.core import rounds
from copyroom.core.alphabet import BLANK, by_table_order
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, By, Event, Part, Settled, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.events.seating import OwnSeat
from copyroom.room.exercises import Act, Exercise, Heard, exercise, together
from copyroom.room.exercises.named.shown import for_console, for_learner, for_wall
from copyroom.room.exercises.named.state import SAY_MS, SHOW_MS, Rounds, Step
from copyroom.room.figures import Figures
from copyroom.room.limits import InPushMs, Place, PushNumber, Sign, Symbols
from copyroom.room.run import Run

KIND = "named"
STOCK = 8
"""Turns that are settled ahead: some may be passed over before the next round."""
SOUND_S = 0.9
"""About as long as a sound lasts, for the plan."""
FEWEST_ROUNDS, MOST_ROUNDS = 4, 60
TOO_MANY = 12
"""So many symbols at the most are chosen by what the copies say."""


class NamedSetup(Part, frozen=True, kw_only=True):
    """symbols: which sounds, "" for those that the class knows; lean: which of them come twice as often."""

    symbols: Symbols = ""
    lean: Symbols = ""
    rounds: Annotated[int, Meta(ge=FEWEST_ROUNDS, le=MOST_ROUNDS)] = 24
    gap_s: Annotated[float, Meta(ge=1.0, le=10.0)] = 3.0
    voice: bool = False
    by_turns: bool = False
    text: Annotated[str, Meta(max_length=60), Settled.CHANCE] = ""
    turns: Annotated[list[int], Meta(max_length=STOCK), Settled.CHANCE] = field(default_factory=list)


@event(By.LEARNER, kept=True)
class AnswerSound(ev.Answer, frozen=True):
    """What a learner takes the sound of a round for, or a blank. Only the first one counts."""

    place: Place
    sign: Sign
    at_ms: InPushMs


@event(By.LEARNER, kept=True)
class PutRight(Event, frozen=True):
    """After its name: what should have stood there. It counts nowhere."""

    seat: OwnSeat
    push: PushNumber
    place: Place
    sign: Sign


@event(By.SERVER, kept=True)
class RoundGoesOn(Event, frozen=True):
    """A round begins, its gap is over, or its name is shown; `turns`: from here on, as a round begins."""

    push: int
    place: int
    step: Step
    turns: tuple[int, ...] = ()


def _rounds_of(room: Classroom, number: int) -> tuple[Run, Rounds]:
    run = room.run_of(number)
    if run.kind != KIND:
        raise Refused("There is nothing to be answered in this.")
    if run.closed:
        raise Refused("These rounds are over.")
    return run, run.state


def _checked_sign(run: Run, sign: str) -> None:
    if sign != BLANK and (len(sign) != 1 or sign not in run.symbols):
        raise Refused("That is none of the sounds in these rounds.")


@handles(AnswerSound)
def answer_sound(room: Classroom, event: AnswerSound, now_ms: float) -> list[Effect]:
    """Keep a first answer, if it was made in its own gap; its time only where no pause lies in it."""
    run, state = _rounds_of(room, event.push)
    copy = run.copies.get(event.seat)
    if copy is None or not room.seat(event.seat).inside:
        raise Refused("You were not in the room for that.")
    if copy.way == "paper":
        raise Refused("You write on paper.")
    if not state.asks(run):
        raise Refused("There is nothing to be asked yet: listen.")
    _checked_sign(run, event.sign)
    if event.place > state.at or event.at_ms < float(run.start_ms[event.place]):
        raise Refused("That has not sounded yet.")
    if event.at_ms > state.gap_end_ms(run, event.place):
        raise Refused("Its name had come by then.")
    at_ms = None if state.is_cut(run, event.place, event.at_ms) else event.at_ms
    if copy.answer(event.place, event.sign, at_ms) and event.place < state.over:
        state.late += 1
    return []


@handles(PutRight)
def put_right(room: Classroom, event: PutRight, now_ms: float) -> list[Effect]:
    """Keep a correction, beside the first answer."""
    run, state = _rounds_of(room, event.push)
    if event.seat not in run.copies:
        raise Refused("You were not in the room for that.")
    _checked_sign(run, event.sign)
    if event.place >= state.given:
        raise Refused("Its name has not come yet.")
    state.corrections.setdefault(event.place, {})[event.seat] = event.sign
    return []


@handles(RoundGoesOn)
def round_goes_on(room: Classroom, event: RoundGoesOn, now_ms: float) -> list[Effect]:
    """As far as the clock is."""
    run, state = _rounds_of(room, event.push)
    if event.step in ("say", "name") and len(state.over_ms) == event.place:
        state.over_ms.append(state.gap_end_ms(run, event.place))
    state.at, state.step = event.place, event.step
    if event.step == "sound" and state.by_turns:
        state.take_turns(event.turns)
    return []


@exercise
class Named(Exercise):
    """Sound, answer, name."""

    kind = KIND
    title = "Named rounds"
    hint = "A sound, a gap to answer, then its name: which sounds are known at once, and which are counted."
    setup = NamedSetup
    stretched_by = ("rounds", "gap_s")
    introduces = True
    names_each = True

    def made_for(self, symbols: str, lean: str, sounds: int) -> NamedSetup:
        """Rounds on these symbols, within the limits of the setup."""
        rounds_of = min(MOST_ROUNDS, max(FEWEST_ROUNDS, sounds))
        return NamedSetup(symbols=by_table_order(symbols), lean=by_table_order(lean), rounds=rounds_of)

    def proposed(self, figures: Figures) -> NamedSetup | None:
        """With sounds that come slowly, or are mixed up: leaning on these."""
        known = figures.room.symbols
        found = figures.findings.get("evening") or figures.findings.get("course")
        mixed = "".join(pair.sent + pair.written for pair in (found.pairs.pairs if found else ()))
        lean = "".join(dict.fromkeys(s for s in (*(one.sign for one in figures.slow), *mixed) if s in known))
        return NamedSetup(lean=by_table_order(lean[:TOO_MANY])) if lean and len(known) > 1 else None

    def settle(
        self, figures: Figures, setup: NamedSetup, rng: np.random.Generator, now_ms: float
    ) -> NamedSetup:
        """The sounds in their order, and the first turns."""
        symbols = by_table_order(setup.symbols or figures.room.symbols)
        if len(symbols) < 2:
            raise Refused("Choose two sounds or more: with one there is nothing to ask.")
        lean = "".join(sign for sign in symbols if sign in setup.lean)
        turns = rounds.in_turn((), 0, _here(figures.room), STOCK) if setup.by_turns else ()
        return NamedSetup(
            symbols=symbols,
            lean=lean,
            rounds=setup.rounds,
            gap_s=setup.gap_s,
            voice=setup.voice,
            by_turns=setup.by_turns,
            text=rounds.deal(symbols, lean, setup.rounds, rng),
            turns=list(turns),
        )

    def compose(self, room: Classroom, setup: NamedSetup, number: int, start_room_ms: float) -> Run:
        """Each sound with its gap and its name after it."""
        state = Rounds(setup.gap_s * 1000.0, setup.voice, setup.by_turns)
        state.take_turns(setup.turns)
        more = {"text": setup.text, "symbols": setup.symbols, "counted": True}
        run = together(room, self, number, start_room_ms, state, **more)
        return replace(run, **_timed(run, state))

    def introduce(self, room: Classroom, run: Run) -> Run:
        """The new sound with its name after it, and now and then a known one that is really asked for."""
        state = Rounds(rounds.meeting_gap_s(run.speed) * 1000.0, voice=False, by_turns=False, meets=True)
        symbols = by_table_order(run.sent + room.symbols)
        return replace(run, kind=self.kind, name_shown=False, symbols=symbols, **_timed(run, state))

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The next in the queue answers this round."""
        state = _with_turns(run)
        if len(state.turns) < 2:
            raise Refused("Nobody else is waiting for a turn.")
        del state.turns[0]
        return []

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """A turn is another's; who has one, too, changes with them."""
        state = _with_turns(run)
        if seat not in state.turns:
            raise Refused("This learner has no turn now.")
        if not room.seat(to).inside:
            raise Refused("This learner has not been let in yet.")
        first = state.turns.index(seat)
        if to in state.turns:
            state.turns[state.turns.index(to)] = seat
        state.turns[first] = to
        return []

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """The round at hand."""
        if audience is Audience.CONSOLE:
            return for_console(figures.room, run)
        if audience is Audience.WALL:
            return for_wall(figures.room, run)
        return for_learner(figures.room, run, seat) if seat is not None else None

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """When the round goes on; not while it is held."""
        state: Rounds = run.state
        coming = None if run.halted_room_ms is not None else state.next_step(run)
        return None if coming is None else run.start_room_ms + coming[2]

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """One step of the round. Turns go to those who are here now."""
        state: Rounds = run.state
        coming = state.next_step(run)
        if coming is None:
            return ()
        place, step, _ = coming
        turns = rounds.in_turn(
            state.turns[1 if place else 0 :],
            state.last,
            [seat for seat in _here(room) if run.has(seat)],
            STOCK,
        )
        return [RoundGoesOn(run.id, place, step, turns if step == "sound" and state.by_turns else ())]

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their turns and their corrections."""
        state: Rounds = run.state
        state.turns = [seat for seat in state.turns if seat not in seats]
        for written in state.corrections.values():
            for seat in seats:
                written.pop(seat, None)
        state.late += 1

    def lasts_s(self, setup: NamedSetup) -> float:
        """All rounds, with a middling sound."""
        after_s = (SHOW_MS + (SAY_MS if setup.voice else 0.0)) / 1000.0
        return setup.rounds * (SOUND_S + setup.gap_s + after_s)

    def hears(
        self, told: Mapping[str, Any], heard: Sequence[Heard], rng: np.random.Generator
    ) -> Sequence[Act]:
        """Answer in the gap with what it was taken for: one sound at a time is soon written."""
        last = heard[-1]
        gap_s = (told["over_room_ms"] - told["gap_room_ms"]) / 1000.0
        after_s = QUICKER * last.lag_s
        if told["on_paper"] or not told["asks"] or told["push"] != last.run or after_s > gap_s:
            return ()
        at_ms = round(last.at_ms + after_s * 1000.0, 1)
        answer = {"push": last.run, "place": last.place, "sign": last.sign, "at_ms": at_ms}
        return [Act("answer_sound", answer, after_s)]


def _timed(run: Run, state: Rounds) -> dict[str, Any]:
    """What makes rounds of a run: the silence after each sound, also the last, for its gap and its name."""
    silence_ms = state.gap_ms + state.after_ms
    begins_ms = rounds.begins_ms(run.end_ms - run.start_ms, silence_ms)
    over_ms = float(begins_ms[-1] + run.end_ms[-1] - run.start_ms[-1] + silence_ms)
    return {
        "state": state,
        "placed": True,
        "named": True,
        "begins_ms": begins_ms,
        "tidy_ms": silence_ms,
        "lasts_ms": over_ms,
    }


QUICKER = 0.7
"""By how much sooner one sound is answered than a stream of them written down. Our own judgement."""


def _here(room: Classroom) -> list[int]:
    return [seat.id for seat in room.seats.values() if seat.here and seat.inside]


def _with_turns(run: Run) -> Rounds:
    state: Rounds = run.state
    if not state.by_turns:
        raise Refused("All answer; there are no turns.")
    return state
