"""Timing: against the recommendation's units, sourced figures, and figures worked out by hand."""

from fractions import Fraction

import numpy as np
import pytest

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.bursts import Speed, bursts

# Worked out apart from the program, by the formulas of J. Bloom, "A Standard for Morse Timing Using the
# Farnsworth Technique", QEX, April 1990 (second-hand); the article's own figures were not at hand. Characters
# wpm, overall wpm; dot, spacing of one PARIS, character space, word space in seconds, rounded to 1 ms.
TWO_SPEEDS = [
    (18, 5, 0.067, 9.933, 1.568, 3.660),
    (18, 10, 0.067, 3.933, 0.621, 1.449),
    (18, 13, 0.067, 2.549, 0.402, 0.939),
    (18, 18, 0.067, 1.267, 0.200, 0.467),
    (20, 5, 0.060, 10.140, 1.601, 3.736),
    (20, 10, 0.060, 4.140, 0.654, 1.525),
    (20, 13, 0.060, 2.755, 0.435, 1.015),
    (15, 5, 0.080, 9.520, 1.503, 3.507),
    (12, 5, 0.100, 8.900, 1.405, 3.279),
    (13, 5, 0.092, 9.138, 1.443, 3.367),
    (25, 12, 0.048, 3.512, 0.555, 1.294),
]
DOT_MS = {5: 240, 8: 150, 10: 120, 12: 100, 13: 92.308, 15: 80, 18: 66.667, 20: 60, 25: 48, 30: 40, 40: 30}
UNIT = Speed(12, 12)
"""A dot is 100 ms."""


def units(text: str) -> float:
    """Length of a text with the word space behind it, in dots."""
    return bursts(text, UNIT).duration_s / 0.1 + 7


def test_paris_is_50_units():
    """By hand: P 11, A 5, R 7, I 3, S 5 units, four spaces of 3 and one of 7. It is the standard word of the
    speed in wpm (common practice)."""
    assert units("PARIS") == pytest.approx(50)


def test_codex_is_60_units():
    """By hand: C 11, O 11, D 7, E 1, X 11 units, four spaces of 3 and one of 7. It stands for groups that are
    no words (common practice)."""
    assert units("CODEX") == pytest.approx(60)


@pytest.mark.parametrize("one", SYMBOLS, ids=lambda one: one.name)
def test_symbol_with_its_space_follows_gilberts_formula(one):
    """2 + 2 dots + 4 dashes: E. N. Gilbert, "How Good is Morse Code?", Inf. and Control 14, 1969."""
    length = bursts(one.sign, UNIT).duration_s / 0.1 + 3
    assert length == pytest.approx(2 + 2 * one.elements.count(".") + 4 * one.elements.count("-"))


@pytest.mark.parametrize(
    ("symbols", "mean_sound", "mean_group"),
    [("ABCDEFGHIJKLMNOPQRSTUVWXYZ", 8.231, 60.15), ("0123456789", 14, 89)],
)
def test_mean_sound_and_group_of_five_have_the_tables_mean_length(symbols, mean_sound, mean_group):
    """By hand from the table of Recommendation ITU-R M.1677-1 (10/2009); the group with its word space."""
    assert np.mean([units(sign) - 7 for sign in symbols]) == pytest.approx(mean_sound, abs=0.0005)
    around = symbols + symbols[:4]
    groups = [around[i : i + 5] for i in range(len(symbols))]
    assert np.mean([units(group) for group in groups]) == pytest.approx(mean_group, abs=0.005)


@pytest.mark.parametrize(("wpm", "dot_ms"), DOT_MS.items())
def test_dot_lasts_1200_ms_by_wpm(wpm, dot_ms):
    assert Speed(wpm, wpm).dot_s * 1000 == pytest.approx(dot_ms, abs=0.0005)


