"""Alignment: what a copy's marks answer, on small cases whose right answer is plain."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from bench.copyists import KINDS, class_of
from copyroom.core.alignment import (
    Copy,
    CopyRefused,
    Habits,
    LiveAlignment,
    align,
    align_class,
    align_class_in_slices,
    align_one,
)
from copyroom.core.alphabet import RECOMMENDED

DATA = Path(__file__).parent.parent / "data"
EVENING = "PARISKEMLUX"


def ends(sent: str, apart_s: float = 1.5) -> list[float]:
    return [1.0 + apart_s * i for i in range(len(sent))]


def written_after(sent: str, lag_s: float = 0.9, apart_s: float = 1.5) -> list[float | None]:
    return [t + lag_s for t in ends(sent, apart_s)]


def test_a_perfect_copy_answers_each_symbol_and_misses_none():
    found = align(EVENING, ends(EVENING), EVENING, written_after(EVENING))
    assert found.attribution == tuple(range(len(EVENING)))
    assert found.missed == ()
    assert min(found.confidence) > 0.99


@pytest.mark.parametrize("timed", [True, False])
def test_one_lost_symbol_does_not_shift_the_rest(timed):
    at_s = written_after(EVENING)
    found = align(EVENING, ends(EVENING), EVENING[:4] + EVENING[5:], at_s[:4] + at_s[5:] if timed else None)
    assert found.attribution == (0, 1, 2, 3, 5, 6, 7, 8, 9, 10)
    assert found.missed == (4,)


def test_time_settles_what_equal_signs_leave_open():
    """Four equal sounds, one mark: only its time says which one it answers."""
    found = align("EEEE", ends("EEEE"), "E", [ends("EEEE")[2] + 0.9])
    assert found.attribution == (2,)
    assert found.missed == (0, 1, 3)


def test_without_times_of_equal_signs_the_earlier_is_answered():
    assert align("EE", None, "E", None).attribution == (0,)


def test_without_times_a_blank_beside_a_silence_answers_the_earlier():
    assert align("AB", None, "_", None).attribution == (0,)


def test_a_blank_is_an_answer_and_silence_is_a_miss():
    at_s = written_after("KEMLU")
    found = align("KEMLU", ends("KEMLU"), "K_LU", [at_s[0], at_s[1], at_s[3], at_s[4]])
    assert found.attribution == (0, 1, 3, 4)
    assert found.missed == (2,)


@pytest.mark.parametrize("timed", [True, False])
def test_of_a_double_press_the_first_mark_is_the_answer(timed):
    at_s = written_after("KEMLU")
    pressed = [*at_s[:3], at_s[2] + 0.12, *at_s[3:]]
    found = align("KEMLU", ends("KEMLU"), "KEMMLU", pressed if timed else None)
    assert found.attribution == (0, 1, 2, None, 3, 4)


@pytest.mark.parametrize("timed", [True, False])
def test_a_copy_that_began_late_misses_the_beginning_only(timed):
    sent = "QUICKBROWNFOXJUMPSOVERALAZYDOG"
    found = align(sent, ends(sent), sent[17:], written_after(sent)[17:] if timed else None)
    assert found.attribution == tuple(range(17, len(sent)))
    assert found.missed == tuple(range(17))


def test_two_keys_out_of_order_cost_those_two_marks_at_most():
    written = "PARKSIEMLUX"  # of PARISKEMLUX: I, S, K came out as K, S, I
    found = align(EVENING, ends(EVENING), written, written_after(EVENING))
    kept = [i for k, i in enumerate(found.attribution) if k not in (3, 5)]
    assert kept == [0, 1, 2, 4, 6, 7, 8, 9, 10]


def test_times_out_of_order_by_a_hair_change_nothing():
    at_s = written_after(EVENING)
    at_s[3], at_s[4] = 7.42, 7.40
    assert align(EVENING, ends(EVENING), EVENING, at_s).attribution == tuple(range(11))


def test_marks_edited_afterwards_have_no_time_and_are_still_attributed():
    at_s = written_after(EVENING)
    at_s[2] = at_s[3] = at_s[8] = None
    assert align(EVENING, ends(EVENING), EVENING, at_s).attribution == tuple(range(11))


def test_marks_written_when_all_was_over_go_by_their_order():
    """In the tidy-up time the last three are filled in, long after they sounded."""
    at_s = written_after(EVENING)
    at_s[8:] = [40.0, 41.0, 42.0]
    assert align(EVENING, ends(EVENING), EVENING, at_s).attribution == tuple(range(11))


def test_a_time_later_than_the_next_marks_is_that_of_an_edit():
    at_s = written_after(EVENING)
    at_s[4] = at_s[9]
    assert align(EVENING, ends(EVENING), EVENING, at_s).attribution == tuple(range(11))


def test_word_spaces_count_for_nothing():
    with_spaces = align("PARIS", ends("PARIS"), "PA RIS", [2.0, 3.5, 3.6, 5.0, 6.5, 8.0])
    assert with_spaces == align("PARIS", ends("PARIS"), "PARIS", [2.0, 3.5, 5.0, 6.5, 8.0])


def test_a_copy_of_another_push_is_refused_in_a_sentence():
    with pytest.raises(CopyRefused, match=r"11 of 11 timed marks lie outside the push.* is not of this push"):
        align(EVENING, ends(EVENING), EVENING, [t + 5000 for t in written_after(EVENING) if t])


def test_in_a_class_a_refused_copy_is_aligned_by_its_order_and_says_so():
    copies = [Copy(EVENING, written_after(EVENING)), Copy(EVENING, [0.01 * k - 500 for k in range(11)])]
    good, bad = align_class(EVENING, ends(EVENING), copies)
    assert good.refused == ""
    assert "not of this push" in bad.refused
    assert bad.alignment.attribution == tuple(range(11))


def test_symbols_that_were_not_heard_are_neither_answered_nor_missed():
    heard = (5, 6, 7, 8)
    (found,) = align_class(EVENING, ends(EVENING), [Copy("KEL", [9.4, 10.9, 13.9], heard=heard)])
    assert found.alignment.attribution == (5, 6, 8)
    assert found.alignment.missed == (7,)


@pytest.mark.parametrize("end_s", [ends("AB"), None])
def test_an_empty_copy_misses_everything(end_s):
    assert align("AB", end_s, "", [] if end_s else None).missed == (0, 1)


def test_marks_for_an_empty_text_answer_nothing():
    assert align("", [], "AB", [1.0, 2.0]).attribution == (None, None)


def test_every_symbol_of_the_standard_can_be_sent_and_written():
    sent = "".join(symbol.sign for symbol in RECOMMENDED)
    assert align(sent, ends(sent), sent, written_after(sent)).attribution == tuple(range(55))


@pytest.mark.parametrize(
    ("written", "at_s", "end_s", "complaint"),
    [
        ("Ab", None, None, "'b' is neither"),
        ("AB", [1.0], [1.0, 2.0], "2 marks were written, but 1 times"),
        ("AB", [1.0, 2.0], [1.0], "2 symbols were sent, but 1 ends"),
    ],
)
def test_what_does_not_fit_is_named(written, at_s, end_s, complaint):
    with pytest.raises(ValueError, match=complaint):
        align("AB", end_s, written, at_s)


def test_a_learner_one_behind_is_followed():
    """Each mark comes after the next sound: to the eye of the clock everything is shifted by one."""
    sent = "KEMLUXPARISQUICKBROWNFOX"
    at_s = [t + 1.5 + 0.7 for t in ends(sent)]
    assert align(sent, ends(sent), sent, at_s).attribution == tuple(range(len(sent)))


@pytest.mark.parametrize(("name", "at_least"), [("timed, 30 % errors", 0.97), ("sheet, 30 % errors", 0.93)])
def test_simulated_learners_marks_find_their_symbols(name, at_least):
    kind = KINDS[name]
    sent, end_s, truths = class_of(kind, 4, seed=7)
    right = []
    for truth in truths:
        times = (end_s, truth.at_s) if kind.times else (None, None)
        found = align(sent, times[0], truth.written, times[1])
        right += [a == b for a, b in zip(found.attribution, truth.attribution, strict=True)]
    assert np.mean(right) > at_least


def test_made_up_examples_are_attributed_as_they_were_made():
    """Two short invented copies with known truth: slips, blanks, a stretch lost, an extra key."""
    for case in json.loads((DATA / "align_slips.json").read_text(encoding="utf-8")):
        found = align(case["sent"], case["end_s"], case["written"], case["at_s"])
        assert list(found.attribution) == case["truth"], case["what"]


def test_a_class_is_aligned_as_its_learners_are_in_any_order():
    sent, end_s, truths = class_of(KINDS["timed, 30 % errors"], 5, seed=3)
    copies = [Copy(truth.written, truth.at_s) for truth in truths]
    forwards = [a.alignment.attribution for a in align_class(sent, end_s, copies)]
    backwards = [a.alignment.attribution for a in align_class(sent, end_s, copies[::-1])]
    assert forwards == backwards[::-1]


def test_slices_let_others_run_and_end_in_the_same_alignments():
    sent, end_s, truths = class_of(KINDS["timed, 15 % errors"], 3, seed=4)
    copies = [Copy(truth.written, truth.at_s) for truth in truths]
    breaths = 0

    def in_slices():
        nonlocal breaths
        slices = align_class_in_slices(sent, end_s, copies)
        while True:
            try:
                next(slices)
            except StopIteration as stop:
                return stop.value
            breaths += 1

    assert in_slices() == align_class(sent, end_s, copies)
    assert breaths > 20


def _with_lags(z: np.ndarray) -> Habits:
    sent = ("KEMLUXPARIS" * 20)[: len(z)]
    at_s = [t + float(lag) for t, lag in zip(ends(sent), np.exp(0.1 + 0.3 * z) - 0.3, strict=True)]
    return align_one(sent, ends(sent), Copy(sent, at_s)).habits


def test_habits_come_near_the_lags_that_a_learner_had():
    learned = _with_lags(np.random.default_rng(1).normal(size=220))
    assert learned.log_lag == pytest.approx(0.1, abs=0.06)
    assert learned.spread == pytest.approx(0.3, abs=0.06)
    assert learned.recall > 0.95
    assert learned.marks == 220


def test_memory_of_lags_is_kept_where_lags_have_memory_and_only_there():
    noise = np.random.default_rng(2).normal(size=120)
    drift = noise.copy()
    for k in range(1, 120):
        drift[k] = 0.85 * drift[k - 1] + np.sqrt(1 - 0.85**2) * noise[k]
    assert _with_lags(drift).first_order
    assert _with_lags(drift).inertia > 0.6
    assert not _with_lags(noise).first_order


def test_habits_help_the_next_run_of_the_same_seat():
    """A slow learner's first mark: without habits it belongs to the second of two equal sounds."""
    sent, end_s = "EE", [1.0, 2.0]
    slow = Habits(marks=300, log_lag=np.log(2.5), spread=0.1, inertia=0.3, behind=0.005)
    assert align(sent, end_s, "E", [3.2], slow).attribution == (0,)
    assert align(sent, end_s, "E", [3.2]).attribution == (1,)


