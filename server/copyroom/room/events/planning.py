"""The course, the evening's plan, the advice taken, the review given."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from copyroom.core.purpose import Change, Composed
from copyroom.core.steps import Step
from copyroom.room.contract import By, Event, Settled, event
from copyroom.room.events.running import Chance
from copyroom.room.limits import (
    CoursePlace,
    Days,
    Emphasis,
    MeetingCount,
    Minutes,
    PushNumber,
    RawText,
    Sign,
    StepNumber,
    Symbols,
    Title,
)


class Pin(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The instructor wants this symbol at that place of the course, from 0."""

    sign: Sign
    place: CoursePlace


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A numbered step of the evening; `push`: 0 not done, -1 done without sound, else the run it became.

    What the instructor chose or put in stays when the rest is fitted anew.
    kind, setup : of a group exercise.
    """

    id: int
    step: Step
    push: int
    chosen: bool = False
    kind: str = ""
    setup: dict[str, Any] = field(default_factory=dict)


@event(By.INSTRUCTOR, kept=True)
class SetCourse(Event, frozen=True):
    """Choose the course: an emphasis, or an own order ("own"). The room settles the order it leads to.

    `signs` "" are all that an examination asks for. `most_new`: sounds an evening, 0 as the course needs.
    """

    emphasis: Emphasis
    signs: Symbols
    pins: Annotated[tuple[Pin, ...], Meta(max_length=64)]
    meetings: MeetingCount
    most_new: Annotated[int, Meta(ge=0, le=8)] = 0
    order: Annotated[str, Settled.ROOM] = ""


@event(By.INSTRUCTOR)
class PlanEvening(Event, frozen=True):
    """Ask for a plan of so many minutes. Kept as the SetPlan that it becomes."""

    minutes: Minutes
    seed: Chance


@event(By.SERVER, kept=True)
class SetPlan(Event, frozen=True):
    """The evening's plan from now on, and what changed and why; `fitted` by the room to the last copies."""

    minutes: float
    steps: tuple[PlanStep, ...]
    changes: tuple[Change, ...]
    fitted: bool = False


@event(By.INSTRUCTOR, kept=True)
class EditPlan(Event, frozen=True):
    """The steps still wanted, by number, in their new order."""

    steps: Annotated[tuple[StepNumber, ...], Meta(max_length=200)]


@event(By.INSTRUCTOR, kept=True)
class AddStep(Event, frozen=True):
    """A step of the instructor's own, next in the plan; `title` "" says that purpose and symbols name it.

    The room settles the step before the event is kept.
    """

    purpose: Composed
    symbols: Symbols
    text: RawText
    title: Title = ""
    planned: Annotated[Step | None, Settled.ROOM] = None


@event(By.INSTRUCTOR, kept=True)
class MarkStep(Event, frozen=True):
    """A step is done without sending."""

    step: StepNumber


@event(By.INSTRUCTOR)
class TakeChoice(Event, frozen=True):
    """Put a choice of the advice after run `push` next in the plan, and `send` it; 0 is the one proposed.

    Kept as the SetPlan that it becomes, and the SendText of its first step.
    """

    push: PushNumber
    choice: Annotated[int, Meta(ge=0, lt=20)]
    send: bool


@event(By.INSTRUCTOR, kept=True)
class GiveReview(Event, frozen=True):
    """Show each learner what to review until the next meeting, in so many days."""

    days: Days
