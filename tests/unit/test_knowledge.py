"""What is believed of a class: against scipy (for tests only), against truth, and as one would expect it."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import optimize, stats
from scipy.special import expit, xlog1py, xlogy

from bench.calibration import drawn
from bench.classes import KINDS, divergence, shrunken_shares, simulated
from copyroom.core.alphabet import SYMBOLS
from copyroom.core.knowledge import Belief, Knowledge
from copyroom.core.knowledge.answers import Answers, Gathering, joined
from copyroom.core.knowledge.belief import UNSEEN, Asked, believe
from copyroom.core.knowledge.posterior import OWN, USUAL, USUAL_SPREAD, A, P, Point, Q, linearised, solve
from copyroom.core.record import PastRun, columns_of
from copyroom.core.slices import finish

Floats = NDArray[np.float64]
NAMES = ("s1", "s2", "s3", "s4")


def copied(sent: str, right: float, rng: np.random.Generator, else_: str = "_") -> str:
    """What somebody writes who gets so much right; for the rest any of `else_`."""
    return "".join(sign if rng.random() < right else str(rng.choice(list(else_))) for sign in sent)


def a_run(day: int, signs: str, right: float, *, seed: int = 0, length: int = 60, **more: object) -> PastRun:
    """All four copy about so much right."""
    rng = np.random.default_rng([seed, day, length])
    sent = "".join(rng.choice(list(signs), length))
    copies = {name: copied(sent, right, rng) for name in NAMES}
    run = PastRun(day, sent, copies, NAMES)
    return replace(run, **more)  # type: ignore[arg-type]


def knows(*runs: PastRun) -> Knowledge:
    knowledge = Knowledge()
    knowledge.learn(runs)
    return knowledge


# --- the reference: the same model written down whole ----------------------------------------------------


class Dense:
    """Every unknown of a small class in one vector: beta, then a of each learner, b, and d of each cell."""

    def __init__(self, rows: Answers, signs: str, learners: int, guessing: Floats) -> None:
        self.rows, self.columns = rows, columns_of(signs)
        self.learners, self.S = learners, len(signs)
        self.floor = guessing[rows.learner] / rows.keys
        self.usual = Point.usual(learners)
        of_symbol = np.searchsorted(self.columns, rows.symbol)
        self.design = np.array(
            [self.row(*cell) for cell in zip(rows.learner, of_symbol, rows.x, strict=True)]
        )
        spreads = [
            USUAL_SPREAD,
            np.tile(self.usual.spread_a, learners),
            np.full(self.S, self.usual.spread_b),
            np.full(learners * self.S, self.usual.spread_d),
        ]
        self.precision = np.concatenate(spreads) ** -2.0
        self.prior_mean = np.concatenate([USUAL, np.zeros(len(self.precision) - P)])

    def row(self, learner: int, symbol: int, x: Floats) -> Floats:
        a = np.zeros((self.learners, Q))
        a[learner] = x[OWN]
        b, d = np.zeros(self.S), np.zeros((self.learners, self.S))
        b[symbol] = d[learner, symbol] = 1.0
        return np.concatenate([x, a.ravel(), b, d.ravel()])

    def minus_log_posterior(self, unknown: Floats) -> float:
        p = self.floor + (1.0 - self.floor) * expit(self.design @ unknown)
        right, wrong = self.rows.right, self.rows.sent - self.rows.right
        off = unknown - self.prior_mean
        return float(-(xlogy(right, p) + xlog1py(wrong, -p)).sum() + (off**2 * self.precision).sum() / 2)

    def mode(self) -> Floats:
        start = optimize.minimize(self.minus_log_posterior, self.prior_mean, method="BFGS").x
        return np.asarray(optimize.minimize(self.minus_log_posterior, start, method="BFGS", tol=1e-9).x)

    def covariance(self, unknown: Floats) -> Floats:
        """Inverse of the expected curvature: of a binomial answer, sent (dp / d eta)^2 / (p (1 - p))."""
        known = expit(self.design @ unknown)
        p = self.floor + (1.0 - self.floor) * known
        slope = (1.0 - self.floor) * known * (1.0 - known)
        weight = self.rows.sent * slope**2 / (p * (1.0 - p))
        curvature = self.design.T @ (weight[:, None] * self.design) + np.diag(self.precision)
        return np.asarray(np.linalg.inv(curvature))


def small_class() -> tuple[Gathering, Answers, str]:
    signs = "".join(s.sign for s in SYMBOLS if s.sign in "KMRS")
    runs = [
        a_run(0, signs[:3], 0.7, length=20, introduce=signs[:3], wpm=18.0),
        a_run(7, signs, 0.5, length=24, introduce=signs[3:], wpm=15.0),
        replace(
            a_run(9, signs, 0.8, length=16), copies={"s1": "KKMMRRSSKMRSK_RS", "s2": "_" * 16}, present=()
        ),
    ]
    gathering = Gathering()
    rows = [part for run in runs if (part := gathering.take(run)) is not None]
    return gathering, joined(rows), signs


@pytest.fixture(scope="module")
def reference() -> tuple[Dense, Floats]:
    gathering, rows, signs = small_class()
    dense = Dense(rows, signs, len(NAMES), gathering.guessing())
    return dense, dense.mode()


def fitted(rows: Answers, guessing: Floats, learners: int) -> tuple[Point, object]:
    at = Point.usual(learners)
    for _ in range(30):
        solved = solve(linearised(rows, guessing, at, int(rows.evening.max()) + 1), at)
    return at, solved


def test_the_most_plausible_point_is_that_of_a_general_optimiser(reference: tuple[Dense, Floats]) -> None:
    """scipy.optimize on the density itself; ours is Newton's with most unknowns eliminated by hand."""
    dense, mode = reference
    gathering, rows, _ = small_class()
    at, _ = fitted(rows, gathering.guessing(), len(NAMES))
    ours = np.concatenate([at.beta, at.a.ravel(), at.b[dense.columns], at.d[:, dense.columns].ravel()])
    assert dense.minus_log_posterior(ours) <= dense.minus_log_posterior(mode) + 1e-9
    assert ours == pytest.approx(mode, abs=2e-3)


