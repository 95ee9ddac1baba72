"""Who is in the room, and how each browser stands."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from copyroom.room.contract import PERSONAL, SECRET, By, Event, Settled, event
from copyroom.room.limits import Code, Name, SeatNumber, ShortMs, SoundState, Token, Way

CONSOLE = 0
"""The seat number that stands for the instructor's console as a writer or a source of sound."""

OwnSeat = Annotated[SeatNumber, Settled.SEAT]
NewSeat = Annotated[SeatNumber, Settled.ROOM]
"""The number of the seat that an event makes."""


@event(By.ANYBODY, kept=True, founds=True, address=Code)
class Join(Event, frozen=True):
    """Take a seat, or take it again with its token. A new one gets `fresh_token` and the next number."""

    name: Annotated[Name, PERSONAL]
    token: Annotated[Token, SECRET]
    fresh_token: Annotated[Token, SECRET, Settled.TOKEN]
    seat: NewSeat = 0


@event(By.SERVER)
class Leave(Event, frozen=True):
    """A seat's last connection is gone."""

    seat: SeatNumber


@event(By.LEARNER, kept=True)
class ChooseWay(Event, frozen=True):
    """Type while listening, or write on paper and key the sheet in afterwards."""

    seat: OwnSeat
    way: Way


@event(By.LEARNER)
class ReportDevice(Event, frozen=True):
    """How a browser stands: its sound, how sure its clock is, how much lead it needs.

    sound: "off" before the tap, "on", "lost" (suspended), "silent" (no sound by choice).
    """

    seat: OwnSeat
    sound: SoundState
    uncertainty_ms: ShortMs
    lead_ms: ShortMs
    visible: bool


@event(By.LEARNER)
class CannotHear(Event, frozen=True):
    """A learner asks for help with the sound."""

    seat: OwnSeat


@event(By.LEARNER)
class HearNow(Event, frozen=True):
    """A learner who asked for help with the sound hears it now."""

    seat: OwnSeat


@event(By.INSTRUCTOR)
class SeenHelp(Event, frozen=True):
    """The instructor has seen to a learner who could not hear."""

    seat: SeatNumber


@event(By.INSTRUCTOR, kept=True)
class LetIn(Event, frozen=True):
    """Let a newcomer in who waits at the door."""

    seat: SeatNumber


@event(By.INSTRUCTOR, kept=True)
class Rename(Event, frozen=True):
    """Give a seat another nickname."""

    seat: SeatNumber
    name: Annotated[Name, PERSONAL]


@event(By.INSTRUCTOR, kept=True)
class RemoveSeats(Event, frozen=True):
    """Take seats out. Their copies leave every figure with them, and their names and strokes the journal.

    The room adds the seats that had been made one with them.
    """

    seats: Annotated[tuple[SeatNumber, ...], Meta(min_length=1, max_length=1200)]


@event(By.INSTRUCTOR, kept=True)
class MakeOne(Event, frozen=True):
    """Two seats are one learner's, who came back with another device: `seat` becomes a part of `into`."""

    seat: SeatNumber
    into: SeatNumber


@event(By.INSTRUCTOR, kept=True)
class MakeTwo(Event, frozen=True):
    """That was a mistake: `seat` stands for itself again, with what it had brought along."""

    seat: SeatNumber
    into: Annotated[SeatNumber, Settled.ROOM] = 0


@event(By.INSTRUCTOR, kept=True)
class ClearAway(Event, frozen=True):
    """Take the seats long away off the console's list. Copies stay; who comes back is on it again."""

    seats: Annotated[tuple[int, ...], Settled.ROOM] = ()


@event(By.INSTRUCTOR, kept=True, founds=True)
class AddSeat(Event, frozen=True):
    """A seat without a device: its paper sheets are keyed in at the console."""

    name: Annotated[Name, PERSONAL]
    fresh_token: Annotated[Token, SECRET, Settled.TOKEN]
    seat: NewSeat = 0
