"""How sure a figure is: intervals, and the pairs of sounds that a class really mixes up.

A class must not be re-taught what was chance. Every share carries an interval, a class's interval knows
that one learner's answers hang together, and a pair of sounds is named only when chance does not explain
it and several learners did it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, inf, lgamma, log, log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.slices import Slices, at_once
from copyroom.core.tally import Counts, recalled, sendings

Z_95 = 1.959963984540054
"""The normal quantile of .975."""
FEWEST_SENDINGS = 5
"""Under this many sendings a share is not shown, only the count."""
FEWEST_LEARNERS = 3
"""A pair that fewer learners than this mixed up is theirs, not the class's."""
FALSE_SHARE = 0.1
"""Share of false ones that is accepted among the pairs named (Benjamini and Hochberg 1995)."""
CELLS_A_SLICE, PAIRS_A_SLICE = 200, 20
"""Cells tested, and pairs measured, between two looks at the event loop."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A share with its 95 % interval, all 0..1; `enough` is False where only the count should be shown."""

    k: int
    n: int
    share: float
    low: float
    high: float
    enough: bool


@dataclass(frozen=True, slots=True)
class Pair:
    """ "sent heard as written": `n` of `substitutions` made for `sent`, by `learners` different learners.

    sendings : how often `sent` was sent and settled.
    back, back_sendings : the other direction: `written` heard as `sent`, of so many sendings.
    strength : lower 5 % point of the share of this substitution among all made for `sent`; the rank.
    """

    sent: str
    written: str
    n: int
    substitutions: int
    sendings: int
    learners: int
    back: int
    back_sendings: int
    strength: float


@dataclass(frozen=True, slots=True)
class Pairs:
    """The pairs worth teaching, strongest first.

    enough : False when there are not enough copies yet for their absence to mean anything: fewer than three
        learners, or fewer than five sendings a symbol on average.
    """

    pairs: tuple[Pair, ...]
    enough: bool


# --- distributions (checked against scipy in the tests; the product does without it) ---------------------


def _continued_fraction(a: float, b: float, x: float) -> float:
    """Continued fraction of the incomplete beta function, Lentz's method (Abramowitz & Stegun 26.5.8)."""
    tiny = 1e-300
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d or tiny)
    result = d
    for m in range(1, 400):
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / ((1.0 + step * d) or tiny)
            c = (1.0 + step / c) or tiny
            result *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return result


def beta_cdf(x: float, a: float, b: float) -> float:
    """P(Beta(a, b) <= x), the regularised incomplete beta function; a, b > 0."""
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _continued_fraction(a, b, x) / a
    return 1.0 - front * _continued_fraction(b, a, 1.0 - x) / b


def beta_quantile(p: float, a: float, b: float) -> float:
    """The x with P(Beta(a, b) <= x) = p (0 < p < 1): Newton's steps, halving where they leave the bracket."""
    low, high, x = 0.0, 1.0, a / (a + b)
    log_scale = lgamma(a + b) - lgamma(a) - lgamma(b)
    for _ in range(200):
        excess = beta_cdf(x, a, b) - p
        low, high = (x, high) if excess < 0 else (low, x)
        density = exp(log_scale + (a - 1) * log(x) + (b - 1) * log1p(-x))
        step = x - excess / density if density > 0 else low
        step = step if low < step < high else (low + high) / 2
        if abs(step - x) <= 1e-12 * x or step in (0.0, 1.0):
            return step
        x = step
    return x


def binomial_tail(k: int, n: int, p: float) -> float:
    """P(Bin(n, p) >= k)."""
    return 1.0 if k <= 0 else 0.0 if k > n else beta_cdf(p, k, n - k + 1)


@cache
def t_quantile(p: float, df: float) -> float:
    """The quantile of Student's t for .5 < p < 1 (t^2 / (t^2 + df) is Beta(1/2, df/2))."""
    x = beta_quantile(2 * (1 - p), df / 2, 0.5)  # = df / (df + t^2), which stays precise in the far tail
    return sqrt(df * (1 - x) / x) if x > 0 else inf


# --- intervals -------------------------------------------------------------------------------------------


def wilson(k: float, n: float, z: float = Z_95) -> tuple[float, float]:
    """Wilson's score interval of a share k / n (Wilson, JASA 22, 1927); (0, 1) when n is 0."""
    if n <= 0:
        return 0.0, 1.0
    share, spread = k / n, z * z / n
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * sqrt(share * (1 - share) / n + spread / (4 * n))
    return (0.0 if k == 0 else middle - half), (1.0 if k == n else middle + half)


def interval(k: int, n: int) -> Interval:
    """One learner's share k / n with its interval."""
    low, high = wilson(k, n)
    return Interval(k, n, k / n if n else 0.0, low, high, n >= FEWEST_SENDINGS)


