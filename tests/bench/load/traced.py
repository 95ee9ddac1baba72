"""`copyroom serve`, with a stopwatch on every turn of its event loop.

A turn is what runs between two returns to eventlet's hub: until it ends nobody else is served. When the file
that is the first argument is gone, it is written anew: the longest turn since the last time, as JSON: CPU and
wall time in ms, and the number of turns. The other arguments are the server's.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from typing import Any

import greenlet
from eventlet import hubs

from copyroom.__main__ import main


class Stopwatch:
    """Times what runs between two returns to the hub."""

    def __init__(self, path: str) -> None:
        self._path = path
        self._begun: tuple[float, float] | None = None
        self._cpu_ms = self._wall_ms = 0.0
        self._turns = 0

    def switched(self, _event: str, between: tuple[Any, Any]) -> None:
        """Greenlet's trace hook: control goes from the one to the other."""
        hub = hubs.get_hub().greenlet
        came_from, goes_to = between
        if goes_to is hub and self._begun is not None:
            cpu_s, wall_s = self._begun
            self._cpu_ms = max(self._cpu_ms, (time.thread_time() - cpu_s) * 1000.0)
            self._wall_ms = max(self._wall_ms, (time.perf_counter() - wall_s) * 1000.0)
            self._turns += 1
            self._begun = None
        elif came_from is hub:
            self._begun = (time.thread_time(), time.perf_counter())

    def tell(self) -> None:
        """Write the longest turn so far, and begin anew."""
        text = json.dumps({"cpu_ms": self._cpu_ms, "wall_ms": self._wall_ms, "turns": self._turns})
        self._cpu_ms = self._wall_ms = 0.0
        self._turns = 0
        with open(self._path + ".new", "w", encoding="ascii") as file:
            file.write(text)
        os.replace(self._path + ".new", self._path)

    def answer(self, sleep: Any) -> None:
        """In a real thread, begun before the server makes threads cooperative."""
        while True:
            sleep(0.02)
            if not os.path.exists(self._path):
                self.tell()


if __name__ == "__main__":
    stopwatch = Stopwatch(sys.argv[1])
    threading.Thread(target=stopwatch.answer, args=(time.sleep,), daemon=True).start()
    greenlet.settrace(stopwatch.switched)
    main(sys.argv[2:])
