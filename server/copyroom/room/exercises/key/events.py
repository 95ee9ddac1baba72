"""What can happen in turns at the key alone."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from copyroom.room.contract import By, Event, event
from copyroom.room.events.copying import Writer
from copyroom.room.events.seating import OwnSeat
from copyroom.room.keyed.events import MOST_TONES, TurnNumber
from copyroom.room.limits import RawText


@event(By.LEARNER, kept=True)
class SayText(Event, frozen=True):
    """What its sender is about to key, said before the first tone."""

    seat: OwnSeat
    turn: TurnNumber
    text: RawText


@event(By.LEARNER, kept=True)
class WordAgain(Event, frozen=True):
    """Its sender sends this word of the text once more, counted from 0: it is meant twice then."""

    seat: OwnSeat
    turn: TurnNumber
    word: Annotated[int, Meta(ge=0, le=MOST_TONES)]


@event(By.SERVER, kept=True)
class NextTurn(Event, frozen=True):
    """The turn's copies are final; the next one, if there is one, starts then."""

    turn: int
    start_room_ms: float
    run: int = 0


@event(By.EITHER, kept=True)
class ShowFist(Event, frozen=True):
    """Its sender, or the instructor, lets the others see the hand of that turn; or not any more."""

    seat: OwnSeat
    turn: TurnNumber
    on: bool
    by: Writer
