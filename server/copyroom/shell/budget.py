"""What strangers may ask of the server, and when.

Every frame and every request has a price, in frames. From an address that has asked for more than one page
would, whoever has no seat yet is served one at a time, and between two of them everybody else has a turn:
twenty floods at once delay a stroke by one frame and not by twenty. An address that spends faster than a
whole classroom behind one address would is not refused: after each thing that it asks for such strangers wait
for as long as that took. So they have half the server at most.
"""

from __future__ import annotations

import ipaddress
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager

FRAMES_A_S = 400.0
"""Sixty phones behind one address, each with some five messages a second, and some to spare."""
FRAMES_AT_ONCE = 4000.0
"""Sixty pages that are loaded at the same time."""
A_PAGE_FRAMES = 500.0
"""One page that is loaded and joins; who has asked for no more than that waits for nobody."""
REQUEST_FRAMES = 4.0
"""A request costs the server as much as so many frames."""
MOST_ADDRESSES = 10_000
"""Remembered; the one that asked least lately is forgotten, with its whole budget left."""


class Bucket:
    """What is left of a budget that fills up by itself.

    Parameters
    ----------
    a_s : frames regained each second.
    at_once : frames it holds.
    """

    __slots__ = ("_a_s", "_at_once", "_counted_s", "left")

    def __init__(self, a_s: float, at_once: float, now_s: float) -> None:
        self._a_s, self._at_once = a_s, at_once
        self.left, self._counted_s = at_once, now_s

    def take(self, frames: float, now_s: float) -> float:
        """Pay; what is left, below 0 when it was too much."""
        regained = (now_s - self._counted_s) * self._a_s
        self.left = min(self._at_once, self.left + regained) - frames
        self._counted_s = now_s
        return self.left


class Budgets:
    """One bucket for each network.

    Parameters
    ----------
    a_s, at_once : as of each Bucket.
    """

    def __init__(self, a_s: float, at_once: float) -> None:
        self._a_s, self._at_once = a_s, at_once
        self._buckets: OrderedDict[str, Bucket] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._buckets)

    def left(self, address: str, frames: float, now_s: float) -> float:
        """What is left to an address when it has paid; it is never in debt by more than its whole budget."""
        network = network_of(address)
        with self._lock:
            bucket = self._buckets.pop(network, None) or Bucket(self._a_s, self._at_once, now_s)
            self._buckets[network] = bucket
            if len(self._buckets) > MOST_ADDRESSES:
                self._buckets.popitem(last=False)
            bucket.left = max(bucket.left, -self._at_once)
            return bucket.take(frames, now_s)


def network_of(address: str) -> str:
    """Whose address it is: of version 6 everybody has as many as they like, in a network of 64 bits."""
    if ":" not in address:
        return address
    try:
        return str(ipaddress.ip_network((address.partition("%")[0], 64), strict=False))
    except ValueError:
        return address


class Addresses:
    """The budgets of all addresses, and the lane of strangers.

    Parameters
    ----------
    now_s : a clock that only goes forward.
    pause : waits some seconds, 0 too, while the others have their turn.
    """

    def __init__(self, now_s: Callable[[], float], pause: Callable[[float], None]) -> None:
        self._now_s, self._pause = now_s, pause
        self._budgets = Budgets(FRAMES_A_S, FRAMES_AT_ONCE)
        self._lane = threading.Lock()

    def pays(self, address: str, frames: float) -> bool:
        """Whether an address could pay for this out of its budget."""
        return self._budgets.left(address, frames, self._now_s()) >= 0.0

    @contextmanager
    def turn(self, address: str, frames: float) -> Iterator[None]:
        """Pay for what is done within the block; it begins when it may."""
        left = self._budgets.left(address, frames, self._now_s())
        if left >= FRAMES_AT_ONCE - A_PAGE_FRAMES:
            yield
            return
        with self._lane:
            begun_s = self._now_s()
            try:
                yield
            finally:
                self._pause(0.0 if left >= 0.0 else self._now_s() - begun_s)
