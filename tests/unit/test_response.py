"""Response times say no more than their numbers carry."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from copyroom.core.response import Asked, Response, responses


def line(sign: str, asked: list[Asked]) -> Response:
    return next(one for one in responses("KRSU", asked) if one.sign == sign)


def answers(sign: str, lags_ms: list[float | None]) -> list[Asked]:
    return [Asked(seat, sign, sign, lag_ms) for seat, lag_ms in enumerate(lags_ms)]


def test_five_times_make_a_median_and_four_do_not() -> None:
    assert line("K", answers("K", [600.0] * 4)).median_ms is None
    assert line("K", answers("K", [400.0, 500.0, 600.0, 900.0, 1500.0])).median_ms == 600.0


@given(lags_ms=st.lists(st.floats(0.0, 5000.0), min_size=5, max_size=40))
def test_median_and_quartiles_are_those_of_the_reference_library(lags_ms: list[float]) -> None:
    found = line("K", answers("K", list(lags_ms)))
    low, median, high = np.percentile(lags_ms, [25, 50, 75])
    assert [found.low_ms, found.median_ms, found.high_ms] == pytest.approx([low, median, high])


def test_only_right_answers_have_a_time_and_a_cut_one_has_none() -> None:
    asked = [
        Asked(1, "K", "R", 100.0),
        Asked(2, "K", "_", 100.0),
        Asked(3, "K", "", None),
        Asked(4, "K", "K", None),
        Asked(5, "K", "K", 800.0),
    ]
    found = line("K", asked)
    assert found.lags_ms == (800.0,)
    assert (found.asked, found.right, found.another, found.blank) == (5, 2, 1, 1)


def test_an_answer_before_the_end_of_the_sound_took_no_time() -> None:
    assert line("K", answers("K", [-120.0])).lags_ms == (0.0,)


def test_right_but_slow_is_not_mixed_up() -> None:
    found = line("K", answers("K", [1200.0] * 8))
    assert (found.slow, found.mixed) == (True, False)


def test_slow_and_mixed_up_is_both() -> None:
    wrong = [Asked(seat, "K", "R", 1500.0) for seat in range(8)]
    asked = [*wrong, *answers("K", [1300.0] * 8), *answers("K", [1400.0] * 8)]
    found = line("K", asked)
    assert (found.slow, found.mixed) == (True, True)


def test_a_few_slips_are_not_called_mixed_up() -> None:
    asked = [*answers("K", [600.0] * 12), *answers("K", [700.0] * 12), Asked(0, "K", "R", 500.0)]
    assert not line("K", asked).mixed


def test_one_learner_who_always_writes_another_makes_no_class_mixed_up() -> None:
    """Their answers hang together: eight from one are not eight from eight."""
    asked = [Asked(0, "K", "R", 500.0)] * 8
    for _ in range(8):
        asked += [Asked(seat, "K", "K", 600.0) for seat in range(1, 8)]
    assert not line("K", asked).mixed


def test_every_symbol_has_a_line_in_the_given_order_asked_or_not() -> None:
    found = responses("KRSU", [])
    assert [one.sign for one in found] == list("KRSU")
    assert all(one.asked == 0 and one.median_ms is None for one in found)
