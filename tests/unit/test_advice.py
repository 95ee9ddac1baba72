"""Parts of the advice: the need, the deal, the next sounds, what is asked, what can be chosen besides."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest

from copyroom.core.advice.attention import Lack, who_lacks
from copyroom.core.advice.deal import deal
from copyroom.core.advice.needs import need, weights
from copyroom.core.advice.policy import POLICY, advise, propose
from copyroom.core.advice.proposal import MOST_UNKNOWN, firm_company, in_reach, next_symbols
from copyroom.core.record import PastRun
from histories import Class, grounds_of, situation, standing_of

SITUATION = situation("ETANKRSOMI", "ETAN", ("ann", "bob"), new_limit=2)


def _runs(share: float, known: str = "ETAN", count: int = 6) -> list[PastRun]:
    """Two invented learners who copy each sign with the same chance."""
    course = Class(("ann", "bob"), known=known, seed=5).meet(0)
    for _ in range(count):
        course.copy(share, length=40)
    return course.runs()


def _rng() -> np.random.Generator:
    return np.random.default_rng(0)


# --- need, weights ------------------------------------------------------------------------------------


def test_weakest_learners_count_more_than_their_number() -> None:
    shares = np.array([[0.9, 0.9], [0.9, 0.9], [0.9, 0.9], [0.9, 0.1]])
    lacks = need(shares)
    assert lacks[1] > (1 - shares).mean(axis=0)[1]
    assert lacks[1] > lacks[0]


def test_weights_keep_a_floor_and_follow_need() -> None:
    dealt = weights(np.array([0.6, 0.1, 0.1]), np.array([0.8, 0.9, 0.9]))
    assert dealt.sum() == pytest.approx(1)
    assert dealt.min() >= 0.3 / 3
    assert dealt[0] > 0.5


def test_weights_flatten_when_the_text_would_be_too_hard() -> None:
    needs, expected = np.array([0.9, 0.1, 0.1]), np.array([0.2, 0.9, 0.9])
    assert weights(needs, expected) @ expected >= np.mean(expected) - 1e-9
    assert weights(needs, np.array([0.1, 0.3, 0.3])) == pytest.approx([1 / 3] * 3)


def test_nothing_to_learn_is_dealt_evenly() -> None:
    assert weights(np.zeros(4), np.ones(4)) == pytest.approx([0.25] * 4)


# --- the deal --------------------------------------------------------------------------------------


def test_two_sounds_cannot_be_foretold() -> None:
    text = deal("NO", np.array([0.5, 0.5]), np.array([0.5, 0.5]), 400, "", (), np.random.default_rng(2))
    doubles = sum(a == b for a, b in itertools.pairwise(text))
    assert 0.2 < doubles / len(text) < 0.6


def test_needed_like_sounds_come_close_together() -> None:
    # D and K are among the most confused: Rothkopf, J. Exp. Psychol. 53:94-101 (1957), mean 77 % "same".
    def meetings(need_of_pair: float) -> int:
        needs = np.array([need_of_pair] * 2 + [0.1] * 12)
        text = deal("DKEOIMTNASRUW1", np.full(14, 1 / 14), needs, 3000, "", (), np.random.default_rng(3))
        return text.count("DK") + text.count("KD")

    assert meetings(0.9) > 1.15 * meetings(0.0)


def test_single_sound_may_repeat() -> None:
    assert deal("E", np.ones(1), np.ones(1), 5, "", (), np.random.default_rng(0)) == "EEEEE"


# --- what is asked, and the next sounds ---------------------------------------------------------------


def test_next_sign_is_the_least_like_what_is_weak() -> None:
    # H is heard as S and 5 (Rothkopf 1957: H-5 68.5 %, S-H high); M is like neither.
    waiting = dataclasses.replace(SITUATION, alphabet="S5M", known="S")
    assert next_symbols(standing_of(waiting, _runs(0.4, "S", 1)), 1) == "M"


def test_asked_order_is_kept_but_for_a_few_places() -> None:
    standing = standing_of(dataclasses.replace(SITUATION, order="ETANIMSORK"))
    assert set(next_symbols(standing, 2)) <= set("IMSOR" + "K")
    assert "K" not in next_symbols(standing, 1)


def test_what_is_planned_for_today_is_what_the_class_goes_on_with() -> None:
    planned = SITUATION.untaught[-2:]
    free = propose(standing_of(SITUATION, _runs(0.97)), _rng()).proposal
    assert len(free.introduce) == 2
    assert free.introduce != planned
    asked = dataclasses.replace(SITUATION, planned=planned)
    assert propose(standing_of(asked, _runs(0.97)), _rng()).proposal.introduce == planned
    one_is_known = dataclasses.replace(SITUATION, planned=planned[:1] + "E")
    assert propose(standing_of(one_is_known, _runs(0.97)), _rng()).proposal.introduce[0] == planned[0]


def test_rest_too_short_for_another_text_is_used_up() -> None:
    asked = dataclasses.replace(SITUATION, sendings_left=60, new_limit=0)
    assert len(propose(standing_of(asked, _runs(0.97)), _rng()).proposal.text) == 60


def test_no_introduction_without_time_for_a_text_after_it() -> None:
    runs = _runs(0.97)
    late = propose(standing_of(dataclasses.replace(SITUATION, sendings_left=36), runs), _rng()).proposal
    assert late.introduce == ""
    assert 25 <= len(late.text) <= 36
    one = propose(standing_of(dataclasses.replace(SITUATION, sendings_left=37), runs), _rng()).proposal
    assert (len(one.introduce), len(one.text)) == (1, 25)


def test_few_unknown_sounds_are_in_reach_and_they_are_the_nearest() -> None:
    course = Class(("ann", "bob"), known="ETANIMSORK").meet(0)
    shares = {"E": 0.95, "T": 0.95, "A": 0.95, "N": 0.05, "I": 0.05, "": 0.3}
    for _ in range(6):
        course.copy(shares)
    standing = standing_of(situation("ETANIMSORK", "ETANIMSORK", ("ann", "bob")), course.runs())
    assert len(standing.unknown) > MOST_UNKNOWN
    assert set("ETA") <= set(in_reach(standing))
    assert len(in_reach(standing)) == 3 + MOST_UNKNOWN
    assert not set("NI") & set(in_reach(standing))
    assert len(in_reach(standing, first="NI")) == 3 + MOST_UNKNOWN, "with the others that are nearest"
    assert set("NI") <= set(in_reach(standing, first="NI"))
    assert set(firm_company(standing, "N", 3)) == set("ETA")


@pytest.mark.parametrize(
    ("changed", "complaint"),
    [
        ({"alphabet": "AAB"}, "alphabet has a symbol twice"),
        ({"known": "E_"}, "known holds '_'"),
        ({"alphabet": "é"}, "'é' is not a symbol"),
        ({"present": ()}, "nobody"),
        ({"min_length": 90}, "no text is 90 to 80"),
        ({"sendings_left": 24}, "the meeting is over"),
        ({"known": "", "sendings_left": 36}, "too few for the next text"),
        ({"alphabet": "", "known": ""}, "nothing to teach"),
        ({"intro_cost": -1}, "negative"),
        ({"kinds": {}}, "kinds must say"),
    ],
)
def test_question_without_an_answer_is_refused(changed: dict[str, object], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        dataclasses.replace(SITUATION, **changed)  # type: ignore[arg-type]


# --- the choices of the card ------------------------------------------------------------------------


def test_the_table_of_situations_is_in_words_and_always_has_an_answer() -> None:
    assert all(rule.when and rule.then and rule.about for rule in POLICY)
    assert POLICY[-1].when == "else"


def test_the_card_has_other_choices_at_hand_each_once() -> None:
    known = "ETANKRSO"
    asked = situation("ETANKRSOMI", known, ("ann", "bob"), new_limit=2)
    advice = advise(standing_of(asked, _runs(0.5, known)), _rng(), copied=0.5)
    actions = [choice.action for choice in advice.choices]
    assert actions[0] == "newest"
    assert {"go on", "repeat", "go back"} <= set(actions)
    assert len(set(actions)) == len(actions)
    go_on = next(choice for choice in advice.choices if choice.action == "go on")
    assert "not held yet" in go_on.sentence
    assert advice.because(advice.proposed).copied == 0.5


def test_one_sound_alone_is_never_practised() -> None:
    """It would be written without listening; a second one is met first, however the first was copied."""
    one = dataclasses.replace(SITUATION, known="E")
    for runs in ([], _runs(0.2, "E"), _runs(0.95, "E")):
        for choice in advise(standing_of(one, runs), _rng()).choices:
            assert choice.proposal.introduce
            assert len(set(choice.proposal.text)) > 1
    with pytest.raises(ValueError, match="One sound alone"):
        advise(standing_of(dataclasses.replace(one, alphabet="E")), _rng())


def test_nothing_is_judged_before_anything_is_known() -> None:
    with pytest.raises(ValueError, match="nothing to judge"):
        advise(standing_of(dataclasses.replace(SITUATION, known="")), _rng())


# --- attention -------------------------------------------------------------------------------------


def test_absent_learner_lacks_what_was_introduced_meanwhile() -> None:
    runs = [
        PastRun(0, "ET", {"ann": "ET", "bob": "ET"}, introduce="ET"),
        PastRun(7, "ETA", {"ann": "ETA"}, introduce="A"),
    ]
    believed = grounds_of(runs).knowledge.believe(7, "ETA", names=("ann", "bob", "cy"))
    assert who_lacks(runs, believed) == (Lack("bob", (7,), "A"), Lack("cy", (0, 7), "ETA"))
