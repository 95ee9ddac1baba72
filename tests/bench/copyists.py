"""Simulated learners copying code, with known truth, to judge alignment by.

Assumptions, invented and unlike those of the aligner. A learner hears a symbol, and it waits in a short
memory until it is recognised and the hand is free; one sound after another is worked off like customers
at a counter.

- Recognition takes a gamma-distributed time, the longer the less familiar the symbol is; the hand needs its
  own time for each mark. So lags grow in a rush and shrink in pauses by themselves.
- Attention drifts in seconds, not in symbols (a mean-reverting walk), and stretches recognition.
- A sound that comes when the memory is full is lost without a mark, and so is now and then a whole stretch.
- Who waits for the next sound before writing does so for spells, again in seconds.
- What is not recognised is left blank, or guessed: the guess is the more probable the fewer elements differ
  (plain Levenshtein distance of the element strings), or anything.
- A finger slips: a key is pressed twice within a quarter of a second, or a stray key comes at any time.

It shares with the aligner the alphabet, and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein

from copyroom.core.alphabet import RECOMMENDED, symbol

LETTERS_AND_FIGURES = "".join(s.sign for s in RECOMMENDED if s.kind in ("letter", "figure") and s.sign != "É")


@dataclass(frozen=True)
class Kind:
    """A kind of exercise: signs in play, share of errors, text length, pace, share of time one behind."""

    signs: str
    errors: float
    length: int
    dot_s: float = 0.067
    between_s: float = 0.62
    group_s: float = 1.45
    behind: float = 0.06
    times: bool = True


KINDS = {
    "timed, 5 % errors": Kind(LETTERS_AND_FIGURES, 0.05, 250),
    "timed, 15 % errors": Kind(LETTERS_AND_FIGURES, 0.15, 250),
    "timed, 30 % errors": Kind(LETTERS_AND_FIGURES, 0.30, 250),
    "timed, 50 % errors": Kind(LETTERS_AND_FIGURES, 0.50, 250),
    "timed, five similar symbols, 40 %": Kind("EISH5", 0.40, 200),
    "timed, often one behind, 20 %": Kind(LETTERS_AND_FIGURES, 0.20, 250, behind=0.4),
    "timed, fast 20/20 wpm, 30 %": Kind(LETTERS_AND_FIGURES, 0.30, 300, 0.06, 0.18, 0.42),
    "timed, all 55 symbols, 30 %": Kind("".join(s.sign for s in RECOMMENDED), 0.30, 250),
    "sheet, 5 % errors": Kind(LETTERS_AND_FIGURES, 0.05, 250, times=False),
    "sheet, 15 % errors": Kind(LETTERS_AND_FIGURES, 0.15, 250, times=False),
    "sheet, 30 % errors": Kind(LETTERS_AND_FIGURES, 0.30, 250, times=False),
}


@dataclass(frozen=True)
class Truth:
    """One copy with its truth: per mark the symbol it answers, or None."""

    written: str
    at_s: list[float]
    attribution: list[int | None]


def text(kind: Kind, rng: np.random.Generator) -> tuple[str, list[float]]:
    """Random groups of five, and when each sound ends."""
    sent = "".join(rng.choice(list(kind.signs), kind.length))
    ends, clock_s = [], 1.0
    for i, sign in enumerate(sent):
        elements = symbol(sign).elements
        dots = sum(3 if element == "-" else 1 for element in elements) + len(elements) - 1
        ends.append(clock_s + dots * kind.dot_s)
        clock_s = ends[-1] + (kind.group_s if i % 5 == 4 else kind.between_s)
    return sent, ends


class Copyist:
    """One learner, drawn at random for a kind of exercise."""

    def __init__(self, kind: Kind, rng: np.random.Generator) -> None:
        self.kind, self.rng = kind, rng
        lost, blank, guessed = kind.errors * rng.dirichlet([4, 4, 7])
        self.lost, self.blank = lost, blank / (1 - lost)
        self.unknown = (blank + guessed) / (1 - lost)
        self.think_s, self.hand_s = rng.uniform(0.35, 0.8), rng.uniform(0.2, 0.3)
        self.wavering, self.memory = rng.uniform(0.2, 0.45), int(rng.integers(3, 5))
        self.familiarity = {sign: rng.uniform(0.7, 1.4) for sign in kind.signs}

    def _guess(self, sign: str) -> str:
        others = [other for other in self.kind.signs if other != sign]
        elements = symbol(sign).elements
        closeness = np.exp(
            [-1.5 * Levenshtein.distance(elements, symbol(other).elements) for other in others]
        )
        weights = 0.8 * closeness / closeness.sum() + 0.2 / len(others)
        return str(self.rng.choice(others, p=weights))

    def _mark(self, sign: str) -> str:
        if self.rng.random() >= self.unknown:
            return sign
        return "_" if self.rng.random() * self.unknown < self.blank else self._guess(sign)

    def copy(self, sent: str, end_s: list[float]) -> Truth:
        rng, marks = self.rng, list[tuple[str, float, int | None]]()
        attention, clock_s, free_s, waits_until_s, absent = 0.0, 0.0, 0.0, 0.0, 0
        waiting: list[float] = []
        for i, (sign, heard_s) in enumerate(zip(sent, end_s, strict=True)):
            passed_s, clock_s = heard_s - clock_s, heard_s
            fade = np.exp(-passed_s / 4.0)
            attention = fade * attention + np.sqrt(1 - fade**2) * rng.normal(0, self.wavering)
            if (
                heard_s > waits_until_s
                and rng.random() < passed_s * self.kind.behind / (1 - self.kind.behind) / 5.0
            ):
                waits_until_s = heard_s + rng.exponential(5.0)
            waiting = [t for t in waiting if t > heard_s]
            absent = max(absent - 1, 0) or (
                int(rng.geometric(0.55)) if rng.random() < 0.55 * self.lost else 0
            )
            if absent or len(waiting) >= self.memory:
                continue
            think_s = rng.gamma(9.0, self.think_s * self.familiarity[sign] / 9.0) * np.exp(attention)
            ready_s = heard_s + think_s
            if heard_s < waits_until_s and i + 1 < len(sent):
                ready_s = end_s[i + 1] + think_s
            at_s = max(ready_s, free_s) + self.hand_s * rng.uniform(0.7, 1.3)
            free_s = at_s
            waiting.append(at_s)
            mark = self._mark(sign)
            marks.append((mark, at_s, i))
            if rng.random() < 0.008:
                marks.append((mark, at_s + rng.uniform(0.05, 0.25), None))
            if rng.random() < 0.006:
                marks.append((str(rng.choice(list(self.kind.signs))), at_s + rng.uniform(0.1, 1.5), None))
        marks.sort(key=lambda mark: mark[1])
        return Truth("".join(m[0] for m in marks), [round(m[1], 3) for m in marks], [m[2] for m in marks])


def class_of(kind: Kind, size: int, seed: int) -> tuple[str, list[float], list[Truth]]:
    """A text and its copies by a class of so many."""
    rng = np.random.default_rng(seed)
    sent, end_s = text(kind, rng)
    return sent, end_s, [Copyist(kind, rng).copy(sent, end_s) for _ in range(size)]
