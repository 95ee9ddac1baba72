"""A run that went wrong: set aside from any symbol on, for all or for one seat, and brought back.

What is set aside counts as not sent to those seats: it is in no figure, and stays on their sheets with its
reason. Alignments are kept as they are, so that bringing back brings back exactly what was.
"""

from __future__ import annotations

from dataclasses import replace

from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.effects import Effect, Refused, Send
from copyroom.room.push import Push
from copyroom.room.running import finish_marking
from copyroom.room.scoring import result_of
from copyroom.room.state import Aside, State
from copyroom.room.views import reveal_view

EVERYBODY = 0
"""Instead of a seat's number."""


@handles(ev.SetAside)
def set_aside(state: State, event: ev.SetAside, now_ms: float) -> list[Effect]:
    """From symbol `first` on the run counts no more for those seats."""
    push = state.push(event.push)
    if not push.closed or push.cancelled:
        raise Refused("A run can be set aside once it is closed.")
    if event.first >= push.sent_count:
        raise Refused(f"That run has {push.sent_count} sounds.")
    if event.seat != EVERYBODY:
        state.seat(event.seat)
    reason = " ".join(event.reason.split())
    if not reason:
        raise Refused("Say why, so that the sheet can say it, too.")
    finish_marking(state)
    state.plan_edits += 1
    aside = Aside(event.aside, push.id, event.seat, event.first, reason, state.lesson())
    state.asides[event.aside] = aside
    state.next_aside = max(state.next_aside, event.aside + 1)
    if event.first == 0 and event.seat == EVERYBODY:
        _undo_step(state, push)
    return _counted_anew(state, push, conclude=True)


@handles(ev.BringBack)
def bring_back(state: State, event: ev.BringBack, now_ms: float) -> list[Effect]:
    """What was set aside counts again."""
    aside = state.asides.pop(event.aside, None)
    if aside is None:
        raise Refused("That counts again already.")
    finish_marking(state)
    push = state.push(aside.push)
    before = aside.before
    is_as_then = before.edits == state.plan_edits
    if is_as_then:  # nothing was done to the plan since, except fitting it
        state.plan, state.plan_changes, state.symbols = list(before.plan), before.changes, before.symbols
        state.advice, state.advice_push = before.advice, before.advice_push
    elif aside.first == 0 and aside.seat == EVERYBODY:
        _redo_step(state, push, before.plan)
    state.plan_edits += 1
    state.concluding = None
    return _counted_anew(state, push, conclude=not (is_as_then and before.is_concluded))


def _undo_step(state: State, push: Push) -> None:
    """Nothing of the run counts: its step is still to do, and what it introduced is not known."""
    state.plan = [replace(step, push=0) if step.push == push.id else step for step in state.plan]
    state.symbols = "".join(sign for sign in state.symbols if sign not in push.introduced)


def _redo_step(state: State, push: Push, plan: tuple[ev.PlanStep, ...]) -> None:
    ids = {step.id for step in plan if step.push == push.id}
    state.plan = [
        replace(step, push=push.id) if step.id in ids and not step.push else step for step in state.plan
    ]
    state.symbols += "".join(sign for sign in push.introduced if sign not in state.symbols)


def _counted_anew(state: State, push: Push, *, conclude: bool) -> list[Effect]:
    """Mask the run's copies as the asides say, and whatever follows from them."""
    asides = [aside for aside in state.asides.values() if aside.push == push.id]
    push.aside_from = min((a.first for a in asides if a.seat == EVERYBODY), default=None)
    for (run, seat), copy in state.copies.items():
        if run != push.id:
            continue
        copy.aside_from = min((a.first for a in asides if a.seat in (EVERYBODY, seat)), default=None)
        if copy.result is not None:
            copy.result = result_of(push, copy, copy.result.alignment)
    state.forget_results(push.id)
    if conclude:
        state.concluded, state.concluding = 0, None
    state.changed |= {"room", "run", "progress", "table", "findings", "plan", "advice"}
    if push is not state.run or not push.revealed:
        return []
    return [
        Send(seat.id, "reveal", reveal_view(state, push, seat.id))
        for seat in state.seats.values()
        if seat.here and seat.inside and (push.id, seat.id) in state.copies
    ]
