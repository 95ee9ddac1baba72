"""What a class does together: one kind a file, behind one small interface. Copying is the first of them.

A kind's file declares its events and what they do (`@event`, `@handles`), what its pages are told, and one
`Exercise` that the rest of the room knows it by. The rest never asks which kind it is: adding one touches no
other file here. Its pages' views stand in static/js/exercises/<kind>.js.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Event, Part
from copyroom.room.effects import CONSOLE, WALL, Effect, Refused
from copyroom.room.figures import Figures
from copyroom.room.messages.exercise import ExerciseOut, exercise_view
from copyroom.room.run import Run


@dataclass(frozen=True, slots=True)
class Act:
    """What a simulated learner does: an event with its fields, so long after it was told something."""

    name: str
    fields: Mapping[str, Any]
    after_s: float = 0.0


class Exercise:
    """One kind of exercise. What a kind does not need it leaves as it is here."""

    kind: ClassVar[str]
    """Also the name of its file, here and in the browser."""

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The run is in the room: what everybody hears at once."""
        return []

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """What an audience is shown now; it is told when that is not what it was, and to whoever comes back.

        seat : whose page it is, for Audience.SEAT. None: this audience is shown nothing.
        """
        return None

    def resume(self, figures: Figures, run: Run, seat: Seat, now_ms: float) -> dict[str, Any]:
        """What a returning page's welcome holds of this run beside what it is `told`."""
        return {}

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """When the exercise wants to be woken, in room time."""
        return None

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """Events that have come by now; the room takes and keeps them like any other."""
        return ()

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """These learners are gone: nothing that is theirs stays in the run."""

    def lasts_s(self, run: Run) -> float:
        """How long it takes as it stands, for the evening's plan; 0: as long as it sounds."""
        return 0.0

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """What a simulated learner does when shown this."""
        return ()


EXERCISES: dict[str, Exercise] = {}
"""Every kind, by its name."""


def exercise(kind: type[Exercise]) -> type[Exercise]:
    """Mark the one Exercise of a kind's file."""
    if kind.kind in EXERCISES:
        raise ValueError(f"there are two exercises of the kind {kind.kind}")
    EXERCISES[kind.kind] = kind()
    return kind


def of(run: Run) -> Exercise:
    """The kind that a run is of."""
    return EXERCISES[run.kind]


def begin_run(room: Classroom, run: Run, now_ms: float) -> list[Effect]:
    """Put a run into the room: its exercise begins. What was at hand must be over."""
    if room.open_run is not None:
        raise Refused("Something is still going on. Close it first.")
    room.runs.append(run)
    room.review_days = 0
    room.plan_edits += 1
    return of(run).begin(room, run, now_ms)


def at_hand(figures: Figures, seat: Seat, now_ms: float) -> dict[str, Any]:
    """What a learner's page is told of the run at hand when it comes, or comes back."""
    run = figures.room.run
    if run is None or not seat.inside:
        return {}
    fields = of(run).resume(figures, run, seat, now_ms)
    shown = of(run).told(figures, run, Audience.SEAT, seat, now_ms)
    return fields if shown is None else fields | {"exercise": exercise_view(run.id, run.kind, shown)}


def parts(figures: Figures, now_ms: float) -> dict[int | str, ExerciseOut]:
    """The exercise at hand as console, wall and each learner here are shown it, by address."""
    run = figures.room.run
    if run is None or type(of(run)).told is Exercise.told:
        return {}
    kind = of(run)
    shown: dict[int | str, Part | None] = {
        CONSOLE: kind.told(figures, run, Audience.CONSOLE, None, now_ms),
        WALL: kind.told(figures, run, Audience.WALL, None, now_ms),
    }
    for seat in figures.room.seats.values():
        if seat.here and seat.inside:
            shown[seat.id] = kind.told(figures, run, Audience.SEAT, seat, now_ms)
    return {to: exercise_view(run.id, run.kind, part) for to, part in shown.items() if part is not None}


def wake_at_ms(room: Classroom) -> float | None:
    """When the exercise at hand wants to be woken."""
    run = room.open_run
    return of(run).wake_at_ms(room, run) if run else None


def woken(room: Classroom, now_ms: float) -> Sequence[Event]:
    """What has come of itself in the exercise at hand by now."""
    run, due_ms = room.open_run, wake_at_ms(room)
    return of(run).wake(room, run, now_ms) if run and due_ms is not None and now_ms >= due_ms else ()


def load() -> None:
    """Read every kind's file that stands beside this one, or in a folder that was added to `__path__`."""
    for found in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{found.name}")
