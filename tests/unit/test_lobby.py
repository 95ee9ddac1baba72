"""Open connections: who may come, who is sent away, and what the end of descriptors does."""

from __future__ import annotations

import errno
import socket
from collections import deque
from typing import Any

import pytest

from copyroom.shell.budget import Addresses
from copyroom.shell.lobby import HEAD_S, IDLE_S, MOST_OF_AN_ADDRESS, Lobby


class Wire:
    """An accepted connection, with its other end."""

    def __init__(self) -> None:
        self._own, self._other = socket.socketpair()
        self._other.setblocking(False)
        self.fileno, self.close = self._own.fileno, self._own.close

    @property
    def is_open(self) -> bool:
        try:
            return self._other.recv(1) != b""
        except BlockingIOError:
            return True

    def __del__(self) -> None:
        self._own.close()
        self._other.close()


class Cheap:
    """One that is counted and never ended, and takes no descriptor."""

    def __init__(self) -> None:
        self._is_open = True

    def fileno(self) -> int:
        return 5 if self._is_open else -1

    def close(self) -> None:
        self._is_open = False


class Listener:
    """Hands out what is waiting: connections of these addresses, or faults."""

    def __init__(self, kind: type[Wire] | type[Cheap]) -> None:
        self.waiting: deque[str | OSError] = deque()
        self._port, self._kind = 0, kind

    def accept(self) -> tuple[Any, tuple[str, int]]:
        came = self.waiting.popleft()
        if isinstance(came, OSError):
            raise came
        self._port += 1
        return self._kind(), (came, self._port)


class Desk:
    def __init__(self, most: int, kind: type[Wire] | type[Cheap] = Wire) -> None:
        self.now_s, self.listener = 0.0, Listener(kind)
        addresses = Addresses(self.clock, self.pause)
        self.lobby = Lobby(addresses, self.clock, self.pause, most, {"proxy"})

    def clock(self) -> float:
        return self.now_s

    def pause(self, seconds: float) -> None:
        self.now_s += seconds

    def comes(self, *waiting: str | OSError) -> tuple[Any, tuple[str, int]]:
        self.listener.waiting.extend(waiting)
        return self.lobby.accept(self.listener)


@pytest.fixture
def desk() -> Desk:
    return Desk(most=4)


def test_who_says_nothing_is_sent_away_and_who_asks_stays(desk: Desk) -> None:
    (silent, _), (asking, peer) = desk.comes("a"), desk.comes("b")
    desk.lobby.busy(peer)
    desk.now_s = HEAD_S + 1.0
    desk.lobby.sweep()
    assert (silent.is_open, asking.is_open) == (False, True)
    desk.lobby.idle(peer)
    desk.now_s += IDLE_S + 1.0
    desk.lobby.sweep()
    assert not asking.is_open


def test_a_full_server_sends_a_stranger_away_for_a_newcomer_and_nobody_who_is_known(desk: Desk) -> None:
    known = [desk.comes("crowd") for _ in range(2)]
    for _, peer in known:
        desk.lobby.know(peer)
    strangers = [desk.comes("crowd")[0], desk.comes("alone")[0]]
    newcomer, peer = desk.comes("other")
    assert [wire.is_open for wire, _ in known] == [True, True]
    assert sum(wire.is_open for wire in strangers) == 1
    assert newcomer.is_open
    desk.lobby.know(peer)
    assert desk.lobby.make_room()
    assert not desk.lobby.make_room()


def test_the_address_with_most_strangers_gives_one_up(desk: Desk) -> None:
    phone, first, second = desk.comes("phone")[0], desk.comes("flood")[0], desk.comes("flood")[0]
    assert desk.lobby.make_room()
    assert (phone.is_open, first.is_open, second.is_open) == (True, False, True)


def test_one_address_has_so_many_connections_and_a_proxy_as_many_as_come() -> None:
    desk = Desk(most=5000, kind=Cheap)
    for _ in range(MOST_OF_AN_ADDRESS):
        desk.comes("flood")
    _, peer = desk.comes("flood", "flood", "phone")
    assert peer[0] == "phone"
    for _ in range(MOST_OF_AN_ADDRESS + 1):
        desk.comes("proxy")


def test_what_was_closed_is_not_counted() -> None:
    desk = Desk(most=5000, kind=Cheap)
    for _ in range(2 * MOST_OF_AN_ADDRESS):
        desk.comes("school")[0].close()
        desk.now_s += 0.1


@pytest.mark.parametrize("fault", [errno.EMFILE, errno.ENFILE, errno.ECONNABORTED])
def test_accepting_outlives_the_end_of_descriptors(desk: Desk, fault: int) -> None:
    _, peer = desk.comes(OSError(fault, "out of it"), OSError(fault, "out of it"), "phone")
    assert peer[0] == "phone"


def test_a_listener_that_is_closed_ends_the_serving(desk: Desk) -> None:
    with pytest.raises(OSError, match="closed"):
        desk.comes(OSError(errno.EBADF, "closed"))
