"""Laws of the policy: what it answers is lawful, whatever was copied; nothing known is absent for long."""

from __future__ import annotations

import itertools

import numpy as np
from copyroom.core.advice.recall import FLOOR_SHARE, recall, weights
from copyroom.core.advice.record import FORGET_PER_SENDING, Exercise
from hypothesis import given, settings
from hypothesis import strategies as st

from copyroom.core.advice.deal import deal
from copyroom.core.advice.proposal import propose
from copyroom.core.advice.situation import Situation
from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.draws import LONGEST_WAIT
from guessers import longest_gaps
from histories import record_of

SIGNS = [symbol.sign for symbol in SYMBOLS]
NAMES = ("ann", "bob", "cy")
sign_sets = st.lists(st.sampled_from(SIGNS), min_size=2, max_size=40, unique=True).map("".join)
seeds = st.integers(0, 2**32 - 1)


def _history(known: str, rng: np.random.Generator) -> list[Exercise]:
    exercises = []
    for i in range(int(rng.integers(0, 6))):
        text = "".join(rng.choice(list(known), int(rng.integers(1, 50))))
        skill = rng.random()
        copies = {
            name: "".join(sign if rng.random() < skill else "_" for sign in text)
            for name in NAMES
            if rng.random() < 0.7
        }
        exercises.append(Exercise(3 * (i // 2), "", text, copies))
    return exercises


@given(sign_sets, st.data(), seeds)
@settings(max_examples=50, deadline=None)
def test_answer_keeps_to_alphabet_and_bounds(alphabet: str, data: st.DataObject, seed: int) -> None:
    rng = np.random.default_rng(seed)
    known = alphabet[: data.draw(st.integers(0, len(alphabet)))]
    low = data.draw(st.integers(1, 40))
    high = data.draw(st.integers(low, 90))
    cost = data.draw(st.integers(0, 15))
    seats = data.draw(st.integers(low + (0 if known else cost), 300))
    situation = Situation(alphabet, known, NAMES, seats, data.draw(st.integers(0, 2000)), cost, low, high)
    proposal = propose(situation, record_of(_history(known, rng) if known else []), rng)
    assert set(proposal.introduce) <= set(alphabet) - set(known)
    assert len(set(proposal.introduce)) == len(proposal.introduce)
    assert known or proposal.introduce
    assert set(proposal.text) <= set(known + proposal.introduce)
    assert low <= len(proposal.text) <= min(high, seats - cost * len(proposal.introduce))
    assert proposal.reasons


shares = st.lists(st.floats(0, 1), min_size=2, max_size=40)


@given(shares, st.data())
def test_weights_are_shares_with_a_floor(needs: list[float], data: st.DataObject) -> None:
    expected = data.draw(st.lists(st.floats(0, 1), min_size=len(needs), max_size=len(needs)))
    dealt = weights(np.array(needs), np.array(expected))
    assert abs(dealt.sum() - 1) < 1e-9
    assert dealt.min() >= FLOOR_SHARE / len(needs) - 1e-12


@given(sign_sets, st.data(), seeds)
@settings(max_examples=15, deadline=None)
def test_no_symbol_in_play_is_absent_long_whatever_its_weight(
    signs: str, data: st.DataObject, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    needs = np.array(data.draw(st.lists(st.floats(0.02, 1), min_size=len(signs), max_size=len(signs))))
    dealt, texts = weights(needs, 1 - needs), list[str]()
    for _ in range(8):  # over texts, as over one
        texts.append(deal(signs, dealt, needs, 45, "".join(texts), texts, rng))
    # Those due at once come one after the other.
    assert longest_gaps(texts, signs).max() <= (LONGEST_WAIT + 1) * len(signs)


@given(sign_sets, seeds)
@settings(max_examples=15, deadline=None)
def test_no_symbol_comes_three_times_running_and_of_two_none_six_times(signs: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    needs = rng.random(len(signs)) + 0.01
    text = deal(signs, needs / needs.sum(), needs, 300, "", (), rng)
    longest = max(len(list(run)) for _, run in itertools.groupby(text))
    assert longest <= (5 if len(signs) == 2 else 2)


def _slow_figures(history: list[Exercise], name: str, sign: str) -> tuple[float, float]:
    """The record's hits and tries, one sending after the other."""
    hits = tries = 0.0
    for exercise in history:
        for place, sent in enumerate(exercise.sent):
            if sent == sign:
                copy = exercise.copies.get(name)
                hits = hits * FORGET_PER_SENDING + (copy is not None and copy[place] == sign)
                tries = tries * FORGET_PER_SENDING + (copy is not None)
    return hits, tries


@given(sign_sets, seeds, st.integers(0, 5))
@settings(max_examples=25, deadline=None)
def test_record_equals_counting_one_by_one_however_it_is_fed(signs: str, seed: int, cut: int) -> None:
    history = _history(signs, np.random.default_rng(seed))
    record = record_of(history[:cut])
    record.extend(history[cut:])
    for name, row in record.rows.items():
        for sign in signs:
            slow = _slow_figures(history, name, sign)
            np.testing.assert_allclose((record.hits[row, INDEX[sign]], record.tries[row, INDEX[sign]]), slow)


@given(sign_sets, seeds)
@settings(max_examples=25, deadline=None)
def test_recall_is_a_share_and_ignores_the_order_of_learners(signs: str, seed: int) -> None:
    record = record_of(_history(signs, np.random.default_rng(seed)))
    forth, back = recall(record, NAMES, signs), recall(record, NAMES[::-1], signs)
    assert ((forth > 0) & (forth < 1)).all()
    np.testing.assert_allclose(forth, back[::-1])
