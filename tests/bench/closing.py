"""How long the real server's event loop is held by each thing that an instructor asks of a large class.

    scripts/dev.py bench closing [--learners 300] [--sounds 300] [--runs 5] [--what]

A turn of the loop is what runs between two returns to the hub: encoding and sending included, and until it
ends nobody else is served. For each action the longest turn in each run is taken, then the longest and the
median over the runs; CPU time, with the wall-clock time of the same turn's kind beside it; `--what` prints
what the longest one did. Learners are invented: they write what was sent, a part of it wrongly. On loopback.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from bench.load.client import Client, connect
from bench.load.servers import Served, keep_to_core, served_by

TRACED = Path(__file__).parent / "load" / "traced.py"
SYMBOLS = "EISHTMAN5"
SOUND = {"wpm": 60.0, "overall_wpm": 60.0, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 600.0}
KEYS_A_MESSAGE, WRITERS_AT_ONCE, ERRORS, LONG_PLAN_MIN = 150, 20, 0.2, 240.0
QUIET_S = 1.5
"""An action is over when the loop has had no long turn for so long."""
LONGEST_S = 15.0
"""An open run is looked at every second, and never comes to rest."""
Turns = dict[str, tuple[float, float, str]]
"""Of each action its longest turn: CPU and wall time in ms, and what the turn with the most CPU time did."""


class Room:
    """One class on a traced server."""

    def __init__(self, server: Served, report: Path, learners: int, sounds: int) -> None:
        self._server, self._report = server, report
        self._count, self._sounds = learners, sounds
        self._learners: list[Client] = []
        self._rng = random.Random(1)
        self.turns: Turns = {}
        self._answer: dict[str, Any] = {}

    async def evening(self) -> None:
        """Everything once, in the order of an evening."""
        self._console = await connect(self._server.url, False, self._server.cookie)
        room = self._console.next("room")
        self._console.emit("watch", {"code": "", "view": "console"})
        self._code = (await room)["code"]
        self._console.emit("set_class_size", {"size": 1200})
        self._console.emit("set_sound", SOUND)
        self._console.emit("set_symbols", {"symbols": SYMBOLS})
        await self._timed("everybody joins", self._join_all)
        for _ in range(2):
            await self._timed("sending", self._send)
            await asyncio.sleep(self._left_s())
            await self._timed("everybody writes", self._write_all)
            await self._timed("closing", lambda: self._ask("close"))
            await self._timed("showing", lambda: self._ask("reveal"))
        await self._timed("planning 45 minutes", lambda: self._ask("plan_evening", minutes=45.0))
        await self._timed("planning 240 minutes", lambda: self._ask("plan_evening", minutes=LONG_PLAN_MIN))
        await self._timed("asking for the review", lambda: self._ask("show_review", days=7, seat=0))
        await self._timed("giving the review", lambda: self._ask("give_review", days=7))
        await self._timed("progress", lambda: self._ask("show_progress"))
        await self._timed("one learner's sheets", lambda: self._ask("show_sheet", seat=1))
        await self._timed("a second console", self._look)
        for client in [*self._learners, self._console]:
            client.close()
        await asyncio.sleep(1.0)

    async def again(self) -> None:
        """After a restart: the room is opened while a console waits."""
        self._console = await connect(self._server.url, False, self._server.cookie)
        await self._timed("opening the room", self._open)
        self._console.close()

    # -------------------------------------------------------------- what is done

    async def _join_all(self) -> None:
        self._learners = list(await asyncio.gather(*(self._join(n) for n in range(self._count))))

    async def _join(self, n: int) -> Client:
        client = await connect(self._server.url, False)
        welcome = client.next("welcome")
        client.emit("join", {"code": self._code, "name": f"Learner {n}", "token": ""})
        await welcome
        ready = {"sound": "on", "uncertainty_ms": 1.0, "lead_ms": 300.0, "visible": True}
        client.emit("report_device", ready)
        return client

    async def _send(self) -> None:
        signs = self._rng.choices(SYMBOLS, k=self._sounds)
        self._text = "".join(signs)
        pushed = self._learners[0].next("push")
        text = " ".join(self._text[i : i + 5] for i in range(0, self._sounds, 5))
        fields = {"purpose": "own", "symbols": SYMBOLS, "count": 1, "group": 5, "text": text}
        self._console.emit("send_text", fields | {"name_shown": False, "counted": True, "seed": 0})
        self._push = await pushed
        self._sent_s = time.monotonic()

    def _left_s(self) -> float:
        """Until the run has sounded to its end."""
        last_ms = self._push["edges"][-1][-1]
        return max(0.0, last_ms / 1000.0 + 2.0 - (time.monotonic() - self._sent_s))

    async def _write_all(self) -> None:
        some_at_once = asyncio.Semaphore(WRITERS_AT_ONCE)

        async def write(client: Client) -> None:
            async with some_at_once:
                await self._write(client)

        await asyncio.gather(*map(write, self._learners))

    async def _write(self, client: Client) -> None:
        number, ends = self._push["push"], [edges[-1] for edges in self._push["edges"]]
        client.emit("report_sounded", {"push": number, "spans": [[0, self._sounds]]})
        keys = [
            {"at_ms": round(end + self._rng.uniform(300.0, 700.0), 1), "sign": self._sign(sign)}
            for end, sign in zip(ends, self._text, strict=True)
        ]
        keys.sort(key=lambda key: key["at_ms"])
        for first in range(0, self._sounds, KEYS_A_MESSAGE):
            kept = client.next("kept")
            batch = keys[first : first + KEYS_A_MESSAGE]
            client.emit("write_keys", {"push": number, "first": first, "keys": batch})
            await kept

    def _sign(self, sign: str) -> str:
        return self._rng.choice(SYMBOLS) if self._rng.random() < ERRORS else sign

    async def _ask(self, name: str, **fields: Any) -> None:
        self._console.emit(name, fields)

    async def _look(self) -> None:
        second = await connect(self._server.url, False, self._server.cookie)
        second.emit("watch", {"code": self._code, "view": "console"})
        await asyncio.sleep(0.5)
        second.close()

    async def _open(self) -> None:
        room = self._console.next("room")
        self._console.emit("watch", {"code": "", "view": "console"})
        await room

    # -------------------------------------------------------------- how long it held the loop

    async def _timed(self, name: str, action: Callable[[], Awaitable[None]]) -> None:
        await self._read()
        await action()
        cpu_ms, wall_ms, did = self.turns.get(name, (0.0, 0.0, ""))
        quiet_since_s = time.monotonic()
        deadline_s = quiet_since_s + LONGEST_S
        while time.monotonic() < min(quiet_since_s + QUIET_S, deadline_s):
            await asyncio.sleep(0.25)
            found = await self._read()
            if found["cpu_ms"] > 3.0:
                quiet_since_s = time.monotonic()
            if found["cpu_ms"] > cpu_ms:
                cpu_ms, did = found["cpu_ms"], found["did"]
            wall_ms = max(wall_ms, found["wall_ms"])
        self.turns[name] = (cpu_ms, wall_ms, did)

    async def _read(self) -> dict[str, Any]:
        """The longest turn since the last time."""
        self._report.unlink(missing_ok=True)
        while not self._report.exists():
            await asyncio.sleep(0.02)
        found: dict[str, Any] = json.loads(self._report.read_text("ascii"))
        return found


def measure(learners: int, sounds: int) -> Turns:
    """The longest turn of each action."""
    with tempfile.TemporaryDirectory() as folder:
        data, report = Path(folder) / "data", Path(folder) / "turn.json"
        command = [sys.executable, "-W", "ignore", str(TRACED), str(report)]
        with served_by(command, data, 1) as served:
            room = Room(served, report, learners, sounds)
            asyncio.run(room.evening())
        with served_by(command, data, 1) as served:
            opened = Room(served, report, learners, sounds)
            asyncio.run(opened.again())
        return room.turns | opened.turns


def main(argv: list[str]) -> None:
    """Print the longest turn of each action."""
    parser = argparse.ArgumentParser(prog="bench closing", description=__doc__.splitlines()[0])
    parser.add_argument("--learners", type=int, default=300)
    parser.add_argument("--sounds", type=int, default=300)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--what", action="store_true", help="print what each longest turn did")
    args = parser.parse_args(argv)
    keep_to_core(0)
    found = [measure(args.learners, args.sounds) for _ in range(args.runs)]
    print(f"{args.learners} learners, {args.sounds} sounds, {args.runs} runs; load {os.getloadavg()[0]:.2f}")
    print(f"{'longest turn of the loop, ms':32} {'CPU: worst':>10} {'median':>8} {'wall: worst':>12}")
    for name in found[0]:
        cpu = [turns[name][0] for turns in found]
        wall = [turns[name][1] for turns in found]
        print(f"{name:32} {max(cpu):>10.1f} {statistics.median(cpu):>8.1f} {max(wall):>12.1f}", flush=True)
        if args.what:
            print(f"    {max(turns[name] for turns in found)[2]}")
