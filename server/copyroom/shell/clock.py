"""Room time: milliseconds that only go forward, while the server runs and from one server to the next.

It starts at the wall clock's time, so that it goes on about where it was after a restart and a run that
was under way can be taken up again; browsers notice the new epoch and measure anew. A wall clock that went
back is passed over: room time goes on from the last that was kept, or a class would wait for its own past.
"""

from __future__ import annotations

import datetime
import secrets
import time


class RoomClock:
    """The server's clock, and the name of its epoch.

    Parameters
    ----------
    after_ms : the last room time of a server before.
    """

    def __init__(self, after_ms: float = 0.0) -> None:
        self._offset_ms = max(time.time() * 1000.0, after_ms) - time.monotonic() * 1000.0
        self.epoch = secrets.token_hex(6)

    @staticmethod
    def day() -> int:
        """Local days since 1970-01-01."""
        return (datetime.date.today() - datetime.date(1970, 1, 1)).days

    def now_ms(self) -> float:
        return self._offset_ms + time.monotonic() * 1000.0

    def wall_ms(self, room_ms: float) -> float:
        """The wall clock's time at that room time, so far as it is known: never later than now."""
        now_wall_ms = self._wall_now_ms()
        return room_ms if room_ms <= now_wall_ms else now_wall_ms - max(0.0, self.now_ms() - room_ms)

    def ago_ms(self, room_ms: float) -> float:
        """How long ago that was by the wall clock, which may be wrong."""
        return self._wall_now_ms() - self.wall_ms(room_ms)

    @staticmethod
    def _wall_now_ms() -> float:
        return time.time() * 1000.0
