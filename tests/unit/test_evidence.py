"""Evidence, against scipy (a reference for tests only): live, and as values that were computed with it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from copyroom.core.alphabet import INDEX
from copyroom.core.evidence import (
    Z_95,
    benjamini_hochberg,
    beta_cdf,
    beta_quantile,
    binomial_tail,
    class_interval,
    interval,
    pairs_worth_teaching,
    recall,
    t_quantile,
    wilson,
)
from copyroom.core.tally import MISSED_COLUMN, Counts, empty


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


def test_under_five_sendings_only_the_count_is_shown():
    assert not interval(3, 4).enough
    assert interval(3, 5).enough


def test_a_class_of_like_learners_has_the_interval_of_its_sum_with_t():
    k, n = np.array([8, 8, 8, 8]), np.array([10, 10, 10, 10])
    found = class_interval(k, n)
    assert (found.low, found.high) == pytest.approx(wilson(32, 40, t_quantile(0.975, 3)))


def test_unlike_learners_widen_the_interval_by_the_design_effect():
    k, n = np.array([10, 10, 0, 0]), np.array([10, 10, 10, 10])
    effect = (np.var([1, 1, 0, 0], ddof=1) / 4) / (0.25 / 40)
    expected = wilson(20 / effect, 40 / effect, t_quantile(0.975, 3))
    found = class_interval(k, n)
    assert (found.low, found.high) == pytest.approx(expected)
    assert found.n == 40


def test_the_class_interval_covers_the_truth_as_often_as_it_says():
    """Invented classes: 20 learners, 8 sendings each, levels from Beta(3, 1.5); naive Wilson covers less."""
    rng = np.random.default_rng(20)
    n, covered, naive = np.full(20, 8), 0, 0
    for _ in range(400):
        k = rng.binomial(8, rng.beta(3, 1.5, size=20))
        found, plain = class_interval(k, n), wilson(int(k.sum()), 160)
        covered += found.low <= 2 / 3 <= found.high
        naive += plain[0] <= 2 / 3 <= plain[1]
    assert covered / 400 == pytest.approx(0.95, abs=0.03)
    assert naive / 400 < 0.85


def test_learners_without_a_sending_do_not_count():
    with_idle = class_interval(np.array([8, 9, 0]), np.array([10, 10, 0]))
    assert with_idle == class_interval(np.array([8, 9]), np.array([10, 10]))


def test_blank_and_missed_are_not_recalled():
    counts = empty()
    counts[INDEX["A"], INDEX["A"]], counts[INDEX["A"], MISSED_COLUMN] = 7, 3
    found = recall(counts)[INDEX["A"]]
    assert (found.k, found.n) == (7, 10)
    assert (found.low, found.high) == pytest.approx((0.396778, 0.892209), abs=1e-6)


def a_class(heard: dict[tuple[str, str], list[int]], learners: int = 6) -> Counts:
    """A class in which everybody copied A to Z ten times each, and some made substitutions."""
    tables = np.stack([empty() for _ in range(learners)])
    for sign in "ABCDEFGHIJKLMNOPQRSTUVWXYZ5":
        tables[:, INDEX[sign], INDEX[sign]] = 10
    for (sent, written), counts in heard.items():
        for learner, count in enumerate(counts):
            tables[learner, INDEX[sent], INDEX[written]] = count
            tables[learner, INDEX[sent], INDEX[sent]] -= count
    return tables


def test_a_pair_that_a_class_mixes_up_is_named_with_its_numbers():
    found = pairs_worth_teaching(a_class({("H", "5"): [2, 2, 1, 2, 1, 1], ("5", "H"): [1, 1, 0, 0, 0, 0]}))
    assert found.enough
    first = found.pairs[0]
    assert (first.sent, first.written, first.n, first.sendings, first.learners) == ("H", "5", 9, 60, 6)
    assert (first.back, first.back_sendings) == (2, 60)
    assert first.strength == pytest.approx(stats.beta.ppf(0.05, 9.5, 0.5))


def test_what_one_learner_does_often_is_not_the_classs():
    assert pairs_worth_teaching(a_class({("H", "5"): [5, 4, 0, 0, 0, 0]})).pairs == ()


def test_scattered_substitutions_are_chance():
    heard = {("H", "ABCDEFGIJK"[i]): [i % 6 == learner for learner in range(6)] for i in range(10)}
    assert pairs_worth_teaching(a_class(heard)).pairs == ()


def test_the_stronger_pair_comes_first():
    found = pairs_worth_teaching(
        a_class(
            {("B", "D"): [1, 1, 1, 0, 0, 0], ("H", "5"): [2, 2, 2, 2, 2, 2], ("B", "X"): [1, 1, 1, 0, 0, 0]}
        )
    )
    assert (found.pairs[0].sent, found.pairs[0].written) == ("H", "5")


def test_with_hardly_a_copy_it_says_not_enough_yet():
    tables = np.stack([empty() for _ in range(4)])
    tables[:2, INDEX["A"], INDEX["A"]] = 2
    assert not pairs_worth_teaching(tables).enough
