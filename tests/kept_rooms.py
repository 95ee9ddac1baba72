"""Rooms on disk, for the tests of what keeps them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from copyroom.room import events as ev
from copyroom.room.journal import FORM, to_record
from copyroom.shell.clock import RoomClock
from copyroom.shell.outbox import Outbox, Outgoing
from copyroom.shell.rooms import Hooks, Rooms
from copyroom.shell.store import Record, Store


def in_place(function: Callable[..., Any], *arguments: Any) -> Any:
    return function(*arguments)


def url_of(path: Path) -> str:
    return f"sqlite:///{path}"


def record(k: int, code: str = "HERON-0417", at_room_ms: float = 1000.0) -> Record:
    return kept(code, k, ev.SetTitle(f"title {k}"), at_room_ms + k)


def kept(code: str, number: int, event: ev.Event, at_room_ms: float = 1000.0) -> Record:
    return Record(code, number, FORM, at_room_ms, *to_record(event))


def some_rooms(store: Store, clock: RoomClock | None = None) -> tuple[Rooms, list[Outgoing]]:
    """Rooms whose outbox is emptied by hand, by `let_out`."""
    emitted: list[Outgoing] = []
    outbox = Outbox(store.append, emitted.append, lambda _s: None)
    rooms = Rooms(store, clock or RoomClock(), outbox, (), lambda _s: None)
    rooms.hooks = Hooks(lambda *_: None, lambda *_: None, lambda *_: None, lambda *_: None)
    rooms.let_out = lambda: (outbox.stop(), outbox.run())  # type: ignore[attr-defined]
    return rooms, emitted


def journal_of(store: Store, code: str, *events: ev.Event) -> None:
    store.open_room(code, 0.0)
    store.append([kept(code, k, event) for k, event in enumerate(events)])
