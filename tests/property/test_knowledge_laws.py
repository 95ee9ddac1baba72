"""What holds of any belief: bounds in order, names that mean nothing, answers that count."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from copyroom.core.knowledge import Knowledge
from copyroom.core.record import PastRun

SIGNS = "KMRSU"
NAMES = ("s1", "s2", "s3")


@st.composite
def records(draw: st.DrawFn) -> list[PastRun]:
    """Up to four runs of a few days, with anything written, some away, some speeds given."""
    runs, day = [], 0
    for place in range(draw(st.integers(1, 4))):
        day += draw(st.sampled_from([0, 1, 7, 40]))
        sent = draw(st.text(SIGNS, min_size=2, max_size=12))
        who = draw(st.sets(st.sampled_from(NAMES), min_size=1))
        written = st.text(SIGNS + "_", min_size=len(sent), max_size=len(sent))
        copies = {name: draw(st.one_of(st.just(sent), written)) for name in sorted(who)}
        introduce = SIGNS if place == 0 and draw(st.booleans()) else ""
        kind = draw(st.sampled_from(["copy", "named"]))
        wpm = draw(st.sampled_from([None, 12.0, 18.0]))
        runs.append(PastRun(day, sent, copies, (), introduce, kind, wpm=wpm))
    return runs


def learned(runs: list[PastRun]) -> Knowledge:
    knowledge = Knowledge()
    knowledge.learn(runs)
    return knowledge


@settings(max_examples=25, deadline=None)
@given(runs=records(), ahead=st.integers(0, 400), wpm=st.sampled_from([None, 5.0, 40.0]))
def test_bounds_lie_around_the_mean_and_chances_are_chances(
    runs: list[PastRun], ahead: int, wpm: float | None
) -> None:
    believed = learned(runs).believe(runs[-1].day + ahead, SIGNS, (wpm, None))
    for part in (believed.learners, believed.together):
        assert np.isfinite(part.mean).all()
        assert (part.low >= 0.0).all()
        assert (part.low <= part.mean).all()
        assert (part.mean <= part.high).all()
        assert (part.high <= 1.0).all()
    assert (believed.variance > 0.0).all()


@settings(max_examples=15, deadline=None)
@given(runs=records(), order=st.permutations(NAMES))
def test_who_is_called_what_changes_nothing(runs: list[PastRun], order: list[str]) -> None:
    called = dict(zip(NAMES, order, strict=True))
    others = [replace(run, copies={called[n]: copy for n, copy in run.copies.items()}) for run in runs]
    ours, theirs = learned(runs), learned(others)
    day = runs[-1].day
    a = ours.believe(day, SIGNS, names=ours.names).learners
    b = theirs.believe(day, SIGNS, names=[called[name] for name in ours.names]).learners
    assert np.allclose(a.low, b.low, atol=1e-6)
    assert np.allclose(a.mean, b.mean, atol=1e-6)


@settings(max_examples=15, deadline=None)
@given(runs=records(), by=st.integers(1, 60))
def test_days_count_from_the_first_meeting_whatever_its_number(runs: list[PastRun], by: int) -> None:
    later = [replace(run, day=run.day + by) for run in runs]
    day = runs[-1].day + 7
    a, b = learned(runs).believe(day, SIGNS), learned(later).believe(day + by, SIGNS)
    assert np.allclose(a.learners.mean, b.learners.mean)
    assert np.allclose(a.learners.high, b.learners.high)


@settings(max_examples=15, deadline=None)
@given(runs=records(), stop=st.integers(0, 4))
def test_when_it_was_asked_and_in_how_many_steps_it_learned_changes_nothing(
    runs: list[PastRun], stop: int
) -> None:
    in_steps = learned(runs[:stop])
    in_steps.believe(0 if not runs[:stop] else runs[:stop][-1].day, SIGNS, names=NAMES[:1])
    in_steps.learn(runs[stop:])
    names, day = learned(runs).names, runs[-1].day
    a = learned(runs).believe(day, SIGNS, names=names)
    b = in_steps.believe(day, SIGNS, names=names)
    assert np.allclose(a.learners.mean, b.learners.mean, atol=1e-6)
    assert np.allclose(a.learners.low, b.learners.low, atol=1e-6)


@settings(max_examples=15, deadline=None)
@given(runs=records(), sign=st.sampled_from(SIGNS))
def test_all_right_is_never_believed_less_than_all_blank(runs: list[PastRun], sign: str) -> None:
    day = runs[-1].day
    right = [*runs, PastRun(day, sign * 6 + "KM", dict.fromkeys(NAMES, sign * 6 + "KM"))]
    blank = [*runs, PastRun(day, sign * 6 + "KM", dict.fromkeys(NAMES, "______KM"))]
    a, b = (learned(some).believe(day, sign, names=NAMES).learners.mean for some in (right, blank))
    assert (a > b).all()
