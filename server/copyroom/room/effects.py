"""What a room asks of the shell. The room itself touches nothing."""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.room.contract import Event, Message, message_declared

SENDER, SEATS, CONSOLE, WALL = "sender", "seats", "console", "wall"
"""Addresses of a Send beside a seat's number."""


@dataclass(frozen=True, slots=True)
class Send:
    """Tell somebody: `to` is a seat's number or one of the addresses above."""

    to: int | str
    message: Message

    @property
    def name(self) -> str:
        """The message's name on the wire."""
        return message_declared(self.message).name


@dataclass(frozen=True, slots=True)
class Save:
    """Make this event durable before the effects after it leave the room."""

    event: Event
    at_room_ms: float
    number: int
    """Of the record in its room: 1, 2, ..."""


@dataclass(frozen=True, slots=True)
class WakeAt:
    """Send a Tick at this room time."""

    room_ms: float


@dataclass(frozen=True, slots=True)
class Seated:
    """The sender's connection speaks for this seat from now on."""

    seat: int


@dataclass(frozen=True, slots=True)
class Listening:
    """This seat's connections hear what is sent to all seats from now on."""

    seat: int


@dataclass(frozen=True, slots=True)
class Unseat:
    """Connections of this seat speak for nobody from now on; `comes_again`: they end, and pages come anew."""

    seat: int
    comes_again: bool = False


@dataclass(frozen=True, slots=True)
class Forget:
    """Strike out of the journal what it holds of those who were taken out of the room."""


@dataclass(frozen=True, slots=True)
class Sound:
    """Sound a part of a run on some pages; the room makes Sends of it.

    to : addresses; edges : per symbol [on, off, on, off, ...] in ms after the start.
    first : the number of its first sound in the run, by which what sounded is reported; -1: it is not.
    """

    to: tuple[int | str, ...]
    run: int
    part: int
    edges: list[list[float]]
    pitch_hz: float
    start_room_ms: float
    first: int = -1


@dataclass(frozen=True, slots=True)
class Greet:
    """Tell a seat's page all that it needs; the room makes a Send of it, since that takes figures.

    token : what the page came with, where it is not the seat's own.
    """

    to: int | str
    seat: int
    token: str = ""


Effect = Send | Save | WakeAt | Seated | Listening | Unseat | Forget | Greet | Sound


class Known(Exception):
    """The room knows all that an event says: nothing is to be kept. `told`: what it is answered with."""

    def __init__(self, *told: Effect) -> None:
        super().__init__("nothing new")
        self.told = told


class Refused(Exception):
    """A rule of the room says no; the sentence is for the person who asked, after what goes `before` it."""

    def __init__(self, sentence: str, *before: Effect) -> None:
        super().__init__(sentence)
        self.before = before
