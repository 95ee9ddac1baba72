"""`copyroom serve`, with a stopwatch on every turn of its event loop.

A turn is what runs between two returns to eventlet's hub: until it ends nobody else is served. When the file
that is the first argument is gone, it is written anew: the longest turn since the last time, as JSON: CPU and
wall time in ms, what the turn with the most CPU time did, and the number of turns. The other arguments are
the server's.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import threading
import time
from typing import Any

import greenlet
from eventlet import hubs

from copyroom.__main__ import main


def standing(job: Any) -> str:
    """Where a generator stands, and those that it waits for: the slice that it does next begins there."""
    places = []
    while (frame := getattr(job, "gi_frame", None)) is not None:
        places.append(f"{job.gi_code.co_name}:{frame.f_lineno}")
        job = job.gi_yieldfrom or frame.f_locals.get("work")
    return " ".join(places)


class Stopwatch:
    """Times what runs between two returns to the hub."""

    def __init__(self, path: str) -> None:
        self._path = path
        self._begun: tuple[float, float] | None = None
        self._cpu_ms = self._wall_ms = 0.0
        self._turns = 0
        self._doing: list[str] = []
        self._did: list[str] = []
        self._collecting_s = 0.0
        self._watches = False

    def _watch_rooms(self) -> None:
        """Note what rooms are asked to do, and where their jobs stand before a slice."""
        module = sys.modules.get(
            "copyroom.room.room"
        )  # imported when the server has made threads cooperative
        if self._watches or not hasattr(module, "Room"):
            return
        self._watches, room_class = True, module.Room
        receive = room_class.receive

        def noted(room: Any, event: Any, now_ms: float) -> Any:
            jobs = room.figures.jobs
            job = standing(jobs[0]) if jobs else ""
            self._doing.append(" ".join([type(event).__name__, job]))
            return receive(room, event, now_ms)

        room_class.receive = noted

    def collecting(self, phase: str, about: dict[str, int]) -> None:
        """The garbage collection's hook."""
        if phase == "start":
            self._collecting_s = time.thread_time()
        else:
            spent_ms = (time.thread_time() - self._collecting_s) * 1000.0
            self._doing.append(f"collection {about['generation']}: {spent_ms:.1f} ms")

    def switched(self, _event: str, between: tuple[Any, Any]) -> None:
        """Greenlet's trace hook: control goes from the one to the other."""
        hub = hubs.get_hub().greenlet
        came_from, goes_to = between
        if goes_to is hub and self._begun is not None:
            cpu_s, wall_s = self._begun
            cpu_ms = (time.thread_time() - cpu_s) * 1000.0
            if cpu_ms > self._cpu_ms:
                self._cpu_ms, self._did = cpu_ms, [*self._doing, *self._place(came_from)]
            self._wall_ms = max(self._wall_ms, (time.perf_counter() - wall_s) * 1000.0)
            self._turns += 1
            self._begun = None
        elif came_from is hub:
            self._watch_rooms()
            self._doing.clear()
            self._begun = (time.thread_time(), time.perf_counter())

    @staticmethod
    def _place(came_from: Any) -> list[str]:
        """Where the turn ended, if it goes on."""
        frame, places = came_from.gr_frame, []
        while frame is not None:
            if "copyroom" in frame.f_code.co_filename:
                places.append(f"{frame.f_code.co_name}:{frame.f_lineno}")
            frame = frame.f_back
        return places[:3]

    def tell(self) -> None:
        """Write the longest turn so far, and begin anew."""
        did = "; ".join(self._did)[:600]
        figures = {"cpu_ms": self._cpu_ms, "wall_ms": self._wall_ms, "did": did, "turns": self._turns}
        text = json.dumps(figures)
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
    gc.callbacks.append(stopwatch.collecting)
    main(sys.argv[2:])
