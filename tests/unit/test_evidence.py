"""How sure counts are, against scipy (a reference for tests only): live, and as values computed with it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from copyroom.core.alphabet import INDEX
from copyroom.core.evidence.intervals import (
    Z_95,
    beta_cdf,
    beta_quantile,
    binomial_tail,
    interval,
    recall,
    t_quantile,
    wilson,
)
from copyroom.core.evidence.mix_ups import benjamini_hochberg
from copyroom.core.tally import MISSED_COLUMN, empty


def test_the_normal_quantile_is_that_of_the_tables():
    assert stats.norm.ppf(0.975) == pytest.approx(Z_95, abs=1e-14)


# Computed with scipy 1.17.1: binomtest(k, n).proportion_ci(method="wilson").
@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (0, 10, 0.0, 0.277533),
        (1, 10, 0.017876, 0.404150),
        (7, 10, 0.396778, 0.892209),
        (10, 10, 0.722467, 1.0),
        (18, 20, 0.698966, 0.972134),
        (45, 50, 0.786398, 0.956524),
    ],
)
def test_wilson_gives_the_reference_values(k, n, low, high):
    assert wilson(k, n) == pytest.approx((low, high), abs=1e-6)


def test_wilson_agrees_with_scipy_everywhere():
    for n in (1, 2, 5, 13, 60, 1000):
        for k in {0, 1, n // 3, n // 2, n}:
            known = stats.binomtest(k, n).proportion_ci(method="wilson")
            assert wilson(k, n) == pytest.approx((known.low, known.high), abs=1e-9)


def test_of_nothing_nothing_is_known():
    assert wilson(0, 0) == (0.0, 1.0)


@pytest.mark.parametrize("a", [0.5, 1.0, 3.5, 40.5, 900.5])
@pytest.mark.parametrize("b", [0.5, 2.0, 36.5, 700.0])
def test_beta_agrees_with_scipy(a, b):
    for p in (0.001, 0.05, 0.5, 0.975):
        x = stats.beta.ppf(p, a, b)
        assert beta_cdf(x, a, b) == pytest.approx(p, abs=1e-9)
        assert beta_quantile(p, a, b) == pytest.approx(x, rel=1e-6)


@pytest.mark.parametrize("df", [1, 2, 5, 19, 39, 200])
def test_t_quantiles_agree_with_scipy(df):
    assert t_quantile(0.975, df) == pytest.approx(stats.t.ppf(0.975, df), rel=1e-9)


def test_binomial_tails_agree_with_scipy():
    assert binomial_tail(3, 40, 1 / 35) == pytest.approx(0.105739, abs=1e-6)
    assert binomial_tail(4, 40, 1 / 35) == pytest.approx(0.0268975, abs=1e-7)
    for n, p in ((1, 0.3), (40, 1 / 35), (500, 0.25)):
        for k in {0, 1, n // 4, n}:
            assert binomial_tail(k, n, p) == pytest.approx(stats.binom.sf(k - 1, n, p), rel=1e-8)
    assert binomial_tail(5, 4, 0.5) == 0.0


def test_benjamini_hochberg_gives_what_is_worked_out_by_hand_and_agrees_with_scipy():
    """p n / rank, and then never more than what follows: of ten ordered values."""
    p = np.array([0.001, 0.008, 0.039, 0.041, 0.042, 0.06, 0.074, 0.205, 0.212, 0.216])
    expected = [0.01, 0.04, 0.084, 0.084, 0.084, 0.1, 0.1057, 0.216, 0.216, 0.216]
    assert benjamini_hochberg(p) == pytest.approx(expected, abs=5e-5)
    shuffled = np.random.default_rng(5).permutation(p)
    assert benjamini_hochberg(shuffled) == pytest.approx(stats.false_discovery_control(shuffled))


def test_tests_that_cannot_pass_count_as_failed_ones():
    few = np.array([0.0004, 0.02, 0.3])
    padded = np.concatenate([few, np.ones(37)])
    assert benjamini_hochberg(few, 40) == pytest.approx(stats.false_discovery_control(padded)[:3])
    assert not len(benjamini_hochberg(np.array([]), 40))


def test_under_five_sendings_only_the_count_is_shown():
    assert not interval(3, 4).enough
    assert interval(3, 5).enough


def test_for_this_class_the_interval_of_its_sum_covers_as_often_as_it_says():
    """Invented classes of 12 unlike learners, 8 sendings each; the truth is these learners' own mean."""
    rng = np.random.default_rng(20)
    covered = 0
    for _ in range(400):
        known = rng.beta(3, 1.5, size=12)
        low, high = wilson(int(rng.binomial(8, known).sum()), 96)
        covered += low <= known.mean() <= high
    assert 0.91 <= covered / 400 <= 1.0


def test_blank_and_missed_are_not_recalled():
    counts = empty()
    counts[INDEX["A"], INDEX["A"]], counts[INDEX["A"], MISSED_COLUMN] = 7, 3
    found = recall(counts)[INDEX["A"]]
    assert (found.k, found.n) == (7, 10)
    assert (found.low, found.high) == pytest.approx((0.396778, 0.892209), abs=1e-6)