# --- live ------------------------------------------------------------------------------------------------


def test_live_attributions_agree_with_the_final_ones():
    sent, end_s, (truth,) = class_of(KINDS["timed, 30 % errors"], 1, seed=11)
    seat = LiveAlignment(sent, end_s)
    for mark, at_s in zip(truth.written, truth.at_s, strict=True):
        seat.write(mark, at_s)
    final = align(sent, end_s, truth.written, truth.at_s)
    pairs = list(zip(seat.current().attribution, final.attribution, strict=True))
    assert sum(a == b for a, b in pairs) / len(pairs) > 0.97


def test_the_final_pass_settles_by_time_what_signs_leave_open():
    early, final = align("EEA", None, "EA", None), align("EEA", ends("EEA"), "EA", [3.4, 4.9])
    assert (early.attribution, final.attribution) == ((0, 2), (1, 2))


def test_the_two_latest_live_marks_are_provisional():
    seat = LiveAlignment(EVENING, ends(EVENING))
    for k, (mark, at_s) in enumerate(zip(EVENING, written_after(EVENING), strict=True)):
        assert seat.provisional_from == max(0, k - 2)
        seat.write(mark, at_s)
    assert seat.current().attribution == tuple(range(11))


def test_nothing_is_missed_before_the_learners_99_percent_lag_has_passed():
    habits = Habits(log_lag=np.log(1.3), spread=0.2, behind=0.0001)
    seat = LiveAlignment("ABC", ends("ABC"), habits)
    lag_99_s = float(np.exp(np.log(1.3) + 2.326 * 0.2)) - 0.3
    seat.write("B", 3.4)
    assert seat.missed_by(1.0 + lag_99_s - 0.01) == ()
    assert seat.missed_by(1.0 + lag_99_s + 0.01) == (0,)
    assert seat.missed_by(100.0) == (0, 2)


def test_live_marks_without_a_time_are_attributed():
    seat = LiveAlignment(EVENING, ends(EVENING))
    for mark in EVENING:
        seat.write(mark, None)
    assert seat.current().attribution == tuple(range(11))


def test_a_live_mark_before_any_sound_answers_nothing():
    seat = LiveAlignment("AB", [5.0, 7.0])
    seat.write("A", 1.0)
    assert seat.current().attribution == (None,)
