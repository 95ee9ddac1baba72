"""Reading what a hand sends: ideal edges, simulated hands (assumptions, not persons), the fist.

Ideal lengths: Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2 (dash 3 dots, gap inside a letter 1,
between letters 3, between words 7), by way of `core.bursts`, which is held against it in test_bursts.
"""

from __future__ import annotations

import time

import numpy as np
import pytest
from rapidfuzz.distance import Levenshtein

from bench.hands import SENT, Hand, keyed_by, random_text
from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.keying import Keyed, keyed, read, read_in_slices

SEED = 12
"""Of every test that does not name its own."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def error_rate(hands: list[Hand], rng: np.random.Generator, lengths: tuple[int, int] = (20, 40)) -> float:
    """Edits by symbols sent, spaces kept apart."""
    edits = symbols = 0
    for hand in hands:
        text = random_text(rng, int(rng.integers(*lengths)))
        sent, got = text.replace(" ", ""), read(keyed_by(hand, text, rng)).text.replace(" ", "")
        edits += Levenshtein.distance(sent, got)
        symbols += len(sent)
    return edits / symbols


def hands(rng: np.random.Generator, count: int, jitter: float) -> list[Hand]:
    return [
        Hand(wpm=rng.uniform(8, 30), jitter=jitter, ratio=rng.uniform(2.5, 4), drift=rng.choice([-0.2, 0.2]))
        for _ in range(count)
    ]


@pytest.mark.parametrize("wpm", [5, 8, 13, 20, 28, 40])
def test_ideal_edges_are_read_without_error_at_any_speed(wpm):
    rng = np.random.default_rng(wpm)
    for length, group in ((3, 0), (12, 1), (20, 0), (20, 5)):
        text = random_text(rng, length, group)
        assert read(keyed_by(Hand(wpm=wpm), text, rng)).text.replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(("wpm", "overall"), [(18, 5), (18, 6), (18, 10), (20, 15), (25, 12)])
def test_two_speeds_are_read_without_error_with_their_spaces(wpm, overall):
    rng = np.random.default_rng(wpm + overall)
    text = random_text(rng, 40)
    assert read(keyed_by(Hand(wpm=wpm, overall_wpm=overall), text, rng)).text == text


def test_every_symbol_is_read():
    text = "".join(one.sign for one in RECOMMENDED)
    reading = read(keyed_by(Hand(), text, np.random.default_rng(SEED)))
    assert reading.text == text
    assert min(reading.confidence) > 0.99


@pytest.mark.parametrize("signs", ["ET", "EISH5", "TMO0", "ETIMA"])
def test_texts_of_few_elements_are_read_too(signs):
    rng = np.random.default_rng(SEED)
    text = random_text(rng, 30, 5, signs)
    assert read(keyed_by(Hand(wpm=13), text, rng)).text == text


@pytest.mark.parametrize(("jitter", "limit"), [(0.10, 0.005), (0.15, 0.01), (0.25, 0.09)])
def test_an_unsteady_hand_is_read_within_limits(jitter, limit):
    """Six texts; the bench has two hundred, and 0.1 and 5 % at the last two."""
    rng = np.random.default_rng(SEED)
    assert error_rate(hands(rng, 6, jitter), rng) <= limit


def test_a_long_text_whose_speed_comes_and_goes_is_followed():
    rng = np.random.default_rng(SEED)
    assert error_rate([Hand(jitter=0.15, drift=0.4, waves=2)], rng, (250, 251)) <= 0.01


def test_naming_the_symbols_in_play_helps():
    rng = np.random.default_rng(SEED)
    right = {"": 0, "KMRSUAPT": 0}
    for hand in hands(rng, 3, 0.25):
        text = random_text(rng, 40, 5, "KMRSUAPT")
        tones = keyed_by(hand, text, rng)
        for symbols in right:
            got = read(tones, symbols).text
            right[symbols] -= Levenshtein.distance(text.replace(" ", ""), got.replace(" ", ""))
    assert right["KMRSUAPT"] > right[""]


def test_tones_that_the_symbols_in_play_cannot_make_up_are_read_all_the_same():
    rng = np.random.default_rng(SEED)
    assert read(keyed_by(Hand(), "OSO E", rng), "O").text == "OSO E"
    with pytest.raises(ValueError, match="not a symbol"):
        read(keyed_by(Hand(), "E", rng), "À")


def test_confidence_is_near_the_share_that_is_right():
    """Summed over symbols, where text and reading are equally long."""
    rng = np.random.default_rng(SEED)
    right: list[bool] = []
    sure: list[float] = []
    for hand in hands(rng, 6, 0.25):
        text = random_text(rng, 40, 0)
        reading = read(keyed_by(hand, text, rng))
        if len(reading.text.replace(" ", "")) == len(text):
            right += [a == b for a, b in zip(text, reading.text.replace(" ", ""), strict=True)]
            sure += reading.confidence
    assert len(right) >= 120
    assert np.mean(sure) == pytest.approx(np.mean(right), abs=0.06)
    wrong = [one for one, good in zip(sure, right, strict=True) if not good]
    assert np.mean(wrong) < np.mean(sure) - 0.05


def test_a_whole_turn_is_read_in_short_slices():
    """A slice's time is the lesser of two runs': what a collection of garbage takes is not its own."""
    rng = np.random.default_rng(SEED)
    tones = keyed_by(Hand(jitter=0.1), random_text(rng, 250), rng)
    assert len(tones.on_s) > 1000
    took = np.min([slice_times(tones) for _ in range(2)], axis=0)
    assert max(took) < 0.25 * sum(took), took


def slice_times(tones: Keyed) -> list[float]:
    took, ended = [], None
    slices = read_in_slices(tones)
    while ended is None:
        start = time.thread_time()
        ended = next(slices, "ended")
        took.append(time.thread_time() - start)
    return took


def test_nothing_sent_is_an_empty_text():
    reading = read(keyed([]))
    assert (reading.text, reading.confidence, reading.fist) == ("", (), None)


def test_tones_that_touch_are_one_and_order_does_not_matter():
    tones = keyed([(0.5, 0.6), (0.0, 0.1), (0.1, 0.3)])
    assert tones.on_s.tolist() == [0.0, 0.5]
    assert tones.off_s.tolist() == [0.3, 0.6]


@pytest.mark.parametrize(
    ("tones", "said"),
    [
        ([(0.0, float("nan"))], "finite"),
        ([(1.0, 0.5)], "must end after"),
        ([(1.0, 1.0)], "must end after"),
        ([(0.0, 1.0), (0.5, 2.0)], "overlaps"),
    ],
)
def test_impossible_tones_are_refused_in_a_sentence(tones, said):
    with pytest.raises(ValueError, match=rf"^[A-Z].*{said}.*\.$"):
        keyed(tones)


def test_the_fist_of_a_machine_is_the_recommendations():
    fist = read(keyed_by(Hand(wpm=20), "PARIS " * 5 + "PARIS", np.random.default_rng(SEED))).fist
    assert (fist.dit_s, fist.dah_s, fist.inside_s) == pytest.approx((0.06, 0.18, 0.06))
    assert (fist.ratio, fist.inside, fist.letter, fist.word) == pytest.approx((3, 1, 3, 7))
    assert (fist.wpm, fist.overall_wpm) == pytest.approx((20, 20))
    assert (fist.spread, fist.drift) == pytest.approx((0, 1), abs=1e-6)
    assert (fist.fault, fist.advice) == ("", "")
    assert fist.praise


def test_the_fist_tells_two_speeds_apart():
    fist = read(
        keyed_by(Hand(wpm=18, overall_wpm=8), "PARIS " * 5 + "PARIS", np.random.default_rng(SEED))
    ).fist
    assert (fist.wpm, fist.overall_wpm) == pytest.approx((18, 8), rel=0.001)
    assert fist.word / fist.letter == pytest.approx(7 / 3)
    assert fist.fault == ""


@pytest.mark.parametrize("seed", range(3))
def test_the_fists_figures_are_those_the_hand_was_made_with(seed):
    rng = np.random.default_rng(seed)
    hand = Hand(wpm=15, jitter=0.1, ratio=3.6, inside=1.2, letter=0.9, word=1.1)
    fist = read(keyed_by(hand, random_text(rng, 80), rng)).fist
    assert fist.ratio == pytest.approx(3.6, rel=0.06)
    assert fist.inside_s == pytest.approx(0.08 * 1.2, rel=0.06)
    assert fist.letter_s == pytest.approx(0.08 * 2.7, rel=0.06)
    assert fist.word_s == pytest.approx(0.08 * 7.7, rel=0.1)
    assert fist.spread == pytest.approx(0.1, rel=0.15)
    assert fist.drift == pytest.approx(1, rel=0.08)


FAULTY = {
    "inside long": Hand(jitter=0.08, inside=1.9),
    "inside short": Hand(jitter=0.08, inside=0.45),
    "letters close": Hand(jitter=0.08, letter=0.5),
    "words close": Hand(jitter=0.08, word=0.57),
    "words far": Hand(jitter=0.08, word=2.6),
    "dahs short": Hand(jitter=0.08, ratio=2.0),
    "dahs long": Hand(jitter=0.08, ratio=5.2),
    "unsteady": Hand(jitter=0.3),
    "slower": Hand(jitter=0.08, drift=0.6),
    "faster": Hand(jitter=0.08, drift=-0.6),
}


@pytest.mark.parametrize(("fault", "hand"), FAULTY.items(), ids=FAULTY)
def test_each_fault_is_named(fault, hand):
    rng = np.random.default_rng(SEED)
    fist = read(keyed_by(hand, random_text(rng, 80, 5, LETTERS), rng)).fist
    assert fist.fault == fault, fist
    assert fist.advice.endswith(".")
    assert fist.advice.count(".") == 1


def test_gaps_inside_as_long_as_between_are_called_so():
    rng = np.random.default_rng(SEED)
    hand = Hand(jitter=0.03, inside=1.6, letter=0.7)
    fist = read(keyed_by(hand, random_text(rng, 80, 5, LETTERS), rng)).fist
    assert fist.advice == "Your gaps inside letters are as long as those between letters."


def test_a_good_hand_is_seldom_blamed():
    """With nothing to be found, faults are named in none of ten texts, at usual unsteadiness."""
    rng = np.random.default_rng(SEED)
    blamed = []
    for _ in range(10):
        hand = Hand(wpm=rng.uniform(8, 30), jitter=rng.uniform(0.03, 0.15), ratio=rng.uniform(2.6, 3.8))
        fist = read(keyed_by(hand, random_text(rng, 20), rng)).fist
        assert fist.praise
        blamed.append(fist.fault)
    assert not any(blamed), blamed


def test_short_texts_are_read_as_far_as_they_can_be_known():
    rng = np.random.default_rng(SEED)
    for length in (1, 2, 3, 4, 5):
        text = random_text(rng, length, 0, SENT)
        assert read(keyed_by(Hand(wpm=14), text, rng)).text == text
