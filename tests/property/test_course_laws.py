"""Laws of orders and evenings: everything is placed once, a plan fits, a text uses only what is known."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from copyroom.core.advice.standing import Standing
from copyroom.core.alphabet import SYMBOLS
from copyroom.core.bursts import Speed
from copyroom.core.course import EMPHASES, move, own_order, plan_order, signs_of
from copyroom.core.evening import plan_evening, replan
from copyroom.core.record import PastRun
from copyroom.core.review import review_calendar
from histories import WORDS, grounds_of, situation, standing_of

SIGNS = [symbol.sign for symbol in SYMBOLS]
sign_sets = st.lists(st.sampled_from(SIGNS), min_size=1, max_size=30, unique=True).map("".join)
speeds = st.tuples(st.integers(10, 30), st.floats(0.2, 1.0)).map(lambda s: Speed(s[0], max(2.0, s[0] * s[1])))
seeds = st.integers(0, 2**32 - 1)


@given(sign_sets, st.sampled_from(sorted(EMPHASES)), st.data())
@settings(max_examples=20, deadline=None)
def test_order_is_deterministic_complete_and_keeps_pins(
    signs: str, emphasis: str, data: st.DataObject
) -> None:
    pinned = data.draw(st.sampled_from(signs))
    place = data.draw(st.integers(0, len(signs) - 1))
    shuffled = "".join(data.draw(st.permutations(list(signs))))
    order = plan_order(signs, emphasis, WORDS, {pinned: place})
    assert order == plan_order(shuffled, emphasis, WORDS, {pinned: place})
    assert sorted(signs_of(order)) == sorted(signs)
    assert order[place].sign == pinned


@given(sign_sets, st.data())
def test_moving_keeps_every_sign(signs: str, data: st.DataObject) -> None:
    order = own_order(signs)
    sign, place = data.draw(st.sampled_from(signs)), data.draw(st.integers(0, len(signs) - 1))
    moved = move(order, sign, place)
    assert sorted(signs_of(moved)) == sorted(signs)
    assert moved[place].sign == sign


def _runs(known: str, share: float, rng: np.random.Generator) -> list[PastRun]:
    if not known:
        return []
    text = "".join(rng.choice(list(known), 40))
    copy = "".join(sign if rng.random() < share else "_" for sign in text)
    return [PastRun(0, text, {"ann": copy}, introduce=known)]


def _standing(order: str, known: str, share: float, rng: np.random.Generator) -> Standing:
    return standing_of(situation(order, known, ("ann",), order=order, today=7), _runs(known, share, rng))


@given(sign_sets, st.data(), st.floats(5, 150), speeds, st.floats(0, 1), seeds)
@settings(max_examples=25, deadline=None)
def test_plan_fits_its_minutes_and_sends_only_what_was_met(
    order: str, data: st.DataObject, minutes: float, speed: Speed, share: float, seed: int
) -> None:
    known = order[: data.draw(st.integers(0, len(order)))]
    rng = np.random.default_rng(seed)
    steps = plan_evening(_standing(order, known, share, rng), minutes, speed, rng, WORDS)
    assert sum(step.duration_s for step in steps) <= minutes * 60 + 1e-6
    met = set(known)
    for step in steps:
        if step.purpose == "meet":
            met.add(step.symbols[0])
        assert set(step.text) - {" "} <= met
        assert step.sounds == len(step.text.replace(" ", ""))
        assert (step.text == "") == (step.purpose in ("breather", "close"))


@given(st.floats(0, 1), st.floats(5, 60), st.integers(0, 8), seeds)
@settings(max_examples=20, deadline=None)
def test_replanned_rest_fits_and_says_what_changed(
    share: float, left_min: float, done: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    speed = Speed(18, 6)
    steps = plan_evening(_standing("ETANIMSOR", "ETANIM", 0.9, rng), 45, speed, rng, WORDS)
    rest = steps[done:]
    now = _standing("ETANIMSOR", "ETANIM", share, rng)
    after = replan(now, rest, left_min, speed, rng, WORDS)
    assert sum(step.duration_s for step in after.steps) <= left_min * 60 + 1e-6
    assert after.changes or list(after.steps) == rest


@given(sign_sets, st.floats(0, 1), st.integers(0, 30), st.integers(1, 40), seeds)
@settings(max_examples=25, deadline=None)
def test_calendar_stays_between_the_meetings(
    known: str, share: float, today: int, gap: int, seed: int
) -> None:
    runs = _runs(known, share, np.random.default_rng(seed))
    believed = grounds_of(runs).knowledge.believe(today, known)
    calendar = review_calendar(believed, today, today + gap)
    assert all(today < row.day < today + gap and set(row.signs) <= set(known) for row in calendar)
    assert [row.day for row in calendar] == sorted({row.day for row in calendar})
