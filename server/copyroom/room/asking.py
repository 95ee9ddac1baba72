"""Answers to what the console only asks."""

from __future__ import annotations

from copyroom.room import events as ev
from copyroom.room.contract import answers
from copyroom.room.effects import CONSOLE, Send
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.messages.console import CellOut, SheetOut, cell_view, sheet_view
from copyroom.room.messages.planning import (
    CourseProgressOut,
    ReviewOut,
    meeting_in_slices,
    names_view,
    review_in_slices,
    review_view,
    speeds_in_slices,
)
from copyroom.room.record import grounds_of_room


@answers(ev.ShowCell)
def show_cell(figures: Figures, event: ev.ShowCell, now_ms: float) -> CellOut:
    """The sendings behind one cell."""
    return cell_view(figures, event.sent, event.written, event.scope)


@answers(ev.ShowSheet)
def show_sheet(figures: Figures, event: ev.ShowSheet, now_ms: float) -> SheetOut:
    """One learner's sheets."""
    return sheet_view(figures, figures.room.seat(event.seat))


@answers(ev.ShowReview)
def show_review(figures: Figures, event: ev.ShowReview, now_ms: float) -> ReviewOut | Job:
    """What to review on which day: for one learner at once, for the class a slice at a time."""
    if event.seat:
        return review_view(figures, event.days, event.seat)
    return _class_review(figures, event.days)


def _class_review(figures: Figures, days: int) -> Job:
    shown = yield from let_none_out(review_in_slices(figures, days, 0))
    yield [Send(CONSOLE, shown)]


@answers(ev.ShowProgress)
def show_progress(figures: Figures, event: ev.ShowProgress, now_ms: float) -> Job:
    """The course so far, a meeting at a time."""
    grounds = yield from let_none_out(grounds_of_room(figures))
    # What was copied without having been introduced counts, too: a text of the instructor's own.
    sent = (sign for run in grounds.runs for sign in run.sent)
    signs = "".join(dict.fromkeys((*figures.room.symbols, *sent)))
    path = yield from let_none_out(grounds.knowledge.path_in_slices(signs))
    then = dict(path)
    meetings = []
    for number, meeting in enumerate(figures.room.meetings, start=1):
        meetings.append((yield from let_none_out(meeting_in_slices(figures, number, then.get(meeting.day)))))
        yield []
    speeds = (yield from let_none_out(speeds_in_slices(figures, signs))) if signs else []
    names = names_view(figures.room)
    yield [Send(CONSOLE, CourseProgressOut(meetings=meetings, speeds=speeds, seats=names))]
