"""Sounds that are right but slow are told from chance, from slow learners and from a slow network."""

from __future__ import annotations

import numpy as np
import pytest

from copyroom.core.evidence.slow import SLOWER, Slowness
from copyroom.core.record import PastRun

SIGNS = "KMRSUAPTLOWIHNEDGBFVCXYZ"


def a_run(
    day: int,
    rng: np.random.Generator,
    *,
    learners: int = 12,
    times: dict[str, float] | None = None,
    signs: str = SIGNS,
    length: int = 60,
    delay_s: float = 0.0,
    spread: float = 0.45,
) -> PastRun:
    """Answers about 0.7 s after each sound; now and then one comes late, as when somebody copies behind.

    times : sound -> how many times as long it takes. spread : of the logarithm of times.
    """
    sent = "".join(rng.choice(list(signs), length))
    lags_s, copies = {}, {}
    for i in range(learners):
        usual_s = 0.7 * np.exp(0.3 * np.sin(i))
        factor = np.array([(times or {}).get(sign, 1.0) for sign in sent])
        lags = usual_s * factor * np.exp(rng.normal(0, spread, length))
        lags = lags + delay_s * i + np.where(rng.random(length) < 0.1, rng.exponential(1.5, length), 0.0)
        right = rng.random(length) < 0.85
        copies[f"s{i}"] = "".join(np.where(right, list(sent), "_"))
        lags_s[f"s{i}"] = [float(lag) if ok else None for lag, ok in zip(lags, right, strict=True)]
    return PastRun(day, sent, copies, lags_s=lags_s)


def slow_after(*runs: PastRun) -> Slowness:
    slowness = Slowness()
    for run in runs:
        slowness.take(run)
    return slowness


def test_nothing_is_called_slow_in_a_month_in_which_nothing_is() -> None:
    """Looked at after each of 24 runs, three classes: one false alarm would be one too many."""
    for seed in range(3):
        rng = np.random.default_rng(seed)
        slowness = Slowness()
        for i in range(24):
            slowness.take(a_run(i, rng))
            assert slowness.slow() == ()


def test_sounds_that_take_twice_as_long_are_named_with_how_long() -> None:
    rng = np.random.default_rng(5)
    found = slow_after(*(a_run(i, rng, times={"H": 2.2, "N": 1.7}) for i in range(10))).slow()
    assert [one.sign for one in found] == ["H", "N"]
    assert found[0].times == pytest.approx(2.2, rel=0.2)
    assert found[0].learners == 12
    assert found[0].median_s == pytest.approx(0.7 * 2.2, rel=0.35)


def test_a_little_slower_is_not_slow() -> None:
    rng = np.random.default_rng(6)
    assert slow_after(*(a_run(i, rng, times={"H": (1.0 + SLOWER) / 2}) for i in range(10))).slow() == ()


def test_one_learners_slow_sound_is_not_the_classs() -> None:
    rng = np.random.default_rng(7)
    runs = []
    for i in range(10):
        run, own = a_run(i, rng), a_run(i, rng, learners=1, times={"H": 4.0})
        runs += [run, PastRun(i, own.sent, {"s0": own.copies["s0"]}, lags_s={"s0": own.lags_s["s0"]})]
    assert slow_after(*runs).slow() == ()


def test_a_slow_learner_or_network_makes_no_slow_sound() -> None:
    rng = np.random.default_rng(8)
    assert slow_after(*(a_run(i, rng, delay_s=0.1) for i in range(10))).slow() == ()


def test_wrong_and_timeless_answers_say_nothing_of_time() -> None:
    names = ("s0", "s1", "s2")
    wrong = PastRun(0, "KM" * 10, dict.fromkeys(names, "RR" * 10), lags_s=dict.fromkeys(names, [9.0] * 20))
    none = PastRun(0, "KM" * 10, dict.fromkeys(names, "KM" * 10), lags_s=dict.fromkeys(names, [None] * 20))
    assert slow_after(wrong, none).slow() == ()
    assert slow_after(PastRun(0, "KM" * 10, dict.fromkeys(names, "KM" * 10))).slow() == ()


def test_two_learners_are_too_few() -> None:
    rng = np.random.default_rng(9)
    few = [a_run(i, rng, learners=2, times={"H": 3.0}) for i in range(10)]
    assert slow_after(*few).slow() == ()
