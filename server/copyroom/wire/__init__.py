"""What crosses the border: untrusted input becomes an event of the room, as its declaration says.

What an event holds, within which limits and who may send it is declared in `room.events`; what browsers are
told, in `room.messages`. The browser's side is generated from both. Units stand last in every name. A sign is
one code point of the alphabet; "_" is a blank.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import msgspec

from copyroom.room import events as ev
from copyroom.room import room as _room  # noqa: F401  with it every message is declared
from copyroom.room.contract import EVENTS, MESSAGES, By, EventDeclared, Part, Settled
from copyroom.room.limits import PageMs

__all__ = ["TO_BROWSER", "TO_SERVER", "Clock", "ClockOut", "Sender", "WireError", "decode"]

TO_SERVER = {name: said.incoming for name, said in EVENTS.items() if said.incoming is not None}
"""What a browser may send, by event name. `clock` is answered before any of this, for the sake of time."""


LONGEST_FAULT = 120


TO_BROWSER = {name: said.kind for name, said in MESSAGES.items()}
"""What a browser may be told, by its name."""


class ClockOut(Part, frozen=True, kw_only=True):
    """Acknowledgement of `clock`; a new epoch is a new server."""

    received_room_ms: float
    sent_room_ms: float
    epoch: str


class Clock(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One clock exchange; answered at once by the acknowledgement `ClockOut`."""

    page_ms: PageMs


class WireError(Exception):
    """A message that is not one of ours; the sentence is for whoever sent it."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Whom a connection speaks for: an instructor, a seat, or nobody yet."""

    instructor: bool
    seat: int | None
    token: str = ""
    """A fresh secret, should this message found a seat."""
    day: int = 0
    """Local days since 1970-01-01."""
    seed: int = 0
    """Fresh chance, should this message compose a text without a seed of its own."""


def decode(name: str, untrusted: object, sender: Sender) -> ev.Event:
    """An event of the room from what a connection sent.

    Raises WireError, with one sentence, for whatever is not well-formed or not this sender's to send.
    """
    said = EVENTS.get(name)
    if said is None or said.incoming is None:
        raise WireError("That event is not known.")
    if not isinstance(untrusted, Mapping):
        raise WireError("That message has no fields.")
    try:
        given = msgspec.convert(untrusted, said.incoming)
    except msgspec.ValidationError as error:
        raise WireError(f"That message does not fit: {_shown(str(error))}.") from None
    fields = {field: value for field, value in msgspec.structs.asdict(given).items() if field != "code"}
    return said.kind(**fields | _settled(said, fields, sender))


def _shown(fault: str) -> str:
    """What the fault says, without whatever the sender had in it."""
    return "".join(sign for sign in fault if sign.isprintable())[:LONGEST_FAULT]


def _settled(said: EventDeclared, fields: dict[str, Any], sender: Sender) -> dict[str, Any]:
    """What the connection puts in; what the room settles stays open."""
    seat = _seat(said.by, fields.get("seat", 0), sender)
    by_console = said.by is By.EITHER and sender.instructor and bool(fields.get("seat"))
    known = {
        Settled.SEAT: seat,
        Settled.WRITER: ev.CONSOLE if by_console else seat,
        Settled.TOKEN: sender.token,
        Settled.DAY: sender.day,
        Settled.CHANCE: sender.seed,
    }
    return {
        field: known[who]
        for field, who in said.settled.items()
        if who in known and (who is not Settled.CHANCE or fields[field] is None)
    }


def _seat(by: By, named: int, sender: Sender) -> int:
    """The seat that the message is of. Raises WireError when it is not this sender's to send."""
    if by is By.INSTRUCTOR and not sender.instructor:
        raise WireError("Only the instructor's console may do that.")
    if by is By.LEARNER and sender.seat is None:
        raise WireError("Take a seat first.")
    if by is By.EITHER:
        if sender.instructor and named:
            return named
        if sender.seat is None or named not in (0, sender.seat):
            raise WireError("That is not your seat.")
    return sender.seat or 0
