"""d' against scipy's normal distribution, its variance against the delta method, its bounds by simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import approx_fprime
from scipy.stats import norm

from copyroom.core.detection import (
    FEWEST_ODD,
    FEWEST_SAME,
    comparable,
    d_prime,
    detection,
    jackknife_variance,
    rate,
    sampling_variance,
)

COUNTS = [(21, 22, 3, 110), (15, 22, 14, 110), (0, 12, 0, 90), (12, 12, 90, 90), (5, 10, 10, 20)]


@pytest.mark.parametrize("counts", COUNTS)
def test_d_prime_is_the_difference_of_normal_quantiles_of_corrected_rates(
    counts: tuple[int, int, int, int],
) -> None:
    k, n, f, m = counts
    expected = norm.ppf((k + 0.5) / (n + 1)) - norm.ppf((f + 0.5) / (m + 1))
    assert d_prime(*counts) == pytest.approx(float(expected), abs=1e-9)


def test_two_normal_listeners_worked_by_hand() -> None:
    """Half of each: z = 0 on both sides. 84.13 % is one standard deviation above the mean."""
    assert d_prime(10, 20, 10, 20) == pytest.approx(0.0)
    large = 10**9
    assert d_prime(0.8413447 * large, large, 0.5 * large, large) == pytest.approx(1.0, abs=1e-6)
    assert d_prime(0.8413447 * large, large, 0.1586553 * large, large) == pytest.approx(2.0, abs=1e-6)


def test_a_rate_is_never_nought_nor_one() -> None:
    assert (rate(0, 10), rate(10, 10), rate(5, 10)) == (0.5 / 11, 10.5 / 11, 0.5)


@pytest.mark.parametrize("counts", COUNTS)
def test_the_variance_is_that_of_the_delta_method(counts: tuple[int, int, int, int]) -> None:
    """The oracle takes the slope of the quantile by differences, and the binomial's own variance."""
    k, n, f, m = counts
    expected = 0.0
    for p, of in ((rate(k, n), n), (rate(f, m), m)):
        (slope,) = approx_fprime(np.array([p]), lambda x: norm.ppf(x[0]), 1e-7)
        expected += slope**2 * p * (1 - p) / of
    assert sampling_variance(*counts) == pytest.approx(expected, rel=1e-4)


def test_the_jackknife_leaves_each_learner_out_once() -> None:
    k, n, f, m = (np.array(c) for c in ([2, 1, 2, 0], [2, 2, 2, 2], [1, 0, 3, 0], [9, 9, 9, 9]))
    without = [d_prime(*(int(np.delete(counts, i).sum()) for counts in (k, n, f, m))) for i in range(len(k))]
    expected = 3 / 4 * sum((d - np.mean(without)) ** 2 for d in without)
    assert jackknife_variance(k, n, f, m) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("learners", "d", "unlike"),
    [
        (3, 1.0, 0.0),
        (6, 2.0, 0.0),
        (12, 0.0, 0.0),
        (12, 2.0, 0.0),
        (25, 3.0, 0.0),
        (12, 1.0, 0.6),
        (25, 2.0, 0.6),
    ],
)
def test_the_bounds_hold_the_true_d_prime_of_simulated_classes(
    learners: int, d: float, unlike: float
) -> None:
    """Each learner an equal-variance listener; `unlike`: how far their sensitivity and readiness differ.

    What is to be held is the d' of the pool: that of the mean rates of a class without end.
    """
    rng = np.random.default_rng(20_261_127)
    runs, odd, same = 400, 3, 18

    def rates(shape: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
        own_d = d + unlike * rng.standard_normal(shape)
        ready = 0.3 + unlike / 2 * rng.standard_normal(shape)
        return norm.cdf(own_d / 2 - ready), norm.cdf(-own_d / 2 - ready)

    hit, alarm = rates((200_000,))
    true_d = norm.ppf(hit.mean()) - norm.ppf(alarm.mean())
    held = 0
    for _ in range(runs):
        hit, alarm = rates((learners,))
        of_odd, of_same = np.full(learners, odd), np.full(learners, same)
        found = detection(rng.binomial(odd, hit), of_odd, rng.binomial(same, alarm), of_same)
        held += found.low <= true_d <= found.high
    assert held / runs >= 0.93  # 95 % less two standard errors of 400 runs


def test_who_raises_a_hand_at_everything_tells_nothing_apart() -> None:
    odd, same = np.full(12, 2), np.full(12, 20)
    always = detection(odd, odd, same, same)
    never = detection(odd * 0, odd, same * 0, same)
    for found in (always, never):
        assert found.low < 0.0 < found.high


def test_too_little_is_said_to_be_too_little() -> None:
    def enough(odd: int, same: int) -> bool:
        return detection(*(np.array([n]) for n in (odd // 2, odd, 0, same))).enough

    assert enough(FEWEST_ODD, FEWEST_SAME)
    assert not enough(FEWEST_ODD - 1, FEWEST_SAME)
    assert not enough(FEWEST_ODD, FEWEST_SAME - 1)
    nobody = detection(*(np.array([n]) for n in (0, 50, 0, 200)))
    assert not nobody.enough
    nothing = detection(*(np.zeros(0, int) for _ in range(4)))
    assert (nothing.of_odd, nothing.enough) == (0, False)


def test_a_sound_is_compared_only_with_one_that_was_heard_before_it_in_its_row() -> None:
    first = np.array([0, 0, 0, 0, 4, 4, 4])
    heard = np.array([[1, 1, 1, 1, 1, 1, 1], [0, 0, 1, 1, 1, 0, 1], [0, 0, 0, 0, 0, 0, 1]], bool)
    assert comparable(heard, first).astype(int).tolist() == [
        [0, 1, 1, 1, 0, 1, 1],
        [0, 0, 0, 1, 0, 0, 1],
        [0, 0, 0, 0, 0, 0, 0],
    ]
