"""What to send next: the record, the need, the deal, the pace, and the verdict after an exercise."""

from __future__ import annotations

import dataclasses
import itertools
import re

import numpy as np
import pytest

from copyroom.core.advice.attention import Lack, slow_symbols, who_lacks
from copyroom.core.advice.deal import deal
from copyroom.core.advice.history import Histories
from copyroom.core.advice.pace import pace
from copyroom.core.advice.proposal import next_symbols, propose
from copyroom.core.advice.recall import need, recall, weights
from copyroom.core.advice.record import Exercise, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.advice.verdict import advise_after, contrast_drill
from copyroom.core.alphabet import INDEX
from copyroom.core.evidence import Pair
from histories import record_of

SITUATION = Situation(
    alphabet="ETANKRSOMI",
    known="ETAN",
    present=("ann", "bob"),
    sendings_left=300,
    sendings_later=600,
    intro_cost=12,
    min_length=25,
    max_length=80,
)


def _copied(text: str, share: float, rng: np.random.Generator) -> str:
    return "".join(sign if rng.random() < share else "_" for sign in text)


def _class(share: float, known: str = "ETAN", exercises: int = 6) -> Record:
    """Two invented learners who copy each sign with the same chance."""
    rng = np.random.default_rng(5)
    texts = ["".join(rng.choice(list(known), 40)) for _ in range(exercises)]
    return record_of(
        Exercise(
            0, known if i == 0 else "", text, {name: _copied(text, share, rng) for name in ("ann", "bob")}
        )
        for i, text in enumerate(texts)
    )


# --- the record ------------------------------------------------------------------------------------


def test_older_answers_fade_by_a_tenth_with_each_later_sending() -> None:
    record = record_of([Exercise(0, "", "EET", {"ann": "E_T"}), Exercise(1, "", "E", {"ann": "E"})])
    row = record.rows["ann"]
    assert record.hits[row, INDEX["E"]] == pytest.approx(0.9**2 + 1)
    assert record.tries[row, INDEX["E"]] == pytest.approx(0.9**2 + 0.9 + 1)
    assert record.tries[row, INDEX["T"]] == 1


def test_what_an_absent_learner_could_do_fades_while_the_class_goes_on() -> None:
    record = record_of(
        [Exercise(0, "", "EE", {"ann": "EE", "bob": "__"}), Exercise(7, "", "EE", {"ann": "EE"})]
    )
    assert record.tries[record.rows["bob"], INDEX["E"]] == pytest.approx(1.9 * 0.9**2)
    assert record.attended == {"ann": [0, 7], "bob": [0]}
    assert record.days == [0, 7]


def test_scores_are_the_class_means_of_each_text() -> None:
    record = record_of([Exercise(0, "", "ET", {"ann": "ET", "bob": "E_"}), Exercise(0, "", "ET", {})])
    assert record.scores == [0.75]
    assert record.sent_total == 4


def test_copy_of_another_length_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="'ann' has 1 symbols where 2 were sent"):
        Exercise(0, "", "ET", {"ann": "E"})


def test_kept_record_goes_on_exactly_as_a_new_one() -> None:
    rng = np.random.default_rng(1)
    history = [
        Exercise(i, "", t, {"ann": _copied(t, 0.7, rng)}) for i, t in enumerate(["ETAN", "TTEA", "NNAE"])
    ]
    kept = Histories()
    for n in (1, 2, 3):
        grown = kept.record("room", history[:n])
    for field in ("hits", "tries", "last_sent", "sendings", "last_day"):
        np.testing.assert_allclose(getattr(grown, field), getattr(record_of(history), field), rtol=1e-12)


def test_changed_history_is_counted_anew() -> None:
    kept = Histories()
    kept.record("room", [Exercise(0, "", "EE", {"ann": "EE"}), Exercise(0, "", "T", {"ann": "T"})])
    for changed in ([Exercise(0, "", "EE", {"ann": "E_"}), Exercise(0, "", "T", {"ann": "T"})], []):
        record = kept.record("room", changed)
        np.testing.assert_array_equal(record.hits, record_of(changed).hits)


def test_classes_do_not_mix() -> None:
    kept = Histories()
    kept.record("one", [Exercise(0, "", "E", {"ann": "E"})])
    assert kept.record("two", []).sent_total == 0
    assert kept.record("one", [Exercise(0, "", "E", {"ann": "E"})]).sent_total == 1


# --- recall, need, weights ----------------------------------------------------------------------------


def test_recall_draws_a_learner_towards_the_class_and_the_class_towards_a_third() -> None:
    record = record_of([Exercise(0, "", "E", {"ann": "E", "bob": "_"})])
    class_share = (1 + 1) / (2 + 3)
    estimate = recall(record, ["ann", "bob", "newcomer"], "E")[:, 0]
    assert estimate == pytest.approx([(1 + 3 * class_share) / 4, 3 * class_share / 4, class_share])


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
        text = deal("DKEOIMTNASRUW1", np.full(14, 1 / 14), needs, 9000, "", (), np.random.default_rng(3))
        return text.count("DK") + text.count("KD")

    assert meetings(0.9) > 1.15 * meetings(0.0)


