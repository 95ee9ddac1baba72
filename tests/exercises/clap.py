"""A tiny exercise, for the tests alone: one learner hears a sound, the others clap when that one says so.

It uses each part of the interface once: a sound for one seat, an event of the learners' and one of the
instructor's, what each audience is shown, a turn that ends by itself, and what goes with somebody taken out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np

from copyroom.core.bursts import bursts, edges_ms
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, By, Event, Part, Settled, event, handles
from copyroom.room.effects import Effect, Refused, Sound
from copyroom.room.exercises import Act, Exercise, Heard, exercise, together
from copyroom.room.figures import Figures
from copyroom.room.limits import SeatNumber
from copyroom.room.run import Run

KIND = "clap"
TURN_MS = 20_000.0


class Hears(Part, frozen=True, kw_only=True):
    """This seat hears the sound."""

    hears: SeatNumber


@event(By.LEARNER, kept=True)
class Clap(Event, frozen=True):
    """This learner claps."""

    seat: Annotated[SeatNumber, Settled.SEAT]


@event(By.SERVER, kept=True)
class EndClapping(Event, frozen=True):
    """The time is over."""


@dataclass
class Clapping:
    """What is kept of it."""

    hears: int
    clapped: list[int] = field(default_factory=list)


class ForLearner(Part, frozen=True, kw_only=True):
    """A learner sees whether it is their turn to listen, and whether they clapped."""

    hears: bool
    clapped: bool


class ForClass(Part, frozen=True, kw_only=True):
    """Console and wall see how many clapped."""

    clapped: int
    over: bool


@handles(Clap)
def clap(room: Classroom, event: Clap, now_ms: float) -> list[Effect]:
    run = room.open_run
    if run is None or run.kind != KIND:
        raise Refused("There is nothing to clap for.")
    if event.seat == run.state.hears:
        raise Refused("You listen; the others clap.")
    if event.seat not in run.state.clapped:
        run.state.clapped.append(event.seat)
    return []


@handles(EndClapping)
def end(room: Classroom, event: EndClapping, now_ms: float) -> list[Effect]:
    if room.open_run is not None:
        room.open_run.closed = True
    return []


@exercise
class ClapExercise(Exercise):
    """One hears, the others clap."""

    kind = KIND
    title = "Clap"
    hint = "One hears a sound, and says so by waking the others."
    setup = Hears

    def compose(self, room: Classroom, setup: Hears, number: int, start_room_ms: float) -> Run:
        room.seat(setup.hears)
        return together(room, self, number, start_room_ms, Clapping(setup.hears))

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        edges = edges_ms(bursts("K", run.speed))
        return [Sound((run.state.hears, "console"), run.id, 1, edges, run.pitch_hz, run.start_room_ms)]

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        state: Clapping = run.state
        if seat is not None:
            return ForLearner(hears=seat.id == state.hears, clapped=seat.id in state.clapped)
        return ForClass(clapped=len(state.clapped), over=run.closed)

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        return run.start_room_ms + TURN_MS

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        return [EndClapping()]

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        run.state.clapped = [seat for seat in run.state.clapped if seat not in seats]

    def lasts_s(self, setup: Hears) -> float:
        return TURN_MS / 1000.0

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        return () if told["hears"] or told["clapped"] else [Act("clap", {}, float(rng.uniform(0.5, 2.0)))]

    def hears(
        self, told: Mapping[str, Any], heard: Sequence[Heard], rng: np.random.Generator
    ) -> Sequence[Act]:
        return [Act("clap", {}, 0.5)] if heard[-1].sign == "K" else []