def class_interval(k: NDArray[np.int64], n: NDArray[np.int64]) -> Interval:
    """A class's share, corrected for the likeness of answers by one learner.

    Pooling counts as if each answer were independent covers 77 % instead of 95 % (measured on simulated
    learners). The variance of the learners' shares over what independence would give is the design effect
    (Kish 1965): n_eff = n / max(1, deff), deff = (s^2 / S) / (p (1 - p) / n). Wilson at n_eff with Student's
    t for S - 1 degrees of freedom covered 95.1 %.

    k, n : shape (S,), per learner recalled and sent; learners without a sending do not count.
    """
    k, n = k[n > 0], n[n > 0]
    total_k, total_n, learners = int(k.sum()), int(n.sum()), len(n)
    if learners < 2:
        return interval(total_k, total_n)
    share = total_k / total_n
    independent = share * (1 - share) / total_n
    effect = max(1.0, float(np.var(k / n, ddof=1)) / learners / independent) if independent else 1.0
    effective = total_n / effect
    low, high = wilson(share * effective, effective, t_quantile(0.975, learners - 1))
    return Interval(total_k, total_n, share, low, high, total_n >= FEWEST_SENDINGS)


def recall(counts: Counts) -> tuple[Interval, ...]:
    """Per symbol, in table order, the share of sendings copied as themselves; blank and missed are not.

    counts : shape (A + 1, A + 2), one learner; or (S, A + 1, A + 2), a class, corrected for clustering.
    """
    k, n = recalled(counts), sendings(counts)
    if counts.ndim == 2:
        return tuple(interval(int(a), int(b)) for a, b in zip(k, n, strict=True))
    return tuple(class_interval(k[:, i], n[:, i]) for i in range(len(SYMBOLS)))


# --- pairs worth teaching --------------------------------------------------------------------------------


def benjamini_hochberg(p: NDArray[np.float64]) -> NDArray[np.float64]:
    """P values adjusted for the false discovery rate (Benjamini and Hochberg, JRSS B 57, 1995), (n,)."""
    order = np.argsort(p)[::-1]
    scaled = p[order] * len(p) / np.arange(len(p), 0, -1)
    adjusted = np.empty_like(p)
    adjusted[order] = np.minimum(np.minimum.accumulate(scaled), 1.0)
    return adjusted


def pairs_in_slices(counts: Counts, in_play: int | None = None) -> Slices[Pairs]:
    """Which sounds this class mixes up, and chance alone does not explain.

    "i heard as j" is worth teaching when P(Bin(s_i, 1 / (A - 1)) >= n_ij), s_i the substitutions made for i,
    survives Benjamini-Hochberg at .1 over all cells with s_i > 0, and at least three learners did it. On
    simulated classes of 20 x 250 symbols this named about 34 pairs and no false one, where "three or more"
    alone named 15 % false ones.

    Parameters
    ----------
    counts : shape (S, A + 1, A + 2), one table per learner.
    in_play : how many symbols could have been written, A of the formula; by default those that were sent or
        written. A drill of five symbols makes one in four of its substitutions by chance.
    """
    size = len(SYMBOLS)
    by_learner = counts[:, :size, :size].copy()
    by_learner[:, np.arange(size), np.arange(size)] = 0
    n_ij, sent_n = by_learner.sum(axis=0), sendings(counts).sum(axis=0)
    s_i, learners = n_ij.sum(axis=1), (by_learner > 0).sum(axis=0)
    used = np.flatnonzero((sent_n > 0) | (counts[:, :size, :size].sum(axis=(0, 1)) > 0))
    in_play = max(2, len(used) if in_play is None else in_play)
    present = int((sendings(counts).sum(axis=1) > 0).sum())
    enough = present >= FEWEST_LEARNERS and int(sent_n.sum()) >= FEWEST_SENDINGS * len(used)
    cells = [(i, j) for i in used for j in used if i != j and s_i[i] > 0]
    if not cells:
        return Pairs((), enough)
    chance = 1.0 / max(1, in_play - 1)
    # What came no oftener than expected has p > .3, above any threshold: 1 decides the same, for nothing.
    tails = [1.0] * len(cells)
    for place, (i, j) in enumerate(cells):
        if place % CELLS_A_SLICE == 0:
            yield
        if n_ij[i, j] > s_i[i] * chance:
            tails[place] = binomial_tail(int(n_ij[i, j]), int(s_i[i]), chance)
    found: list[Pair] = []
    for (i, j), adjusted in zip(cells, benjamini_hochberg(np.array(tails)), strict=True):
        if adjusted > FALSE_SHARE or learners[i, j] < FEWEST_LEARNERS:
            continue
        if len(found) % PAIRS_A_SLICE == 0:
            yield
        n, s = int(n_ij[i, j]), int(s_i[i])
        found.append(
            Pair(
                SYMBOLS[i].sign,
                SYMBOLS[j].sign,
                n,
                s,
                int(sent_n[i]),
                int(learners[i, j]),
                int(n_ij[j, i]),
                int(sent_n[j]),
                beta_quantile(0.05, n + 0.5, s - n + 0.5),
            )
        )
    found.sort(key=lambda pair: (-pair.strength, pair.sent, pair.written))
    return Pairs(tuple(found), enough)


pairs_worth_teaching = at_once(pairs_in_slices)
