"""How well a class tells a sound from another: hits, false alarms, d' with its bounds.

Signal detection (Green and Swets 1966): whoever raises a hand at many sounds hits many odd ones and gains
nothing by it; d' = z(hit rate) - z(false-alarm rate) does not depend on how ready the hands are. 0: the odd
one and the others are one sound to the class; above 3: hardly ever mixed up.

The class is taken as one listener: its sounds are pooled over learners. Where learners differ, or some
raise a hand readily and some do not, a pooled d' is somewhat smaller than the mean of their own (Macmillan
and Kaplan 1985); so it says how well the class as a whole tells the two apart, and nothing of anyone in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from copyroom.core.evidence.intervals import Z_95, t_quantile

FEWEST_ODD, FEWEST_SAME = 10, 20
"""Under so many sounds heard a d' is not shown, only the counts; nor where nobody raised a hand at all."""

_NORMAL = NormalDist()
Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Detection:
    """What came of the odd sounds and of the others, over all learners.

    d, low, high : d' with its 95 % bounds; `enough` is False where only the counts should be shown.
    """

    hits: int
    of_odd: int
    alarms: int
    of_same: int
    d: float
    low: float
    high: float
    enough: bool


def rate(k: float, n: float) -> float:
    """A share that is never 0 nor 1, so that z is finite: the log-linear correction (k + .5) / (n + 1).

    Hautus, Behavior Research Methods, Instruments, & Computers 27, 1995; the figures from memory.
    """
    return (k + 0.5) / (n + 1.0)


def d_prime(hits: float, of_odd: float, alarms: float, of_same: float) -> float:
    """z(H) - z(F) of the corrected rates (Green and Swets 1966)."""
    return _NORMAL.inv_cdf(rate(hits, of_odd)) - _NORMAL.inv_cdf(rate(alarms, of_same))


def sampling_variance(hits: float, of_odd: float, alarms: float, of_same: float) -> float:
    """The variance of d' if every answer were independent: H (1 - H) / (n phi(z(H))^2), and the same of F.

    Gourevitch and Galanter, Psychometrika 32, 1967; from memory, and it is the delta method.
    """
    return sum(
        p * (1.0 - p) / (n * _NORMAL.pdf(_NORMAL.inv_cdf(p)) ** 2)
        for p, n in ((rate(hits, of_odd), of_odd), (rate(alarms, of_same), of_same))
    )


def jackknife_variance(hits: Counts, of_odd: Counts, alarms: Counts, of_same: Counts) -> float:
    """The variance of the pooled d' over learners, each left out once (Tukey 1958; Efron and Stein 1981)."""
    totals = [int(counts.sum()) for counts in (hits, of_odd, alarms, of_same)]
    columns = (hits.tolist(), of_odd.tolist(), alarms.tolist(), of_same.tolist())
    without = [
        d_prime(*(total - own for total, own in zip(totals, learner, strict=True)))
        for learner in zip(*columns, strict=True)
    ]
    return float(np.var(without)) * (len(without) - 1)


def detection(hits: Counts, of_odd: Counts, alarms: Counts, of_same: Counts) -> Detection:
    """What a class comes to.

    The bounds are d' -+ the wider of two: the normal one with the variance of independent answers, and from
    three learners on Student's with the variance between them. On simulated classes of 3 to 25 learners,
    alike or not, they held the true d' in 95 to 100 of 100 (`test_detection`): wide for three, close for
    twelve.

    hits, of_odd, alarms, of_same : shape (S,), per learner; who heard none of the two kinds does not count.
    """
    took_part = (of_odd > 0) | (of_same > 0)
    own = [counts[took_part] for counts in (hits, of_odd, alarms, of_same)]
    k, n, f, m = (int(counts.sum()) for counts in own)
    if n < 1 or m < 1:
        return Detection(k, n, f, m, 0.0, 0.0, 0.0, enough=False)
    learners = int(took_part.sum())
    d, half = d_prime(k, n, f, m), Z_95 * sqrt(sampling_variance(k, n, f, m))
    if learners > 2:
        between = t_quantile(0.975, learners - 1) * sqrt(jackknife_variance(*own))
        half = max(half, between)
    enough = n >= FEWEST_ODD and m >= FEWEST_SAME and k + f > 0
    return Detection(k, n, f, m, d, d - half, d + half, enough)


def comparable(heard: NDArray[np.bool_], first: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Which sounds a learner could tell from another one: heard, and one before it in the same row, too.

    heard : shape (S, n), learners and sounds. first : shape (n,), the place that each sound's row begins at.
    """
    before: NDArray[np.int64] = np.cumsum(heard, axis=1) - heard
    compared: NDArray[np.bool_] = heard & (before > before[:, first])
    return compared
