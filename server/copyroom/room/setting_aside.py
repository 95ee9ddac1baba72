"""A run that went wrong: set aside from any symbol on, for all or for one seat, and brought back.

What is set aside counts as not sent to those seats: it is in no figure, and stays on their sheets with its
reason. Alignments are kept as they are, so that bringing back brings back exactly what was.
"""

from __future__ import annotations

from dataclasses import replace

import msgspec

from copyroom.room import events as ev
from copyroom.room.classroom import Aside, Classroom
from copyroom.room.contract import handles, settles
from copyroom.room.effects import Effect, Refused
from copyroom.room.figures import Figures
from copyroom.room.run import Run

EVERYBODY = 0
"""Instead of a seat's number."""


@settles(ev.SetAside)
def settle_aside(figures: Figures, event: ev.SetAside, now_ms: float) -> ev.SetAside:
    """A number, by which it can be brought back."""
    return msgspec.structs.replace(event, aside=figures.room.next_aside)


@handles(ev.SetAside)
def set_aside(room: Classroom, event: ev.SetAside, now_ms: float) -> list[Effect]:
    """From symbol `first` on the run counts no more for those seats."""
    run = room.run_of(event.push)
    if not run.closed or run.cancelled:
        raise Refused("A run can be set aside once it is closed.")
    if event.first >= run.sent_count:
        raise Refused(f"That run has {run.sent_count} sounds.")
    if event.seat != EVERYBODY:
        room.seat(event.seat)
    reason = " ".join(event.reason.split())
    if not reason:
        raise Refused("Say why, so that the sheet can say it, too.")
    room.plan_edits += 1
    room.asides[event.aside] = Aside(event.aside, run.id, event.seat, event.first, reason, room.plan_now())
    room.next_aside = max(room.next_aside, event.aside + 1)
    room.plan_changes = ()  # they speak of figures that are no more
    if event.first == 0 and event.seat == EVERYBODY:
        _undo_step(room, run)
    _mask(room, run)
    return []


@settles(ev.BringBack)
def settle_bring_back(figures: Figures, event: ev.BringBack, now_ms: float) -> ev.BringBack:
    """The run that it is of."""
    aside = figures.room.asides.get(event.aside)
    if aside is None:
        raise Refused("That counts again already.")
    return msgspec.structs.replace(event, push=aside.run)


@handles(ev.BringBack)
def bring_back(room: Classroom, event: ev.BringBack, now_ms: float) -> list[Effect]:
    """What was set aside counts again."""
    aside = room.asides.pop(event.aside, None)
    if aside is None:
        raise Refused("That counts again already.")
    run, before = room.run_of(aside.run), aside.before
    if before.edits == room.plan_edits:  # nothing was done to the plan since, except fitting it
        room.plan, room.plan_changes, room.symbols = list(before.steps), before.changes, before.symbols
    elif aside.first == 0 and aside.seat == EVERYBODY:
        _redo_step(room, run, before.steps)
    room.plan_edits += 1
    _mask(room, run)
    return []


def _undo_step(room: Classroom, run: Run) -> None:
    """Nothing of the run counts: its step is still to do, and what it introduced is not known."""
    room.plan = [replace(step, push=0) if step.push == run.id else step for step in room.plan]
    room.symbols = "".join(sign for sign in room.symbols if sign not in run.introduced)


def _redo_step(room: Classroom, run: Run, steps: tuple[ev.PlanStep, ...]) -> None:
    ids = {step.id for step in steps if step.push == run.id}
    room.plan = [
        replace(step, push=run.id) if step.id in ids and not step.push else step for step in room.plan
    ]
    room.symbols += "".join(sign for sign in run.introduced if sign not in room.symbols)


def _mask(room: Classroom, run: Run) -> None:
    """Mark what of the run's copies does not count, as the asides say."""
    asides = [aside for aside in room.asides.values() if aside.run == run.id]
    run.aside_from = min((a.first for a in asides if a.seat == EVERYBODY), default=None)
    for seat, copy in run.copies.items():
        copy.aside_from = min((a.first for a in asides if a.seat in (EVERYBODY, seat)), default=None)
