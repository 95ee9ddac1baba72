"""The course as the advice sees it: what was sent and copied so far, and where the class stands now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import compress
from math import ceil, isfinite

from copyroom.core.advice.grounds import Grounds, grounds_in_slices
from copyroom.core.advice.situation import Situation
from copyroom.core.advice.standing import Standing
from copyroom.core.bursts import Speed
from copyroom.core.course import MOST_NEW
from copyroom.core.knowledge import Belief
from copyroom.core.record import PastRun, RunKind
from copyroom.core.slices import Slices, at_once
from copyroom.room.classroom import Classroom
from copyroom.room.figures import Figures, Result
from copyroom.room.run import Run

INTRODUCTION_COST = 12
"""Sendings that one introduction uses of an evening."""
SHORTEST_TEXT, LONGEST_ADVISED = 20, 80
FEWEST_NEW = 2
"""So many new sounds an evening, even where the course has evenings to spare."""
COSTS: dict[RunKind, float] = {"copy": 1.0, "named": 2.5}
"""What a sending costs in runs of each kind: named ones stop for each answer and its name."""
SOUNDING_SHARE = 0.5
"""Of an evening, the share in which something sounds; the rest is talk (a judgement)."""


def grounds_of_room(figures: Figures) -> Slices[Grounds]:
    """All that was sent and copied, with what was learned from it. Continued, or made anew after a change."""
    while True:
        changes = figures.changes
        runs: list[PastRun] = []
        for run, day in _past(figures):
            if run.id not in figures.past:
                figures.past[run.id] = _past_runs(figures, run, day)
                yield
            runs += figures.past[run.id]
        grounds = yield from grounds_in_slices(figures.grounds, runs)
        if figures.changes == changes:  # else without who has gone meanwhile
            figures.grounds = grounds
            return grounds


def standing_in_slices(figures: Figures, now_ms: float) -> Slices[Standing]:
    """Where the class stands now."""
    grounds = yield from grounds_of_room(figures)
    room = figures.room
    standing = yield from grounds.standing_in_slices(situation(room, now_ms))
    names = {str(seat.id): seat.name for seat in room.seats.values()}
    return replace(standing, callings=names)


standing_of_room = at_once(standing_in_slices)


def believed_in_slices(figures: Figures, names: Sequence[str]) -> Slices[Belief | None]:
    """What is believed of some learners today, for what is known; None when nothing or nobody is."""
    grounds = yield from grounds_of_room(figures)
    room = figures.room
    if not room.symbols or not names:
        return None
    return (yield from grounds.knowledge.believe_in_slices(today(room), room.symbols, speeds(room), names))


def past_runs(figures: Figures, run: Run) -> list[PastRun]:
    """One closed run as the record has it."""
    if run.id not in figures.past:
        day = next((day for past, day in _past(figures) if past is run), 0)
        figures.past[run.id] = _past_runs(figures, run, day)
    return figures.past[run.id]


def _past(figures: Figures) -> list[tuple[Run, int]]:
    """The closed runs by which something was met or asked for, each with its meeting's day."""
    room = figures.room
    days = {
        run.id: meeting.day
        for number, meeting in enumerate(room.meetings, start=1)
        for run in room.meeting_runs(number)
    }
    return [
        (run, days.get(run.id, 0))
        for run in room.runs
        if run.closed
        and not run.cancelled
        and (run.introduced or run.counts)
        and (figures.is_final(run.id) or not run.counts)
    ]


def _past_runs(figures: Figures, run: Run, day: int) -> list[PastRun]:
    """A run as the record has it.

    Learners who heard the same part make one: what a late joiner did not hear is in none of its figures.
    """
    met = _met_by(figures, run)
    if not run.counts:
        return [PastRun(day, "", {}, met, run.introduced)] if run.introduced and met else []
    by_heard: dict[bytes, list[int]] = {}
    for seat in figures.room.seats:
        if (run.id, seat) in figures.results:
            by_heard.setdefault(run.copies[seat].counted(run)[: run.sent_count], []).append(seat)
    introduced = run.introduced
    made: list[PastRun] = []
    for heard, seats in by_heard.items():
        if any(heard):
            made.append(_past_run(figures, run, day, heard, seats, met, introduced))
            introduced = ""
    return made


