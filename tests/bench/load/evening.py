"""What a class does to a server: everybody joins at once, pushes go out, everybody writes.

Times are taken in the generator: from a message given to its socket to the answer read from one.
"""

from __future__ import annotations

import asyncio
import bisect
import gc
import itertools
import random
import time
from dataclasses import dataclass, field
from typing import Any

from bench.load.client import Client, connect
from bench.load.servers import Served

SYMBOLS = "ADEGHIKMNORSTUW"
PUSH_SOUNDS, RUN_SOUNDS = 50, 500
BATCH_EVERY_S = 0.5
CLOCK_EVERY_S = 0.01
ANSWER_S = 60.0
JOINS_AT_ONCE = 200
SOUND = {"wpm": 24.0, "overall_wpm": 24.0, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 60.0}
"""At 24 wpm a symbol takes half a second: one stroke a batch is what a perfect copy needs."""


def text_of(sounds: int) -> str:
    """A text in groups of five, always the same."""
    signs = random.Random(1).choices(SYMBOLS, k=sounds)
    return " ".join("".join(signs[i : i + 5]) for i in range(0, sounds, 5))


@dataclass
class Figures:
    """One class on one server. Times in ms but for `joins_s`; CPU in s per 1000 batches."""

    server: str
    variant: str
    learners: int
    joins_s: float = 0.0
    failures: int = 0
    connection_kb: float = 0.0
    push_ms: list[float] = field(default_factory=list)
    ack_ms: list[float] = field(default_factory=list)
    clock_ms: list[float] = field(default_factory=list)
    cpu_s: float = 0.0
    busy: float = 0.0
    late_ms: float = 0.0
    refused: int = 0


