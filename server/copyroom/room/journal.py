"""The journal's form of an event, and how what an older version wrote is raised to today's.

The journal is a contract: it keeps data, and what stands in it once is read for ever. Every record has a
number of its own in its room, the version of the form that it is in, and names what it makes (a seat, a run).
Each change of form has one function here, from that version to the next: no other code knows of old forms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import msgspec

from copyroom.room.contract import EVENTS, Event, snake_case

FORM = 2
"""Of the form that is written now."""

Fields = dict[str, Any]


class RecordError(Exception):
    """A record that this program cannot read: damaged, or of a newer one."""


def to_record(event: Event) -> tuple[str, str]:
    """A kept event as (name, JSON)."""
    return type(event).__name__, msgspec.json.encode(event).decode()


@dataclass(slots=True)
class _Seen:
    """What earlier records of the same journal have told, as far as raising later ones takes it."""

    seats: int = 0
    runs: int = 0
    by_token: dict[str, int] = field(default_factory=dict)


def _from_1(name: str, fields: Fields, seen: _Seen) -> tuple[str, Fields]:
    """Version 1 (0.1.0) numbered seats and runs by counting, removed one seat at a time, and had other words.

    A run that was sent again said that it had no sounds.
    """
    match name:
        case "Admit":
            return "LetIn", fields
        case "SetWaitingRoom":
            return "HoldAtDoor", fields
        case "Join" if fields["token"] in seen.by_token:
            return name, fields | {"seat": seen.by_token[fields["token"]]}
        case "Join" | "AddSeat":
            return name, fields | {"seat": seen.seats + 1}
        case "RemoveSeat":
            return "RemoveSeats", {"seats": [fields["seat"]]}
        case "SendText":
            return name, fields | {"push": seen.runs + 1, "count": max(1, fields["count"])}
    return name, fields


_RAISE: dict[int, Callable[[str, Fields, _Seen], tuple[str, Fields]]] = {1: _from_1}
"""Version -> what raises a record of it to the next one."""


class Reader:
    """Reads one room's journal, record by record, in its order."""

    def __init__(self) -> None:
        self._seen = _Seen()

    def read(self, version: int, name: str, body: str) -> Event:
        """The event of a record. Raises RecordError."""
        if not isinstance(version, int):  # SQLite keeps any type in any column
            raise RecordError("a record does not say which form it is in")
        if not 1 <= version <= FORM:
            raise RecordError("a record is in the form of a newer program")
        try:
            fields: Fields = msgspec.json.decode(body, type=dict[str, Any])
            for old in range(version, FORM):
                name, fields = _RAISE[old](name, fields, self._seen)
            event = self._event(name, fields)
        except (msgspec.MsgspecError, UnicodeError, TypeError, KeyError, RecursionError) as fault:
            raise RecordError(f"a record of the kind {name[:40]!r} cannot be read ({fault})") from None
        self._note(name, fields)
        return event

    @staticmethod
    def _event(name: str, fields: Fields) -> Event:
        said = EVENTS.get(snake_case(name))
        if said is None or not said.kept:
            raise RecordError(f"a record is of an unknown kind, {name[:40]!r}")
        return msgspec.convert(fields, said.kind)

    def _note(self, name: str, fields: Fields) -> None:
        match name:
            case "Join" | "AddSeat":
                self._seen.seats = max(self._seen.seats, fields["seat"])
                if fields["fresh_token"] and fields["seat"] not in self._seen.by_token.values():
                    self._seen.by_token[fields["fresh_token"]] = fields["seat"]
            case "RemoveSeats":  # who comes with that token after this takes a new seat
                left = {t: seat for t, seat in self._seen.by_token.items() if seat not in fields["seats"]}
                self._seen.by_token = left
            case "SendText":
                self._seen.runs = max(self._seen.runs, fields["push"])


def from_record(name: str, body: str) -> Event:
    """The event of one record in today's form. Raises RecordError."""
    return Reader().read(FORM, name, body)
