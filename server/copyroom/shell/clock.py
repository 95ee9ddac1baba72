"""Room time: milliseconds that only go forward while the server runs.

It starts at the wall clock's time, so that it goes on about where it was after a restart and a run that
was under way can be taken up again; browsers notice the new epoch and measure anew.
"""

from __future__ import annotations

import datetime
import secrets
import time


class RoomClock:
    """The server's clock, and the name of its epoch."""

    def __init__(self) -> None:
        self._offset_ms = time.time() * 1000.0 - time.monotonic() * 1000.0
        self.epoch = secrets.token_hex(6)

    @staticmethod
    def day() -> int:
        """Local days since 1970-01-01."""
        return (datetime.date.today() - datetime.date(1970, 1, 1)).days

    def now_ms(self) -> float:
        return self._offset_ms + time.monotonic() * 1000.0
