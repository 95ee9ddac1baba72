"""How sure a plain count is: intervals of shares, and the distributions that they need."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, inf, lgamma, log, log1p, sqrt

from copyroom.core.tally import Counts, recalled, sendings

Z_95 = 1.959963984540054
"""The normal quantile of .975."""
FEWEST_SENDINGS = 5
"""Under this many sendings a share is not shown, only the count."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A share with its 95 % interval, all 0..1; `enough` is False where only the count should be shown."""

    k: int
    n: int
    share: float
    low: float
    high: float
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


def recall(counts: Counts) -> tuple[Interval, ...]:
    """Per symbol, in table order, the share of sendings copied as themselves; blank and missed are not.

    For *this* class, or this learner, in what was sent to it: of simulated classes Wilson's interval covers
    91 to 98 %.

    counts : shape (A + 1, A + 2), one learner; or (S, A + 1, A + 2), a class.
    """
    table = counts if counts.ndim == 2 else counts.sum(axis=0)
    return tuple(interval(int(a), int(b)) for a, b in zip(recalled(table), sendings(table), strict=True))
