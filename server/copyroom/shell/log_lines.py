"""One line a fault and second: whoever causes faults by the thousand does not fill the disk with them."""

from __future__ import annotations

import logging
from collections.abc import Callable

EVERY_S = 1.0
MOST_KINDS = 1000


class OneASecond(logging.Filter):
    """Lets one line of a kind through each second; the next one says how many were left out.

    A kind is the text before its values were put in.
    """

    def __init__(self, now_s: Callable[[], float]) -> None:
        super().__init__()
        self._now_s = now_s
        self._said: dict[tuple[str, str], tuple[float, int]] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        kind, now_s = (record.name, str(record.msg)), self._now_s()
        said_s, left_out = self._said.get(kind, (-EVERY_S, 0))
        if now_s - said_s < EVERY_S:
            self._said[kind] = (said_s, left_out + 1)
            return False
        if len(self._said) >= MOST_KINDS:
            self._said.clear()
        self._said[kind] = (now_s, 0)
        if left_out:
            record.msg, record.args = f"{record.getMessage()} left_out={left_out}", ()
        return True