def test_bounds_are_those_of_the_whole_matrix_inverted(reference: tuple[Dense, Floats]) -> None:
    dense, _ = reference
    gathering, rows, signs = small_class()
    at, solved = fitted(rows, gathering.guessing(), len(NAMES))
    ours = np.concatenate([at.beta, at.a.ravel(), at.b[dense.columns], at.d[:, dense.columns].ravel()])
    x = gathering.practice.features_on(9, dense.columns, (18.0, None))
    asked = Asked(NAMES, signs, np.arange(len(NAMES)), dense.columns, x, 0)
    shape = (len(NAMES), A)
    believed = believe(asked, at, solved, np.ones(shape), np.ones(shape, bool), gathering.guessing())
    cells = [(row, place) for row in range(len(NAMES)) for place in range(len(signs))]
    design = np.array([dense.row(row, place, x[row, place]) for row, place in cells])
    expected = np.einsum("ci,ij,cj->c", design, dense.covariance(ours), design)
    assert believed.variance.ravel() == pytest.approx(expected + UNSEEN, rel=1e-7)
    assert believed.eta.ravel() == pytest.approx(design @ ours, abs=1e-9)


def test_without_guessing_the_curvature_is_that_of_the_density(reference: tuple[Dense, Floats]) -> None:
    """By finite differences of the logarithm of the density: nothing of ours but the density itself."""
    _, rows, signs = small_class()
    dense = Dense(rows, signs, len(NAMES), np.zeros(len(NAMES)))
    at, _ = fitted(rows, np.zeros(len(NAMES)), len(NAMES))
    ours = np.concatenate([at.beta, at.a.ravel(), at.b[dense.columns], at.d[:, dense.columns].ravel()])
    curvature = np.linalg.inv(dense.covariance(ours))
    step = 1e-3
    for i in (0, 1, P, P + 3 * Q, len(ours) - 1):
        one = np.zeros(len(ours))
        one[i] = step
        middle = 2.0 * dense.minus_log_posterior(ours)
        around = dense.minus_log_posterior(ours + one) + dense.minus_log_posterior(ours - one)
        assert (around - middle) / step**2 == pytest.approx(curvature[i, i], rel=1e-4)


