"""What the final copies of a run say: evidence, advice, and what is left of the plan. A slice at a time."""

from __future__ import annotations

from collections.abc import Generator, Sequence

import numpy as np

from copyroom.core.advice.attention import slow_symbols, who_lacks
from copyroom.core.advice.record import Floats, Record
from copyroom.core.advice.verdict import advise_in_slices
from copyroom.core.evening import replan_in_slices
from copyroom.core.steps import Step
from copyroom.core.tally import empty
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import Event
from copyroom.room.effects import Effect
from copyroom.room.events import PlanStep
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.findings import SCOPES, findings_in_slices
from copyroom.room.planning import course_state, numbered
from copyroom.room.record import minutes_left, record_in_slices, situation, speed
from copyroom.room.run import Run
from copyroom.room.scoring import code_points, results, run_table


def conclude(figures: Figures, run: Run, now_ms: float, *, refit: bool) -> Job:
    """Evidence and advice after this run, the last one; with `refit` the plan is fitted to them.

    The new plan is an event of its own, so that a replay takes it as it was.
    """
    yield from find(figures)
    counted = [part for part in figures.room.parts_of(run) if part.counted]
    if not counted:
        return
    figures.advice_run, figures.advice = run.id, None
    yield []
    record = yield from let_none_out(record_in_slices(figures))
    yield []
    yield from _attend(figures, record)
    room = figures.room
    # Latecomers make exercises of their own in the record; the class's share is the table's.
    table = sum((run_table(figures, part) for part in counted), empty())[:-1]
    if not table.any():
        if refit and run.aside_from == 0:
            yield (yield from _fitted(room, record, np.random.default_rng(run.id), now_ms))
        return  # stopped before anybody heard it, or nobody wrote: nothing was tested
    if not room.symbols or len({*room.symbols, *room.order}) < 2:
        return  # one sound alone is no practice
    rng = np.random.default_rng(run.id)
    pairs = figures.findings["evening"].pairs.pairs
    copied = float(table.trace() / table.sum())
    stands = situation(room, now_ms)
    yield []
    figures.advice = yield from let_none_out(advise_in_slices(stands, record, rng, pairs, copied))
    yield []
    if refit:
        yield (yield from _fitted(room, record, rng, now_ms))


def find(figures: Figures) -> Job:
    """The findings of every scope."""
    for scope in SCOPES:
        yield from let_none_out(findings_in_slices(figures, scope))


def _attend(figures: Figures, record: Record) -> Job:
    """Who was away for what, and which sounds come slowly."""
    names = [str(seat) for seat in figures.room.seats]
    figures.lacking = who_lacks(record, names, figures.room.symbols)
    yield []
    lags: dict[str, list[Floats]] = {}
    for run in figures.room.meeting_runs():
        if run.counts and figures.is_final(run.id):
            yield from _gather_lags(figures, run, lags)
    figures.slow = slow_symbols({sign: np.concatenate(parts) for sign, parts in lags.items()})
    yield []


def _gather_lags(figures: Figures, run: Run, lags: dict[str, list[Floats]]) -> Job:
    """Per symbol, how long after its sound the right answers came, in seconds."""
    found = list(results(figures, run).values())
    if not found:
        return
    lags_s = np.stack([result.lags_ms for result in found]) / 1000.0
    right = code_points("".join(result.answers for result in found)).reshape(lags_s.shape)
    lags_s[right != code_points(run.sent)] = np.inf
    yield []
    for sign in set(run.sent):
        of_sign = lags_s[:, code_points(run.sent) == ord(sign)]
        lags.setdefault(sign, []).append(of_sign[np.isfinite(of_sign)])
        yield []


def _fitted(
    room: Classroom, record: Record, rng: np.random.Generator, now_ms: float
) -> Generator[Sequence[Effect | Event], None, list[Effect | Event]]:
    """The plan fitted to what was copied and to the time that is left; nothing when it stays."""
    chosen = [step for step in room.plan if not step.push and step.chosen]
    remaining = [step.step for step in room.plan if not step.push and not step.chosen]
    if not remaining:
        return []
    left_min = max(0.0, minutes_left(room, now_ms) - sum(step.step.duration_s for step in chosen) / 60.0)
    freed_min, edits = room.plan_freed_s / 60.0, room.plan_edits
    new = yield from let_none_out(
        replan_in_slices(
            course_state(room), record, remaining, left_min, speed(room), rng, room.words, freed_min
        )
    )
    if list(new.steps) == remaining or room.plan_edits != edits:  # in the second case it is another plan now
        return []
    done = [step for step in room.plan if step.push]
    planned = (*done, *chosen, *_continued(room, new.steps))
    return [ev.SetPlan(room.plan_minutes, planned, new.changes, fitted=True)]


def _continued(room: Classroom, steps: Sequence[Step]) -> list[PlanStep]:
    """The steps still to do with the numbers they had, so that a page can follow them."""
    remaining = [step for step in room.plan if not step.push and not step.chosen]
    fresh = iter(numbered(room, steps))
    continued = []
    for step in steps:
        old = next((s for s in remaining if _is_alike(s.step, step)), None)
        new = next(fresh)
        continued.append(new if old is None else PlanStep(old.id, step, 0))
        if old is not None:
            remaining.remove(old)
    return continued


def _is_alike(one: Step, other: Step) -> bool:
    """Whether two steps send the same sounds for the same purpose."""
    return one.purpose == other.purpose and set(one.symbols) == set(other.symbols)
