"""The journal's form of an event, and how what an older version wrote is raised to today's.

The journal is a contract: it keeps data, and what stands in it once is read for ever. Every record has a
number of its own in its room, the version of the form that it is in, and names what it makes (a seat, a run).
Each change of form has one function here, from that version to the next: no other code knows of old forms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import msgspec

from copyroom.core import phrases
from copyroom.core.bursts import Speed
from copyroom.core.purpose import Because, Composed, Purpose
from copyroom.core.steps import timed_step
from copyroom.room.contract import EVENTS, Event, snake_case

FORM = 3
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
    wpm: tuple[float, float] = (18.0, 6.0)


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


_KINDS_OF_2: dict[str, Purpose] = {"introduce": "meet", "longer copy": "longer"}
_TITLES_OF_2: dict[str, Composed] = {
    "Words": "words",
    "Sentences": "sentences",
    "Practice calls": "calls",
    "Practice contact": "contact",
    "Practice messages": "message",
    "One sound": "one",
    "Own text": "own",
    "Tell apart": "apart",
}


def _from_2(name: str, fields: Fields, seen: _Seen) -> tuple[str, Fields]:
    """Version 2 kept reasons as sentences, and told by kinds and titles what a step was.

    The sentences are left out, and what was called otherwise than its purpose now names it keeps its title.
    """
    match name:
        case "SetPlan":
            steps = [planned | {"step": _step_from_2(planned["step"])} for planned in fields["steps"]]
            return name, fields | {"steps": steps, "changes": []}
        case "AddStep":
            purpose = _purpose_from_2(fields["kind"], fields["title"])
            step = timed_step(purpose, fields["text"], Speed(*seen.wpm), Because("wanted"))
            title = _own_title(purpose, step.symbols, fields["title"])
            return name, {
                "purpose": purpose,
                "symbols": step.symbols,
                "text": step.text,
                "title": title,
                "planned": msgspec.to_builtins(replace(step, title=title)),
            }
        case "SendText":
            title = _own_title(fields["purpose"], fields["symbols"], fields.get("title", ""))
            return name, fields | {"title": title}
    return name, fields


def _purpose_from_2(kind: str, title: str) -> Any:
    if title.endswith(" apart"):
        return "apart"
    return _TITLES_OF_2.get(title) or _KINDS_OF_2.get(kind, kind)


def _own_title(purpose: Purpose, symbols: str, title: str) -> str:
    return "" if title in (phrases.title(purpose, symbols), phrases.TITLES[purpose]) else title


def _step_from_2(step: Fields) -> Fields:
    purpose = _purpose_from_2(step["kind"], step["title"])
    kept = {field: step[field] for field in ("symbols", "text", "sounds", "duration_s", "leans_on")}
    return kept | {"purpose": purpose, "title": _own_title(purpose, step["symbols"], step["title"])}


_RAISE: dict[int, Callable[[str, Fields, _Seen], tuple[str, Fields]]] = {1: _from_1, 2: _from_2}
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
        except (msgspec.MsgspecError, ValueError, TypeError, KeyError, RecursionError) as fault:
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
            case "SetSound":
                self._seen.wpm = (fields["wpm"], fields["overall_wpm"])
            case "SendText":
                self._seen.runs = max(self._seen.runs, fields["push"])


def from_record(name: str, body: str) -> Event:
    """The event of one record in today's form. Raises RecordError."""
    return Reader().read(FORM, name, body)
