"""An advice taken: what it proposes becomes the next steps of the plan."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import to_builtins

from copyroom.core.advice.proposal import Choice
from copyroom.core.purpose import Because
from copyroom.core.steps import Lectern, Step, grouped, timed_step
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import settles
from copyroom.room.effects import Refused
from copyroom.room.events import PlanStep
from copyroom.room.exercises import naming
from copyroom.room.figures import Figures
from copyroom.room.planning import inserted, introduces, numbered
from copyroom.room.record import speed, standing_of_room


@settles(ev.TakeChoice)
def settle_choice(figures: Figures, event: ev.TakeChoice, now_ms: float) -> Sequence[ev.Event]:
    """The plan with what an advice proposes in front: introductions first, then its text or its rounds."""
    room, advice = figures.room, figures.advice
    if advice is None or event.push != figures.advice_run:
        raise Refused("That advice is not the last one any more.")
    if event.choice >= len(advice.choices):
        raise Refused("There is no such choice.")
    chosen = advice.choices[event.choice]
    rng = np.random.default_rng(event.push)
    lectern = Lectern(standing_of_room(figures, now_ms), speed(room), rng)
    new = chosen.proposal.introduce
    steps = [lectern.introduction(sign, room.symbols + new[:i]) for i, sign in enumerate(new)]
    added = numbered(room, steps, chosen=True)
    added.append(_last_step(room, chosen, advice.because(chosen), added))
    # What is introduced now need not be introduced again later.
    met_now = [step.id for step in room.plan if not step.push and introduces(step, new)]
    planned = tuple(step for step in inserted(room, added) if step.id not in met_now)
    plan = ev.SetPlan(room.plan_minutes, planned, ())
    return [plan, ev.SendStep(added[0].id)] if event.send else [plan]


def _last_step(room: Classroom, chosen: Choice, because: Because, before: Sequence[PlanStep]) -> PlanStep:
    """The text of a choice as a step: copied, or in rounds where each name follows its answer."""
    proposal = chosen.proposal
    number = 1 + max((step.id for step in [*room.plan, *before]), default=0)
    if proposal.kind == "copy":
        step = timed_step(chosen.purpose, grouped(proposal.text), speed(room), because)
        return PlanStep(number, step, 0, chosen=True)
    kind = naming()
    symbols = "".join(dict.fromkeys(proposal.text))
    setup = kind.made_for(symbols, proposal.about.symbols, len(proposal.text))
    step = Step("together", symbols, "", 0, kind.lasts_s(setup), because)
    return PlanStep(number, step, 0, chosen=True, kind=kind.kind, setup=to_builtins(setup))
