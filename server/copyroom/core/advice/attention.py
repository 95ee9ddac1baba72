"""Who and what wants attention: symbols answered slowly, and learners who were away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from copyroom.core.advice.record import Floats, Record
from copyroom.core.alphabet import INDEX

FEWEST_ANSWERS = 5
"""Below, a median says nothing."""
SLOW_FACTOR = 1.3
"""A symbol is slow when its median answer takes so much longer than the median of all symbols."""


@dataclass(frozen=True, slots=True)
class Slow:
    """A symbol recognised late: it is worked out, not heard. Medians of right answers, in seconds."""

    sign: str
    median_s: float
    usual_s: float
    answers: int


@dataclass(frozen=True, slots=True)
class Lack:
    """What somebody missed: days of meetings without a copy, and known symbols never heard."""

    name: str
    missed_days: tuple[int, ...]
    never_heard: str


def slow_symbols(lags_s: Mapping[str, Sequence[float] | Floats]) -> tuple[Slow, ...]:
    """Symbols that take long even when they are copied right, slowest first.

    A character is learned only when recognition is instant, so the slow ones are drilled (W. G. Pierpont,
    *The Art and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 4).

    lags_s : sign -> seconds from the end of the sound to the key, of right answers.
    """
    medians = {sign: float(np.median(lags)) for sign, lags in lags_s.items() if len(lags) >= FEWEST_ANSWERS}
    if len(medians) < 3:
        return ()
    usual_s = median(medians.values())
    slow = [
        Slow(sign, own_s, usual_s, len(lags_s[sign]))
        for sign, own_s in medians.items()
        if own_s > SLOW_FACTOR * usual_s
    ]
    return tuple(sorted(slow, key=lambda one: (-one.median_s, INDEX[one.sign])))


def who_lacks(record: Record, students: Sequence[str], known: str) -> tuple[Lack, ...]:
    """Those who missed a meeting or have never heard a symbol that the class knows, in given order."""
    lacks = []
    for name in students:
        attended = set(record.attended.get(name, ()))
        missed = tuple(day for day in record.days if day not in attended)
        if name in record.rows:
            tries = record.tries[record.rows[name]]
            never = "".join(sign for sign in known if tries[INDEX[sign]] == 0.0)
        else:
            never = known
        if missed or never:
            lacks.append(Lack(name, missed, never))
    return tuple(lacks)