@pytest.mark.parametrize(("wpm", "overall", "dot", "spacing", "character", "word"), TWO_SPEEDS)
def test_two_speeds_give_the_spaces_of_the_formula(wpm, overall, dot, spacing, character, word):
    speed = Speed(wpm, overall)
    got = [speed.dot_s, 19 * speed.space_unit_s, speed.character_space_s, speed.word_space_s]
    assert got == pytest.approx([dot, spacing, character, word], abs=0.00051)


@pytest.mark.parametrize(("factor", "hertz"), [(5, 83.3), (3, 50.0)])
def test_twenty_wpm_take_the_published_bandwidth(factor, hertz):
    """W. G. Pierpont, The Art and Skill of Radio-Telegraphy, 2nd rev. ed., ch. 24: 83.3 and 50 Hz at 20 wpm,
    which are K times the dots a second; K = 5 and 3 are those of 47 CFR 2.202(g)."""
    assert factor / Speed(20, 20).dot_s == pytest.approx(hertz, abs=0.05)


@pytest.mark.parametrize(("wpm", "overall"), [row[:2] for row in TWO_SPEEDS])
def test_only_the_spaces_stretch_and_keep_three_to_seven(wpm, overall):
    slow, full = Speed(wpm, overall), Speed(wpm, wpm)
    assert 31 * slow.dot_s + 19 * slow.space_unit_s == pytest.approx(60 / overall, rel=1e-12)
    assert slow.word_space_s / slow.character_space_s == pytest.approx(7 / 3, rel=1e-12)
    assert (full.character_space_s, full.word_space_s) == pytest.approx((3 * full.dot_s, 7 * full.dot_s))
    assert slow.dot_s == full.dot_s


@pytest.mark.parametrize(("wpm", "overall"), [row[:2] for row in TWO_SPEEDS])
def test_paris_comes_as_often_as_the_overall_speed_says(wpm, overall):
    timed = bursts("PARIS PARIS", Speed(wpm, overall))
    assert timed.start_s[5] - timed.start_s[0] == pytest.approx(60 / overall)


def test_edges_of_a_short_text_stand_where_the_recommendation_puts_them():
    """Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2: dot 1, dash 3, inside 1, between characters
    3, between words 7 units."""
    timed = bursts("AN T", UNIT)
    assert timed.on_s / 0.1 == pytest.approx([0, 2, 8, 12, 20])
    assert timed.off_s / 0.1 == pytest.approx([1, 5, 11, 13, 23])
    assert timed.symbols == "ANT"
    assert timed.group_ends == (1,)
    assert timed.start_s / 0.1 == pytest.approx([0, 8, 20])
    assert timed.end_s / 0.1 == pytest.approx([5, 13, 23])
    assert [tones.tolist() for tones in timed.tones(2)] == [[timed.on_s[4]], [timed.off_s[4]]]


def test_an_hour_ends_on_time():
    """780 PARIS at 20/13 wpm against exact fractions: nothing adds up to as much as a nanosecond."""
    timed = bursts(" ".join(["PARIS"] * 780), Speed(20, 13))
    dot, word = Fraction(6, 100), Fraction(60, 13)
    exact = 780 * word - 7 * (word - 31 * dot) / 19
    assert timed.duration_s > 3590
    assert abs(timed.duration_s - float(exact)) < 1e-9


@pytest.mark.parametrize(
    ("wpm", "overall"), [(4.9, 4), (60.1, 20), (20, 20.1), (20, 0.9), (float("nan"), 5), (20, float("nan"))]
)
def test_speed_out_of_range_is_refused_in_a_sentence(wpm, overall):
    with pytest.raises(ValueError, match=r"^The (character|overall) speed must be .*\.$"):
        Speed(wpm, overall)


@pytest.mark.parametrize("text", ["", " ", "A  B", " A", "A ", "a", "A_B", "A\nB"])
def test_what_is_not_a_normalised_text_is_refused(text):
    with pytest.raises(ValueError, match=r"not a (normalised text|symbol)"):
        bursts(text, UNIT)


def test_bursts_cannot_be_changed_by_one_of_those_who_share_them():
    with pytest.raises(ValueError, match="read-only"):
        bursts("E", UNIT).on_s[0] = 1
