"""The course's order, the evening's plan, and advice after each exercise. The instructor decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import msgspec
import numpy as np

from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.course import own_order, plan_order, signs_of
from copyroom.core.evening import plan_in_slices
from copyroom.core.placement import Placement
from copyroom.core.purpose import PURPOSES, Because
from copyroom.core.steps import Step, timed_step
from copyroom.core.text import normalise
from copyroom.core.usage import EXAMINED_SIGNS
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import answers, handles, settles
from copyroom.room.effects import CONSOLE, Effect, Refused, Send
from copyroom.room.events import PlanStep
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.messages.learner import RefusedOut
from copyroom.room.messages.planning import CourseOut, course_view
from copyroom.room.record import minutes_left, speed, standing_in_slices


def order_for(event: ev.SetCourse | ev.ShowCourse, words: Sequence[str]) -> tuple[Placement, ...]:
    """The order that a choice of course leads to, with its reasons. Raises Refused."""
    try:
        if event.emphasis == "own":
            return own_order(event.signs)
        pins = {pin.sign: pin.place for pin in event.pins}
        return plan_order(event.signs or EXAMINED_SIGNS, event.emphasis, words, pins)
    except ValueError as fault:
        raise Refused(str(fault)) from None


@settles(ev.SetCourse)
def settle_course(figures: Figures, event: ev.SetCourse, now_ms: float) -> ev.SetCourse:
    """The journal keeps the order that the choice led to."""
    return msgspec.structs.replace(event, order=signs_of(order_for(event, figures.room.words)))


@answers(ev.ShowCourse)
def show_course(figures: Figures, event: ev.ShowCourse, now_ms: float) -> CourseOut:
    """An order with the reason of each place."""
    return course_view(figures.room, order_for(event, figures.room.words))


@handles(ev.SetCourse)
def set_course(room: Classroom, event: ev.SetCourse, now_ms: float) -> list[Effect]:
    """The order from now on. What is known stays known."""
    room.emphasis, room.pins, room.order = event.emphasis, event.pins, event.order
    room.course_meetings, room.most_new = event.meetings, event.most_new
    room.plan_edits += 1
    return []


def numbered(room: Classroom, steps: Sequence[Step], *, chosen: bool = False) -> list[PlanStep]:
    """Steps with the next free numbers."""
    first = max((step.id for step in room.plan), default=0) + 1
    return [PlanStep(first + i, step, 0, chosen) for i, step in enumerate(steps)]


@handles(ev.SetPlan)
def set_plan(room: Classroom, event: ev.SetPlan, now_ms: float) -> list[Effect]:
    """The plan as it stands from now on."""
    if not event.fitted:
        room.plan_edits += 1
    if event.minutes != room.plan_minutes:  # planned anew
        room.plan_freed_s = 0.0
    room.plan, room.plan_minutes, room.plan_changes = list(event.steps), event.minutes, event.changes
    return []


@handles(ev.EditPlan)
def edit_plan(room: Classroom, event: ev.EditPlan, now_ms: float) -> list[Effect]:
    """Another order of the steps; those left out are dropped, those already sent stay."""
    by_id = {step.id: step for step in room.plan}
    if unknown := [number for number in event.steps if number not in by_id]:
        raise Refused(f"The plan has no step {unknown[0]} any more.")
    kept = [by_id[number] for number in dict.fromkeys(event.steps)]
    dropped = [step for step in room.plan if not step.push and step not in kept]
    room.plan_freed_s += sum(step.step.duration_s for step in dropped)
    room.plan = [step for step in room.plan if step.push and step not in kept] + kept
    room.plan_changes = ()
    room.plan_edits += 1
    return []


@settles(ev.AddStep)
def settle_added(figures: Figures, event: ev.AddStep, now_ms: float) -> ev.AddStep:
    """The step itself, as long as it takes by the rules of now."""
    room = figures.room
    try:
        text = normalise(event.text, additions=room.additions)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    because = Because("wanted", "" if event.purpose == "meet" else unmet(room, text))
    in_play = "" if event.purpose == "meet" else event.symbols
    step = timed_step(event.purpose, text, speed(room), because, symbols=in_play, title=event.title.strip())
    return msgspec.structs.replace(event, planned=step)


@handles(ev.AddStep)
def add_step(room: Classroom, event: ev.AddStep, now_ms: float) -> list[Effect]:
    """One more step before the first that is not done."""
    if event.planned is None:
        raise Refused("That step was not settled.")
    room.plan = inserted(room, numbered(room, [event.planned], chosen=True))
    room.plan_edits += 1
    return []


def unmet(room: Classroom, signs: str) -> str:
    """Those of the signs that are not among the known ones, each once."""
    return "".join(dict.fromkeys(sign for sign in signs if sign not in room.symbols and sign != WORD_SPACE))


def inserted(room: Classroom, steps: list[PlanStep]) -> list[PlanStep]:
    """The plan with these steps before the first that is not done."""
    at = next((i for i, step in enumerate(room.plan) if not step.push), len(room.plan))
    return [*room.plan[:at], *steps, *room.plan[at:]]


@handles(ev.MarkStep)
def mark_step(room: Classroom, event: ev.MarkStep, now_ms: float) -> list[Effect]:
    """A step that sends nothing, or that the instructor passes over, is done."""
    _step(room, event.step)
    room.plan = [replace(s, push=-1) if s.id == event.step else s for s in room.plan]
    _begin(room, now_ms)
    room.plan_edits += 1
    return []


def _step(room: Classroom, number: int) -> PlanStep:
    found = next((step for step in room.plan if step.id == number), None)
    if found is None:
        raise Refused("The plan has no such step any more.")
    return found


def _begin(room: Classroom, now_ms: float) -> None:
    if room.plan_begun_ms is None:
        room.plan_begun_ms = now_ms


def step_to_send(room: Classroom, number: int) -> PlanStep:
    """A step that is still to do."""
    found = _step(room, number)
    if found.push:
        raise Refused("This step was sent already.")
    return found


def text_of_step(found: PlanStep) -> ev.SendText:
    """The run that a step of the plan is."""
    step = found.step
    if step.purpose == "breather" or step.purpose == "close" or not step.text:
        raise Refused("This step sends nothing; mark it as done when it is over.")
    shown = PURPOSES[step.purpose].shown
    return ev.SendText(
        purpose=step.purpose,
        symbols=step.symbols[:1] if shown else step.symbols,
        count=step.sounds,
        group=5,
        text=step.text,
        name_shown=shown,
        counted=not shown,
        seed=0,
        step=found.id,
        title=step.title,
    )


def note_sent(room: Classroom, step: int, push: int, now_ms: float) -> None:
    """A step of the plan has become this push."""
    room.plan = [replace(s, push=push) if s.id == step else s for s in room.plan]
    _begin(room, now_ms)


def note_cancelled(room: Classroom, push: int) -> None:
    """The step that became this push is still to do."""
    room.plan = [replace(s, push=0) if s.push == push else s for s in room.plan]
    if not any(step.push for step in room.plan):
        room.plan_begun_ms = None


# ------------------------------------------------------------------ a plan, and what the advice puts in it


@settles(ev.PlanEvening)
def settle_plan(figures: Figures, event: ev.PlanEvening, now_ms: float) -> Job:
    """The plan that a request for one leads to; what was sent already stays in front."""
    room = figures.room
    rng = np.random.default_rng(event.seed)
    try:
        standing = yield from let_none_out(standing_in_slices(figures, now_ms))
        steps = yield from let_none_out(plan_in_slices(standing, event.minutes, speed(room), rng, room.words))
    except ValueError as fault:
        yield [Send(CONSOLE, RefusedOut(sentence=str(fault), about="plan_evening"))]
        return
    done = [step for step in room.plan if step.push]
    gone_min = room.plan_minutes - minutes_left(room, now_ms)
    yield [ev.SetPlan(gone_min + event.minutes, tuple(done + numbered(room, steps)), ())]


def introduces(planned: PlanStep, signs: str) -> bool:
    """Whether a step is there for one of these to be met."""
    return planned.step.purpose == "meet" and planned.step.symbols[:1] in signs


@handles(ev.GiveReview)
def give_review(room: Classroom, event: ev.GiveReview, now_ms: float) -> list[Effect]:
    """Each learner sees their own days on their own page, until something is sent again."""
    if not room.symbols:
        raise Refused("There is nothing to review yet: no sound is known.")
    room.review_days = event.days
    return []