# --- against truth ---------------------------------------------------------------------------------------


def test_truth_drawn_from_the_prior_falls_anywhere_in_what_is_believed() -> None:
    """Simulation-based calibration (Talts and others 2018); the bench does the same at large."""
    classes = [drawn(np.random.default_rng(seed)).places for seed in range(80)]
    one_each = [places[seed % 8, seed % 12] for seed, places in enumerate(classes)]
    assert stats.kstest(one_each, "uniform").pvalue > 0.01
    places = np.concatenate([places.ravel() for places in classes])
    assert 0.74 <= np.mean((places > 0.1) & (places < 0.9)) <= 0.86
    assert np.histogram(places, 5, (0.0, 1.0))[0] / len(places) == pytest.approx(np.full(5, 0.2), abs=0.05)


def test_truth_is_met_twice_as_well_as_by_shrunken_shares_and_bounds_hold_it() -> None:
    ratios, covered, of_class = [], [], []
    for kind in KINDS:
        ours = theirs = 0.0
        held = []
        for seed in range(6):
            made = simulated(kind, 300 + seed)
            knowledge = knows(*made.runs)
            believed = knowledge.believe(made.day, made.signs, made.speeds, made.names)
            chances = believed.learners
            ours += divergence(made.truth, chances.mean)
            theirs += divergence(made.truth, shrunken_shares(made))
            held.append(np.mean((made.truth >= chances.low) & (made.truth <= chances.high)))
            mean, together = made.truth.mean(axis=0), believed.together
            of_class.append(np.mean((mean >= together.low) & (mean <= together.high)))
        ratios.append(ours / theirs)
        covered.append(float(np.mean(held)))
    assert np.mean(ratios) <= 0.5
    assert max(ratios) < 1.0
    assert 0.7 <= np.mean(covered) <= 0.9
    assert 0.6 <= min(covered) <= max(covered) <= 0.95
    assert 0.65 <= np.mean(of_class) <= 0.95


# --- as one would expect it ------------------------------------------------------------------------------


def mean_of(believed: Belief, sign: str, name: str | None = None) -> float:
    column = believed.signs.index(sign)
    if name is None:
        return float(believed.together.mean[column])
    return float(believed.learners.mean[believed.names.index(name), column])


def width_of(believed: Belief, sign: str, name: str) -> float:
    at = believed.names.index(name), believed.signs.index(sign)
    return float(believed.learners.high[at] - believed.learners.low[at])


def test_what_is_only_usual_is_not_tested() -> None:
    runs = [a_run(day, "KMRS", 0.8, introduce="" if day else "KMRSU") for day in (0, 1, 2)]
    believed = knows(*runs).believe(2, "KMRSU")
    assert believed.is_tested.tolist() == [True, True, True, True, False]
    assert (believed.tested[:, :4] > 0).all()
    assert not believed.tested[:, 4].any()
    assert width_of(believed, "U", "s1") > 1.3 * width_of(believed, "K", "s1")


def test_who_only_came_has_met_what_was_introduced_and_is_tested_in_nothing() -> None:
    run = a_run(0, "KM", 0.9, introduce="KM")
    listeners = replace(run, present=(*NAMES, "quiet", "late"))
    believed = knows(listeners).believe(0, "KM", names=(*NAMES, "quiet", "never"))
    assert believed.met[-2:].tolist() == [[True, True], [False, False]]
    assert not believed.tested[-2:].any()
    assert mean_of(believed, "K", "never") < mean_of(believed, "K", "quiet") < mean_of(believed, "K", "s1")


def test_absence_is_not_knowledge_its_bounds_are_wider() -> None:
    away = replace(a_run(7, "KMRS", 0.9), present=("s1", "s2", "s3"))
    away = replace(away, copies={name: away.copies[name] for name in away.present})
    believed = knows(a_run(0, "KMRS", 0.9), away, away).believe(7, "KMRS")
    assert width_of(believed, "K", "s4") > 1.15 * width_of(believed, "K", "s1")


