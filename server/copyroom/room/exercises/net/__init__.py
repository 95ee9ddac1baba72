"""A net with fills: a message in parts, one a station; who missed groups asks for them by the procedure.

Every part is sent by the machine for the station that it is of, and all copy it, as in any run. Then one
station at a time asks for what it misses, and the one that has it answers with exactly that; both sound on
every page at the class's speed. Chance can take groups away; then there is something to ask for.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np

from copyroom.core.procedure import FORMS
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Event, Part
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Act, exercise, to_its_seats, together
from copyroom.room.exercises.net.by_hand import comes, judged, keyed_out, put_down
from copyroom.room.exercises.net.drawing import GROUP, USUAL_STATIONS, drawn
from copyroom.room.exercises.net.playing import acts
from copyroom.room.exercises.net.shown import for_console, for_learner, for_wall
from copyroom.room.exercises.net.state import (
    HELD_MS,
    KIND,
    AnswerForStation,
    CompleteNet,
    FreeChannel,
    KeyedLine,
    Net,
    NetSetup,
    SendNextPart,
    Station,
    Turn,
)
from copyroom.room.exercises.net.turns import send_part, sound_the_rest
from copyroom.room.figures import Figures, Job
from copyroom.room.keyed import ByHand, Stretch
from copyroom.room.messages.running import halt_view
from copyroom.room.run import Run

SIGNS = frozenset("".join(FORMS) + "?DEK")
"""Of the procedure's own words."""
GOOD = 0.9
SYMBOL_S, FILL_S = 1.5, 60.0
"""About how long a symbol and a fill take a class at eight words a minute (a judgement)."""


@exercise
class NetExercise(ByHand):
    """Stations, a message in parts, and fills."""

    kind = KIND
    title = "A net with fills"
    hint = "A message in parts; who missed a group asks for it by the procedure, and gets exactly that."
    setup = NetSetup
    ends_with_others = True

    def proposed(self, figures: Figures) -> Part | None:
        """When the procedure's own signs are known, and what was sent lately was copied well."""
        known, found = figures.room.symbols, figures.findings.get("evening")
        here = [seat for seat in figures.room.seats.values() if seat.here and seat.inside and seat.device]
        if not set(known) >= SIGNS or found is None or len(here) < 2:
            return None
        right, of = sum(one.k for one in found.recall), sum(one.n for one in found.recall)
        return NetSetup() if of >= 20 * len(here) and right >= GOOD * of else None

    def settle(self, figures: Figures, setup: NetSetup, rng: np.random.Generator, now_ms: float) -> Part:
        """Stations, practice calls, parts, and what the noise takes."""
        return self.settle_for(figures, setup, None, rng, now_ms)

    def settle_for(
        self,
        figures: Figures,
        setup: NetSetup,
        seats: Collection[int] | None,
        rng: np.random.Generator,
        now_ms: float,
    ) -> Part:
        """The same among those of a circle."""
        return drawn(figures.room, setup, rng, seats)

    def compose(self, room: Classroom, setup: NetSetup, number: int, start_room_ms: float) -> Run:
        """The net; its parts are runs within it."""
        whole = zip(setup.calls, setup.texts, setup.holders, strict=True)
        stations = [Station(call, tuple(text.split()), holder) for call, text, holder in whole]
        lost = {(one.seat, one.part): frozenset(one.groups) for one in setup.lost}
        return together(room, self, number, start_room_ms, Net(stations, lost), symbols=setup.known)

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The first part is sent."""
        return send_part(room, run, run.start_room_ms, now_ms)

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """On to the next part; or the question at hand is answered by the server, if it can be."""
        net: Net = run.state
        if net.phase == "parts":
            return _cut(room, room.run_of(net.stations[net.at].run), now_ms)
        if net.hand is not None:
            put_down(net, now_ms)
            return []
        if net.turn is None:
            raise Refused("Nobody has the turn: the channel is free.")
        if net.turn.given is not None:
            raise Refused("The channel is free in a moment.")
        net.turn.answer_by_ms = net.turn.sounded_ms
        return []

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """Call and part of one station are another learner's from now on."""
        net: Net = run.state
        held = net.held_by(seat)
        if not held:
            raise Refused("There is nothing to hand over.")
        if not room.seat(to).inside:
            raise Refused(f"{room.seat(to).name} is not let in yet.")
        if not run.has(to):
            raise Refused(f"{room.seat(to).name} is in another circle.")
        if net.hand is not None and net.hand.seat == seat:
            put_down(net, now_ms)
        for station in held:
            net.stations[station].holder = to
        return []

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """Who comes back to the key has time left; in a circle who comes late hears the part at hand."""
        net: Net = run.state
        if net.hand is not None and net.hand.seat == seat.id:
            net.hand.back_ms = now_ms
        part = room.run_of(net.stations[net.at].run) if net.phase == "parts" else None
        if part is not None and part.seats is not None and run.has(seat.id):
            part.seats |= {seat.id}

    def went_on(self, room: Classroom, run: Run, halted_room_ms: float, at_room_ms: float) -> list[Effect]:
        """A question or an answer that the pause cut is heard to its end."""
        return sound_the_rest(run, halted_room_ms, at_room_ms)

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """It is over, complete or not; no turn is left open."""
        put_down(run.state, now_ms)
        run.state.turn, run.state.phase = None, "complete"
        return []

    # ---- what is keyed

    def stretches(self, run: Run) -> Sequence[Stretch]:
        """Every line that was keyed."""
        net: Net = run.state
        return net.keyed

    def end_stretch(self, room: Classroom, run: Run, stretch: Stretch, now_ms: float) -> list[Effect]:
        """It is to be read; where nothing was keyed the key is given back."""
        assert isinstance(stretch, KeyedLine)
        keyed_out(run.state, stretch, now_ms)
        return []

    def to_read(self, run: Run) -> Sequence[int]:
        """The line that has sounded."""
        hand: KeyedLine | None = run.state.hand
        return (hand.number,) if hand is not None and hand.over and hand.sounded else ()

    def read_line(self, figures: Figures, run: Run, number: int) -> Job:
        """It is judged by what its station misses."""
        return judged(figures, run, next(line for line in run.state.keyed if line.number == number))

    # ---- what is told, and comes by itself

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """Each learner their own, the console all, the wall how many."""
        if seat is not None:
            return for_learner(figures, run, seat)
        if audience is Audience.CONSOLE:
            return for_console(figures, run)
        return for_wall(figures, run)

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """When a part, a question, an answer or the time for one is over; at once when all is complete."""
        net: Net = run.state
        if net.hand is not None:
            return min((due_ms for due_ms, _ in comes(room, run)), default=None)
        if run.halted_room_ms is not None or net.phase == "complete":
            return None
        if net.phase == "parts":
            return _part_over_ms(room, room.run_of(net.stations[net.at].run))
        if net.turn is not None:
            return _turn_over_ms(room, net, net.turn)
        return run.start_room_ms if _is_complete(room, net) else None

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """The next part, the server's answer, a free channel, or the end."""
        net: Net = run.state
        if net.hand is not None:
            return [event for _, event in comes(room, run)]
        if net.phase == "parts":
            return [SendNextPart(now_ms + room.lead_ms(), run.id)]
        if net.turn is None:
            return [CompleteNet(run.id)]
        if net.turn.given is None:
            return [AnswerForStation(now_ms + room.lead_ms(), run.id)]
        here = (seat.id for seat in room.seats.values() if seat.here and seat.inside and run.has(seat.id))
        return [FreeChannel(net.turn.exchange.question.to, net.turn.given, tuple(here), run.id)]

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their stations are the server's; what they asked and had is gone."""
        net: Net = run.state
        net.keyed = [line for line in net.keyed if line.seat not in seats]
        if net.unclear is not None and net.unclear[0] in seats:
            net.unclear = None
        for station in net.stations:
            station.holder = 0 if station.holder in seats else station.holder
        net.lost = {place: lost for place, lost in net.lost.items() if place[0] not in seats}
        net.filled = {place: came for place, came in net.filled.items() if place[0] not in seats}
        net.receipted -= set(seats)
        net.exchanges = [exchange for exchange in net.exchanges if exchange.seat not in seats]
        if net.turn is not None and net.turn.exchange.seat in seats:
            net.turn = None
        for exchange in net.exchanges:
            if exchange.by in seats:
                exchange.by, exchange.answer, exchange.extra = 0, "", 0
                exchange.answer_fault = exchange.answer_right = ""
                exchange.answer_keyed = False

    def lasts_s(self, setup: NetSetup) -> float:
        """The parts, and a fill for about every second group that gets lost: others hear it, too."""
        parts = max(setup.parts, len(setup.stations)) or USUAL_STATIONS
        groups = parts * setup.groups
        return groups * GROUP * SYMBOL_S + (2.0 + 0.5 * groups * max(setup.chance, 0.1)) * FILL_S

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """Ask, answer, give an R."""
        return acts(told, rng)


