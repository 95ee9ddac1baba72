"""What only asks: it changes nothing, and its answer goes to whoever asked."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from copyroom.room.contract import By, Event, event
from copyroom.room.events.planning import Pin
from copyroom.room.limits import Days, DoorCode, Emphasis, Scope, SeatNumber, Sign, Symbols, View


@event(By.INSTRUCTOR, address=DoorCode)
class Watch(Event, frozen=True):
    """A console or a wall (by the instructor's cookie) follows a room; the code "" is the latest one."""

    view: View


@event(By.INSTRUCTOR)
class ShowCell(Event, frozen=True):
    """Ask for the sendings behind one cell of the table: `sent` "" = extra marks, `written` "" = missed.

    Answered by `cell`.
    """

    sent: Sign
    written: Sign
    scope: Scope


@event(By.INSTRUCTOR)
class ShowSheet(Event, frozen=True):
    """Ask for one learner's sheets of this evening; answered by `sheet`."""

    seat: SeatNumber


@event(By.INSTRUCTOR)
class ShowProgress(Event, frozen=True):
    """Ask for the course so far, meeting by meeting; answered by `course_progress`."""


@event(By.INSTRUCTOR)
class ShowCourse(Event, frozen=True):
    """Ask for an order with its reasons; answered by `course`. `signs` "": all that is examined."""

    emphasis: Emphasis
    signs: Symbols
    pins: Annotated[tuple[Pin, ...], Meta(max_length=64)]


@event(By.INSTRUCTOR)
class ShowReview(Event, frozen=True):
    """Ask what to review until the next meeting in so many days; seat 0 is the class."""

    days: Days
    seat: SeatNumber


@event(By.SERVER)
class Tick(Event, frozen=True):
    """The time asked for by WakeAt has come."""
