"""The course as the advice sees it: what was sent and copied so far, and where the class stands now."""

from __future__ import annotations

from copyroom.core.advice.record import Exercise, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.bursts import Speed
from copyroom.room.push import Push
from copyroom.room.state import State

INTRODUCTION_COST = 12
"""Sendings that one introduction uses of an evening."""
SHORTEST_TEXT, LONGEST_ADVISED = 20, 80
SOUNDING_SHARE = 0.5
"""Of an evening, the share in which something sounds; the rest is talk (a judgement)."""


def record_of_room(state: State) -> Record:
    """All that was copied, meeting by meeting. Continued from where it stood, made anew after a change."""
    return state.histories.record(state.code, exercises(state))


def exercises(state: State) -> list[Exercise]:
    """The closed, counted runs as exercises, oldest first.

    Learners who heard the same part of a run make one exercise: what a late joiner did not hear is
    in none of its figures.
    """
    days = [0] * len(state.runs)
    for number, meeting in enumerate(state.meetings, start=1):
        for push in state.meeting_runs(number):
            days[push.id - 1] = meeting.day
    found: list[Exercise] = []
    for push in state.runs:
        if push.counts and push.closed:
            if push.id not in state.exercises:
                state.exercises[push.id] = _exercises(state, push, days[push.id - 1])
            found += state.exercises[push.id]
    return found


def _exercises(state: State, push: Push, day: int) -> list[Exercise]:
    by_heard: dict[bytes, dict[str, str]] = {}
    for seat in state.seats:
        copy = state.copies.get((push.id, seat))
        if copy is not None and copy.result is not None:
            heard = copy.counted(push)[: push.sent_count]
            by_heard.setdefault(heard, {})[str(seat)] = copy.result.answers[: push.sent_count]
    return [
        Exercise(
            day,
            "",
            _kept(push.sent, heard),
            {name: _kept(answers, heard) for name, answers in copies.items()},
        )
        for heard, copies in by_heard.items()
        if any(heard)
    ]


def _kept(signs: str, heard: bytes) -> str:
    return "".join(sign for sign, was_heard in zip(signs, heard, strict=False) if was_heard)


def present(state: State) -> tuple[str, ...]:
    """Names, as the record has them, of the learners who are here."""
    return tuple(str(seat.id) for seat in state.seats.values() if seat.here and seat.inside)


def speed(state: State) -> Speed:
    """The class's speeds as they are set now."""
    return Speed(state.sound.wpm, state.sound.overall_wpm)


def planned_signs(state: State) -> str:
    """What the evening's plan still introduces, in order."""
    coming = (step.step.symbols[:1] for step in state.plan if not step.push and step.step.kind == "introduce")
    return "".join(dict.fromkeys(coming))


def minutes_left(state: State, now_ms: float) -> float:
    """What is left of the planned evening."""
    begun_ms = state.plan_begun_ms if state.plan_begun_ms is not None else now_ms
    return max(0.0, state.plan_minutes - (now_ms - begun_ms) / 60_000.0)


def situation(state: State, now_ms: float) -> Situation:
    """Where the class stands. Sendings are counted from minutes at the speed set."""
    symbol_s = 60.0 / (5.0 * state.sound.overall_wpm)
    evening = state.plan_minutes * 60.0 * SOUNDING_SHARE / symbol_s
    left = minutes_left(state, now_ms) * 60.0 * SOUNDING_SHARE / symbol_s
    later = max(0, state.course_meetings - max(1, len(state.meetings)))
    return Situation(
        alphabet=state.order,
        known=state.symbols,
        present=present(state) or tuple(str(seat) for seat in state.seats) or ("class",),
        seats_left=max(SHORTEST_TEXT + INTRODUCTION_COST, int(left)),
        seats_later=int(later * evening),
        intro_cost=INTRODUCTION_COST,
        min_length=SHORTEST_TEXT,
        max_length=LONGEST_ADVISED,
        order=state.order,
        planned=planned_signs(state),
    )
