"""Rows with an odd one: flat chances at every place, equal distances, hands that go to the right sound."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chisquare

from copyroom.core.bursts import Speed, bursts
from copyroom.core.odd_rows import (
    ODD_ONES,
    REACTION_MS,
    ROW_PAUSE_MS,
    Row,
    begins_ms,
    drawn,
    place_of,
    rows_of,
)

SPEED = Speed(20.0, 10.0)
TWO = (Row("F", "L", (2,), 0, 4, 1000.0), Row("L", "F", (5,), 4, 8, 1000.0))
BEGINS = begins_ms(TWO)
ON = REACTION_MS + 1.0
"""A hand just late enough for the sound that began then."""


@pytest.mark.parametrize("sounds", [6, 12])
def test_every_place_but_the_first_is_odd_equally_often(sounds: int) -> None:
    """4,000 rows; a flat chance passes a chi-square test, and the counts of odd ones are those promised."""
    rows = drawn(["FL"], 4000, sounds, np.random.default_rng(7))
    at = np.bincount([place for _, places in rows for place in places], minlength=sounds)
    assert at[0] == 0
    assert chisquare(at[1:]).pvalue > 0.001
    how_many = np.bincount([len(places) for _, places in rows], minlength=3)
    assert chisquare(how_many, [4000 * share for share in ODD_ONES.values()]).pvalue > 0.001


def test_a_deaf_guesser_with_any_plan_hits_no_more_than_chance() -> None:
    """Whoever learns from many rows which place is best to raise a hand at hits no more in the next rows."""
    rows = drawn(["FL"], 20_000, 12, np.random.default_rng(8))
    odd = np.zeros((len(rows), 12))
    for k, (_, places) in enumerate(rows):
        odd[k, places] = 1.0
    half = len(rows) // 2
    best = 1 + int(odd[:half, 1:].sum(axis=0).argmax())
    share, of_all = odd[half:, best].mean(), odd[half:, 1:].mean()
    assert abs(share - of_all) < 4 * np.sqrt(of_all * (1 - of_all) / half)


def test_of_two_rows_of_a_pair_one_has_an_odd_one_at_any_place_alike() -> None:
    rng = np.random.default_rng(11)
    at = np.zeros(6)
    none = 0
    for _ in range(3000):
        rows = drawn(["FL"], 2, 6, rng)
        assert any(places for _, places in rows)
        none += sum(not places for _, places in rows)
        for _, places in rows:
            at[places] += 1
    assert none > 500
    assert at[0] == 0
    assert chisquare(at[1:]).pvalue > 0.001
    assert any(drawn(["FL"], 1, 6, rng)[0][1] == [] for _ in range(50)), "one row alone may have none"


def test_rows_of_all_pairs_come_in_any_order() -> None:
    rows = drawn(["FL", "LF", "YX"], 4, 12, np.random.default_rng(3))
    assert sorted(pair for pair, _ in rows) == sorted(["FL", "LF", "YX"] * 4)
    assert [pair for pair, _ in rows] != sorted(pair for pair, _ in rows)


def test_nothing_but_the_sound_tells_the_odd_one() -> None:
    rows = rows_of([("E0", [3]), ("0E", [1, 4])], 6, 1.2, SPEED)
    assert [row.text for row in rows] == ["000E00", "E0EE0E"]
    begins = begins_ms(rows)
    longer_ms = bursts("0", SPEED).duration_s * 1000.0
    for row in rows:
        assert np.diff(begins[row.first : row.stop]) == pytest.approx(longer_ms + 1200.0)
    assert begins[6] - begins[5] == pytest.approx(longer_ms + 1200.0 + ROW_PAUSE_MS)


@pytest.mark.parametrize(
    ("at_ms", "place"),
    [
        (-500.0, None),
        (0.0, None),
        (REACTION_MS - 1.0, None),
        (ON, 0),
        (1000.0 + REACTION_MS - 1.0, 0),
        (1000.0 + ON, 1),
        (3000.0 + ON, 3),
        (4000.0 + REACTION_MS - 1.0, 3),
        (4000.0 + ON, None),  # in the pause between two rows
        (4000.0 + ROW_PAUSE_MS + ON, 4),
        (7000.0 + ROW_PAUSE_MS + ON, 7),
        (1e7, None),
    ],
)
def test_a_hand_is_for_the_last_sound_that_one_can_have_reacted_to(at_ms: float, place: int | None) -> None:
    assert place_of(at_ms, TWO, BEGINS, [], None) == place


def test_after_a_pause_a_hand_is_for_what_sounded_by_then() -> None:
    """A pause in the third sound; it comes again at 9 s. What comes after it had not begun before."""
    shifts = [(2, 7000.0)]

    def place(at_ms: float, halted_ms: float | None = None) -> int | None:
        return place_of(at_ms, TWO, BEGINS, shifts if halted_ms is None else [], halted_ms)

    for halted in (2050.0, None):  # as the hand comes in while all is silent, or long after
        assert place(1000.0 + ON, halted) == 1
        assert place(2000.0 + ON, halted) == 2
        assert place(3900.0, halted) == 2
    assert place(3000.0 + ON, 2050.0) == 2
    assert place(9000.0 + ON) == 2
    assert place(10_000.0 + ON) == 3
    assert place(11_000.0 + ON) is None
    twice = [(2, 7000.0), (3, 20_000.0)]
    assert place_of(9000.0 + ON, TWO, BEGINS, twice, None) == 2
    assert place_of(23_000.0 + ON, TWO, BEGINS, twice, None) == 3