def _cut(room: Classroom, part: Run, now_ms: float) -> list[Effect]:
    """The part ends here; what was not sent of it is missing everywhere."""
    if part.closed or part.stopped:
        raise Refused("The next part is on its way.")
    if part.complete_at(now_ms if part.halted_room_ms is None else part.halted_room_ms) == 0:
        raise Refused("The part has not begun yet.")
    if part.halted_room_ms is None:
        part.halted_room_ms = now_ms
    part.stopped_room_ms, part.tidy_ms = now_ms, 0.0
    return to_its_seats(room, part, halt_view(part))


def _part_over_ms(room: Classroom, part: Run) -> float | None:
    """When the part at hand is over: its tidying, unless all who type have handed it in."""
    if part.closed:
        return part.start_room_ms
    if part.halted_room_ms is not None and not part.stopped:
        return None
    sounded_ms = part.start_room_ms + part.last_end_ms
    writing = [
        copy
        for seat, copy in part.copies.items()
        if copy.way == "typing" and seat in room.seats and room.seats[seat].here
    ]
    if writing and all(copy.handed_in for copy in writing):
        return sounded_ms
    return part.start_room_ms + part.tidy_end_ms


def _turn_over_ms(room: Classroom, net: Net, turn: Turn) -> float:
    if turn.given is not None:
        return turn.sounded_ms
    holder = room.seats.get(net.stations[turn.exchange.question.to].holder)
    if holder is None or not (holder.here and holder.device):
        return min(turn.sounded_ms + HELD_MS, turn.answer_by_ms)
    return turn.answer_by_ms


def _is_complete(room: Classroom, net: Net) -> bool:
    """Every station that somebody with a device sits at has given its R; one that is away is held."""
    sat = (room.seats.get(station.holder) for station in net.stations)
    return all(seat.id in net.receipted for seat in sat if seat is not None and seat.device)
