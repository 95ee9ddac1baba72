"""The plan of an evening, and what becomes of it."""

from __future__ import annotations

import re
from itertools import groupby

import numpy as np
import pytest

from copyroom.core.advice.standing import Standing
from copyroom.core.bursts import Speed, bursts
from copyroom.core.course import plan_order, signs_of
from copyroom.core.evening import plan_evening, replan
from copyroom.core.phrases import changed, why
from copyroom.core.record import PastRun
from copyroom.core.steps import ANSWER_S, READINGS, TALK_S, Step, cut
from copyroom.core.usage import EXAMINED_SIGNS
from histories import WORDS, situation, standing_of

SPEED = Speed(18, 5)
ORDER, KNOWN = "ETANIMSORKDLUP", "ETANIMSO"
NAMES = ("ann", "bob")


def _runs(share: float, known: str = KNOWN, count: int = 8) -> list[PastRun]:
    """Two invented learners."""
    rng = np.random.default_rng(9)
    texts = ["".join(rng.choice(list(known), 50)) for _ in range(count)]
    return [
        PastRun(0, t, {n: "".join(s if rng.random() < share else "_" for s in t) for n in NAMES})
        for t in texts
    ]


def _fresh(order: str, known: str = "", **fields: int) -> Standing:
    """Nobody has copied anything."""
    return standing_of(situation(order, known, NAMES, order=order, **fields))


def _standing(share: float, known: str = KNOWN, **fields: int) -> Standing:
    """A week after eight texts of which this share was copied."""
    limits = {"new_limit": 2, "today": 7} | fields
    return standing_of(situation(ORDER, known, NAMES, order=ORDER, **limits), _runs(share, known))


@pytest.fixture(scope="module")
def well() -> Standing:
    """A class that copies well."""
    return _standing(0.92)


@pytest.fixture(scope="module")
def badly() -> Standing:
    """One that does not."""
    return _standing(0.4)


def _rng() -> np.random.Generator:
    return np.random.default_rng(6)


def test_first_evening_needs_nothing_but_its_minutes() -> None:
    order = signs_of(plan_order(EXAMINED_SIGNS, "words", WORDS))
    steps = plan_evening(_fresh(order), 60, SPEED, _rng(), WORDS)
    purposes = [step.purpose for step in steps]
    assert purposes[0] == "meet"
    assert purposes.count("meet") == 4
    assert {"practise", "mix", "words", "longer", "breather"} <= set(purposes)
    assert purposes[-1] == "close"


def test_no_step_practises_a_single_sound() -> None:
    """It would be written without listening; what is met is met, and the time is left free."""
    short = plan_evening(_fresh("ETANIM"), 5, Speed(18, 3), _rng(), WORDS)
    assert [step.purpose for step in short] == ["meet", "close"]
    one = plan_evening(_fresh("ETANIM", "E"), 30, SPEED, _rng(), WORDS)
    copied = [step for step in (*short, *one) if step.text and step.purpose != "meet"]
    assert all(len(set(step.symbols)) > 1 for step in copied)


def test_no_prior_stands_in_a_plan_as_if_it_had_been_found() -> None:
    steps = plan_evening(_fresh("ETANIM", "ETANIM"), 30, SPEED, _rng(), WORDS)
    reasons = " ".join(why(step.purpose, step.because) for step in steps)
    assert "E (not tested yet)" in reasons
    assert "%" not in reasons


def test_later_evening_warms_up_then_introduces_then_mixes(well: Standing) -> None:
    purposes = [s.purpose for s in plan_evening(well, 45, SPEED, _rng(), WORDS)]
    order = list(dict.fromkeys(purpose for purpose in purposes if purpose != "breather"))
    assert order == ["warm-up", "meet", "practise", "mix", "words", "sentences", "longer", "close"]


def test_class_that_lags_gets_no_new_sounds(badly: Standing) -> None:
    steps = plan_evening(badly, 45, SPEED, _rng(), WORDS)
    assert "meet" not in {step.purpose for step in steps}
    assert set().union(*(step.symbols for step in steps)) <= set(KNOWN)


def test_sure_class_with_time_gets_four_new_sounds() -> None:
    steps = plan_evening(_standing(1.0, new_limit=4), 90, SPEED, _rng(), WORDS)
    assert [s.symbols[0] for s in steps if s.purpose == "meet"] == ["R", "K", "D", "L"]


