"""What an event sets in train beside what it does to the classroom: figures, and what they are told in.

Nothing here is a part of the fold. A room that replays its journal calls none of it; it asks once, at the
end, for what is missing.
"""

from __future__ import annotations

from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.advising import conclude, find
from copyroom.room.contract import Event
from copyroom.room.effects import Effect, Send
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.messages.learner import reveal_view
from copyroom.room.messages.planning import given_review
from copyroom.room.run import Run
from copyroom.room.scoring import count_live, mark_copy, mark_run, result_of

SEATS_A_SLICE = 10
"""Learners told what is their own between two looks at the event loop."""


def note(figures: Figures, event: Event, now_ms: float) -> None:
    """Bring the figures on after an event that the room has taken."""
    match event:
        case ev.WriteKeys() | ev.ReportSounded() | ev.Answer():
            _copy_changed(figures, figures.room.runs[event.push - 1], event.seat, now_ms)
        case ev.ReportDevice():  # a page says this behind what it wrote
            _show_who_was_away(figures, event.seat)
        case ev.HandInCount():
            figures.jobs.appendleft(_show_to(figures, figures.room.runs[event.push - 1], [event.seat]))
        case ev.GoOn():
            figures.live.clear()  # they were begun with the times before the pause
            figures.live_marks.clear()
        case ev.RemoveSeats():
            for seat in event.seats:
                figures.forget_seat(seat)
            figures.jobs.append(find(figures))
        case ev.MakeOne() | ev.MakeTwo():
            figures.forget_copies((event.seat, event.into))
            for run in figures.room.runs:
                for seat in sorted(run.copies.keys() & {event.seat, event.into}):
                    if run.closed:
                        figures.jobs.append(_mark_late(figures, run, seat, now_ms))
                    else:
                        _copy_changed(figures, run, seat, now_ms)
        case ev.SendText() | ev.StartExercise() | ev.OpenMeeting():
            figures.forget_live()
            if isinstance(event, ev.OpenMeeting):
                figures.advice = None
            figures.jobs.append(find(figures))
        case ev.SetAside():
            run = figures.room.runs[event.push - 1]
            then = (figures.room.plan_edits, figures.advice_run, figures.advice)
            figures.advice_before[event.aside] = then
            figures.jobs.append(_count_anew(figures, run, now_ms))
        case ev.BringBack():
            figures.jobs.append(_bring_back(figures, event, now_ms))
        case ev.GiveReview():
            figures.jobs.append(_give_review(figures))
        case ev.Reveal():
            shown = figures.room.run  # not the one that was meant, where that had to be taken back
            is_new = shown is not None and shown.revealed and shown.id not in figures.shown
            if shown is not None and is_new and _all_final(figures, shown):
                figures.jobs.appendleft(_show(figures, shown))
    _queue_closed(figures, now_ms, refit=True)


def count(figures: Figures, now_ms: float) -> Job:
    """The open run's copies that have changed, as they come in."""
    figures.is_counting = True
    yield from let_none_out(count_live(figures, now_ms))
    figures.is_counting = False


def catch_up(figures: Figures, now_ms: float) -> None:
    """After a replay: the open run first, then all that was closed, in order, as habits were learned."""
    run = figures.room.open_run
    _follow_open(figures, now_ms)
    _queue_closed(figures, now_ms, refit=False)
    figures.jobs.append(find(figures))
    if run is not None:
        figures.jobs.append(_begin_live_anew(figures, now_ms))
    if figures.room.review_days:
        figures.jobs.append(_give_review(figures))


def _begin_live_anew(figures: Figures, now_ms: float) -> Job:
    """With the habits that the runs before it have taught by now."""
    yield []
    figures.live.clear()
    _follow_open(figures, now_ms)


def _follow_open(figures: Figures, now_ms: float) -> None:
    for run in figures.room.at_hand:
        for seat in run.copies if not run.closed else ():
            _copy_changed(figures, run, seat, now_ms)


def _copy_changed(figures: Figures, run: Run, seat: int, now_ms: float) -> None:
    copy = run.copies[seat]
    if not run.closed:
        if copy.edited:
            figures.live_results.pop((run.id, seat), None)  # it speaks of marks that are not there any more
        if copy.marks or copy.edited:
            figures.due.setdefault((run.id, seat), now_ms)
    elif run.revealed and seat not in run.unshown:
        if copy.late:
            figures.jobs.append(_show_to(figures, run, [seat]))
    elif copy.marks or copy.edited:
        figures.jobs.append(_mark_late(figures, run, seat, now_ms))


def _mark_late(figures: Figures, run: Run, seat: int, now_ms: float) -> Job:
    """One copy that changed after its run was closed; the first that is left of it lets advice be given."""
    yield []
    if run.id not in figures.marked or seat not in figures.room.seats:
        return
    yield from let_none_out(mark_copy(figures, run, seat))
    last = figures.room.run
    waits = last is not None and figures.advice_run == last.id and figures.advice is None
    if last is not None and waits and figures.room.top(run) is last and _all_final(figures, last):
        yield from conclude(figures, last, now_ms, refit=True)
    else:
        yield from find(figures)


