"""Group exercises: started, and led by the instructor. What else happens in one, its own file declares."""

from __future__ import annotations

from typing import Annotated, Any

from msgspec import Meta

from copyroom.room.contract import By, Event, Settled, event
from copyroom.room.events.running import ANY, Chance, Order, Start
from copyroom.room.events.seating import OwnSeat
from copyroom.room.limits import PushNumber, RunAtHand, SeatNumber

Kind = Annotated[str, Meta(min_length=1, max_length=24)]
Setup = Annotated[dict[str, Any], Meta(max_length=40)]
"""What the kind's own file declares; the room holds it against that."""


@event(By.INSTRUCTOR, kept=True)
class StartExercise(Event, frozen=True):
    """Begin a group exercise; `after` as in SendText. The room settles chance and start."""

    kind: Kind
    setup: Setup
    seed: Chance
    after: RunAtHand = ANY
    start_room_ms: Start = 0.0
    step: Annotated[int, Settled.ROOM] = 0


@event(By.INSTRUCTOR, kept=True)
class AddExercise(Event, frozen=True):
    """A group exercise, next in the plan. The room settles how long it takes."""

    kind: Kind
    setup: Setup
    lasts_s: Annotated[float, Settled.ROOM] = 0.0


class Answer(Event, frozen=True):
    """Something that changes a seat's copy of a run: a kind that asks for answers declares its own."""

    seat: OwnSeat
    push: PushNumber


@event(By.INSTRUCTOR, kept=True)
class SkipTurn(Order, frozen=True):
    """Pass over the turn at hand. within : of several exercises that go on at once, the one that is meant."""

    within: RunAtHand = 0


@event(By.INSTRUCTOR, kept=True, whose="")
class HandOver(Order, frozen=True):
    """What one learner has to do is another's from now on."""

    seat: SeatNumber = 0
    to: SeatNumber = 0
