"""A class that copies, beside connections that send what no page sends, as fast as they are served.

    scripts/dev.py bench hostile [--seconds 60] [--learners 30]

The class is measured undisturbed first, then under attack, on one server. The server has one core; class and
attackers share the other, the class before them. What must hold: no traceback in the server's log, the same
seats and no stroke lost, memory at most a tenth more, acknowledgements' p99 at most twice the undisturbed,
and none over 300 ms.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from bench.load import attackers
from bench.load.evening import Evening
from bench.load.servers import Served, keep_to_core, real

GENERATOR_CORE, SERVER_CORE = 0, 1
A_RUN_S = 60.0
MOST_MS, MOST_RATIO, MOST_MEMORY = 300.0, 2.0, 1.1


class Siege:
    """One class on one server, first in peace."""

    def __init__(self, served: Served, learners: int, addresses: int) -> None:
        self._served, self._learners = served, learners
        self._addresses, self._refused = addresses, 0
        self.evening = Evening(served, False, learners)

    async def run(self, seconds: float) -> dict[str, float]:
        await self.evening.begin()
        quiet = await self._written(20.0)
        before_kb = self._served.memory_kb()
        attack = self._attack(seconds)
        loud: list[float] = []
        while attack.poll() is None:
            loud += await self._written(min(A_RUN_S, seconds))
        sent, _ = attack.communicate()
        seats = await self.evening.seats()
        counted = json.loads(sent)
        print(json.dumps(counted), flush=True)
        return {
            "hostile": sum(counted.values()),
            "batches": len(loud),
            "unanswered": self.evening.figures.failures,
            "refused": self._refused,
            "more_seats": seats - self._learners,
            "quiet_p99_ms": float(np.percentile(quiet, 99)),
            "loud_p50_ms": float(np.median(loud)),
            "loud_p99_ms": float(np.percentile(loud, 99)),
            "loud_most_ms": max(loud),
            "memory": self._served.memory_kb() / before_kb,
            "late_ms": self.evening.figures.late_ms,
        }

    async def _written(self, seconds: float) -> list[float]:
        await self.evening.write_all(seconds)
        self._refused += self.evening.figures.refused
        await self.evening.stop_writing()
        return self.evening.figures.ack_ms

    def _attack(self, seconds: float) -> subprocess.Popen[str]:
        command = [sys.executable, attackers.__file__, self._served.url, self.evening.code]
        command += [str(seconds), str(self._addresses)]
        return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, preexec_fn=lambda: os.nice(19))


def faults(found: dict[str, float], log: str) -> list[str]:
    """What did not hold."""
    held = {
        "no unhandled exception": "Traceback" not in log,
        "the same seats": found["more_seats"] == 0,
        "every batch acknowledged": found["unanswered"] == found["refused"] == 0,
        "memory": found["memory"] <= MOST_MEMORY,
        "p99": found["loud_p99_ms"] <= MOST_RATIO * found["quiet_p99_ms"],
        "none over 300 ms": found["loud_most_ms"] <= MOST_MS,
    }
    return [what for what, holds in held.items() if not holds]


def main(argv: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench hostile", description=__doc__.partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=60.0, help="of attack")
    parser.add_argument("--learners", type=int, default=30)
    parser.add_argument("--addresses", type=int, default=1, help="that the attackers come from")
    parser.add_argument("--log", help="keep the server's log here")
    options = parser.parse_args(argv)
    print(f"load of the machine before the start: {os.getloadavg()[0]:.2f} on {os.cpu_count()} cores")
    keep_to_core(GENERATOR_CORE)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(options.log or Path(folder) / "log")
        with real(Path(folder) / "data", SERVER_CORE, log) as served:
            found = asyncio.run(Siege(served, options.learners, options.addresses).run(options.seconds))
        said = log.read_text("utf-8", "replace")
    for name, value in found.items():
        print(f"{name:>14} {value:.2f}")
    print(f"log: {len(said)} bytes; load of the machine at the end: {os.getloadavg()[0]:.2f}")
    wrong = faults(found, said)
    print("held" if not wrong else f"did not hold: {', '.join(wrong)}")
    return 1 if wrong else 0