def test_single_sound_may_repeat() -> None:
    assert deal("E", np.ones(1), np.ones(1), 5, "", (), np.random.default_rng(0)) == "EEEEE"


# --- pace and proposal --------------------------------------------------------------------------------


def test_first_exercise_introduces_four_and_uses_only_them() -> None:
    start = dataclasses.replace(SITUATION, known="")
    proposal = propose(start, Record(), np.random.default_rng(0))
    assert len(proposal.introduce) == 4
    assert set(proposal.text) <= set(proposal.introduce)


def test_class_that_copies_well_goes_on_and_one_that_does_not_stays() -> None:
    rng = np.random.default_rng(0)
    assert len(propose(SITUATION, _class(0.95), rng).introduce) == 2
    assert propose(SITUATION, _class(0.5), rng).introduce == ""


def test_class_behind_plan_goes_on_a_little_sooner() -> None:
    record = _class(0.82)
    shares = recall(record, SITUATION.present, SITUATION.known)
    ahead = dataclasses.replace(SITUATION, sendings_later=20000)
    behind = dataclasses.replace(SITUATION, sendings_later=0)
    assert pace(ahead, record, shares).count == 0
    assert pace(behind, record, shares).count == 2


def test_no_introduction_without_time_for_a_text_after_it() -> None:
    late = dataclasses.replace(SITUATION, sendings_left=36)
    proposal = propose(late, _class(0.95), np.random.default_rng(0))
    assert proposal.introduce == ""
    assert 25 <= len(proposal.text) <= 36
    one = propose(dataclasses.replace(SITUATION, sendings_left=37), _class(0.95), np.random.default_rng(0))
    assert len(one.introduce) == 1
    assert len(one.text) == 25


def test_rest_too_short_for_another_text_is_used_up() -> None:
    proposal = propose(
        dataclasses.replace(SITUATION, sendings_left=60), _class(0.5), np.random.default_rng(0)
    )
    assert len(proposal.text) == 60


def test_next_sign_is_the_least_like_what_is_weak() -> None:
    # H is heard as S and 5 (Rothkopf 1957: H-5 68.5 %, S-H high); M is like neither.
    waiting = dataclasses.replace(SITUATION, alphabet="S5M", known="S")
    assert next_symbols(waiting, np.array([0.6]), 1) == "M"


def test_asked_order_is_kept_but_for_a_few_places() -> None:
    ordered = dataclasses.replace(SITUATION, order="ETANIMSORK")
    assert set(next_symbols(ordered, np.full(4, 0.5), 2)) <= set("IMSOR" + "K")
    assert "K" not in next_symbols(ordered, np.full(4, 0.5), 1)


def test_reasons_carry_the_numbers() -> None:
    reasons = propose(SITUATION, _class(0.95), np.random.default_rng(0)).reasons
    assert reasons[0].startswith("Over the course the class recalls about 9")
    assert "% of its 4 sounds" in reasons[0]
    assert all(reason.endswith(".") for reason in reasons)


