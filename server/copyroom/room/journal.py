"""The journal's form of an event, and how what an older version wrote is raised to today's.

The journal is a contract: it keeps data, never sentences, and what stands in it once is read for ever. Each
change of form has one function here, from that version to the next, so that no other code knows of old forms.
"""

from __future__ import annotations

from typing import Any

import msgspec

from copyroom.room.contract import EVENTS, Event, snake_case

_RENAMED = {"Admit": "LetIn", "SetWaitingRoom": "HoldAtDoor"}


class RecordError(Exception):
    """A record that this program cannot read: damaged, or of a newer one."""


def to_record(event: Event) -> tuple[str, str]:
    """A kept event as (name, JSON)."""
    return type(event).__name__, msgspec.json.encode(event).decode()


def from_record(name: str, body: str) -> Event:
    """The event of a record. Raises RecordError."""
    name = _RENAMED.get(name, name)
    said = EVENTS.get(snake_case(name))
    if said is None or not said.kept:
        raise RecordError(f"a record is of an unknown kind, {name[:40]!r}")
    try:
        fields: dict[str, Any] = msgspec.json.decode(body, type=dict[str, Any])
        return msgspec.convert(_raised(name, fields), said.kind)
    except (msgspec.MsgspecError, UnicodeError, TypeError, RecursionError) as fault:
        raise RecordError(f"a record of the kind {name[:40]!r} cannot be read ({fault})") from None


def _raised(name: str, fields: dict[str, Any]) -> dict[str, Any]:
    """From 0.1.0: a run sent again said that it had no sounds."""
    if name == "SendText" and fields.get("count") == 0:
        return fields | {"count": 1}
    return fields
