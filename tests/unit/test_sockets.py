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
from copyroom.shell.secret import LinkKeys
from copyroom.shell.sessions import Sessions
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
        self.ended: list[str] = []

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

    def disconnect(self, sid: str) -> None:
        self.ended.append(sid)

    def connect(self, sid: str, cookie: str = "", address: str = "192.0.2.1") -> None:
        self._handlers["connect"](sid, {"REMOTE_ADDR": address, "HTTP_COOKIE": cookie})

    def drop(self, sid: str) -> None:
        self._handlers["disconnect"](sid)

    def send(self, sid: str, event: str, /, **payload: Any) -> None:
        self._handlers[event](sid, payload)

    def join(self, sid: str, code: str, name: str, token: str = "") -> None:
        self.send(sid, "join", code=code, name=name, token=token)

    def refusals(self, sid: str) -> list[str]:
        return [payload["sentence"] for to, name, payload in self.told if (to, name) == (sid, "refused")]


class Desk:
    """Rooms in a file, and wires to them."""

    def __init__(self, folder: Path) -> None:
        clock = self.clock = StillClock()
        self.wires = Wires(clock)
        self.on_disk: Callable[[], None] = lambda: None
        self.store = Store(f"sqlite:///{folder / 'room.sqlite3'}", self._run_blocking)
        self._outbox = Outbox(
            self.store.append, lambda outgoing: self.sockets.emit(outgoing), lambda _s: None
        )
        self.rooms = Rooms(self.store, clock, self._outbox, (), lambda _s: None)
        self.sessions, self.keys = Sessions(folder, lambda: 0.0), LinkKeys(folder)
        settings = Settings(folder)
        self.sockets = Sockets(
            self.wires, self.rooms, clock, self.sessions, self.keys, settings, empty_lobby()
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
    desk.wires.connect("s1", f"a/b=1; {COOKIE}={desk.sessions.open('')}; c")
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


def test_a_connection_makes_one_new_seat_and_takes_known_ones_as_often_as_it_likes(desk: Desk) -> None:
    code = desk.rooms.open()
    for sid, name in (("s1", "Wren"), ("s2", "Otter")):
        desk.wires.connect(sid)
        desk.wires.join(sid, code, name)
    desk.wires.join("s1", code, "Heron")
    desk.wires.join("s1", code, "Heron", token="made up")
    assert desk.wires.refusals("s1") == 2 * [
        "This page has had a seat already. Load it anew to take another."
    ]
    room = desk.rooms.find(code)
    assert room is not None
    token = room.classroom.seats[2].token
    desk.wires.join("s1", code, "", token=token)
    assert desk.seats(code) == {"Wren": False, "Otter": True}


def test_after_ten_wrong_codes_a_network_gets_in_by_link_or_seat_alone_and_others_as_ever(desk: Desk) -> None:
    code = desk.rooms.open()
    desk.wires.connect("s1")
    desk.wires.join("s1", code, "Wren")
    desk.wires.connect("s2")
    for n in range(10):
        desk.wires.join("s2", f"WRONG-{n:04}", "Otter")
    assert all("no room" in sentence for sentence in desk.wires.refusals("s2"))
    assert desk.clock.now_ms() == 1000.0, "each was answered at once"
    for n in range(3):
        desk.wires.join("s2", f"WRONG-{n:04}", "Otter")
    desk.wires.join("s2", code, "Otter")
    assert all("Too many" in sentence for sentence in desk.wires.refusals("s2")[10:])
    assert desk.seats(code) == {"Wren": True}
    desk.wires.connect("s3")
    desk.wires.join("s3", f"{code}.{desk.keys.key('door', code)}", "Heron")
    room = desk.rooms.find(code)
    assert room is not None
    desk.wires.connect("s4")
    desk.wires.join("s4", code, "", token=room.classroom.seats[1].token)
    desk.wires.connect("s5", address="192.0.2.2")
    desk.wires.join("s5", code, "Amber")
    assert desk.seats(code) == {"Wren": True, "Heron": True, "Amber": True}
    desk.clock.room_ms += 60_000.0
    desk.wires.join("s2", code, "Otter")
    assert "Otter" in desk.seats(code)


def test_the_walls_link_watches_its_own_wall_and_nothing_else(desk: Desk) -> None:
    code, other = desk.rooms.open(), desk.rooms.open()
    key = desk.keys.key("wall", code)
    desk.wires.connect("s1")
    for room, view in ((code, "console"), (other, "wall"), ("", "wall")):
        desk.wires.send("s1", "watch", code=f"{room}.{key}", view=view)
    desk.wires.send("s1", "watch", code=code, view="wall")
    assert len(desk.wires.refusals("s1")) == 4
    desk.wires.send("s1", "watch", code=f"{code}.{key}", view="wall")
    desk.wires.send("s1", "pause", push=0, seen="")
    assert desk.wires.refusals("s1")[4:] == ["Only the instructor's console may do that."]
    desk.let_out()
    assert "wall" in [name for sid, name, _ in desk.wires.told if sid == "s1"]


def test_a_console_that_is_signed_out_is_one_no_more(desk: Desk) -> None:
    shown = desk.sessions.open("")
    desk.wires.connect("s1", f"{COOKIE}={shown}")
    desk.sockets.end_signed_out()
    assert desk.wires.ended == []
    desk.sessions.sign_out(desk.sessions.id_of(shown))
    desk.sockets.end_signed_out()
    assert desk.wires.ended == ["s1"]
    desk.wires.send("s1", "watch", code=desk.rooms.open(), view="console")
    assert desk.wires.refusals("s1") == ["Only the instructor's console may do that."]


def test_a_connection_lost_while_it_joins_leaves_its_seat_empty(desk: Desk) -> None:
    """The disk is one place where others get their turn: the room is loaded from it at the first joining."""
    desk.store.open_room("HERON-0417", 0.0)
    desk.wires.connect("s1")
    desk.on_disk = lambda: desk.wires.drop("s1")
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
            console = f"{COOKIE}={desk.sessions.open('')}"
            desk.wires.connect("s0", console)
            desk.wires.send("s0", "watch", code=code, view="console")
            desk.wires.send("s0", "hold_at_door", on=True)
    desk.sockets.erased(code)
    assert [sid for sid, name, _ in desk.wires.told if name == "removed" and "/" not in sid] == [
        "s1",
        "s2",
        "s0",
    ]
