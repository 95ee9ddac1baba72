"""How long a room takes to become what its journal tells: the fold, and until its figures have caught up.

    scripts/dev.py bench replay [--meetings 5] [--runs 40] [--learners 20] [--sounds 60] [--against CHECKOUT]

The journal is of invented learners, who write what was sent, a part of it wrongly. With `--against` the same
journal is replayed by the program of another checkout, too, by turns with this one, and the ratio is printed.
Processor time, the least of some times.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import os
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from copyroom.core.bursts import Speed, bursts
from copyroom.room import events as ev
from copyroom.room.room import Room

SYMBOLS, ERRORS, WPM = "EISHTMAN5", 0.2, 20.0
DAY_MS, RUN_MS = 7 * 86_400_000.0, 120_000.0
TIMES = 2
Journal = list[tuple[Any, float]]


def made(kind: str, **fields: Any) -> Any:
    """An event by the fields that this version of it knows."""
    cls = getattr(ev, kind)
    known = getattr(cls, "__struct_fields__", None) or [f.name for f in dataclasses.fields(cls)]
    return cls(**{name: value for name, value in fields.items() if name in known})


def journal(meetings: int, runs: int, learners: int, sounds: int) -> Journal:
    """The events of a whole course, each with its room time."""
    rng, kept, now_ms = random.Random(1), Journal(), 1e12

    def keep(kind: str, **fields: Any) -> None:
        kept.append((made(kind, **fields), now_ms))

    keep("SetSound", wpm=WPM, overall_wpm=WPM, pitch_hz=600.0, lead_in_s=0.0, tidy_s=30.0)
    keep("SetSymbols", symbols=SYMBOLS)
    for seat in range(1, learners + 1):
        keep("Join", name=f"Learner {seat}", token="", fresh_token=f"{seat:032x}", seat=seat)
    for push in range(1, meetings * runs + 1):
        if push % runs == 1:
            now_ms += DAY_MS
            keep("OpenMeeting", day=int(now_ms / 86_400_000.0))
        now_ms += RUN_MS
        signs = "".join(rng.choices(SYMBOLS, k=sounds))
        text = " ".join(signs[i : i + 5] for i in range(0, sounds, 5))
        sent = {"purpose": "own", "symbols": SYMBOLS, "count": 1, "group": 5, "text": text, "seed": 0}
        keep("SendText", **sent, name_shown=False, counted=True, start_room_ms=now_ms, push=push)
        end_ms = (bursts(text, Speed(WPM, WPM)).end_s * 1000.0).tolist()
        for seat in range(1, learners + 1):
            at_ms = sorted(round(end + rng.uniform(300.0, 700.0), 1) for end in end_ms)
            written = [rng.choice(SYMBOLS) if rng.random() < ERRORS else sign for sign in signs]
            keys = tuple(ev.Key(at, sign) for at, sign in zip(at_ms, written, strict=True))
            keep("ReportSounded", seat=seat, push=push, spans=((0, sounds),))
            for first in range(0, sounds, 10):
                keep("WriteKeys", seat=seat, push=push, first=first, keys=keys[first : first + 10], by=seat)
        now_ms += end_ms[-1] + 5000.0
        keep("Close")
        keep("Reveal")
    return kept


def replayed(events: Journal) -> tuple[float, float]:
    """Seconds until the journal is folded, and until nothing is left to be made of it."""
    room, begun_s, now_ms = Room("HERON-MAPLE-417"), time.process_time(), events[-1][1]
    if not hasattr(room, "fold"):  # a version that made all figures while it replayed
        room.replay(events)
        return time.process_time() - begun_s, time.process_time() - begun_s
    for number, (event, at_room_ms) in enumerate(events, start=1):
        room.fold(number, event, at_room_ms)
    room.begin(now_ms)
    folded_s = time.process_time() - begun_s
    while room.figures.jobs:
        room.receive(ev.Tick(), now_ms)
    return folded_s, time.process_time() - begun_s


def elsewhere(checkout: Path, sizes: list[int]) -> tuple[float, float]:
    """The same by another checkout's program, in a process of its own."""
    paths = [str(checkout / "server"), str(Path(__file__).parent.parent)]
    command = [sys.executable, "-m", "bench.replay", "--once", *map(str, sizes)]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(paths)}
    folded_s, caught_up_s = json.loads(subprocess.check_output(command, env=environment))
    return folded_s, caught_up_s


def main(argv: list[str]) -> None:
    """Print seconds, and the ratio to another checkout's."""
    parser = argparse.ArgumentParser(prog="bench replay", description=__doc__.splitlines()[0])
    parser.add_argument("--meetings", type=int, default=5)
    parser.add_argument("--runs", type=int, default=40)
    parser.add_argument("--learners", type=int, default=20)
    parser.add_argument("--sounds", type=int, default=60)
    parser.add_argument("--against", type=Path)
    args = parser.parse_args(argv)
    sizes = [args.meetings, args.runs, args.learners, args.sounds]
    here, there = [], []
    own = Path(ev.__file__).parents[4]
    for _ in range(TIMES):
        here.append(elsewhere(own, sizes))
        if args.against:
            there.append(elsewhere(args.against, sizes))
    folded_s, caught_up_s = min(f for f, _ in here), min(c for _, c in here)
    print(f"{args.meetings} meetings x {args.runs} runs x {args.learners} learners x {args.sounds} sounds")
    print(f"folded {folded_s:.2f} s, with figures {caught_up_s:.2f} s (CPU, the least of {TIMES})")
    if there:
        then_s, then_caught_up_s = min(f for f, _ in there), min(c for _, c in there)
        print(f"elsewhere: folded {then_s:.2f} s, with figures {then_caught_up_s:.2f} s")
        print(f"ratio: usable {folded_s / then_s:.3f}, with figures {caught_up_s / then_caught_up_s:.3f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--once"]:
        print(json.dumps(replayed(journal(*map(int, sys.argv[2:])))))
