"""Group exercises: how one begins, stands in the plan, and is led. What each is, its own file says."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
from msgspec.structs import replace

from copyroom.core.purpose import Because
from copyroom.core.steps import Step
from copyroom.room import events as ev
from copyroom.room import exercises, planning, running
from copyroom.room.classroom import Classroom
from copyroom.room.contract import Part, handles, settled_fields, settles
from copyroom.room.effects import Effect, Refused
from copyroom.room.events import PlanStep
from copyroom.room.exercises import EXERCISES, Exercise
from copyroom.room.figures import Figures
from copyroom.room.run import Run


def kind_of(name: str) -> Exercise:
    """The kind of that name. Refused where there is none that can be started."""
    kind = EXERCISES.get(name)
    if kind is None or not kind.title:
        raise Refused("There is no such exercise.")
    return kind


def setup_of(kind: Exercise, setup: dict[str, Any]) -> Part:
    """What was chosen, as the kind declares it. Refused where it is not."""
    try:
        return msgspec.convert(setup, kind.setup)
    except msgspec.ValidationError as fault:
        raise Refused(f"{kind.title} cannot be set up like that: {fault}.") from None


@settles(ev.StartExercise)
def settle_start(figures: Figures, event: ev.StartExercise, now_ms: float) -> ev.StartExercise:
    """All that is left to chance drawn, and its start."""
    room = figures.room
    running.refuse_after_another(room, event.after)
    kind = kind_of(event.kind)
    rng = np.random.default_rng(event.seed)
    setup = kind.settle(figures, setup_of(kind, event.setup), rng, now_ms)
    start_room_ms = now_ms + max(room.lead_ms(), room.sound.lead_in_s * 1000.0)
    kept = msgspec.json.decode(msgspec.json.encode(setup))  # as the journal gives it back
    return replace(event, setup=kept, start_room_ms=start_room_ms, after=ev.ANY)


@handles(ev.StartExercise)
def start_exercise(room: Classroom, event: ev.StartExercise, now_ms: float) -> list[Effect]:
    """Begin it. The run before it is closed, if it still was open."""
    kind = kind_of(event.kind)
    effects = running.make_way(room, now_ms)
    run = kind.compose(room, setup_of(kind, event.setup), len(room.runs) + 1, event.start_room_ms)
    run.setup = event.setup
    effects += exercises.begin_run(room, run, now_ms)
    if event.step:
        planning.note_sent(room, event.step, run.id, now_ms)
    return effects


@settles(ev.Repeat)
def settle_repeat(figures: Figures, event: ev.Repeat, now_ms: float) -> ev.SendText | ev.StartExercise:
    """The last run once more: its text, or its exercise with everything drawn anew."""
    running.settle_order(figures, event, now_ms)
    last = figures.room.run
    if last is None:
        raise Refused("Nothing has been sent yet.")
    if last.kind not in EXERCISES or not last.setup:
        return running.text_again(figures, last, now_ms)
    drawn = settled_fields(EXERCISES[last.kind].setup)
    setup = {name: value for name, value in last.setup.items() if name not in drawn}
    return settle_start(figures, ev.StartExercise(last.kind, setup, seed=len(figures.room.runs)), now_ms)


@settles(ev.SendStep)
def settle_step(figures: Figures, event: ev.SendStep, now_ms: float) -> ev.SendText | ev.StartExercise:
    """What a step of the plan is: a text, or a group exercise."""
    running.refuse_after_another(figures.room, event.after)
    found = planning.step_to_send(figures.room, event.step)
    if not found.kind:
        return running.settle_text(figures, planning.text_of_step(found), now_ms)
    start = ev.StartExercise(found.kind, found.setup, seed=found.id, step=found.id)
    return settle_start(figures, start, now_ms)


@settles(ev.AddExercise)
def settle_added(figures: Figures, event: ev.AddExercise, now_ms: float) -> ev.AddExercise:
    """How long it takes by the rules of now."""
    kind = kind_of(event.kind)
    return replace(event, lasts_s=kind.lasts_s(setup_of(kind, event.setup)))


@handles(ev.AddExercise)
def add_exercise(room: Classroom, event: ev.AddExercise, now_ms: float) -> list[Effect]:
    """One more step before the first that is not done."""
    step = Step("together", "", "", 0, event.lasts_s, Because("wanted"))
    number = max((step.id for step in room.plan), default=0) + 1
    planned = PlanStep(number, step, 0, chosen=True, kind=event.kind, setup=event.setup)
    room.plan = planning.inserted(room, [planned])
    room.plan_edits += 1
    return []


def _with_turns(room: Classroom) -> Run:
    run = room.open_run
    if run is None:
        raise Refused("Nothing is going on.")
    return run


@settles(ev.SkipTurn, ev.HandOver)
def settle_turn(figures: Figures, event: ev.Order, now_ms: float) -> ev.Order:
    """Meant for what the console showed."""
    return running.settle_order(figures, event, now_ms)


@handles(ev.SkipTurn)
def skip_turn(room: Classroom, event: ev.SkipTurn, now_ms: float) -> list[Effect]:
    """Pass over the turn at hand."""
    run = top = _with_turns(room)
    if event.within > 0:
        run = room.run_of(event.within)
        if room.top(run) is not top or run.closed:
            raise Refused("That exercise is over.")
    return exercises.of(run).skip(room, run, now_ms)


@handles(ev.HandOver)
def hand_over(room: Classroom, event: ev.HandOver, now_ms: float) -> list[Effect]:
    """What one learner has to do is another's from now on."""
    run = _with_turns(room)
    room.seat(event.to)
    return exercises.of(run).hand_over(room, run, event.seat, event.to, now_ms)
