"""Texts to be copied."""

import re
from collections import Counter
from importlib.resources import files
from itertools import groupby, pairwise

import numpy as np
import pytest

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.composition import (
    figures,
    known_words,
    meet,
    mixed_groups,
    one_symbol,
    practice_calls,
    tell_apart,
)
from copyroom.core.draws import LONGEST_WAIT

ALL = "".join(one.sign for one in RECOMMENDED)
ALPHANUMERIC = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
WORDS = files("copyroom.core").joinpath("words.txt").read_text(encoding="ascii").split()


def rng(seed: int) -> np.random.Generator:
    return np.random.default_rng(seed)


def longest_run(sounds: str) -> int:
    return max(len(list(run)) for _, run in groupby(sounds))


def longest_wait(sounds: str) -> int:
    """Most sounds between two hearings of any symbol, counting the text's two ends."""
    waits = []
    for sign in set(sounds):
        heard = [-1, *(i for i, sound in enumerate(sounds) if sound == sign), len(sounds)]
        waits.append(max(later - earlier - 1 for earlier, later in pairwise(heard)))
    return max(waits)


@pytest.mark.parametrize("known", [3, 5, 10, 26, 55])
def test_no_symbol_waits_long_or_comes_three_times_running(known):
    symbols = ALL[:known]
    for seed in range(8):
        sounds = mixed_groups(symbols, known * 10, rng(seed)).replace(" ", "")
        assert set(sounds) == set(symbols), seed
        # Those due at once come one after the other.
        assert longest_wait(sounds) <= (LONGEST_WAIT + 1) * known, seed
        assert longest_run(sounds) <= 2, seed


def test_blind_drawing_would_leave_symbols_waiting():
    """Control: what `mixed_groups` promises is not what chance gives."""
    symbols = ALL[:26]
    blind = ["".join(rng(seed).choice(list(symbols), 260)) for seed in range(50)]
    assert sum(longest_wait(sounds) > (LONGEST_WAIT + 1) * 26 for sounds in blind) > 5


def test_weights_are_kept_as_far_as_chance_allows():
    """Of one in three, one in nine would come a third time running: those go to the others."""
    counts = Counter(mixed_groups("KMRSU", 3000, rng(1), weights=[1, 1, 2, 1, 1]).replace(" ", ""))
    assert counts["R"] == pytest.approx(1000, rel=0.1)
    assert [counts[sign] for sign in "KMSU"] == pytest.approx([500] * 4, rel=0.1)


def test_symbol_of_no_weight_stays_away():
    assert "M" not in mixed_groups("KMR", 100, rng(1), weights=[1, 0, 1])


def test_groups_have_five_sounds_and_the_last_what_is_left():
    assert [len(group) for group in mixed_groups("KM", 12, rng(0)).split()] == [5, 5, 2]
    assert [len(group) for group in figures(7, rng(0), group=3).split()] == [3, 3, 1]


def test_same_seed_gives_the_same_text():
    assert mixed_groups(ALL, 100, rng(7)) == mixed_groups(ALL, 100, rng(7))
    assert mixed_groups(ALL, 100, rng(7)) != mixed_groups(ALL, 100, rng(8))


def test_contrast_drill_cannot_be_foreseen_from_the_sound_before():
    """Of two sounds, the same one follows itself nearly as often as a coin would have it."""
    repeats = []
    for seed in range(40):
        sounds = tell_apart("DK", 40, rng(seed)).replace(" ", "")
        assert abs(sounds.count("D") - 20) <= 9, seed
        assert longest_run(sounds) <= 5, seed
        repeats += [earlier == later for earlier, later in pairwise(sounds)]
    assert 0.38 <= np.mean(repeats) <= 0.5


def test_one_symbol_is_sent_alone():
    assert one_symbol("␄", 7) == "␄␄␄␄␄ ␄␄"


def test_known_words_are_listed_ones_made_of_known_symbols():
    for seed in range(20):
        text = known_words(WORDS, "ETANIMSO", 60, rng(seed))
        assert set(text.split()) <= set(WORDS)
        assert set(text) <= set("ETANIMSO ")
        assert 57 <= len(text.replace(" ", "")) <= 60


def test_word_comes_again_only_when_all_have_been_used():
    words = known_words(["TO", "NO", "ON", "SUN"], "TON", 12, rng(0)).split()
    assert sorted(words[:3]) == sorted(words[3:]) == ["NO", "ON", "TO"]


def test_no_word_to_be_made_is_said_plainly():
    with pytest.raises(ValueError, match="No word of the list is made of KM alone"):
        known_words(WORDS, "MK", 10, rng(0))


def test_word_list_is_plain_common_and_clean():
    assert 3000 <= len(WORDS) <= 6000
    assert len(set(WORDS)) == len(WORDS)
    assert all(
        word.isascii() and word.isalpha() and word.isupper() and 1 <= len(word) <= 10 for word in WORDS
    )
    assert {"THE", "AND", "WATER", "FRIEND"} <= set(WORDS)
    assert not {"KILL", "RAPE", "DAMN", "NAKED", "DRUNK", "GUN"} & set(WORDS)