def test_a_class_that_never_answered_is_believed_to_be_usual_and_not_to_be_known() -> None:
    present = PastRun(0, "", {}, NAMES, "KM")
    believed = knows(present).believe(0, "KM")
    assert not believed.is_tested.any()
    assert (believed.learners.high - believed.learners.low > 0.4).all()


def test_writing_at_random_is_not_knowing() -> None:
    """A half right with two keys is what a coin does; the same half with blanks for the rest is not."""
    coin, half = Knowledge(), Knowledge()
    for day in (0, 7, 14):
        run = a_run(day, "KM", 0.0, length=80)
        rng = np.random.default_rng(day)
        coin.learn([replace(run, copies={n: copied(run.sent, 0.0, rng, "KM") for n in NAMES})])
        half.learn([replace(run, copies={n: copied(run.sent, 0.5, rng) for n in NAMES})])
    of_coin = coin.believe(14, "KMRSUAPTLO").together.mean[:2]
    of_half = half.believe(14, "KMRSUAPTLO").together.mean[:2]
    assert (of_coin < 0.3).all()
    assert (of_half > 0.4).all()


def test_after_sixty_days_it_is_believed_lower_and_less_surely() -> None:
    knowledge = knows(*(a_run(day, "KMRS", 0.85, seed=day) for day in (0, 7, 14)))
    soon, late = knowledge.believe(14, "KMRS"), knowledge.believe(74, "KMRS")
    assert (late.learners.mean < soon.learners.mean - 0.03).all()
    assert (late.learners.high - late.learners.low > 1.2 * (soon.learners.high - soon.learners.low)).all()


def test_right_at_five_words_a_minute_does_not_count_as_right_at_twenty() -> None:
    slow = knows(*(a_run(day, "KMRS", 0.9, wpm=5.0, overall_wpm=5.0) for day in (0, 7)))
    at_5, at_20 = slow.believe(7, "KMRS", (5.0, 5.0)), slow.believe(7, "KMRS", (20.0, 20.0))
    assert (at_20.learners.mean < at_5.learners.mean - 0.15).all()
    assert (at_20.learners.high - at_20.learners.low > at_5.learners.high - at_5.learners.low).all()


def test_what_was_copied_at_both_speeds_is_known_of_both() -> None:
    both = [
        a_run(7 * i, "KMRS", right, wpm=wpm) for i, (wpm, right) in enumerate([(10.0, 0.95), (20.0, 0.4)] * 3)
    ]
    knowledge = knows(*both)
    assert mean_of(knowledge.believe(35, "KMRS", (20.0, None)), "K") == pytest.approx(0.4, abs=0.12)
    assert mean_of(knowledge.believe(35, "KMRS", (10.0, None)), "K") == pytest.approx(0.95, abs=0.1)


def test_named_sendings_count_as_more_practice_than_copied_ones() -> None:
    copy = a_run(0, "KMRS", 0.5, introduce="KMRS", length=20)
    told, untold = Gathering(), Gathering()
    told.take(replace(copy, kind="named"))
    untold.take(copy)
    more = told.practice.sendings[:, columns_of("KMRS")].sum(axis=1)
    assert (more > untold.practice.sendings[:, columns_of("KMRS")].sum(axis=1) + 15.0).all()


def test_a_stuck_sound_and_a_slow_learner_stand_out() -> None:
    runs = []
    for day in (0, 7, 14):
        run = a_run(day, "KMRSU", 0.9, seed=day)
        rng = np.random.default_rng(day)
        copies = {n: copied(run.sent, 0.35 if n == "s4" else 0.9, rng) for n in NAMES}
        copies = {
            n: "".join(
                "_" if a == "U" and rng.random() < 0.8 else b for a, b in zip(run.sent, c, strict=True)
            )
            for n, c in copies.items()
        }
        runs.append(replace(run, copies=copies))
    believed = knows(*runs).believe(14, "KMRSU")
    means = believed.learners.mean
    assert means[:3, 4].max() < means[:3, :4].min() - 0.3
    assert means[3, :4].max() < means[:3, :4].min() - 0.2


