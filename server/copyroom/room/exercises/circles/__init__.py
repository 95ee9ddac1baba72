"""Circles: the room in two or three, each with its own sounds at its own speed, begun and ended together.

A circle is named after a place in the room and is no level. Each circle's text is a run within this one,
so its sheets, its table and its record are those of any copying.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta
from msgspec.structs import replace

from copyroom.core.alphabet import by_table_order
from copyroom.core.bursts import Speed
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, By, Event, Part, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import EXERCISES, Exercise, begin_run, exercise, to_its_seats, together
from copyroom.room.exercises.circles.lasting import MOST, CircleChosen, CirclesChosen, Sign, made_to_last
from copyroom.room.figures import Figures
from copyroom.room.limits import SeatNumber
from copyroom.room.messages.evidence import Cell, cells_of
from copyroom.room.messages.exercise import ExerciseOut, exercise_view
from copyroom.room.messages.running import halt_view
from copyroom.room.run import Run
from copyroom.room.scoring import run_table

CircleNumber = Annotated[int, Meta(ge=1, le=MOST)]


@event(By.INSTRUCTOR, kept=True)
class MoveToCircle(Event, frozen=True):
    """This learner is in that circle from the next start on."""

    seat: SeatNumber
    circle: CircleNumber


@dataclass(slots=True)
class Circles:
    """What is kept beside the circles' own runs, which are numbered in their order."""

    chosen: CirclesChosen
    runs: list[int] = field(default_factory=list)


class CircleForConsole(Part, frozen=True, kw_only=True):
    """A circle with its run, and who is in it next time. `inner`: what its own exercise shows."""

    name: str
    sign: Sign
    push: int
    seats: list[int]
    next: list[int]
    inner: ExerciseOut | None


class CirclesForConsole(Part, frozen=True, kw_only=True):
    """All circles, in their order."""

    circles: list[CircleForConsole]


class CirclesForLearner(Part, frozen=True, kw_only=True):
    """Where this learner sits, and from the next start on. `circle` 0: in none."""

    circle: int
    name: str
    sign: str
    next_name: str
    begins_room_ms: float


class CircleForWall(Part, frozen=True, kw_only=True):
    """A circle without learners' names; `cells` and `text` only once they were shown. does : its exercise."""

    name: str
    sign: Sign
    learners: int
    does: str
    symbols: str
    cells: list[Cell]
    text: str


class CirclesForWall(Part, frozen=True, kw_only=True):
    """All circles; they end together."""

    circles: list[CircleForWall]
    begins_room_ms: float
    ends_room_ms: float
    phase: str


@event(By.SERVER, kept=True)
class CirclesOver(Event, frozen=True):
    """The time of the circles is over: what would go on by itself ends with the others."""

    run: int


@handles(CirclesOver)
def circles_over(room: Classroom, event: CirclesOver, now_ms: float) -> list[Effect]:
    """All sound of it ends; what was under way comes to what it is."""
    effects: list[Effect] = []
    for part in _going_on(room, room.run_of(event.run)):
        part.halted_room_ms = now_ms if part.halted_room_ms is None else part.halted_room_ms
        part.stopped_room_ms = now_ms
        part.closed = part.cancelled
        effects += to_its_seats(room, part, halt_view(part))
    return effects


def _going_on(room: Classroom, run: Run) -> list[Run]:
    """The exercises in the circles that go on until they are ended, and what is under way within them."""
    own = [room.run_of(number) for number in run.state.runs]
    lasting = [part for part in own if EXERCISES[part.kind].ends_with_others and not part.stopped]
    family = [one for part in lasting for one in room.parts_of(part)]
    return [one for one in family if not one.closed and not one.stopped]


@handles(MoveToCircle)
def move_to_circle(room: Classroom, event: MoveToCircle, now_ms: float) -> list[Effect]:
    """Note it; what sounds now goes on as it is."""
    room.seat(event.seat).circle = event.circle
    return []


