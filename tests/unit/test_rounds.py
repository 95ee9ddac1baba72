"""Rounds: what comes when, and whose turn it is."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from copyroom.core.bursts import Speed
from copyroom.core.rounds import NAME_S, begins_ms, deal, in_turn, meeting_gap_s, meeting_s

seats = st.integers(1, 9)


@given(seed=st.integers(0, 1000), symbols=st.integers(3, 12), count=st.integers(12, 60))
def test_no_sound_comes_three_times_running(seed: int, symbols: int, count: int) -> None:
    text = deal("ABCDEFGHIJKL"[:symbols], "", count, np.random.default_rng(seed))
    assert len(text) == count
    assert all(len(set(text[i : i + 3])) > 1 for i in range(count - 2))


def test_what_comes_next_cannot_be_told_from_what_came() -> None:
    """Of two sounds that came equally often so far, the next is either: no strict alternation."""
    rng = np.random.default_rng(5)
    text = deal("KR", "", 4000, rng)
    again = np.mean([a == b for a, b in itertools.pairwise(text)])
    assert 0.25 < again < 0.75


def test_each_sound_begins_a_silence_after_the_one_before() -> None:
    assert begins_ms(np.array([100.0, 300.0, 50.0]), 4000.0) == (0.0, 4100.0, 8400.0)


def test_turns_go_round_in_order_of_the_seats() -> None:
    assert in_turn((), 0, [5, 2, 9], 5) == (2, 5, 9, 2, 5)
    assert in_turn((9, 2), 2, [2, 5, 9], 4) == (9, 2, 5, 9)
    assert in_turn((), 0, [], 4) == ()


@given(queue=st.lists(seats, max_size=6), last=st.integers(0, 9), here=st.sets(seats, min_size=1))
def test_whoever_is_told_of_a_turn_keeps_it_and_nobody_who_is_away_has_one(
    queue: list[int], last: int, here: set[int]
) -> None:
    turns = in_turn(queue, last, here, 8)
    kept = [seat for seat in queue if seat in here]
    assert list(turns[: len(kept)]) == kept
    assert set(turns) <= here
    assert len(turns) == 8


@given(here=st.sets(seats, min_size=1), last=st.integers(0, 9))
def test_nobody_has_a_second_turn_before_all_have_had_one(here: set[int], last: int) -> None:
    turns = in_turn((), last, here, len(here))
    assert sorted(turns) == sorted(here)


def test_a_symbol_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="not a symbol"):
        deal("K#", "", 12, np.random.default_rng(0))


def test_a_new_sound_has_two_seconds_before_its_name_or_what_the_class_has_between_sounds() -> None:
    """At 3 wpm overall: 60 s / 3 less the 31 dots of PARIS, over its 19 units of space, three a character."""
    assert meeting_gap_s(Speed(20.0, 20.0)) == 2.0
    assert meeting_gap_s(Speed(18.0, 3.0)) == pytest.approx(3 * (60 / 3 - 31 * 1.2 / 18) / 19)


def test_a_meeting_lasts_for_all_its_sounds_with_their_gaps_and_names() -> None:
    """K is 9 dots long (Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2), E one."""
    dot_s = 1.2 / 20.0
    assert meeting_s("KKE K", Speed(20.0, 20.0)) == pytest.approx(28 * dot_s + 4 * (2.0 + NAME_S))
