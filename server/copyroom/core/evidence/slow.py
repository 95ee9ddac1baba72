"""Sounds known slowly: right, but worked out instead of heard."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import INDEX
from copyroom.core.record import PastRun

FEWEST_LEARNERS = 3
"""What fewer learners than this are slow at is theirs, not the class's."""
SLOWER = 1.25
"""A sound is slow when its right answers take so much longer than the same learners' others."""
FEWEST_TIMES = 4
"""Right answers of one learner to one sound, below which their median says nothing."""
SURELY = 4.5
"""Standard errors by which a sound must be over `SLOWER`'s half: among 40 sounds no false one in a year."""


class Slowness:
    """Times from a sound's end to its right answer: how one learner's differ from sound to sound."""

    def __init__(self) -> None:
        self._lags: dict[tuple[str, str], list[float]] = {}

    def take(self, run: PastRun) -> None:
        """Count one more run's times."""
        for name, lags_s in run.lags_s.items():
            copy = run.copies.get(name, "")
            for sign, answer, lag_s in zip(run.sent, copy, lags_s, strict=False):
                if answer == sign and lag_s is not None:
                    self._lags.setdefault((name, sign), []).append(log(max(lag_s, 0.05)))

    def slow(self) -> tuple[Slow, ...]:
        """Sounds that the class answers slowly although rightly, the slowest first.

        A character is learned only when recognition is instant, so the slow ones are drilled (W. G. Pierpont,
        *The Art and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 4).
        """
        middle: dict[str, dict[str, float]] = {}
        for (name, sign), lags in self._lags.items():
            if len(lags) >= FEWEST_TIMES:
                middle.setdefault(name, {})[sign] = float(np.median(lags))
        over: dict[str, list[float]] = {}
        for of_learner in middle.values():
            if len(of_learner) < FEWEST_LEARNERS:
                continue
            for sign, own in of_learner.items():
                others = [other for one, other in of_learner.items() if one != sign]
                over.setdefault(sign, []).append(own - float(np.median(others)))
        found = [self._slow(sign, np.array(own)) for sign, own in over.items() if len(own) >= FEWEST_LEARNERS]
        return tuple(sorted((s for s in found if s), key=lambda s: (-s.times, INDEX[s.sign])))

    def _slow(self, sign: str, over: NDArray[np.float64]) -> Slow | None:
        mean, error = float(over.mean()), float(over.std(ddof=1)) / sqrt(len(over))
        error = max(error, 0.1 / sqrt(len(over)))  # three learners may agree by chance
        if mean < log(SLOWER) or mean - log(SLOWER) / 2.0 < SURELY * error:
            return None
        answers = [lag for (_, one), lags in self._lags.items() if one == sign for lag in lags]
        return Slow(sign, exp(mean), exp(float(np.median(answers))), len(over))


@dataclass(frozen=True, slots=True)
class Slow:
    """A sound recognised late: it is worked out, not heard.

    times : how many times as long as the same learners' other sounds. median_s : of all its right answers.
    learners : how many this rests on.
    """

    sign: str
    times: float
    median_s: float
    learners: int