def test_word_list_has_its_first_level_first_and_short_words_first_in_each():
    lengths = [len(word) for word in WORDS]
    falls = [i for i, (one, other) in enumerate(pairwise(lengths)) if other < one]
    assert WORDS[:2] == ["A", "I"]
    assert len(falls) == 1
    # Second level 20 of the list holds such words, level 10 does not (read in SCOWL 2020.12.07).
    assert WORDS.index("OAR") > falls[0] >= WORDS.index("DIFFICULTY")


def test_useful_words_come_more_often_and_rare_sounds_have_their_words():
    texts = [known_words(WORDS, "ETANIMSOJ", 30, rng(seed)) for seed in range(150)]
    chosen = [word for text in texts for word in text.split()]
    able = [word for word in WORDS if set(word) <= set("ETANIMSOJ")]
    assert np.mean([word in able[:30] for word in chosen]) > 2 * 30 / len(able)
    heard, written = "".join(chosen), "".join(able)
    assert heard.count("J") / len(heard) > 1.3 * written.count("J") / len(written)


def test_licence_of_the_word_list_lies_beside_it():
    notice = files("copyroom.core").joinpath("words.LICENSE.txt").read_text(encoding="utf-8")
    assert "release 2020.12.07" in notice
    years = re.findall(r"Copyright (\d{4}-\d{4}) by", notice)
    assert years == ["2000-2018"] * 2  # as in Debian's wamerican 2020.12.07
    assert "this permission notice appear in" in notice


# Radio Regulations 19.68 and Appendix 42 (second-hand), written as a pattern without the program's table.
ONE_CHARACTER = set("BFGIKMNRW")


@pytest.mark.parametrize("symbols", [ALPHANUMERIC, "KM2", "ABCDE3457"])
def test_practice_calls_have_the_form_of_the_regulations(symbols):
    for seed in range(20):
        for call in practice_calls(symbols, 60, rng(seed)).split():
            figure = max(i for i, sign in enumerate(call) if sign.isdigit())
            prefix, suffix = call[:figure], call[figure + 1 :]
            assert len(prefix) == 2 or prefix in ONE_CHARACTER, call
            assert any(sign.isalpha() for sign in prefix), call
            assert prefix[0] not in "01Q", call
            assert not set(call) & set("01"), call
            assert 1 <= len(suffix) <= 4, call
            assert suffix.isalpha(), call
            assert set(call) <= set(symbols), call


def test_practice_call_never_ends_in_a_distress_signal_or_service_abbreviation():
    """Radio Regulations 19.47 and 19.48 (second-hand)."""
    suffixes = {call[3:] for call in practice_calls("SOQ2", 2000, rng(0)).split() if call[2] == "2"}
    assert {"SSO", "OSO"} <= suffixes
    assert not {"SOS", "QSO", "QSS"} & suffixes


# First and last of some rows of Appendix 42 (ITU export, second-hand); and what no row holds.
@pytest.mark.parametrize(
    "prefix", ["2A", "3A", "4X", "9Z", "A2", "E7", "H9", "J8", "LA", "S9", "V8", "YY", "Z8"]
)
def test_allocated_prefix_occurs(prefix):
    heard = {call[:2] for call in practice_calls(prefix + "5", 4000, rng(0)).split() if call[2].isdigit()}
    assert prefix in heard


def test_common_prefixes_come_often_and_rare_ones_now_and_then():
    calls = practice_calls(ALPHANUMERIC, 12_000, rng(1)).split()
    prefixes = Counter(re.match(r"(.\D?|\d\D)(?=\d)", call)[0] for call in calls)
    assert prefixes["DL"] > 5 * prefixes["3A"]
    assert 0.05 < sum(n for prefix, n in prefixes.items() if n < 8) / len(calls) < 0.4
    assert len(prefixes) > 200


@pytest.mark.parametrize("symbols", ["Q01", "Q", "KM", "234", "K01", ""])
def test_symbols_that_make_no_call_are_refused(symbols):
    with pytest.raises(ValueError, match="needs at least one letter and one figure"):
        practice_calls(symbols, 20, rng(0))


@pytest.mark.parametrize("count", [0, -1])
def test_text_of_no_sounds_is_refused(count):
    for make in (
        lambda: mixed_groups("KM", count, rng(0)),
        lambda: tell_apart("KM", count, rng(0)),
        lambda: one_symbol("K", count),
        lambda: known_words(WORDS, "THE", count, rng(0)),
        lambda: practice_calls("K2", count, rng(0)),
    ):
        with pytest.raises(ValueError, match="at least one sound"):
            make()


@pytest.mark.parametrize(
    ("symbols", "weights"),
    [
        ("", None),
        ("KK", None),
        ("K ", None),
        ("KM", [1]),
        ("KM", [0, 0]),
        ("KM", [1, -1]),
        ("K", [float("nan")]),
    ],
)
def test_choice_that_makes_no_sense_is_refused(symbols, weights):
    with pytest.raises(ValueError, match=r"distinct symbols|not a symbol|one weight"):
        mixed_groups(symbols, 10, rng(0), weights=weights)


def test_meeting_a_sound_starts_with_it_and_never_puts_two_odd_ones_together():
    for seed in range(50):
        sent = meet("V", "VAE", 24, np.random.default_rng(seed)).replace(" ", "")
        assert sent.startswith("VVV")
        assert all(a == "V" or b == "V" for a, b in pairwise(sent))
        assert set(sent) <= set("VAE")
    assert meet("V", "", 5, np.random.default_rng(0)) == "VVVVV"
