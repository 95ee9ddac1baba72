"""The course as the advice sees it: what was sent and copied so far, and where the class stands now."""

from __future__ import annotations

from itertools import compress

from copyroom.core.advice.record import Exercise, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.bursts import Speed
from copyroom.core.slices import Slices
from copyroom.room.classroom import Classroom
from copyroom.room.figures import Figures
from copyroom.room.run import Run

INTRODUCTION_COST = 12
"""Sendings that one introduction uses of an evening."""
SHORTEST_TEXT, LONGEST_ADVISED = 20, 80
SOUNDING_SHARE = 0.5
"""Of an evening, the share in which something sounds; the rest is talk (a judgement)."""


def record_of_room(figures: Figures) -> Record:
    """All that was copied, meeting by meeting. Continued from where it stood, made anew after a change."""
    return figures.histories.record(figures.room.code, exercises(figures))


def record_in_slices(figures: Figures) -> Slices[Record]:
    """The same, what is new of it a run at a time."""
    found: list[Exercise] = []
    for run, day in _tested(figures):
        is_new = run.id not in figures.exercises
        found += _of_run(figures, run, day)
        if is_new:
            yield
            figures.histories.record(figures.room.code, found)
            yield
    return record_of_room(figures)  # without who has gone meanwhile


def exercises(figures: Figures) -> list[Exercise]:
    """The closed, counted runs as exercises, oldest first.

    Learners who heard the same part of a run make one exercise: what a late joiner did not hear is
    in none of its figures.
    """
    return [exercise for run, day in _tested(figures) for exercise in _of_run(figures, run, day)]


def _of_run(figures: Figures, run: Run, day: int) -> list[Exercise]:
    if run.id not in figures.exercises:
        figures.exercises[run.id] = _exercises(figures, run, day)
    return figures.exercises[run.id]


def _tested(figures: Figures) -> list[tuple[Run, int]]:
    """The closed, counted runs, each with its meeting's day."""
    room = figures.room
    days = {
        run.id: meeting.day
        for number, meeting in enumerate(room.meetings, start=1)
        for run in room.meeting_runs(number)
    }
    tested = [run for run in room.runs if run.counts and figures.is_final(run.id)]
    return [(run, days.get(run.id, 0)) for run in tested]


def _exercises(figures: Figures, run: Run, day: int) -> list[Exercise]:
    by_heard: dict[bytes, dict[str, str]] = {}
    for seat in figures.room.seats:
        result = figures.results.get((run.id, seat))
        if result is not None:
            heard = run.copies[seat].counted(run)[: run.sent_count]
            by_heard.setdefault(heard, {})[str(seat)] = result.answers[: run.sent_count]
    return [
        Exercise(
            day,
            "",
            _kept(run.sent, heard),
            {name: _kept(answers, heard) for name, answers in copies.items()},
        )
        for heard, copies in by_heard.items()
        if any(heard)
    ]


def _kept(signs: str, heard: bytes) -> str:
    return "".join(compress(signs, heard))


def present(room: Classroom) -> tuple[str, ...]:
    """Names, as the record has them, of the learners who are here."""
    return tuple(str(seat.id) for seat in room.seats.values() if seat.here and seat.inside)


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
    later = max(0, room.course_meetings - max(1, len(room.meetings)))
    return Situation(
        alphabet=room.order,
        known=room.symbols,
        present=present(room) or tuple(str(seat) for seat in room.seats) or ("class",),
        sendings_left=max(SHORTEST_TEXT + INTRODUCTION_COST, int(left)),
        sendings_later=int(later * evening),
        intro_cost=INTRODUCTION_COST,
        min_length=SHORTEST_TEXT,
        max_length=LONGEST_ADVISED,
        order=room.order,
        planned=planned_signs(room),
    )
