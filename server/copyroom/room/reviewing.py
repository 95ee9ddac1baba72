"""What to review until the next meeting: shown to the console, and given to the learners."""

from __future__ import annotations

from typing import Any

from copyroom.core.review import review_calendar
from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.effects import Effect, Refused, Send
from copyroom.room.lessons import present, record_of_room
from copyroom.room.state import Seat, State

Payload = dict[str, Any]


def review_view(state: State, event: ev.ShowReview) -> Payload:
    """What to review on which day until the next meeting, for the class or one learner."""
    today = state.meetings[-1].day if state.meetings else 0
    names = [str(event.seat)] if event.seat else list(present(state)) or [str(seat) for seat in state.seats]
    rows = (
        review_calendar(record_of_room(state), names, state.symbols, today, today + event.days)
        if names and state.symbols
        else ()
    )
    return {
        "seat": event.seat,
        "days": event.days,
        "meeting_day": today,
        "rows": [{"day": row.day, "signs": row.signs, "why": row.why} for row in rows],
    }


@handles(ev.GiveReview)
def give_review(state: State, event: ev.GiveReview, now_ms: float) -> list[Effect]:
    """Each learner sees their own days on their own page, until something is sent again."""
    if not state.symbols:
        raise Refused("There is nothing to review yet: no sound is known.")
    state.review_days = event.days
    state.changed.add("plan")
    return [
        Send(seat.id, "review", view)
        for seat in state.seats.values()
        if seat.inside and seat.device and (view := given_review(state, seat))
    ]


def given_review(state: State, seat: Seat) -> Payload | None:
    """What this learner was given to review, None when nothing was."""
    if not state.review_days:
        return None
    return review_view(state, ev.ShowReview(state.review_days, seat.id))