class Evening:
    """A console and N learners on one server, under measurement."""

    def __init__(self, server: Served, deflate: bool, learners: int) -> None:
        self._server, self._deflate = server, deflate
        self._learners: list[Client] = []
        self._console: Client
        self.figures = Figures(server.name, "defl" if deflate else "plain", learners)

    async def run(self, pushes: int, seconds: float) -> Figures:
        try:
            await self.begin()
            for _ in range(pushes):
                await self._push()
            await self.write_all(seconds)
        finally:
            self.end()
        return self.figures

    async def begin(self) -> None:
        """Everybody is there."""
        await self._open()
        await self._join_all()
        await asyncio.sleep(1.0)
        gc.collect()
        gc.disable()  # a collection here would look like a stall there

    def end(self) -> None:
        """Everybody goes."""
        gc.enable()
        for client in [*self._learners, self._console]:
            client.close()

    @property
    def code(self) -> str:
        return self._code

    async def seats(self) -> int:
        """How many seats the room has."""
        seats = self._console.next("seats")
        self._console.emit("watch", {"code": self._code, "view": "console"})
        return len((await asyncio.wait_for(seats, ANSWER_S))["seats"])

    async def _open(self) -> None:
        self._console = await connect(self._server.url, self._deflate, self._server.cookie)
        room = self._console.next("room")
        self._console.emit("watch", {"code": "", "view": "console"})
        self._code = (await asyncio.wait_for(room, ANSWER_S))["code"]
        self._console.emit("set_class_size", {"size": 1200})
        self._console.emit("set_sound", SOUND)

    # -------------------------------------------------------------- joining

    async def _join_all(self) -> None:
        before_kb, start_s = self._server.memory_kb(), time.perf_counter()
        gate = asyncio.Semaphore(JOINS_AT_ONCE)
        joined = await asyncio.gather(
            *(self._join(n, gate) for n in range(self.figures.learners)), return_exceptions=True
        )
        self.figures.joins_s = time.perf_counter() - start_s
        self._learners = [client for client in joined if isinstance(client, Client)]
        self.figures.failures = len(joined) - len(self._learners)
        await asyncio.sleep(0.5)
        self.figures.connection_kb = (self._server.memory_kb() - before_kb) / max(1, len(self._learners))

    async def _join(self, n: int, gate: asyncio.Semaphore) -> Client:
        async with gate:
            client = await connect(self._server.url, self._deflate)
            welcome = client.next("welcome")
            client.emit("join", {"code": self._code, "name": f"Learner {n}", "token": ""})
            await asyncio.wait_for(welcome, ANSWER_S)
            client.emit(
                "report_device", {"sound": "on", "uncertainty_ms": 1.0, "lead_ms": 300.0, "visible": True}
            )
            return client

    # -------------------------------------------------------------- pushing

    def _send_text(self, sounds: int) -> None:
        fields = {"purpose": "own", "symbols": SYMBOLS, "count": 1, "group": 5, "text": text_of(sounds)}
        self._console.emit("send_text", fields | {"name_shown": False, "counted": True, "seed": 0})

    async def _everybody_hears(self, name: str) -> asyncio.Future[float]:
        """A future of the time at which the last learner was told."""
        last: asyncio.Future[float] = asyncio.get_running_loop().create_future()
        left = len(self._learners)

        def hear(heard: str, _packet: bytes, at_s: float) -> None:
            nonlocal left
            if heard == name:
                left -= 1
                if left == 0 and not last.done():
                    last.set_result(at_s)

        for client in self._learners:
            client.hear = hear
        return last

    async def _push(self) -> None:
        told = await self._everybody_hears("push")
        start_s = time.perf_counter()
        self._send_text(PUSH_SOUNDS)
        self.figures.push_ms.append((await asyncio.wait_for(told, ANSWER_S) - start_s) * 1000.0)
        halted = await self._everybody_hears("halt")
        self._console.emit("close", {})  # before its first sound: it is taken back
        await asyncio.wait_for(halted, ANSWER_S)
        await asyncio.sleep(0.2)

    # -------------------------------------------------------------- writing

    async def write_all(self, seconds: float) -> None:
        pushed = self._console.next("push")
        self._send_text(RUN_SOUNDS)
        push: dict[str, Any] = await asyncio.wait_for(pushed, ANSWER_S)
        for client in self._learners:
            client.emit("report_sounded", {"push": push["push"], "spans": [[0, RUN_SOUNDS]]})
        answer = await self._console.call("clock", {"page_ms": 0.0})
        offset_ms = answer["sent_room_ms"] - push["start_room_ms"] - time.perf_counter() * 1000.0
        await asyncio.sleep(1.0)
        writers = [_Writer(client, push, offset_ms) for client in self._learners]
        clocks = asyncio.create_task(self._watch_clock())
        cpu_s, start_s = self._server.cpu_s(), time.perf_counter()
        batches = await self._write_in_turn(writers, seconds)
        deadline_s = time.perf_counter() + ANSWER_S
        while sum(len(writer.ack_ms) for writer in writers) < batches and time.perf_counter() < deadline_s:
            await asyncio.sleep(0.05)
        took_s = time.perf_counter() - start_s
        clocks.cancel()
        self.figures.ack_ms = [ms for writer in writers for ms in writer.ack_ms]
        self.figures.refused = sum(writer.refused for writer in writers)
        self.figures.failures += batches - len(self.figures.ack_ms)
        used_s = self._server.cpu_s() - cpu_s
        self.figures.cpu_s, self.figures.busy = used_s / batches * 1000.0, used_s / took_s

    async def stop_writing(self) -> None:
        """The run is over, and another can be sent."""
        self._console.emit("close", {})
        await asyncio.sleep(1.0)

    async def _write_in_turn(self, writers: list[_Writer], seconds: float) -> int:
        """Each one a batch every half second, evenly spread over it."""
        start_s = time.perf_counter()
        rounds = int(seconds / BATCH_EVERY_S)
        for n, (turn, (place, writer)) in enumerate(itertools.product(range(rounds), enumerate(writers))):
            due_s = start_s + (turn + place / len(writers)) * BATCH_EVERY_S
            if (wait_s := due_s - time.perf_counter()) > 0.0:
                await asyncio.sleep(wait_s)
            elif n % 20 == 0:
                await asyncio.sleep(0)
            self.figures.late_ms = max(self.figures.late_ms, (time.perf_counter() - due_s) * 1000.0)
            writer.write()
        return rounds * len(writers)

    async def _watch_clock(self) -> None:
        """Clock exchanges, one every 10 ms: the longest tells how long the server's loop stood still."""
        while True:
            start_s = time.perf_counter()
            await self._console.call("clock", {"page_ms": start_s * 1000.0})
            self.figures.clock_ms.append((time.perf_counter() - start_s) * 1000.0)
            await asyncio.sleep(CLOCK_EVERY_S)


class _Writer:
    """One learner's strokes and their acknowledgements: each seventh is wrong."""

    def __init__(self, client: Client, push: dict[str, Any], offset_ms: float) -> None:
        self._client, self._push, self._offset_ms = client, push["push"], offset_ms
        self._ends = [own[-1] for own in push["edges"]]
        self._signs = text_of(RUN_SOUNDS).replace(" ", "")
        self._sent_s: list[float] = []
        self._lag_ms = random.Random(id(client)).uniform(300.0, 1200.0)
        self.ack_ms: list[float] = []
        self.refused = 0
        client.hear = self._hear

    def write(self) -> None:
        at_s = time.perf_counter()
        at_ms = at_s * 1000.0 + self._offset_ms
        heard = bisect.bisect(self._ends, at_ms - self._lag_ms)
        number = len(self._sent_s)
        sign = "_" if number % 7 == 6 else self._signs[max(0, heard - 1)]
        self._sent_s.append(at_s)
        key = {"at_ms": round(at_ms, 1), "sign": sign}
        self._client.emit("write_keys", {"push": self._push, "first": number, "keys": [key]})

    def _hear(self, name: str, packet: bytes, at_s: float) -> None:
        if name == "kept":
            self.ack_ms.append((at_s - self._sent_s[len(self.ack_ms)]) * 1000.0)
        elif name == "refused":
            self.refused += 1