def _past_run(
    figures: Figures,
    run: Run,
    day: int,
    heard: bytes,
    seats: list[int],
    met: tuple[str, ...],
    introduced: str,
) -> PastRun:
    found = {str(seat): figures.results[run.id, seat] for seat in seats}
    return PastRun(
        day=day,
        sent=_kept(run.sent, heard),
        copies={name: _kept(result.answers[: run.sent_count], heard) for name, result in found.items()},
        present=met if introduced else (),
        introduce=introduced,
        kind="named" if run.named else "copy",
        keys=run.symbols,
        wpm=run.speed.wpm,
        overall_wpm=run.speed.overall_wpm,
        lags_s={name: _lags_s(result, run, heard) for name, result in found.items()},
    )


def _lags_s(result: Result, run: Run, heard: bytes) -> list[float | None]:
    lags_ms = compress(result.lags_ms[: run.sent_count].tolist(), heard)
    return [lag_ms / 1000.0 if isfinite(lag_ms) else None for lag_ms in lags_ms]


def _met_by(figures: Figures, run: Run) -> tuple[str, ...]:
    """Who heard something of it."""
    seats = figures.room.seats
    return tuple(str(seat) for seat, copy in run.copies.items() if seat in seats and any(copy.counted(run)))


def _kept(signs: str, heard: bytes) -> str:
    return "".join(compress(signs, heard))


def present(room: Classroom) -> tuple[str, ...]:
    """Names, as the record has them, of the learners who are here."""
    return tuple(str(seat.id) for seat in room.seats.values() if seat.here and seat.inside)


def today(room: Classroom) -> int:
    """The running meeting's day."""
    return room.meetings[-1].day if room.meetings else 0


def speeds(room: Classroom) -> tuple[float | None, float | None]:
    """The same as a belief is asked for."""
    return room.sound.wpm, room.sound.overall_wpm


def speed(room: Classroom) -> Speed:
    """The class's speeds as they are set now."""
    return Speed(room.sound.wpm, room.sound.overall_wpm)


def planned_signs(room: Classroom) -> str:
    """What the evening's plan still introduces, in order."""
    coming = (step.step.symbols[:1] for step in room.plan if not step.push and step.step.purpose == "meet")
    return "".join(dict.fromkeys(coming))


def minutes_left(room: Classroom, now_ms: float) -> float:
    """What is left of the planned evening."""
    begun_ms = room.plan_begun_ms if room.plan_begun_ms is not None else now_ms
    return max(0.0, room.plan_minutes - (now_ms - begun_ms) / 60_000.0)


def situation(room: Classroom, now_ms: float) -> Situation:
    """Where the class stands. Sendings are counted from minutes at the speed set."""
    symbol_s = 60.0 / (5.0 * room.sound.overall_wpm)
    evening = room.plan_minutes * 60.0 * SOUNDING_SHARE / symbol_s
    left = minutes_left(room, now_ms) * 60.0 * SOUNDING_SHARE / symbol_s
    day = today(room)
    return Situation(
        alphabet=room.order,
        known=room.symbols,
        present=present(room) or tuple(str(seat) for seat in room.seats) or ("class",),
        today=day,
        sendings_left=max(SHORTEST_TEXT + INTRODUCTION_COST, int(left)),
        intro_cost=INTRODUCTION_COST,
        min_length=SHORTEST_TEXT,
        max_length=LONGEST_ADVISED,
        new_limit=new_limit(room),
        later=tuple((day + 7 * n, int(evening)) for n in range(1, evenings_left(room))),
        kinds=COSTS,
        speeds=speeds(room),
        order=room.order,
        planned=planned_signs(room),
    )


def evenings_left(room: Classroom) -> int:
    """How many evenings the course has left, tonight's among them; one at least."""
    return max(1, room.course_meetings - max(1, len(room.meetings)) + 1)


def new_limit(room: Classroom) -> int:
    """How many sounds may still be met tonight: as the instructor says, else as the course needs."""
    met_tonight = sum(len(run.introduced) for run in room.meeting_runs())
    untaught = sum(sign not in room.symbols for sign in room.order) + met_tonight
    needed = ceil(untaught / evenings_left(room))
    tonight = room.most_new or min(MOST_NEW, max(FEWEST_NEW, needed))
    return max(0, tonight - met_tonight)
