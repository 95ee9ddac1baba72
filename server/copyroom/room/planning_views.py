"""Course, plan, advice and review as the console is shown them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from copyroom.core.advice.attention import slow_symbols, who_lacks
from copyroom.core.advice.proposal import Proposal
from copyroom.core.advice.verdict import Advice, Choice
from copyroom.core.course import EMPHASES, EXAMINED_SIGNS, Placement, own_order, plan_order
from copyroom.room import events as ev
from copyroom.room.events import PlanStep
from copyroom.room.lessons import record_of_room
from copyroom.room.planning import order_for
from copyroom.room.scoring import code_points, results
from copyroom.room.state import State

Payload = dict[str, Any]


def course_view(event: ev.ShowCourse) -> Payload:
    """An order with the reason of each place, and the emphases to choose from."""
    order = order_for(event)
    pins = {pin.sign: pin.place for pin in event.pins}
    placed: tuple[Placement, ...] = (
        own_order(order)
        if event.emphasis == "own"
        else plan_order(event.signs or EXAMINED_SIGNS, event.emphasis, pins=pins)
    )
    return {
        "emphases": [
            {"emphasis": key, "title": emphasis.title, "summary": emphasis.summary}
            for key, emphasis in EMPHASES.items()
        ],
        "order": [{"sign": p.sign, "reasons": list(p.reasons), "pinned": p.pinned} for p in placed],
        "all_signs": EXAMINED_SIGNS,
    }


def plan_view(state: State) -> Payload:
    """The evening's steps, what is done of them, and what the last copies changed."""
    return {
        "emphasis": state.emphasis,
        "order": state.order,
        "pins": [{"sign": pin.sign, "place": pin.place} for pin in state.pins],
        "meetings": state.course_meetings,
        "review_days": state.review_days,
        "minutes": state.plan_minutes,
        "begun_room_ms": state.plan_begun_ms,
        "steps": [_step_view(step) for step in state.plan],
        "changes": list(state.plan_changes),
    }


def _step_view(planned: PlanStep) -> Payload:
    step = planned.step
    return {
        "step": planned.id,
        "kind": step.kind,
        "title": step.title,
        "symbols": step.symbols,
        "text": step.text,
        "sounds": step.sounds,
        "seconds": round(step.duration_s, 1),
        "reason": step.reason,
        "push": planned.push,
    }


def advice_view(state: State) -> Payload:
    """What is proposed after the last run, the other choices, who was away, and what comes slowly."""
    advice = state.advice
    choices: list[Advice | Choice] = [] if advice is None else [advice, *advice.alternatives]
    names = {str(seat.id): seat.name for seat in state.seats.values()}
    today = state.meetings[-1].day if state.meetings else 0
    lacking = [
        replace(lack, missed_days=tuple(day for day in lack.missed_days if day != today))
        for lack in who_lacks(record_of_room(state), list(names), state.symbols)
    ]
    return {
        "push": state.advice_push,
        "choices": [
            {"action": c.action, "sentence": c.sentence, **_proposal_view(c.proposal)} for c in choices
        ],
        "lacking": [
            {"name": names[lack.name], "missed_days": list(lack.missed_days), "never_heard": lack.never_heard}
            for lack in lacking
            if lack.missed_days
        ],
        "slow": [
            {"sign": slow.sign, "median_s": round(slow.median_s, 2), "usual_s": round(slow.usual_s, 2)}
            for slow in slow_symbols(_lags_s(state))
        ],
    }


def _proposal_view(proposal: Proposal) -> Payload:
    return {
        "introduce": proposal.introduce,
        "symbols": "".join(dict.fromkeys(proposal.text)).replace(" ", ""),
        "sounds": len(proposal.text.replace(" ", "")),
        "reasons": list(proposal.reasons),
    }


def _lags_s(state: State) -> dict[str, list[float]]:
    """Per symbol, how long after its sound the right answers of this evening came."""
    lags: dict[str, list[float]] = {}
    for push in state.meeting_runs():
        found = list(results(state, push).values()) if push.counts and push.closed else []
        if not found:
            continue
        lags_s = np.stack([result.lags_ms for result in found]) / 1000.0
        right = code_points("".join(result.answers for result in found)).reshape(lags_s.shape)
        lags_s[right != code_points(push.sent)] = np.inf
        for sign in set(push.sent):
            of_sign = lags_s[:, code_points(push.sent) == ord(sign)]
            lags.setdefault(sign, []).extend(of_sign[np.isfinite(of_sign)].tolist())
    return lags