@pytest.mark.parametrize(
    ("changed", "complaint"),
    [
        ({"alphabet": "AAB"}, "alphabet has a symbol twice"),
        ({"known": "E_"}, "known holds '_'"),
        ({"alphabet": "é"}, "'é' is not a symbol"),
        ({"present": ()}, "nobody"),
        ({"min_length": 90}, "no text is 90 to 80"),
        ({"sendings_left": 24}, "24 sendings left are too few"),
        ({"known": "", "sendings_left": 36}, "the next exercise needs 37"),
        ({"alphabet": "", "known": ""}, "nothing to teach"),
        ({"intro_cost": -1}, "negative"),
    ],
)
def test_question_without_an_answer_is_refused(changed: dict[str, object], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        dataclasses.replace(SITUATION, **changed)  # type: ignore[arg-type]


# --- after an exercise -----------------------------------------------------------------------------


def _pair(sent: str, written: str) -> Pair:
    return Pair(
        sent, written, n=9, substitutions=12, sendings=40, learners=4, back=2, back_sendings=41, strength=0.5
    )


def test_good_copy_leads_on_with_the_other_choices_at_hand() -> None:
    advice = advise_after(SITUATION, _class(0.95), np.random.default_rng(0))
    assert advice.proposed.action == "go on"
    assert len(advice.proposed.proposal.introduce) == 2
    assert re.match(
        r"In the last run the class copied 9\d %; over the course it recalls about", advice.proposed.sentence
    )
    assert {choice.action for choice in advice.choices[1:]} == {"repeat"}  # 4 sounds: nowhere to go back to


def test_what_is_planned_for_today_is_what_the_class_goes_on_with() -> None:
    free = advise_after(SITUATION, _class(0.95), np.random.default_rng(0)).proposed.proposal.introduce
    planned = SITUATION.untaught[-2:]
    assert planned != free
    going_on = advise_after(
        dataclasses.replace(SITUATION, planned=planned), _class(0.95), np.random.default_rng(0)
    )
    assert going_on.proposed.proposal.introduce == planned
    assert any("today's plan" in reason for reason in going_on.proposed.proposal.reasons)
    one = dataclasses.replace(
        SITUATION, planned=planned[:1] + SITUATION.known[:1]
    )  # the second is known already
    assert (
        advise_after(one, _class(0.95), np.random.default_rng(0)).proposed.proposal.introduce[0] == planned[0]
    )


def test_middling_copy_is_repeated() -> None:
    advice = advise_after(SITUATION, _class(0.68), np.random.default_rng(0))
    assert advice.proposed.action == "repeat"
    assert advice.proposed.proposal.introduce == ""
    assert "go on" in {choice.action for choice in advice.choices[1:]}


def test_mixed_up_pair_is_contrasted_before_going_on() -> None:
    advice = advise_after(SITUATION, _class(0.68), np.random.default_rng(0), [_pair("A", "N")])
    assert advice.proposed.action == "contrast"
    assert set(advice.proposed.proposal.text) == {"A", "N"}
    assert advice.proposed.sentence.startswith("This evening 4 learners wrote N for A, 9 times in 40")


def test_contrast_is_only_an_alternative_when_the_class_can_go_on() -> None:
    advice = advise_after(SITUATION, _class(0.95), np.random.default_rng(0), [_pair("A", "N")])
    assert advice.proposed.action == "go on"
    assert "contrast" in {choice.action for choice in advice.choices[1:]}


def test_lost_class_goes_back_to_what_it_knows_best() -> None:
    known = "ETANKRSO"
    situation = dataclasses.replace(SITUATION, known=known)
    advice = advise_after(situation, _class(0.4, known), np.random.default_rng(0))
    assert advice.proposed.action == "go back"
    assert len(set(advice.proposed.proposal.text)) == 4
    assert "go back to the 4 sounds" in advice.proposed.sentence


def test_pair_outside_what_is_known_is_left_alone() -> None:
    advice = advise_after(SITUATION, _class(0.68), np.random.default_rng(0), [_pair("A", "R")])
    assert advice.proposed.action == "repeat"


def test_what_nobody_has_answered_is_called_not_tested_and_gets_no_figure() -> None:
    met = dataclasses.replace(SITUATION, known="ETANKR")
    advice = advise_after(met, _class(0.95), np.random.default_rng(0))
    texts = [c.sentence for c in advice.choices] + list(advice.proposed.proposal.reasons)
    assert "of the 4 sounds tested; K and R are not tested yet" in advice.proposed.sentence
    assert any("K (not tested yet)" in text for text in texts)
    assert not any("33 %" in text for text in texts), texts
    assert advice.proposed.proposal.introduce == "", "they are tested before others come"
    nothing = advise_after(dataclasses.replace(SITUATION, known="KR"), _class(0.95), np.random.default_rng(0))
    assert "of the 2 sounds met, nothing is tested yet" in nothing.proposed.sentence


def test_one_sound_alone_is_never_practised() -> None:
    """It would be written without listening; a second one is met first, however the first was copied."""
    one = dataclasses.replace(SITUATION, known="E")
    for record in (Record(), _class(0.2, "E"), _class(0.95, "E")):
        advice = advise_after(one, record, np.random.default_rng(0))
        for choice in advice.choices:
            assert choice.action == "go on"
            assert len(set(choice.proposal.text)) > 1
    with pytest.raises(ValueError, match="One sound alone"):
        advise_after(dataclasses.replace(one, alphabet="E"), Record(), np.random.default_rng(0))


def test_contrast_drill_needs_a_pair() -> None:
    with pytest.raises(ValueError, match="at least one pair"):
        contrast_drill([], SITUATION, np.random.default_rng(0))


def test_nothing_is_judged_before_anything_is_known() -> None:
    with pytest.raises(ValueError, match="nothing to judge"):
        advise_after(dataclasses.replace(SITUATION, known=""), Record(), np.random.default_rng(0))


# --- attention -------------------------------------------------------------------------------------


def test_slow_symbol_is_found_by_its_median() -> None:
    slow = slow_symbols({"E": [0.8] * 5, "T": [0.9] * 6, "A": [1.0] * 7, "Q": [2.0, 1.9, 2.1, 2.0, 0.5]})
    assert [(s.sign, s.median_s, s.answers) for s in slow] == [("Q", 2.0, 5)]


def test_few_answers_prove_no_slowness() -> None:
    assert slow_symbols({"E": [0.8] * 5, "T": [0.9] * 5, "A": [1.0] * 5, "Q": [3.0] * 4}) == ()


def test_absent_learner_lacks_what_was_introduced_meanwhile() -> None:
    record = record_of(
        [Exercise(0, "ET", "ET", {"ann": "ET", "bob": "ET"}), Exercise(7, "A", "ETA", {"ann": "ETA"})]
    )
    assert who_lacks(record, ["ann", "bob", "cy"], "ETA") == (
        Lack("bob", (7,), "A"),
        Lack("cy", (0, 7), "ETA"),
    )
