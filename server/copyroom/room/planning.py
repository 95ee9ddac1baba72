"""The course's order, the evening's plan, and advice after each exercise. The instructor decides."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace

import numpy as np

from copyroom.core.advice.record import Record
from copyroom.core.advice.verdict import Advice, Choice, advise_after
from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.course import EXAMINED_SIGNS, own_order, plan_order, signs_of
from copyroom.core.evening import CourseState, plan_evening, replan
from copyroom.core.steps import READINGS, Kind, Lectern, Step, grouped, timed_step
from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.effects import Effect, Refused, Save
from copyroom.room.events import PlanStep
from copyroom.room.findings import SCOPES, findings_in_slices
from copyroom.room.lessons import minutes_left, present, record_of_room, situation, speed
from copyroom.room.limits import Purpose
from copyroom.room.push import OTHER_TITLES
from copyroom.room.scoring import run_table
from copyroom.room.state import State

PURPOSE_OF: dict[Kind, Purpose] = {"introduce": "meet", "words": "words"}
"""How a step of this kind is sent; all others as a mix."""
PURPOSE_OF_READING = {title: purpose for purpose, title in OTHER_TITLES.items() if title in READINGS}
"""By its title, which plan and composer have in common: so pages can tell that traffic is practice."""
CHOICE_TITLES = {
    "go on": "Practise with the new",
    "contrast": "Tell apart",
    "go back": "Back to what is known",
}
"""What the step is called that follows an advice."""


def order_for(event: ev.SetCourse | ev.ShowCourse) -> str:
    """The order that a choice of course leads to. Raises Refused with the sentence of its fault."""
    try:
        if event.emphasis == "own":
            return signs_of(own_order(event.signs))
        pins = {pin.sign: pin.place for pin in event.pins}
        return signs_of(plan_order(event.signs or EXAMINED_SIGNS, event.emphasis, pins=pins))
    except ValueError as fault:
        raise Refused(str(fault)) from None


@handles(ev.SetCourse)
def set_course(state: State, event: ev.SetCourse, now_ms: float) -> list[Effect]:
    """The order from now on. What is known stays known."""
    state.emphasis, state.pins, state.order = event.emphasis, event.pins, event.order
    state.course_meetings = event.meetings
    state.plan_edits += 1
    state.changed |= {"plan", "room"}
    return []


def settle_plan(state: State, event: ev.PlanEvening, now_ms: float) -> ev.SetPlan:
    """The plan that a request for one leads to; what was sent already stays in front."""
    course = CourseState(state.order, state.symbols, present(state), _today(state))
    try:
        steps = plan_evening(
            course,
            record_of_room(state),
            event.minutes,
            speed(state),
            np.random.default_rng(event.seed),
            state.words,
        )
    except ValueError as fault:
        raise Refused(str(fault)) from None
    done = [step for step in state.plan if step.push]
    gone_min = state.plan_minutes - minutes_left(state, now_ms)
    return ev.SetPlan(gone_min + event.minutes, tuple(done + _numbered(state, steps)), ())


def _today(state: State) -> int:
    return state.meetings[-1].day if state.meetings else 0


def _numbered(state: State, steps: Sequence[Step], *, chosen: bool = False) -> list[PlanStep]:
    first = max((step.id for step in state.plan), default=0) + 1
    return [PlanStep(first + i, step, 0, chosen) for i, step in enumerate(steps)]


@handles(ev.SetPlan)
def set_plan(state: State, event: ev.SetPlan, now_ms: float) -> list[Effect]:
    """The plan as it stands from now on."""
    if not event.fitted:
        state.plan_edits += 1
    if event.minutes != state.plan_minutes:  # planned anew
        state.plan_freed_s = 0.0
    state.plan, state.plan_minutes, state.plan_changes = list(event.steps), event.minutes, event.changes
    state.changed.add("plan")
    return []


@handles(ev.EditPlan)
def edit_plan(state: State, event: ev.EditPlan, now_ms: float) -> list[Effect]:
    """Another order of the steps; those left out are dropped, those already sent stay."""
    by_id = {step.id: step for step in state.plan}
    if unknown := [number for number in event.steps if number not in by_id]:
        raise Refused(f"The plan has no step {unknown[0]} any more.")
    kept = [by_id[number] for number in dict.fromkeys(event.steps)]
    dropped = [step for step in state.plan if not step.push and step not in kept]
    state.plan_freed_s += sum(step.step.duration_s for step in dropped)
    state.plan = [step for step in state.plan if step.push and step not in kept] + kept
    state.plan_changes = ()
    state.plan_edits += 1
    state.changed.add("plan")
    return []


@handles(ev.AddStep)
def add_step(state: State, event: ev.AddStep, now_ms: float) -> list[Effect]:
    """One more step before the first that is not done."""
    kind: Kind = "introduce" if event.kind == "introduce" else "mix"
    fresh = unmet(state, event.text)
    are = "is" if len(fresh) == 1 else "are"
    joins = f" Not met yet {are} {', '.join(fresh)}; known from when this is sent." if fresh else ""
    reason = f"You put it here.{joins if kind == 'mix' else ''}"
    step = timed_step(kind, event.title, event.text, speed(state), reason)
    state.plan = _inserted(state, _numbered(state, [step], chosen=True))
    state.plan_edits += 1
    state.changed.add("plan")
    return []


def unmet(state: State, signs: str) -> str:
    """Those of the signs that are not among the known ones, each once."""
    return "".join(dict.fromkeys(sign for sign in signs if sign not in state.symbols and sign != WORD_SPACE))


def _inserted(state: State, steps: list[PlanStep]) -> list[PlanStep]:
    """The plan with these steps before the first that is not done."""
    at = next((i for i, step in enumerate(state.plan) if not step.push), len(state.plan))
    return [*state.plan[:at], *steps, *state.plan[at:]]


@handles(ev.MarkStep)
def mark_step(state: State, event: ev.MarkStep, now_ms: float) -> list[Effect]:
    """A step that sends nothing, or that the instructor passes over, is done."""
    _step(state, event.step)
    state.plan = [replace(s, push=-1) if s.id == event.step else s for s in state.plan]
    _begin(state, now_ms)
    state.plan_edits += 1
    state.changed.add("plan")
    return []


def _step(state: State, number: int) -> PlanStep:
    found = next((step for step in state.plan if step.id == number), None)
    if found is None:
        raise Refused("The plan has no such step any more.")
    return found


def _begin(state: State, now_ms: float) -> None:
    if state.plan_begun_ms is None:
        state.plan_begun_ms = now_ms


def text_of_step(state: State, event: ev.SendStep) -> ev.SendText:
    """The run that a step of the plan is."""
    found = _step(state, event.step)
    if found.push:
        raise Refused("This step was sent already.")
    if not found.step.text:
        raise Refused("This step sends nothing; mark it as done when it is over.")
    purpose: Purpose = PURPOSE_OF_READING.get(found.step.title) or PURPOSE_OF.get(found.step.kind, "mix")
    meets = purpose == "meet"
    symbols = found.step.symbols if not meets else found.step.symbols[:1]
    return ev.SendText(
        purpose,
        symbols,
        found.step.sounds,
        5,
        found.step.text,
        meets,
        not meets,
        0,
        0.0,
        event.step,
        found.step.title,
    )


def note_sent(state: State, step: int, push: int, now_ms: float) -> None:
    """A step of the plan has become this push."""
    state.plan = [replace(s, push=push) if s.id == step else s for s in state.plan]
    _begin(state, now_ms)
    state.changed.add("plan")


def note_cancelled(state: State, push: int) -> None:
    """The step that became this push is still to do."""
    state.plan = [replace(s, push=0) if s.push == push else s for s in state.plan]
    if not any(step.push for step in state.plan):
        state.plan_begun_ms = None


def settle_choice(state: State, event: ev.TakeChoice) -> ev.SetPlan:
    """The plan with what an advice proposes in front: introductions first, then its text."""
    if state.advice is None or event.push != state.advice_push:
        raise Refused("That advice is not the last one any more.")
    choices: list[Advice | Choice] = [state.advice, *state.advice.alternatives]
    if event.choice >= len(choices):
        raise Refused("There is no such choice.")
    chosen = choices[event.choice]
    rng = np.random.default_rng(event.push)
    lectern = Lectern(record_of_room(state), present(state), state.symbols, speed(state), rng)
    new = chosen.proposal.introduce
    steps = [lectern.introduction(sign, state.symbols + new[:i]) for i, sign in enumerate(new)]
    title = CHOICE_TITLES.get(chosen.action, "Once more")
    text = grouped(chosen.proposal.text)
    steps.append(timed_step("practise", title, text, speed(state), chosen.sentence))
    planned = _inserted(state, _numbered(state, steps, chosen=True))
    # What is introduced now need not be introduced again later.
    met_now = [step.id for step in state.plan if not step.push and _introduces(step, new)]
    return ev.SetPlan(state.plan_minutes, tuple(step for step in planned if step.id not in met_now), ())


def _introduces(planned: PlanStep, signs: str) -> bool:
    return planned.step.kind == "introduce" and planned.step.symbols[:1] in signs


def _continued(state: State, steps: Sequence[Step]) -> list[PlanStep]:
    """The steps still to do with the numbers they had, so that a page can follow them."""
    remaining = [step for step in state.plan if not step.push and not step.chosen]
    fresh = iter(_numbered(state, steps))
    numbered = []
    for step in steps:
        old = next((s for s in remaining if (s.step.kind, s.step.title) == (step.kind, step.title)), None)
        new = next(fresh)
        numbered.append(new if old is None else PlanStep(old.id, step, 0))
        if old is not None:
            remaining.remove(old)
    return numbered


def to_conclude(state: State) -> bool:
    """Whether the last run's copies are final and nothing has been said of them yet."""
    push = state.run
    return bool(push and push.closed and not state.marking and state.concluded != push.id)


