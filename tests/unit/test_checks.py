"""Copy checks: counting, speeds, texts that meet their form exactly, marking by the form's own counting.

The worked examples of counting follow from the rules named beside each, as public texts quote them.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from copyroom.core.bursts import Speed, bursts
from copyroom.core.checks import FORMS, Counting, Form, Overruled, as_meant, draw, faults_of, mark, pace_of
from copyroom.core.checks.form import FIGURES, LETTERS
from copyroom.core.checks.marking import Marked, answer_is_right
from copyroom.core.checks.sending import sent_wpm
from copyroom.core.keying import keyed, read
from copyroom.core.usage import EXAMINED_SIGNS
from copyroom.shell.assets import words

WORDS = words()
LAW = Counting()
EVERY = [(form, wpm) for form in FORMS.values() for wpm in (form.speeds_wpm[0], form.speeds_wpm[-1])]


@cache
def drawn(key: str, wpm: float, seed: int = 5) -> tuple[str, tuple[tuple[str, str], ...]]:
    made = draw(FORMS[key], wpm, WORDS, np.random.default_rng(seed))
    return made.text, made.questions


# ---- counting


@pytest.mark.parametrize(
    ("text", "counted"),
    [
        ("HELLO 599 +", 13),  # 5 letters, 3 figures and AR at two each: 47 CFR 97.507(d) (2007)
        ("PARIS", 5),
        ("CQ DE K2", 7),
        ("73 ␄", 6),
        ("A, B?", 6),
    ],
)
def test_figures_marks_and_signals_count_two_letters_one(text: str, counted: int) -> None:
    assert LAW.counted(text) == counted


@pytest.mark.parametrize(("wpm", "five_minutes", "one"), [(5, 125, 25), (13, 325, 65), (20, 500, 100)])
def test_minutes_at_a_speed_are_so_many_counted_characters(wpm: float, five_minutes: int, one: int) -> None:
    """47 CFR 97.507(d) (2007): five letters a word. 65 at 13 wpm: *The "Radio" Handbook*, 1942."""
    assert FORMS["us-send"].length(wpm) == five_minutes
    assert FORMS["us-1990"].unbroken(wpm, 1) == one


def test_sixteen_code_groups_are_eighty_counted_characters() -> None:
    """General Radio Regulations (Cairo 1938): a group is five characters, a figure or mark counts two."""
    text, _ = drawn("treaty-groups", 16)
    groups = text.split()
    assert all(LAW.counted(group) == 5 for group in groups)
    assert LAW.counted(" ".join(groups[:16])) == 80 == FORMS["treaty-groups"].unbroken(16, 1)


def test_a_novice_text_counts_134() -> None:
    """A national licence test, United Kingdom, until 2003: 120 letters and seven figures."""
    text, _ = drawn("uk-novice", 5)
    assert sum(sign in FIGURES for sign in text) == 7
    assert (LAW.counted(text), sum(sign in LETTERS for sign in text)) == (134, 120)


# ---- speeds, which are never mixed up


def test_counted_speed_makes_random_groups_last_as_plain_words_do_and_keys_them_faster() -> None:
    form = FORMS["hst-letters"]
    text, _ = drawn("hst-letters", 20)
    pace = pace_of(form, text, 20)
    assert pace.lasts_s == pytest.approx(60)
    assert pace.speed.wpm == pytest.approx(20 * 60.15 / 50, rel=0.05)  # a random group has 60.15 units


def test_keying_speed_of_20_wpm_sends_16_or_17_random_groups_a_minute() -> None:
    """E. N. Gilbert, "How Good is Morse Code?" (1969), gives the units of a letter."""
    form = replace(FORMS["hst-letters"], speed_is="keying", minutes=10.0)
    text = draw(form, 20, WORDS, np.random.default_rng(2)).text
    pace = pace_of(form, text, 20)
    assert pace.speed == Speed(20, 20)
    assert len(text.split()) / pace.lasts_s * 60 == pytest.approx(20 * 50 / 60.15, rel=0.03)


@pytest.mark.parametrize(("form", "wpm"), EVERY, ids=[f"{form.key}-{wpm:g}" for form, wpm in EVERY])
def test_a_text_lasts_as_its_pace_says(form: Form, wpm: float) -> None:
    text, _ = drawn(form.key, wpm)
    pace = pace_of(form, text, wpm)
    sounded = bursts(text, pace.speed)
    assert sounded.duration_s + pace.speed.word_space_s == pytest.approx(pace.lasts_s)
    assert pace.speed.wpm >= form.character_wpm
    said = form.counting.counted(text) / 5 / pace.lasts_s * 60
    assert said == pytest.approx(pace.counted_wpm)
    assert f"{said:.3g} wpm by counted characters" in pace.stated()
    assert "(PARIS)" in pace.stated()
    if form.speed_is == "counted":
        assert said == pytest.approx(wpm)
    else:
        assert pace.lasts_s >= 60 * form.minutes
        assert pace.speed.overall_wpm == wpm


def test_a_seat_may_ask_for_faster_characters_without_changing_how_long_it_lasts() -> None:
    text, _ = drawn("nz-5", 5)
    usual, faster = (pace_of(FORMS["nz-5"], text, 5, wpm) for wpm in (0, 20))
    assert (usual.speed.wpm, faster.speed.wpm) == (12, 20)
    assert usual.lasts_s == pytest.approx(faster.lasts_s) == pytest.approx(180)


# ---- texts


@pytest.mark.parametrize(("form", "wpm"), EVERY, ids=[f"{form.key}-{wpm:g}" for form, wpm in EVERY])
def test_every_text_meets_its_form_exactly(form: Form, wpm: float) -> None:
    text, questions = drawn(form.key, wpm)
    signs = text.replace(" ", "")
    counted, asked = form.counting.counted(text), form.length(wpm)
    if form.words:
        assert len(text.split()) == form.words
    elif form.text == "figures":
        assert asked <= counted < asked + 5 * form.counting.figure
    elif form.speed_is == "keying":
        assert asked <= counted <= asked + 30
    else:
        assert counted == asked
    assert set(form.required) <= set(signs) <= set(form.alphabet)
    if form.figures >= 0:
        assert sum(sign in FIGURES for sign in signs) == form.figures
    needed = max((p.of for p in form.passes if p.kind == "questions"), default=0)
    assert len(questions) >= needed
    assert all(answer in text for _, answer in questions)


def test_no_text_shares_a_long_stretch_with_one_heard_before() -> None:
    form, rng = FORMS["nz-5"], np.random.default_rng(3)
    few = ["TENT", "CAMP", "FIRE", "RADIO", "SEA", "TO"]
    heard: list[str] = []
    for _ in range(3):
        made = draw(form, 5, few, rng, heard).text
        assert made not in heard
        heard.append(made)
    with pytest.raises(ValueError, match="No text was found"):
        draw(replace(form, figures=0), 5, ["TENTS"], rng, ["TENTS " * 14 + "TENTS"])


def test_an_edited_form_that_cannot_be_is_told_why() -> None:
    form = FORMS["nz-5"]
    assert [faults_of(shipped) for shipped in FORMS.values()] == [()] * len(FORMS)
    assert faults_of(replace(form, speeds_wpm=())) == ("A form needs a speed.",)
    assert (
        "too short"
        in faults_of(replace(form, required=EXAMINED_SIGNS, alphabet=EXAMINED_SIGNS, minutes=1))[0]
    )
    assert "not among" in faults_of(replace(form, required="?"))[0]


def test_every_form_names_a_source_with_a_year() -> None:
    assert all(any(year in form.source for year in ("19", "20")) for form in FORMS.values())


# ---- marking


def _marked(key: str, text: str, copy: str, **more: object) -> Marked:
    form = FORMS[key]
    return mark(form, form.speeds_wpm[0], text, copy, **more)  # type: ignore[arg-type]


def test_a_perfect_copy_passes_every_form_and_nothing_written_none() -> None:
    for form, wpm in EVERY:
        text, questions = drawn(form.key, wpm)
        assert mark(form, wpm, text, text, [True] * len(questions)).passed
        assert not mark(form, wpm, text, "", [False] * len(questions)).passed


def test_a_lost_symbol_costs_one_error_and_leaves_the_rest_right() -> None:
    marked = _marked("nz-5", "TENT CAMP 7", "TNT CAMP 7")
    assert [d.verdict for d in marked.decisions] == ["right", "missing", *["right"] * 7]
    assert (marked.errors, marked.right, marked.sent) == (1, 9, 10)


def test_a_minute_without_an_error_passes_whatever_is_wrong_beside_it() -> None:
    text, _ = drawn("us-2007", 5)
    signs = text.replace(" ", "")
    for first in (0, 20):
        copy = "_" * first + signs[first : first + 25] + "_" * 20
        marked = _marked("us-2007", text, copy)
        assert marked.run_counted >= 25
        assert marked.passed
    assert not _marked("us-2007", text, signs[:10] + "_" + signs[11:20] + "_" + signs[21:30]).passed


def test_figures_and_signals_count_two_in_an_unbroken_stretch() -> None:
    """Counted as 47 CFR 97.507(d) (2007): HELLO 599 AR is 13."""
    assert _marked("us-2007", "ABC HELLO 599 + XYZ", "HELLO 599 +").run_counted == 13


def test_seven_of_ten_questions_pass_where_the_form_asks_some() -> None:
    text, questions = drawn("us-1990", 5)
    assert not _marked("us-1990", text, "", answers_right=[True] * 6 + [False] * 4).passed
    assert _marked("us-1990", text, "", answers_right=[True] * 7 + [False] * 3).passed
    assert answer_is_right(f" {questions[0][1].lower()} ", questions[0][1])
    assert not answer_is_right("", questions[0][1])


def test_ninety_per_cent_and_eight_of_ten_words_pass_the_badges_that_ask_it() -> None:
    text, _ = drawn("scout-za", 6)
    signs = text.replace(" ", "")
    assert len(signs) == 150
    assert _marked("scout-za", text, "_" * 15 + signs[15:]).passed
    assert not _marked("scout-za", text, "_" * 16 + signs[16:]).passed
    ten = drawn("cub", 5)[0].split()
    assert _marked("cub", " ".join(ten), " ".join(["_", "_", *ten[2:]])).passed
    assert not _marked("cub", " ".join(ten), " ".join(["_", "_", "_", *ten[3:]])).passed


def test_an_examiner_overrules_a_decision_and_both_are_kept() -> None:
    text = "TENT CAMP"
    before = _marked("scout-us-strip", text, "TENT CANP")
    wrong = next(d for d in before.decisions if d.verdict == "wrong")
    assert (before.errors, before.run_counted, before.passed) == (1, 6, False)
    after = _marked("scout-us-strip", text, "TENT CANP",
                    overruled={wrong.number: Overruled(True, "The M was read back.")})  # fmt: skip
    assert after.decisions == before.decisions
    assert (after.errors, after.run_counted, after.passed) == (0, 8, True)
    harsh = _marked("scout-us-strip", text, text, overruled={0: Overruled(False, "Written after the time.")})
    assert (harsh.errors, harsh.passed) == (1, False)


def test_what_was_written_beside_the_text_is_forgiven_only_where_the_form_says_so() -> None:
    strict, mild = FORMS["nz-5"], replace(FORMS["nz-5"], forgives_extra=True)
    assert [mark(form, 5, "TENT", "TEXNT").errors for form in (strict, mild)] == [1, 0]
    assert mark(strict, 5, "TENT", "TE_NT").errors == 0, "a blank claims nothing"


def _errors_the_slow_way(sent: str, written: str) -> int:
    @cache
    def least(i: int, j: int) -> int:
        if not i or not j:
            return i + j
        same = least(i - 1, j - 1) + (sent[i - 1] != written[j - 1])
        return min(same, least(i - 1, j) + 1, least(i, j - 1) + 1)

    return least(len(sent), len(written))


def _run_the_slow_way(sent: str, written: str) -> int:
    stretches = (sent[i:j] for i in range(len(sent)) for j in range(i + 1, len(sent) + 1))
    return max((LAW.counted(stretch) for stretch in stretches if stretch in written), default=0)


def test_marking_agrees_with_a_slow_obvious_one() -> None:
    rng = np.random.default_rng(8)
    form = FORMS["us-2007"]
    for _ in range(120):
        sent = "".join(rng.choice(list("ET5=A"), rng.integers(1, 14)))
        written = "".join(sign for sign in sent if rng.random() < 0.8)
        written += "".join(rng.choice(list("ET5"), rng.integers(0, 4)))
        marked = mark(form, 5, sent, written)
        assert marked.errors == _errors_the_slow_way(sent, written)
        assert marked.run_counted == _run_the_slow_way(sent, written)
        assert "".join(d.sent for d in marked.decisions) == sent
        assert "".join(d.written for d in marked.decisions) == written


# ---- sending


@pytest.mark.parametrize(
    ("read_as", "meant"),
    [
        ("THE TEX␘ TENT", "THE TENT"),
        ("THE TEX ␘ TENT", "THE TENT"),
        ("␘ THE", "THE"),
        ("THE TEX␘TENT", "THE TENT"),
    ],
)
def test_an_error_signal_takes_back_the_word_before(read_as: str, meant: str) -> None:
    assert as_meant(read_as) == meant


def test_a_sending_check_is_read_from_the_key_and_marked_like_a_copy() -> None:
    form = FORMS["scout-us-strip-send"]
    text, _ = drawn(form.key, 5)
    sounded = bursts(text, Speed(12, 12))
    found = read(keyed(zip(sounded.on_s.tolist(), sounded.off_s.tolist(), strict=True)))
    assert mark(form, 5, text, as_meant(found.text)).errors == 0
    lasts_s = pace_of(replace(form, speed_is="keying"), text, 12).lasts_s
    assert sent_wpm(form, text, lasts_s) > 5