def test_run_by_run_or_at_once_the_same_runs_come_to_the_same_belief() -> None:
    made = simulated("all", 5)
    at_once, by_run = knows(*made.runs), Knowledge()
    for run in made.runs:
        by_run.learn([run])
        by_run.believe(run.day, run.sent)
    a, b = (k.believe(made.day, made.signs, made.speeds) for k in (at_once, by_run))
    assert a.learners.mean == pytest.approx(b.learners.mean, abs=1e-9)
    assert a.learners.low == pytest.approx(b.learners.low, abs=1e-9)


def test_a_parabola_of_what_was_before_is_as_good_as_the_whole() -> None:
    """What came since the last fit is added to it; fitting all anew would move no chance by .01."""
    runs = [a_run(i, "KMRSUAPTLOWI", 0.4 + 0.01 * i, seed=i, length=30) for i in range(36)]
    knowledge, whole = knows(*runs), knows(*runs)
    assert knowledge._fitted < len(knowledge._parts), "everything was fitted anew: nothing is shown"
    for _ in whole._fit_anew(len(whole._parts), whole._gathering.guessing()):
        pass
    whole._solved = None
    a, b = (k.believe(35, "KMRSUAPTLOWI") for k in (knowledge, whole))
    assert np.abs(a.learners.mean - b.learners.mean).max() < 0.01


def test_who_is_enrolled_later_changes_nothing_about_the_others() -> None:
    made = simulated("days", 3)
    knowledge = knows(*made.runs)
    before = knowledge.believe(made.day, made.signs, made.speeds, made.names)
    knowledge.enrol(["somebody new"])
    after = knowledge.believe(made.day, made.signs, made.speeds, made.names)
    assert after.learners.mean == pytest.approx(before.learners.mean, abs=1e-9)


def test_one_more_run_costs_a_small_part_of_the_whole() -> None:
    runs = [a_run(7 * (i // 3), "KMRSUAPTLOWI", 0.7, seed=i) for i in range(60)]
    start_s = time.process_time()
    knowledge = knows(*runs)
    whole_s = time.process_time() - start_s
    one_s = []
    for i in range(5):
        start_s = time.process_time()
        knowledge.learn([a_run(140, "KMRSUAPTLOWI", 0.7, seed=100 + i)])
        one_s.append(time.process_time() - start_s)
    assert sorted(one_s)[2] < whole_s / 3


def test_the_running_class_may_ask_for_some_and_in_any_order() -> None:
    knowledge = knows(a_run(0, "KMRS", 0.8))
    all_of_them, two = knowledge.believe(0, "KMRS"), knowledge.believe(0, "SK", names=("s3", "s1"))
    assert two.eta.ravel() == pytest.approx(all_of_them.eta[np.ix_([2, 0], [3, 0])].ravel())
    assert (two.floor > all_of_them.floor[[2, 0]]).all(), "with fewer to choose from more is guessed"


def test_nobody_or_nothing_cannot_be_asked_for() -> None:
    with pytest.raises(ValueError, match="nobody"):
        Knowledge().believe(0, "K")
    with pytest.raises(ValueError, match="nothing"):
        knows(a_run(0, "KMRS", 0.8)).believe(0, "")


def test_of_several_a_class_mean_is_surer_than_each_of_them() -> None:
    believed = knows(a_run(0, "KMRS", 0.6)).believe(0, "KMRS")
    own = (believed.learners.high - believed.learners.low).mean(axis=0)
    assert (believed.together.high - believed.together.low < own).all()
    assert believed.together.mean == pytest.approx(believed.learners.mean.mean(axis=0))


def test_what_was_known_then_is_still_told_when_somebody_was_enrolled_since() -> None:
    knowledge = knows(*(a_run(day, "KMRS", 0.8) for day in (0, 7, 14)))
    before = finish(knowledge.path_in_slices("KMRS"))
    knowledge.enrol(["somebody new"])
    after = finish(knowledge.path_in_slices("KMRS"))
    assert [day for day, _ in after] == [0, 7, 14]
    for (_, then), (_, now) in zip(before, after, strict=True):
        assert now.names[:4] == NAMES
        assert now.learners.mean[:4] == pytest.approx(then.learners.mean, abs=1e-9)
