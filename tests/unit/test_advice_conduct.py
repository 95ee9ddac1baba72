"""How the advice conducts itself, through the filter: each test is a scripted situation of an invented class.

`Class.ask` checks that every answer is lawful: known and new sounds only, within bounds, cost and limit.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from histories import Chance, Class

LETTERS = "ETANIMSORKDLUPHWGFVCBYXQZJ567801234"
WELL = 0.95
Answer = dict[str, Any]


def taught(count: int, chance: Chance = WELL, meetings: int = 3, **fields: Any) -> Class:
    """A class that met so many sounds at weekly meetings, each with three texts."""
    course = Class(**fields)
    for i in range(meetings):
        new = LETTERS[i * count // meetings : (i + 1) * count // meetings]
        course.meet(7 * i).copy(chance, introduce=new, length=60)
        course.copy(chance, length=60).copy(chance, length=60)
    return course


def follow(course: Class, got: Answer, chance: Chance) -> None:
    """Do what was advised."""
    new = "".join(got["introduce"])
    course.send(got["text"], chance, new, kind=got["kind"])


def play(course: Class, chance: Chance, texts: int, sendings: float = 250, limit: int = 4) -> list[Answer]:
    """So many texts as advised, tonight, with a limit on new sounds; the answers."""
    answers = []
    for _ in range(texts):
        if sendings < 25:
            break
        got = course.ask(sendings_left=int(sendings), new_limit=limit)
        sendings -= len(got["text"]) * {"copy": 1.0, "named": 2.5}[got["kind"]] + 12 * len(got["introduce"])
        limit -= len(got["introduce"])
        follow(course, got, chance)
        answers.append(got)
    return answers


def said(got: Answer) -> str:
    return " ".join(got["reasons"])


def but(chances: Mapping[str, float], otherwise: float = WELL) -> dict[str, float]:
    return {**chances, "": otherwise}


def only(*names: str, low: float = 0.2) -> Callable[[str, str], float]:
    """These learners copy so little, the others well."""
    return lambda name, sign: low if name in names else WELL


# --- the newest sounds ----------------------------------------------------------------------------


def test_newest_four_at_a_fifth_are_what_comes_next_though_thirty_others_are_known() -> None:
    chance = but(dict.fromkeys("1234", 0.2))
    course = taught(30).meet(21).copy(chance, introduce="1234", length=70).copy(chance, length=70)
    for got in (course.ask(), course.meet(28).ask()):
        assert got["introduce"] == []
        assert set(got["about"]["symbols"]) == set("1234")
        assert sum(sign in "1234" for sign in got["text"]) > 2 * len(got["text"]) * 4 / 34
        assert got["kind"] == "named", "where little is expected, each name is told"


def test_newest_sounds_that_were_only_drilled_alone_are_mixed_before_others_come() -> None:
    course = taught(12).meet(21).copy(WELL).copy(WELL, signs="UPH", introduce="UPH", length=40)
    course.copy(WELL, signs="UPH", length=40)
    got = course.ask()
    assert got["introduce"] == []
    assert set(got["about"]["symbols"]) == set("UPH")
    assert len(set(got["text"])) > 8


def test_newest_sounds_hardly_copied_yet_are_copied_more_without_a_share_being_claimed() -> None:
    course = taught(12).meet(21).copy(WELL).copy(WELL, introduce="UP", length=25)
    got = course.ask()
    assert got["introduce"] == []
    assert set("UP") & set(got["about"]["symbols"])
    assert "%" not in said(got)


def test_before_new_sounds_a_meeting_begins_with_what_is_known() -> None:
    course = taught(12).meet(21)
    first = course.ask()
    assert first["introduce"] == []
    assert "after 7 days" in said(first)
    follow(course, first, WELL)
    assert course.ask()["introduce"]


def test_newest_sounds_that_were_gone_by_the_next_meeting_come_again_first() -> None:
    course = taught(12).meet(21).copy(but(dict.fromkeys("RKDL", 0.25)))
    got = course.ask()
    assert got["introduce"] == []
    assert set(got["about"]["symbols"]) == set("RKDL")
    assert said(got).startswith("When last sent tonight the class wrote ")


# --- an evening's limit ---------------------------------------------------------------------------


@pytest.mark.parametrize("limit", [2, 4])
def test_first_evening_keeps_to_its_limit_though_all_is_copied_well(limit: int) -> None:
    course = Class().meet(0)
    new = [sign for got in play(course, 0.99, 8, 400, limit) for sign in got["introduce"]]
    assert len(new) <= limit


def test_without_a_limit_an_evening_has_four_new_sounds_at_most() -> None:
    course = Class().meet(0)
    for _ in range(8):
        follow(course, course.ask(), 0.99)
    assert len(course.known) <= 4


def test_evening_without_new_sounds_has_none_though_all_is_held() -> None:
    course = taught(12).meet(21).copy(WELL).copy(WELL)
    got = course.ask(new_limit=0)
    assert got["introduce"] == []
    assert "No more new sounds tonight." in said(got)
    assert course.ask(new_limit=2)["introduce"], "it was the limit that held them back"


def test_nothing_known_begins_with_a_few_and_a_text_on_them() -> None:
    got = Class().ask()
    assert 2 <= len(got["introduce"]) <= 4
    assert set(got["text"]) == set(got["introduce"])
    assert len(Class().ask(new_limit=1)["introduce"]) == 1
    assert len(Class().ask(new_limit=0)["introduce"]) == 1, "at least one, or there is nothing to send"


def test_one_known_sound_is_given_company_before_it_is_practised() -> None:
    got = Class(known="E").meet(0).copy(0.9, length=25).ask()
    assert got["introduce"]
    assert "would be written without listening" in said(got)


def test_all_known_and_held_brings_a_text_on_everything() -> None:
    course = taught(8, 0.97, alphabet="ETANIMSO").meet(21).copy(0.97)
    got = course.ask()
    assert got["introduce"] == []
    assert set(got["text"]) == set("ETANIMSO")
    assert got["about"] == {"symbols": "", "learners": []}


def test_all_taught_and_well_held_brings_a_short_run_a_little_faster_spacing_first() -> None:
    course = taught(8, 0.97, alphabet="ETANIMSO").meet(21).copy(0.97, wpm=18, overall_wpm=8)
    course.copy(0.97, wpm=18, overall_wpm=8)
    got = course.ask(wpm=18, overall_wpm=8)
    assert "held at an overall speed of 8 wpm" in said(got)
    assert "try 9 wpm in a short run" in said(got)
    assert got["introduce"] == []
    assert "characters of 18 wpm" in said(
        course.copy(0.97, wpm=18, overall_wpm=18).ask(wpm=18, overall_wpm=18)
    )
    lost = taught(8, 0.6, alphabet="ETANIMSO").meet(21).copy(0.6, wpm=18, overall_wpm=8)
    assert "short run, and come back" not in said(lost.ask(wpm=18, overall_wpm=8))


# --- single learners ------------------------------------------------------------------------------


def test_one_learner_far_behind_is_named_and_has_an_own_answer() -> None:
    course = taught(12, only("s5"))
    got = course.ask(new_limit=0)
    assert got["about"]["learners"] == ["s5"]
    assert got["about"]["symbols"]
    assert re.search(r"^s5 writes \d\d % of what is known, the others 9\d %", said(got))
    assert not re.search(r"\bs(?!5\b)\d+", said(got))


def test_class_goes_on_beside_one_who_is_far_behind_and_says_so() -> None:
    course = taught(12, only("s5")).meet(21).copy(only("s5"))
    answers = play(course, only("s5"), 5)
    assert any(got["introduce"] for got in answers)
    assert all("s5" in said(got) for got in answers)
    assert any(got["about"]["learners"] == ["s5"] for got in answers)


def test_what_did_not_help_a_learner_is_tried_another_way() -> None:
    course = taught(12, only("s5"))
    ways = []
    for week in range(3, 7):
        course.meet(7 * week)
        answers = play(course, only("s5"), 4, limit=0)
        ways += [said(got).partition(", the others")[2] for got in answers if got["about"]["learners"]]
    assert len(ways) >= 3
    assert len({way.rpartition(", ")[2] for way in ways}) >= 2


def test_learner_who_is_absent_tonight_is_neither_named_nor_counted() -> None:
    course = taught(12, only("s5"))
    course.meet(21, [name for name in course.names if name != "s5"]).copy(WELL)
    got = course.ask()
    assert "s5" not in said(got)
    assert got["introduce"]


def test_half_a_class_that_copies_little_gets_nothing_new() -> None:
    chance = only("s1", "s2", "s3", "s4", "s5", "s6", low=0.25)
    course = taught(12, chance).meet(21)
    assert [got["introduce"] for got in play(course, chance, 5)] == [[]] * 5


def test_most_of_a_class_absent_at_an_introduction_hears_it_again() -> None:
    course = taught(8)
    course.meet(21, course.names[5:]).copy(WELL, introduce="UP", length=60).copy(WELL, length=60)
    got = course.meet(28).ask()
    assert got["introduce"] == []
    assert set(got["about"]["symbols"]) == set("UP")
    assert got["about"]["learners"] == ["s1", "s2", "s3", "s4", "s5"]
    assert got["kind"] == "named"


def test_one_absent_at_an_introduction_is_named_and_hears_it_again() -> None:
    course = taught(8)
    course.meet(21, course.names[1:]).copy(WELL, introduce="UP", length=60).copy(WELL, length=60)
    got = course.meet(28).ask()
    assert set(got["about"]["symbols"]) == set("UP")
    assert got["about"]["learners"] == ["s1"]
    assert set("UP") <= set(got["text"])
    follow(course, got, WELL)
    assert course.ask()["about"]["learners"] == [], "heard now"


def test_newcomer_among_others_is_named_and_counted_in_no_figure() -> None:
    course = taught(8)
    course.names = (*course.names, "new")
    got = course.meet(21).ask()
    assert got["about"]["learners"] == ["new"]
    assert "new has copied nothing yet and counts in no figure." in got["reasons"]


# --- what is not known ----------------------------------------------------------------------------


def test_class_of_newcomers_is_asked_and_no_share_is_claimed() -> None:
    got = Class(known="ETANIMSO").meet(0).ask()
    assert got["introduce"] == []
    assert set(got["text"]) == set("ETANIMSO")
    assert "%" not in said(got)
    assert "first see what they know" in said(got)


def test_mostly_newcomers_are_asked_first() -> None:
    course = taught(8)
    course.names = ("s1", "s2", "n1", "n2", "n3")
    got = course.meet(21).ask()
    assert got["introduce"] == []
    assert got["about"]["learners"] == ["n1", "n2", "n3"]
    assert "3 of the 5 here have copied nothing yet" in said(got)


def test_break_of_two_months_asks_first_and_then_goes_on() -> None:
    course = taught(12).meet(74)
    got = course.ask()
    assert got["introduce"] == []
    assert "60 days" in said(got)
    assert set(got["text"]) == set(course.known)
    follow(course, got, 0.9)
    again = course.ask()
    assert "60 days" not in said(again), "asked once"


def test_break_after_which_little_is_left_brings_nothing_new() -> None:
    course = taught(12).meet(74)
    assert [got["introduce"] for got in play(course, 0.3, 4)] == [[]] * 4


def test_recall_at_five_words_a_minute_says_nothing_of_twenty() -> None:
    course = taught(12)
    for meeting in course.meetings:
        for run in meeting["runs"]:
            run |= {"wpm": 5, "overall_wpm": 5}
    got = course.meet(21).ask(wpm=20, overall_wpm=20)
    assert got["introduce"] == []
    assert "20 wpm" in said(got)
    assert "%" not in said(got)
    assert "wpm" not in said(course.ask(wpm=5, overall_wpm=5))


# --- one sound, two sounds ------------------------------------------------------------------------


def test_sound_that_stays_behind_is_met_another_way_each_evening() -> None:
    """One real trouble, T at 10 %: not the same exercise thirteen times."""
    chance = but({"T": 0.1})
    course, ways = taught(12, chance), []
    for week in range(3, 8):
        course.meet(7 * week)
        answers = play(course, chance, 4, limit=0)
        about_t = [got for got in answers if got["about"]["symbols"] == "T"]
        assert about_t, "it is what each of these evenings is about"
        ways += [(got["kind"], len(set(got["text"]))) for got in about_t]
    assert all(one != other for one, other in itertools.pairwise(ways))
    assert len(set(ways)) >= 4


def test_class_does_not_wait_for_one_sound_that_stays_behind() -> None:
    chance = but({"T": 0.1})
    course = taught(12, chance).meet(21)
    assert any(got["introduce"] for got in play(course, chance, 5))


def test_true_pair_is_put_side_by_side_once_an_evening_and_named_on_the_third() -> None:
    chance = but({"A": 0.4})
    course, of_evenings = taught(12, chance, wrong={"A": "N"}), []
    for week in range(3, 6):
        course.meet(7 * week)
        answers = play(course, chance, 4, limit=0)
        of_evenings.append([got for got in answers if set(got["about"]["symbols"]) == set("AN")])
    assert [len(evening) for evening in of_evenings] == [1, 1, 1]
    (first,), (second,), (third,) = of_evenings
    assert set(first["text"]) == set(second["text"]) == set("AN")
    assert third["kind"] == "named"
    assert "side by side did not help" in said(third)


def test_slips_at_random_after_a_drill_of_two_are_no_pair() -> None:
    for seed in range(4):
        course = Class(wrong="*", seed=seed).meet(0).copy(0.85, introduce="ETAN").copy(0.85)
        course.copy(0.85, signs="TE", length=40)
        got = course.ask(new_limit=0)
        assert "wrote" not in said(got)
        assert len(set(got["text"])) == 4


# --- sound, guessing, crowding --------------------------------------------------------------------


def test_class_that_leaves_all_blank_does_not_hear() -> None:
    course = taught(8).meet(21).copy(WELL).copy(0.0)
    got = course.ask()
    assert got["introduce"] == []
    assert "12 of 12 left nearly all of the last run blank" in said(got)
    assert len(got["text"]) <= 30
    assert got["about"]["learners"] == list(course.names)


def test_two_learners_who_leave_all_blank_are_named_before_anything_new() -> None:
    course = taught(8).meet(21).copy(WELL).copy(only("s3", "s4", low=0.0))
    got = course.ask()
    assert got["introduce"] == []
    assert got["about"]["learners"] == ["s3", "s4"]
    assert "look at their sound" in said(got)


@pytest.mark.parametrize("signs", ["ET", "ETAN", "ETANIMSO"])
def test_guessers_who_always_write_something_are_not_taken_for_knowing(signs: str) -> None:
    course = Class(wrong="*").meet(0).copy(0.0, introduce=signs)
    for _ in range(4):
        assert course.ask()["introduce"] == []
        course.copy(0.0)
    assert course.meet(7).ask()["introduce"] == []


def test_a_text_holds_four_unknown_sounds_at_most() -> None:
    chance = {"E": 0.9, "T": 0.9, "A": 0.9, "": 0.15}
    course = Class(known="ETANIMSORKDL").meet(0).copy(chance).copy(chance).copy(chance)
    for got in play(course, chance, 4):
        assert len(set(got["text"]) - set("ETA")) <= 4


# --- bounds ---------------------------------------------------------------------------------------


def test_named_run_that_does_not_fit_any_more_is_copied() -> None:
    chance = but(dict.fromkeys("1234", 0.1))
    course = taught(20).meet(21).copy(chance, introduce="1234", length=70).copy(chance, length=70)
    assert course.ask()["kind"] == "named"
    assert course.ask(sendings_left=40)["kind"] == "copy"


def test_where_only_copying_is_to_be_had_nothing_else_is_proposed() -> None:
    chance = but(dict.fromkeys("1234", 0.1))
    course = taught(20).meet(21).copy(chance, introduce="1234", length=70).copy(chance, length=70)
    assert course.ask(kinds={"copy": 1})["kind"] == "copy"
    assert Class().ask(kinds={"copy": 1})["kind"] == "copy"


def test_meeting_without_room_for_a_text_is_over() -> None:
    with pytest.raises(ValueError, match="the meeting is over"):
        taught(8).ask(sendings_left=24)


def test_little_time_left_brings_a_text_and_nothing_new() -> None:
    course = taught(12).meet(21).copy(WELL)
    assert course.ask(sendings_left=36)["introduce"] == []
    assert len(course.ask(sendings_left=40)["introduce"]) <= 1


def test_known_sounds_outside_the_alphabet_stay_in_play() -> None:
    course = taught(8, alphabet="ETAN").meet(21)
    assert set(course.ask()["text"]) == set("ETANIMSO")