def test_introduction_repeats_its_sound_with_the_odd_other(well: Standing) -> None:
    meet = next(s for s in plan_evening(well, 45, SPEED, _rng()) if s.purpose == "meet")
    sounds = meet.text.replace(" ", "")
    assert sounds[:3] == "RRR"
    assert sounds.count("R") == 12
    assert set(sounds[3:]) - {"R"} <= set(KNOWN)


def test_duration_is_tones_answer_and_talk(well: Standing) -> None:
    mix = next(s for s in plan_evening(well, 45, SPEED, _rng()) if s.purpose == "mix")
    assert mix.duration_s == pytest.approx(bursts(mix.text, SPEED).duration_s + ANSWER_S + TALK_S["mix"])
    assert mix.sounds == len(mix.text.replace(" ", ""))


def test_cut_text_lasts_as_long_as_the_formula_says() -> None:
    # By the two-speed formulas of J. Bloom, QEX, April 1990 (second-hand): at 18/5 wpm PARIS with
    # its word space lasts 12.000 s, of which 3.660 s are the space.
    assert cut("PARIS PARIS", 12.0 - 3.66 + 0.01, SPEED) == "PARIS"
    assert cut("PARIS PARIS", 24.0, SPEED) == "PARIS PARIS"
    assert cut("PARIS", 0.01, SPEED) == ""


def test_words_use_only_known_sounds_and_are_left_out_without_any(badly: Standing) -> None:
    steps = plan_evening(badly, 60, SPEED, _rng(), ("TEA", "QUIZ"))
    words = [s for s in steps if s.purpose == "words"]
    assert words
    assert all(set(s.text.split()) == {"TEA"} for s in words)
    none = plan_evening(badly, 60, SPEED, _rng(), ("QUIZ",))
    assert "words" not in {s.purpose for s in none}


def test_no_stretch_without_a_breather_exceeds_half_an_hour(well: Standing) -> None:
    # *The "Radio" Handbook*, 9th ed. (1942): no period over 30 minutes.
    stretch_s, longest_s = 0.0, 0.0
    for step in plan_evening(well, 120, SPEED, _rng(), WORDS):
        stretch_s = 0.0 if step.purpose == "breather" else stretch_s + step.duration_s
        longest_s = max(longest_s, stretch_s)
    assert longest_s <= 30 * 60


def test_plan_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="5 to 240 minutes, not 3"):
        plan_evening(_fresh(ORDER, KNOWN), 3, SPEED, _rng())
    with pytest.raises(ValueError, match="too few for even one new sound"):
        plan_evening(_fresh("0"), 5, Speed(5, 1), _rng())


def _from_first_introduction(steps: list[Step]) -> list[Step]:
    return steps[next(i for i, step in enumerate(steps) if step.purpose == "meet") :]


def test_more_practice_comes_before_new_sounds_while_the_class_has_not_caught_hold(
    well: Standing, badly: Standing
) -> None:
    rest = _from_first_introduction(plan_evening(well, 45, SPEED, _rng(), WORDS))
    after = replan(badly, rest, 40, SPEED, _rng(), WORDS)
    more, meeting = after.steps[:2]
    assert (more.purpose, meeting.purpose) == ("practise", "meet")
    assert set(more.symbols) <= set(KNOWN)
    shares = re.fullmatch(
        r"More practice first: (.*); R and K come once these are held\.", changed(after.changes[0])
    )
    assert shares
    assert re.findall(r"(\w) \((\d+) %\)", shares[1]) == [
        (sign, f"{100 * (badly.share_of(sign) or 0):.0f}") for sign in after.changes[0].weak
    ]
    caught_hold = replan(well, after.steps[1:], 38, SPEED, _rng(), WORDS)
    assert caught_hold.steps[0] == meeting
    assert not any(change.key == "practice first" for change in caught_hold.changes)


def test_new_sounds_are_not_held_back_while_there_is_practice_to_come_before_them(
    well: Standing, badly: Standing
) -> None:
    steps = plan_evening(well, 45, SPEED, _rng(), WORDS)
    assert steps[0].purpose == "warm-up"
    after = replan(badly, steps, 45, SPEED, _rng(), WORDS)
    assert [s.symbols[0] for s in after.steps if s.purpose == "meet"] == ["R", "K"]


