"""Laws of timing, at every speed and for every text."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from copyroom.core.alphabet import BY_ELEMENTS, SYMBOLS
from copyroom.core.bursts import Bursts, Speed, bursts

TEXTS = st.lists(
    st.text(st.sampled_from([one.sign for one in SYMBOLS]), min_size=1, max_size=8), min_size=1, max_size=20
).map(" ".join)


@st.composite
def speeds(draw: st.DrawFn, highest: float = 60) -> Speed:
    wpm = draw(st.floats(5, highest))
    return Speed(wpm, draw(st.floats(1, wpm)))


def decode(timed: Bursts, speed: Speed) -> str:
    """Read a text from nothing but its edges, as a slow and careful listener would."""
    dot, character, word = speed.dot_s, speed.character_space_s, speed.word_space_s
    text, sound = "", ""
    gaps = [*(timed.on_s[1:] - timed.off_s[:-1]), np.inf]
    for length, gap in zip(timed.off_s - timed.on_s, gaps, strict=True):
        sound += "." if length < 2 * dot else "-"
        if gap > (dot + character) / 2:
            text += BY_ELEMENTS[sound].sign + (" " if gap > (character + word) / 2 else "")
            sound = ""
    return text.strip()


@given(TEXTS, speeds())
def test_bursts_decode_back_to_the_text(text, speed):
    assert decode(bursts(text, speed), speed) == text


@given(TEXTS, speeds(highest=30))
def test_doubling_both_speeds_halves_every_duration(text, speed):
    slow = bursts(text, speed)
    fast = bursts(text, Speed(2 * speed.wpm, 2 * speed.overall_wpm))
    np.testing.assert_allclose(2 * fast.on_s, slow.on_s, rtol=1e-12)
    np.testing.assert_allclose(2 * fast.off_s, slow.off_s, rtol=1e-12)


@given(speeds())
def test_one_paris_fills_its_minute_and_spaces_are_three_to_seven(speed):
    """QEX, April 1990 (second-hand): 31 dots + 4 character spaces + 1 word space = 60 s / overall."""
    filled = 31 * speed.dot_s + 4 * speed.character_space_s + speed.word_space_s
    assert np.isclose(filled, 60 / speed.overall_wpm, rtol=1e-12)
    assert np.isclose(3 * speed.word_space_s, 7 * speed.character_space_s, rtol=1e-12)
    assert speed.character_space_s >= 3 * speed.dot_s * (1 - 1e-12)


@given(TEXTS, st.floats(5, 60))
def test_slower_spacing_leaves_every_tone_as_it_is(text, wpm):
    close, wide = bursts(text, Speed(wpm, wpm)), bursts(text, Speed(wpm, wpm / 3))
    np.testing.assert_allclose(wide.off_s - wide.on_s, close.off_s - close.on_s, atol=1e-9)
    np.testing.assert_allclose(wide.end_s - wide.start_s, close.end_s - close.start_s, atol=1e-9)


@given(TEXTS, speeds())
def test_views_of_the_same_tones_agree(text, speed):
    timed = bursts(text, speed)
    groups = text.split(" ")
    assert timed.symbols == "".join(groups)
    assert [i + 1 for i in timed.group_ends] == np.cumsum([len(group) for group in groups])[:-1].tolist()
    assert timed.on_s[0] == 0
    assert timed.first_tone[-1] == len(timed.on_s)
    for i in range(len(timed.symbols)):
        on_s, off_s = timed.tones(i)
        assert (on_s[0], off_s[-1]) == (timed.start_s[i], timed.end_s[i])
    edges_s = np.column_stack((timed.on_s, timed.off_s)).ravel()
    assert np.all(np.diff(edges_s) > 0)
