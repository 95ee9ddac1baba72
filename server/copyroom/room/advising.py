"""What the final copies of a run say: evidence, advice, and what is left of the plan. A slice at a time."""

from __future__ import annotations

from collections.abc import Generator, Sequence

import numpy as np

from copyroom.core.advice.attention import who_lacks
from copyroom.core.advice.policy import advise_in_slices
from copyroom.core.advice.standing import Standing
from copyroom.core.evening import replan_in_slices
from copyroom.core.evidence.slow import Slowness
from copyroom.core.steps import Step
from copyroom.core.tally import empty
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import Event
from copyroom.room.effects import Effect
from copyroom.room.events import PlanStep
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.findings import SCOPES, findings_in_slices
from copyroom.room.planning import numbered
from copyroom.room.record import believed_in_slices, minutes_left, speed, standing_in_slices, today
from copyroom.room.run import Run
from copyroom.room.scoring import run_table


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
    standing = yield from let_none_out(standing_in_slices(figures, now_ms))
    yield []
    yield from _attend(figures)
    room = figures.room
    # Latecomers make exercises of their own in the record; the class's share is the table's.
    table = sum((run_table(figures, part) for part in counted), empty())[:-1]
    if not table.any():
        if refit and run.aside_from == 0:
            yield (yield from _fitted(room, standing, np.random.default_rng(run.id), now_ms))
        return  # stopped before anybody heard it, or nobody wrote: nothing was tested
    if not room.symbols or len({*room.symbols, *room.order}) < 2:
        return  # one sound alone is no practice
    rng = np.random.default_rng(run.id)
    copied = float(table.trace() / table.sum())
    yield []
    figures.advice = yield from let_none_out(advise_in_slices(standing, rng, copied))
    yield []
    if refit:
        yield (yield from _fitted(room, standing, rng, now_ms))


def find(figures: Figures) -> Job:
    """The findings of every scope."""
    for scope in SCOPES:
        yield from let_none_out(findings_in_slices(figures, scope))


def _attend(figures: Figures) -> Job:
    """Who was away for what, and which sounds come slowly."""
    names = [str(seat) for seat in figures.room.seats]
    believed = yield from let_none_out(believed_in_slices(figures, names))
    yield []
    runs = figures.grounds.runs if figures.grounds else []
    figures.lacking = who_lacks(runs, believed) if believed else ()
    yield []
    slowness = Slowness()
    for run in runs:
        if run.day == today(figures.room):
            slowness.take(run)
            yield []
    figures.slow = slowness.slow()
    yield []


def _fitted(
    room: Classroom, standing: Standing, rng: np.random.Generator, now_ms: float
) -> Generator[Sequence[Effect | Event], None, list[Effect | Event]]:
    """The plan fitted to what was copied and to the time that is left; nothing when it stays."""
    chosen = [step for step in room.plan if not step.push and step.chosen]
    remaining = [step.step for step in room.plan if not step.push and not step.chosen]
    if not remaining:
        return []
    left_min = max(0.0, minutes_left(room, now_ms) - sum(step.step.duration_s for step in chosen) / 60.0)
    freed_min, edits = room.plan_freed_s / 60.0, room.plan_edits
    new = yield from let_none_out(
        replan_in_slices(standing, remaining, left_min, speed(room), rng, room.words, freed_min)
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
