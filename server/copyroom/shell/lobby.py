"""Who is connected at all: every open connection, from its acceptance on.

A connection costs a descriptor whether it says anything or not. So one address has so many and no more, who
says nothing is sent away, and when descriptors run out the address with most connections that nobody sits
behind gives one up: a known seat's connection is never among them.
"""

from __future__ import annotations

import _socket
import errno
import logging
import threading
from collections import Counter
from collections.abc import Callable, Collection
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from copyroom.shell.budget import Addresses

log = logging.getLogger(__name__)

MOST_OF_AN_ADDRESS = 600
"""Sixty phones behind one address, each with a page being loaded over six connections and a socket."""
HEAD_S = 10.0
"""For a request to have come whole, from its connection's first moment."""
IDLE_S = 30.0
"""Between two requests, and for an answer to be fetched."""
SWEEP_EVERY_S = 1.0
CONNECTION_FRAMES = 2.0
"""What accepting one costs of its address's budget."""
NO_DESCRIPTOR = {errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM}
PASSING = {
    errno.ECONNABORTED,
    errno.EPROTO,
    errno.EPERM,
    errno.ENETDOWN,
    errno.EHOSTUNREACH,
    errno.ENETUNREACH,
}
"""What accept may say of one connection that went wrong; the next one may be well."""
BREATH_S = 0.05
IN_A_ROW = 32
"""Newcomers between two looks at the others; one at a time would make a class's coming twice as dear."""

Peer = tuple[str, int]
"""A connection's other end: address and port."""


@dataclass(slots=True)
class _Guest:
    wire: Any
    until_s: float
    """When it is sent away, unless it says something before."""
    known: bool = False


class Lobby:
    """All open connections.

    Parameters
    ----------
    most : so many at once.
    proxies : addresses of trusted proxies, behind which there are many people.
    """

    def __init__(
        self,
        addresses: Addresses,
        now_s: Callable[[], float],
        pause: Callable[[float], None],
        most: int,
        proxies: Collection[str] = (),
    ) -> None:
        self._addresses, self._now_s, self._pause = addresses, now_s, pause
        self._most, self._proxies = most, proxies
        self._guests: dict[Peer, _Guest] = {}
        self._of: Counter[str] = Counter()
        self._lock = threading.RLock()
        self._accepted = 0

    # -------------------------------------------------------------- coming

    def accept(self, listener: Any) -> tuple[Any, Any]:
        """The next connection that may stay; outlives the end of descriptors."""
        while True:
            self._accepted += 1
            if self._accepted % IN_A_ROW == 0:
                self._pause(0.0)  # newcomers at any pace leave the others their turn
            try:
                wire, peer = listener.accept()
            except OSError as fault:
                if fault.errno in NO_DESCRIPTOR:
                    log.warning("accept=failed reason=%s connections=%d", fault.strerror, len(self._guests))
                    self.make_room()
                    self._pause(BREATH_S)
                elif fault.errno not in PASSING:
                    raise
                continue
            if self._may_stay(wire, (str(peer[0]), int(peer[1]))):
                return wire, peer
            wire.close()

    def _may_stay(self, wire: Any, peer: Peer) -> bool:
        if peer[0] not in self._proxies and not self._addresses.pays(peer[0], CONNECTION_FRAMES):
            log.warning("connection=refused reason=%s", "its address opens too many a second")
            return False
        with self._lock:
            if peer[0] not in self._proxies and self._count(peer[0]) >= MOST_OF_AN_ADDRESS:
                log.warning("connection=refused reason=%s", "its address has too many")
                return False
            if len(self._guests) >= self._most and not self.make_room():
                log.warning("connection=refused reason=%s", "the server is full")
                return False
            self._guests[peer] = _Guest(wire, self._now_s() + HEAD_S)
            self._of[peer[0]] += 1
            return True

    def _count(self, address: str) -> int:
        if self._of[address] >= MOST_OF_AN_ADDRESS:
            self._forget_the_closed()
        return self._of[address]

    # -------------------------------------------------------------- being there

    def busy(self, peer: Peer) -> None:
        """A whole request has come over this connection, and is answered."""
        if guest := self._guests.get(peer):
            guest.until_s = float("inf")

    def idle(self, peer: Peer) -> None:
        """It was answered; the connection waits for another."""
        if guest := self._guests.get(peer):
            guest.until_s, guest.known = self._now_s() + IDLE_S, False

    def know(self, peer: Peer) -> None:
        """Somebody with a seat, or a console, is behind it."""
        if guest := self._guests.get(peer):
            guest.known = True

    def knows(self, peer: Peer) -> bool:
        """Whether somebody is known to be behind it."""
        guest = self._guests.get(peer)
        return guest is not None and guest.known

    # -------------------------------------------------------------- going

    def make_room(self) -> bool:
        """Send a stranger away, of the address with most of them; False: everybody is known."""
        with self._lock:
            self._forget_the_closed()
            strangers = [peer for peer, guest in self._guests.items() if not guest.known]
            if not strangers:
                return False
            crowded = Counter(address for address, _ in strangers).most_common(1)[0][0]
            self._send_away(next(peer for peer in strangers if peer[0] == crowded))
            return True

    def sweep(self) -> None:
        """Send away who has said nothing for too long."""
        with self._lock:
            self._forget_the_closed()
            now_s = self._now_s()
            for peer in [peer for peer, guest in self._guests.items() if guest.until_s < now_s]:
                self._send_away(peer)

    def sweep_always(self) -> None:
        """Sweep every second."""
        while True:
            self._pause(SWEEP_EVERY_S)
            self.sweep()

    def _forget_the_closed(self) -> None:
        self._guests = {peer: guest for peer, guest in self._guests.items() if guest.wire.fileno() >= 0}
        self._of = Counter(address for address, _ in self._guests)

    def _send_away(self, peer: Peer) -> None:
        guest = self._guests.pop(peer)
        self._of[peer[0]] -= 1
        with suppress(OSError):  # it has gone by itself
            end(guest.wire)


class Door:
    """A listening socket as servers use it, with the lobby behind it."""

    def __init__(self, listener: Any, lobby: Lobby) -> None:
        self._listener, self._lobby = listener, lobby

    def accept(self) -> tuple[Any, Any]:
        return self._lobby.accept(self._listener)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._listener, name)


def end(wire: Any) -> None:
    """End a connection so that whoever reads from it sees its end, and closes it.

    By its descriptor: the shutdown of an encrypted one would make the reader stumble.
    """
    bare = _socket.socket(fileno=wire.fileno())
    try:
        bare.shutdown(_socket.SHUT_RDWR)
    finally:
        bare.detach()