def test_new_sounds_wait_for_another_evening_when_no_time_is_left_for_them(
    well: Standing, badly: Standing
) -> None:
    rest = _from_first_introduction(plan_evening(well, 45, SPEED, _rng(), WORDS))
    after = replan(badly, rest, 6, SPEED, _rng(), WORDS)
    assert "meet" not in {s.purpose for s in after.steps}
    assert set().union(*(s.symbols for s in after.steps)) <= set(KNOWN)
    assert changed(after.changes[0]).startswith("R and K wait for another evening: first ")
    assert after.steps[-1].purpose == "close"


def test_lost_time_costs_words_before_introductions(well: Standing) -> None:
    steps = plan_evening(well, 45, SPEED, _rng(), WORDS)
    after = replan(well, steps, 30, SPEED, _rng(), WORDS)
    purposes = {s.purpose for s in after.steps}
    assert "words" not in purposes
    assert {"meet", "close"} <= purposes
    assert sum(s.duration_s for s in after.steps) <= 30 * 60
    (left_out,) = (changed(change) for change in after.changes if change.key == "left out")
    assert re.fullmatch(r"Left out, with 30 minutes left: .*\bWords\b.*", left_out)


def test_no_kind_of_text_fills_the_evening(well: Standing) -> None:
    steps = plan_evening(well, 90, SPEED, _rng(), WORDS)
    copied = [s.purpose for s in steps if s.purpose in ("mix", *READINGS, "longer")]
    runs = [len(list(same)) for _, same in groupby(copied)]
    assert max(runs) <= 2
    assert copied[-1] == "longer"


def test_texts_that_mean_something_come_as_soon_as_they_can_be_made() -> None:
    def readings(known: str) -> set[str]:
        steps = plan_evening(_fresh(known, known), 90, SPEED, _rng(), WORDS)
        assert all(set(s.text) <= {*known, " "} for s in steps)
        return {s.purpose for s in steps if s.purpose in READINGS}

    assert readings("ET") == set()
    assert readings("ETA") == {"words"}
    assert readings("ETAISNOMH") == {"words", "sentences"}
    assert readings("ETAISNOMHK5") == {"words", "sentences", "calls"}
    assert readings(EXAMINED_SIGNS) == set(READINGS)


def test_time_freed_on_purpose_stays_free(well: Standing) -> None:
    steps = plan_evening(well, 30, SPEED, _rng(), WORDS)
    rest = steps[-2:]
    left_min = sum(s.duration_s for s in rest) / 60 + 12
    after = replan(well, rest, left_min, SPEED, _rng(), WORDS, freed_min=12)
    assert (list(after.steps), after.changes) == (rest, ())


def test_spare_time_goes_into_a_mix(well: Standing) -> None:
    steps = plan_evening(well, 30, SPEED, _rng(), WORDS)
    after = replan(well, steps[-2:], 15, SPEED, _rng(), WORDS)
    assert any("to spare" in changed(change) for change in after.changes)
    assert after.steps[-1].purpose == "close"
    assert sum(s.duration_s for s in after.steps) <= 15 * 60


def test_plan_is_the_same_for_the_same_draws(well: Standing) -> None:
    one, two = (plan_evening(well, 45, SPEED, _rng(), WORDS) for _ in range(2))
    assert one == two


def test_mix_is_dealt_anew_only_when_other_sounds_are_weak(well: Standing) -> None:
    steps = plan_evening(well, 45, SPEED, _rng(), WORDS)
    same = replan(well, steps, 45, SPEED, _rng(), WORDS)
    assert (list(same.steps), same.changes) == (steps, ())
    lost = PastRun(7, KNOWN * 8, dict.fromkeys(NAMES, "ETANIM__" * 8))
    asked = situation(ORDER, KNOWN, NAMES, order=ORDER, today=7)
    after = replan(standing_of(asked, [*_runs(0.92), lost]), steps, 45, SPEED, _rng(), WORDS)
    mix = next(step for step in after.steps if step.purpose == "mix")
    assert {"S", "O"} <= set(mix.leans_on)
    assert "now lean on" in changed(after.changes[0])
