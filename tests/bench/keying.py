"""How well hand-sent code is read: errors, word spaces, confidence against accuracy, time.

Hands are simulated (`bench.hands`), which is an assumption. Errors are edits by symbols sent, with spaces
kept apart; a space is right when it stands between the same two sent symbols. Sound is with noise of 10 dB in
500 Hz and an unknown pitch; an echo fades by 60 dB in 0.4 s.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein

from bench.hands import SENT, Hand, keyed_by, random_text
from bench.sounds import sound_of
from copyroom.core.keying import Keyed, hear, read, read_in_slices

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass
class Condition:
    """One row: which hands, which texts."""

    name: str
    hand: Callable[[np.random.Generator], Hand]
    length: tuple[int, int] = (20, 100)
    groups: tuple[int, ...] = (5,)
    signs: str = SENT
    share: float = 1.0
    sound: dict[str, float | bool] | None = None

    def text(self, rng: np.random.Generator) -> str:
        length = int(rng.integers(self.length[0], self.length[1] + 1))
        return random_text(rng, length, int(rng.choice(self.groups)), self.signs)


def unsteady(jitter: float, waves: bool = False) -> Callable[[np.random.Generator], Hand]:
    """8 to 30 wpm, dahs of 2.5 to 4 dits, the speed drifting by a fifth."""

    def hand(rng: np.random.Generator) -> Hand:
        return Hand(
            wpm=rng.uniform(8, 30),
            jitter=jitter,
            ratio=rng.uniform(2.5, 4),
            drift=float(rng.choice([-0.2, 0.2])),
            waves=rng.uniform(1, 3) if waves else 0.0,
        )

    return hand


def machine(rng: np.random.Generator) -> Hand:
    return Hand(wpm=rng.uniform(5, 40))


def two_speeds(rng: np.random.Generator) -> Hand:
    return Hand(wpm=18, overall_wpm=rng.uniform(5, 6))


ROOM = {"echo_s": 0.4}
RATE_HZ = 8000
CONDITIONS = [
    Condition("machine, 5 to 40 wpm", machine, groups=(0, 3, 5)),
    Condition("machine, single letters as words", machine, groups=(1,), share=0.25),
    Condition("machine, 18 wpm spaced as 5 to 6", two_speeds, groups=(0, 5)),
    Condition("machine, 1 to 5 symbols", machine, (1, 5), (0, 5)),
    Condition("two speeds, 1 to 5 symbols", two_speeds, (1, 5), (0, 5)),
    Condition("jitter 15 %", unsteady(0.15)),
    Condition("jitter 15 %, letters", unsteady(0.15), signs=LETTERS),
    Condition("jitter 15 %, 5 to 15 symbols", unsteady(0.15), (5, 15)),
    Condition("jitter 15 %, speed in waves", unsteady(0.15, waves=True)),
    Condition("jitter 25 %", unsteady(0.25)),
    Condition("jitter 25 %, letters", unsteady(0.25), signs=LETTERS),
    Condition("jitter 25 %, other groups", unsteady(0.25), groups=(0, 2, 3, 8)),
    Condition("jitter 25 %, speed in waves", unsteady(0.25, waves=True)),
    Condition("jitter 25 %, 250 symbols", unsteady(0.25), (250, 250), share=0.2),
    Condition("sound, machine", machine, (20, 60), sound={}),
    Condition("sound, jitter 10 %", unsteady(0.10), (20, 60), sound={}),
    Condition("the same, new phase each tone", unsteady(0.10), (20, 60), sound={"steady_phase": False}),
    Condition("echo 6 dB below the direct sound", unsteady(0.10), (20, 60), sound={**ROOM, "direct_db": 6.0}),
    Condition("echo as strong", unsteady(0.10), (20, 60), sound=ROOM),
    Condition("echo 6 dB above", unsteady(0.10), (20, 60), sound={**ROOM, "direct_db": -6.0}),
    Condition("echo as strong, new phases", unsteady(0.10), (20, 60), sound={**ROOM, "steady_phase": False}),
]


def gaps_with_spaces(text: str) -> set[int]:
    """Before which symbols (by their number) a space stands."""
    places, symbols = set(), 0
    for sign in text:
        if sign == " ":
            places.add(symbols)
        else:
            symbols += 1
    return places


def run(condition: Condition, count: int, seed: int) -> str:
    """One row of the table."""
    rng = np.random.default_rng(seed)
    edits = symbols = spaces_wrong = spaces = 0
    sure: list[float] = []
    took_s = 0.0
    for _ in range(count):
        text = condition.text(rng)
        tones = keyed_by(condition.hand(rng), text, rng)
        if condition.sound is not None:
            sound = sound_of(tones, rng, rng.uniform(300, 1000), RATE_HZ, **condition.sound)
        start_s = time.thread_time()
        reading = read(tones if condition.sound is None else hear(sound, RATE_HZ))
        took_s += time.thread_time() - start_s
        sent, got = text.replace(" ", ""), reading.text.replace(" ", "")
        edits += Levenshtein.distance(sent, got)
        symbols += len(sent)
        sure += reading.confidence
        if len(got) == len(sent):
            spaces_wrong += len(gaps_with_spaces(text) ^ gaps_with_spaces(reading.text))
            spaces += len(sent) - 1
    wrong = 100 * edits / symbols
    return (
        f"{condition.name:36}{count:6}{symbols:8}{wrong:9.2f}{100 * spaces_wrong / max(spaces, 1):9.2f}"
        f"{np.mean(sure):12.4f}{1 - wrong / 100:11.4f}{1e3 * took_s / count:9.0f}"
    )


def longest_slice(tones: Keyed) -> tuple[float, float]:
    """CPU seconds of the longest slice and of all."""
    took, ended = [], None
    slices = read_in_slices(tones)
    while ended is None:
        start_s = time.thread_time()
        ended = next(slices, "ended")
        took.append(time.thread_time() - start_s)
    return max(took), sum(took)


def main(argv: list[str]) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--texts", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="rows whose name has this in it")
    options = parser.parse_args(argv)
    print(f"seed {options.seed}; errors in %, time in ms of CPU a text")
    columns = ("texts", 6), ("symbols", 8), ("errors", 9), ("spaces", 9), ("confidence", 12), ("accuracy", 11)
    print(f"{'':36}" + "".join(f"{name:>{width}}" for name, width in (*columns, ("time", 9))))
    for condition in (one for one in CONDITIONS if options.only in one.name):
        print(run(condition, max(1, round(options.texts * condition.share)), options.seed), flush=True)
    rng = np.random.default_rng(options.seed)
    tones = keyed_by(Hand(jitter=0.1), random_text(rng, 360), rng)
    longest_s, whole_s = longest_slice(tones)
    print(f"a turn of {2 * len(tones.on_s)} edges: {whole_s:.2f} s, longest slice {longest_s * 1e3:.0f} ms")