@exercise
class CirclesExercise(Exercise):
    """Two or three texts at once, each for its own seats."""

    kind = "circles"
    title = "Circles"
    hint = "Two or three circles copy at once, each its own sounds at its own speed. They end together."
    setup = CirclesChosen

    def settle(
        self, figures: Figures, setup: CirclesChosen, rng: np.random.Generator, now_ms: float
    ) -> CirclesChosen:
        """Who is in which circle, and texts that all last equally long."""
        room = figures.room
        if room.hearing == "loudspeaker":
            raise Refused("With one loudspeaker every circle would hear the others. Let each device sound.")
        present = [seat for seat in room.seats.values() if seat.here and seat.inside]
        deal = dealt(present, len(setup.circles))
        circles = tuple(
            made_to_last(figures, circle, setup.lasts_s, seats, rng)
            for circle, seats in zip(setup.circles, deal, strict=True)
        )
        return replace(setup, circles=circles, dealt=deal)

    def compose(self, room: Classroom, setup: CirclesChosen, number: int, start_room_ms: float) -> Run:
        """The run that holds the circles' own."""
        lasts_ms = setup.lasts_s * 1000.0
        return together(room, self, number, start_room_ms, Circles(setup), lasts_ms=lasts_ms)

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """Each circle's text, all with the same start."""
        state: Circles = run.state
        effects: list[Effect] = []
        for circle, seats in zip(state.chosen.circles, state.chosen.dealt, strict=True):
            for number in seats:
                if number in room.seats:
                    room.seats[number].circle = len(state.runs) + 1
            part = _part_of(room, run, circle)
            part.heading, part.within, part.seats = circle.name, run.id, frozenset(seats)
            state.runs.append(part.id)
            effects += begin_run(room, part, now_ms)
        return effects

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """Who comes late joins their circle, or the smallest one."""
        parts = [room.run_of(number) for number in run.state.runs]
        if any(part.has(seat.id) for part in parts):
            return
        seat.circle = seat.circle or 1 + min(range(len(parts)), key=lambda i: len(parts[i].seats or ()))
        part = parts[min(seat.circle, len(parts)) - 1]
        part.seats = (part.seats or frozenset()) | {seat.id}

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """Within the circle of who gives a part away."""
        for part in (room.run_of(number) for number in run.state.runs):
            if part.has(seat):
                return EXERCISES[part.kind].hand_over(room, part, seat, to, now_ms)
        raise Refused("That learner is in no circle now.")

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """Each circle has turns of its own, or none."""
        raise Refused("In which circle? Skip the turn there.")

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """When the time of the circles is over, and something would go on."""
        if run.halted_room_ms is not None or not _going_on(room, run):
            return None
        return run.start_room_ms + run.lasts_ms

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """All end together."""
        return [CirclesOver(run.id)]

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """Who sits where; the wall is told no name, and no text before it was shown."""
        room, state = figures.room, run.state
        if seat is not None:
            return _for_learner(room, run, seat)
        parts = [room.run_of(number) for number in state.runs]
        if audience is Audience.WALL:
            return CirclesForWall(
                circles=[_for_wall(figures, *both) for both in zip(state.chosen.circles, parts, strict=True)],
                begins_room_ms=run.start_room_ms,
                ends_room_ms=run.start_room_ms + run.last_end_ms,
                phase=run.phase(now_ms),
            )
        upcoming = dealt([s for s in room.seats.values() if s.here and s.inside], len(parts))
        return CirclesForConsole(
            circles=[
                CircleForConsole(
                    name=circle.name,
                    sign=circle.sign,
                    push=part.id,
                    seats=sorted(part.seats or ()),
                    next=list(then),
                    inner=_inner(figures, part, now_ms),
                )
                for circle, part, then in zip(state.chosen.circles, parts, upcoming, strict=True)
            ]
        )

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their numbers leave the deal."""
        chosen: CirclesChosen = run.state.chosen
        left = tuple(tuple(seat for seat in circle if seat not in seats) for circle in chosen.dealt)
        run.state.chosen = replace(chosen, dealt=left)

    def lasts_s(self, setup: CirclesChosen) -> float:
        """As long as it sounds, and the talk around it."""
        return setup.lasts_s + 60.0


def dealt(seats: Sequence[Seat], count: int) -> tuple[tuple[int, ...], ...]:
    """Per circle the seats in it: where they were put, the others where fewest are."""
    circles: list[list[int]] = [[] for _ in range(count)]
    for seat in seats:
        if 1 <= seat.circle <= count:
            circles[seat.circle - 1].append(seat.id)
    for seat in seats:
        if not 1 <= seat.circle <= count:
            min(circles, key=len).append(seat.id)
    return tuple(tuple(sorted(circle)) for circle in circles)


def _part_of(room: Classroom, run: Run, circle: CircleChosen) -> Run:
    """A circle's own run: its exercise, or its text."""
    number = len(room.runs) + 1
    if circle.kind:
        kind = EXERCISES[circle.kind]
        part = kind.compose(room, msgspec.convert(circle.setup, kind.setup), number, run.start_room_ms)
        if kind.ends_with_others:
            part.speed = Speed(circle.wpm, min(circle.wpm, circle.overall_wpm))
        return part
    return Run(
        id=number,
        purpose=circle.purpose,
        symbols=by_table_order(circle.symbols + circle.text),
        text=circle.text,
        speed=Speed(circle.wpm, circle.overall_as_sent_wpm),
        pitch_hz=run.pitch_hz,
        start_room_ms=run.start_room_ms,
        tidy_ms=run.tidy_ms,
        name_shown=False,
        counted=True,
    )


def _inner(figures: Figures, part: Run, now_ms: float) -> ExerciseOut | None:
    shown = EXERCISES[part.kind].told(figures, part, Audience.CONSOLE, None, now_ms)
    return None if shown is None else exercise_view(part.id, part.kind, shown)


def _for_learner(room: Classroom, run: Run, seat: Seat) -> CirclesForLearner:
    chosen: CirclesChosen = run.state.chosen
    own = next((i for i, number in enumerate(run.state.runs) if room.run_of(number).has(seat.id)), None)
    later = chosen.circles[seat.circle - 1].name if 1 <= seat.circle <= len(chosen.circles) else ""
    mine = None if own is None else chosen.circles[own]
    return CirclesForLearner(
        circle=0 if own is None else own + 1,
        name=mine.name if mine else "",
        sign=mine.sign if mine else "",
        next_name="" if mine and later == mine.name else later,
        begins_room_ms=run.start_room_ms,
    )


def _for_wall(figures: Figures, circle: CircleChosen, part: Run) -> CircleForWall:
    return CircleForWall(
        name=circle.name,
        sign=circle.sign,
        learners=len(part.seats or ()),
        does=EXERCISES[part.kind].title,
        symbols=part.symbols if part.revealed else "",
        cells=cells_of(run_table(figures, part)) if part.revealed else [],
        text=part.sent_text if part.revealed else "",
    )
