"""The class's settings, and its evenings."""

from __future__ import annotations

from typing import Annotated

from copyroom.room.contract import By, Event, Settled, event
from copyroom.room.limits import (
    ClassSize,
    Hearing,
    LeadInS,
    PitchHz,
    RawText,
    SeatNumber,
    Symbols,
    TidyS,
    Title,
    Wpm,
)


@event(By.INSTRUCTOR, kept=True)
class OpenMeeting(Event, frozen=True):
    """A new evening of the course begins: its runs make a table of their own."""

    day: Annotated[int, Settled.DAY]


@event(By.INSTRUCTOR, kept=True)
class SetTitle(Event, frozen=True):
    """What the class is called."""

    title: Title


@event(By.INSTRUCTOR, kept=True)
class SetSound(Event, frozen=True):
    """Sound settings of the class, from the next push on."""

    wpm: Wpm
    overall_wpm: Wpm
    pitch_hz: PitchHz
    lead_in_s: LeadInS
    tidy_s: TidyS


@event(By.INSTRUCTOR, kept=True)
class SetHearing(Event, frozen=True):
    """How the class hears; `source`: with one loudspeaker, the seat whose browser sounds (0: the console)."""

    way: Hearing
    source: SeatNumber


@event(By.INSTRUCTOR, kept=True)
class SetSymbols(Event, frozen=True):
    """The symbols in play, so far introduced."""

    symbols: Symbols


@event(By.INSTRUCTOR, kept=True)
class KeepWords(Event, frozen=True):
    """The class's own words, as they were pasted; "" for none. Kept as the words found in it."""

    words: RawText


@event(By.INSTRUCTOR, kept=True)
class AllowAdditions(Event, frozen=True):
    """Whether signs outside the recommendation may be sent."""

    on: bool


@event(By.INSTRUCTOR, kept=True)
class HoldAtDoor(Event, frozen=True):
    """Whether newcomers wait at the door until they are let in."""

    on: bool


@event(By.INSTRUCTOR, kept=True)
class ShutDoor(Event, frozen=True):
    """Whether the door is shut: no newcomers at all; who has a seat comes in as ever."""

    on: bool


@event(By.INSTRUCTOR, kept=True)
class SetClassSize(Event, frozen=True):
    """How many learners are expected. When so many are in, the door shuts by itself."""

    size: ClassSize
