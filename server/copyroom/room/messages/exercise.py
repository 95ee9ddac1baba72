"""What an exercise shows: its kind, and what that kind declares of it."""

from __future__ import annotations

from typing import Any

from copyroom.room.contract import Audience, Message, Part, message


@message(Audience.SEAT, Audience.CONSOLE, Audience.WALL, name="exercise")
class ExerciseOut(Message, frozen=True, kw_only=True):
    """The exercise at hand as this audience is shown it; `shown` null: there is nothing to show any more.

    `shown` is what the kind's own file declares for the audience.
    """

    run: int
    kind: str
    shown: Any


NOTHING_SHOWN = ExerciseOut(run=0, kind="", shown=None)


def exercise_view(run: int, kind: str, shown: Part | None) -> ExerciseOut:
    """The exercise as it is told."""
    return ExerciseOut(run=run, kind=kind, shown=shown)