def _queue_closed(figures: Figures, now_ms: float, *, refit: bool) -> None:
    """Have what was sent by hand read, and the copies aligned of what was closed since the last look."""
    _queue_keyed(figures)
    runs = figures.room.runs
    while figures.queued_to < len(runs) and runs[figures.queued_to].id in figures.queued:
        figures.queued_to += 1
    for run in runs[figures.queued_to :]:
        is_unread = run.unread and not run.cancelled
        if is_unread and run.id not in figures.reading:
            job = exercises.of(figures.room.around(run)).read(figures, run)
            if job is not None:
                figures.reading.add(run.id)
                figures.jobs.append(job)
        if run.closed and not is_unread and run.id not in figures.queued:
            figures.queued.add(run.id)
            if run.cancelled:
                figures.forget_live()
            else:
                figures.jobs.append(_settle(figures, run, now_ms, refit=refit))


def _queue_keyed(figures: Figures) -> None:
    """Have what was keyed read that nobody copies."""
    for run in figures.room.at_hand:
        for number in exercises.of(run).to_read(run) if not run.closed else ():
            if (run.id, number) not in figures.reading:
                figures.reading.add((run.id, number))
                figures.jobs.append(exercises.of(run).read_line(figures, run, number))


def _settle(figures: Figures, run: Run, now_ms: float, *, refit: bool) -> Job:
    """A closed run: its copies for good, shown if that was asked for, then what they say."""
    yield from let_none_out(mark_run(figures, run))
    figures.shows_anew = True
    top = figures.room.top(run)
    if not top.closed:
        yield from find(figures)  # one of several that come after each other
    if not _all_final(figures, top):
        return  # the last of those within it concludes
    if top is figures.room.run:
        if top.revealed:
            yield from _show(figures, top)
        yield from conclude(figures, top, now_ms, refit=refit)
        figures.together = exercises.proposals(figures)
        yield []
    elif refit:  # another was sent meanwhile
        yield from find(figures)


def _all_final(figures: Figures, run: Run) -> bool:
    """Whether every copy of the run, and of those within it, has been aligned for good."""
    return all(figures.is_final(part.id) for part in figures.room.parts_of(run))


def _bring_back(figures: Figures, event: ev.BringBack, now_ms: float) -> Job:
    """What was set aside counts again; where nothing was done since, the advice is what it was, too."""
    edits, advice_run, advice = figures.advice_before.pop(event.aside, (-1, 0, None))
    as_then = edits == figures.room.plan_edits - 1
    yield from _count_anew(figures, figures.room.runs[event.push - 1], now_ms, conclude_anew=not as_then)
    if as_then:
        figures.advice_run, figures.advice = advice_run, advice
        yield from find(figures)


def _count_anew(figures: Figures, run: Run, now_ms: float, *, conclude_anew: bool = True) -> Job:
    """After something of a run was set aside, or brought back: its copies under the new mask."""
    for seat, copy in list(run.copies.items()):
        result = figures.results.get((run.id, seat))
        if result is not None:
            figures.results[run.id, seat] = result_of(run, copy, result.alignment)
            yield []
    figures.forget_run(run.id)
    last = figures.room.run
    if figures.room.top(run) is last and last.revealed:
        yield from _show(figures, last)
    if conclude_anew and last is not None and _all_final(figures, last):
        yield from conclude(figures, last, now_ms, refit=True)


def _show(figures: Figures, run: Run) -> Job:
    """To everybody here their own copy under what was sent."""
    figures.shown.add(run.id)
    here = [seat.id for seat in figures.room.seats.values() if seat.here and seat.inside]
    back = {seat for part in figures.room.parts_of(run) for seat in part.unshown}.intersection(here)
    yield [ev.Shown(seat, run.id) for seat in sorted(back)]
    for part in figures.room.parts_of(run):
        if part.text:
            yield from _show_to(figures, part, [seat for seat in here if part.has(seat)])


def _show_to(figures: Figures, run: Run, seats: list[int]) -> Job:
    for first in range(0, len(seats), SEATS_A_SLICE):
        some = [seat for seat in seats[first : first + SEATS_A_SLICE] if seat in figures.room.seats]
        yield [Send(seat, reveal_view(figures, run, seat)) for seat in some]


def _show_who_was_away(figures: Figures, seat: int) -> None:
    last = figures.room.run
    if last is not None and any(seat in part.unshown for part in figures.room.parts_of(last)):
        figures.jobs.append(_show_late(figures, last, seat))


def _show_late(figures: Figures, run: Run, seat: int) -> Job:
    """Their own copy to somebody who was away, with what they wrote meanwhile in it."""
    mine = [part for part in figures.room.parts_of(run) if seat in part.unshown]
    if mine and _all_final(figures, run):
        yield [ev.Shown(seat, run.id)]
        for part in mine:
            if part.text:
                yield from _show_to(figures, part, [seat])


def _give_review(figures: Figures) -> Job:
    """To every learner what to review at home."""
    for number in list(figures.room.seats):
        seat = figures.room.seats.get(number)
        if seat is not None and seat.inside and seat.device and (view := given_review(figures, seat)):
            told: list[Effect] = [Send(number, view)]
            yield told