def conclude(state: State, now_ms: float, *, refit: bool = True) -> Generator[list[Effect]]:
    """What the final copies of the last run say: evidence, advice, and what is left of the plan.

    One slice at a time. The new plan is an event of its own, so that a replay takes it as it was
    (`refit` False).
    """
    push = state.run
    if push is None:
        return
    state.concluded = push.id
    for scope in SCOPES:
        for _ in findings_in_slices(state, scope):
            yield []
        yield []
    state.changed.add("findings")
    if not push.counted:
        return
    state.advice_push, state.advice = push.id, None
    record = record_of_room(state)
    state.changed.add("advice")
    yield []
    # Latecomers make exercises of their own in the record; the class's share is the table's.
    table = run_table(state, push)[:-1]
    if not table.any():
        if refit and push.aside_from == 0 and record.scores:
            yield _fit(state, record, now_ms)
        return  # stopped before anybody heard it, or nobody wrote: nothing was tested
    if not state.symbols or len({*state.symbols, *state.order}) < 2:
        return  # one sound alone is no practice
    rng = np.random.default_rng(push.id)
    pairs = state.findings["evening"].pairs.pairs
    copied = float(table.trace() / table.sum())
    state.advice = advise_after(situation(state, now_ms), record, rng, pairs, copied)
    yield []
    if refit:
        yield _fit(state, record, now_ms, rng)


def _fit(state: State, record: Record, now_ms: float, rng: np.random.Generator | None = None) -> list[Effect]:
    event = _refitted(state, record, rng or np.random.default_rng(state.concluded), now_ms)
    return [] if event is None else [Save(event, now_ms), *set_plan(state, event, now_ms)]


def _refitted(state: State, record: Record, rng: np.random.Generator, now_ms: float) -> ev.SetPlan | None:
    """The plan fitted to what was copied and to the time that is left; None when it stays."""
    chosen = [step for step in state.plan if not step.push and step.chosen]
    remaining = [step.step for step in state.plan if not step.push and not step.chosen]
    if not remaining:
        return None
    course = CourseState(state.order, state.symbols, present(state), _today(state))
    left_min = max(0.0, minutes_left(state, now_ms) - sum(step.step.duration_s for step in chosen) / 60.0)
    new = replan(
        course, record, remaining, left_min, speed(state), rng, state.words, state.plan_freed_s / 60.0
    )
    if list(new.steps) == remaining:
        return None
    done = [step for step in state.plan if step.push]
    planned = (*done, *chosen, *_continued(state, new.steps))
    return ev.SetPlan(state.plan_minutes, planned, new.changes, fitted=True)
