"""Connections: who speaks for whom, and what one connection may not do to the others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.settings import Settings
from copyroom.shell.clock import RoomClock
from copyroom.shell.outbox import MOST_WAITING, Outbox
from copyroom.shell.rooms import Rooms
from copyroom.shell.secret import ConsolePass
from copyroom.shell.sockets import COOKIE, Sockets
from copyroom.shell.store import Store
from lobby import empty_lobby


class StillClock(RoomClock):
    """A clock that the test moves."""

    def __init__(self) -> None:
        self.room_ms, self.epoch = 1000.0, "e"

    def now_ms(self) -> float:
        return self.room_ms


class Wires:
    """What the sockets use of a Socket.IO server. Timers do not run; a wait moves the clock."""

    def __init__(self, clock: StillClock) -> None:
        self._clock = clock
        self._handlers: dict[str, Callable[..., Any]] = {}
        self.members: dict[str, set[str]] = defaultdict(set)
        self.told: list[tuple[str, str, Any]] = []

    def on(self, event: str, handler: Callable[..., Any]) -> None:
        self._handlers[event] = handler

    def emit(self, name: str, payload: Any, to: str) -> None:
        for sid in sorted(self.members[to] | {to}):
            self.told.append((sid, name, payload))

    def enter_room(self, sid: str, room: str) -> None:
        self.members[room].add(sid)

    def leave_room(self, sid: str, room: str) -> None:
        self.members[room].discard(sid)

    def sleep(self, delay_s: float) -> None:
        self._clock.room_ms += delay_s * 1000.0

    def start_background_task(self, task: Callable[[], None]) -> None:
        pass

    def connect(self, sid: str, cookie: str = "") -> None:
        self._handlers["connect"](sid, {"HTTP_COOKIE": cookie} if cookie else {})

    def disconnect(self, sid: str) -> None:
        self._handlers["disconnect"](sid)

    def send(self, sid: str, event: str, /, **payload: Any) -> None:
        self._handlers[event](sid, payload)

    def join(self, sid: str, code: str, name: str) -> None:
        self.send(sid, "join", code=code, name=name, token="")

    def refusals(self, sid: str) -> list[str]:
        return [payload["sentence"] for to, name, payload in self.told if (to, name) == (sid, "refused")]


class Desk:
    """Rooms in a file, and wires to them."""

    def __init__(self, folder: Path) -> None:
        clock = StillClock()
        self.wires = Wires(clock)
        self.on_disk: Callable[[], None] = lambda: None
        self.store = Store(f"sqlite:///{folder / 'room.sqlite3'}", self._run_blocking)
        self._outbox = Outbox(
            self.store.append, lambda outgoing: self.sockets.emit(outgoing), lambda _s: None
        )
        self.rooms = Rooms(self.store, clock, self._outbox, (), lambda _s: None)
        self.console_pass = ConsolePass("a secret")
        self.sockets = Sockets(
            self.wires, self.rooms, clock, self.console_pass, Settings(folder), empty_lobby()
        )

    def _run_blocking(self, call: Callable[..., Any], *given: Any) -> Any:
        self.on_disk()
        return call(*given)

    def let_out(self) -> None:
        self._outbox.stop()
        self._outbox.run()

    def seats(self, code: str) -> dict[str, bool]:
        """Who has a seat in that room -> whether they are here."""
        room = self.rooms.find(code)
        assert room is not None
        return {seat.name: seat.here for seat in room.classroom.seats.values()}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = Desk(tmp_path)
    yield opened
    opened.store.close()


def test_the_console_is_known_beside_cookies_of_other_programs(desk: Desk) -> None:
    """Cookies are shared by all ports of a host, and others name theirs as they like."""
    code = desk.rooms.open()
    desk.wires.connect("s1", f"a/b=1; {COOKIE}={desk.console_pass.issue()}; c")
    desk.wires.send("s1", "watch", code=code, view="console")
    desk.let_out()
    assert "room" in [name for sid, name, _ in desk.wires.told if sid == "s1"]


@pytest.mark.parametrize("cookie", ["", f"{COOKIE}=", f"{COOKIE}=instructor", "a/b=1", "\xff=\xff"])
def test_nobody_is_an_instructor_without_the_right_cookie(desk: Desk, cookie: str) -> None:
    desk.wires.connect("s1", cookie)
    desk.wires.send("s1", "watch", code=desk.rooms.open(), view="console")
    assert desk.wires.refusals("s1") == ["Only the instructor's console may do that."]


def test_a_connection_with_a_seat_stays_in_its_room(desk: Desk) -> None:
    first, second = desk.rooms.open(), desk.rooms.open()
    desk.wires.connect("s1")
    desk.wires.join("s1", first, "Wren")
    desk.wires.join("s1", second, "Wren")
    assert desk.wires.refusals("s1") == [
        "This page has a seat in another room. Load it anew to join this one."
    ]
    assert (desk.seats(first), desk.seats(second)) == ({"Wren": True}, {})


def test_the_second_seat_of_a_connection_takes_the_place_of_the_first(desk: Desk) -> None:
    code = desk.rooms.open()
    desk.wires.connect("s1")
    desk.wires.join("s1", code, "Wren")
    desk.wires.join("s1", code, "Otter")
    assert desk.seats(code) == {"Wren": False, "Otter": True}


def test_a_connection_lost_while_it_joins_leaves_its_seat_empty(desk: Desk) -> None:
    """The disk is one place where others get their turn: the room is loaded from it at the first joining."""
    desk.store.open_room("HERON-0417", 0.0)
    desk.wires.connect("s1")
    desk.on_disk = lambda: desk.wires.disconnect("s1")
    desk.wires.join("s1", "HERON-0417", "Wren")
    assert desk.seats("HERON-0417") == {"Wren": False}


def test_nothing_more_is_taken_in_while_the_disk_does_not_keep_up(desk: Desk) -> None:
    code = desk.rooms.open()
    for _ in range(MOST_WAITING):
        desk.rooms.receive(code, ev.SetTitle("Wednesday"))
    desk.wires.connect("s1")
    desk.wires.join("s1", code, "Wren")
    assert "disk" in desk.wires.refusals("s1")[0]
    assert desk.seats(code) == {}
    desk.let_out()
    desk.wires.join("s1", code, "Wren")
    assert desk.seats(code) == {"Wren": True}


def test_everybody_in_an_erased_room_is_told_and_nobody_else(desk: Desk) -> None:
    code, other = desk.rooms.open(), desk.rooms.open()
    for sid, room in [("s1", code), ("s2", code), ("s3", other)]:
        desk.wires.connect(sid)
        desk.wires.join(sid, room, sid)
        if sid == "s1":
            console = f"{COOKIE}={desk.console_pass.issue()}"
            desk.wires.connect("s0", console)
            desk.wires.send("s0", "watch", code=code, view="console")
            desk.wires.send("s0", "hold_at_door", on=True)
    desk.sockets.erased(code)
    assert [sid for sid, name, _ in desk.wires.told if name == "removed" and "/" not in sid] == [
        "s1",
        "s2",
        "s0",
    ]
