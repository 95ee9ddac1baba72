"""From copies to the class table: provisional while a run is open, final once it is closed.

Both ways give each copy one alignment; what a seat did not hear, and what it may still answer, is
left outside every figure. Work is bounded at each call, because the event loop is waiting.
"""

from __future__ import annotations

from collections.abc import Generator
from contextlib import suppress
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from copyroom.core import alignment as al
from copyroom.core.alignment import Alignment, LiveAlignment
from copyroom.core.alphabet import BLANK
from copyroom.core.slices import Slices
from copyroom.core.tally import Counts, cells, count
from copyroom.room.copies import Copy
from copyroom.room.figures import Figures, Result
from copyroom.room.run import Run

SEATS_A_SLICE, COUNTED_A_SLICE, MARKS_A_SLICE = 10, 4, 8
"""Copies read, copies counted live, and marks aligned as they come, between two looks at the event loop."""


def follow(figures: Figures, run: Run, seat: int) -> int:
    """Give the seat's live alignment the marks that are new to it, a slice of them; how many it got."""
    copy, place = run.copies[seat], (run.id, seat)
    if copy.way != "typing" or copy.edited or run.placed or not run.sent:
        figures.live.pop(place, None)
        return 0
    live = figures.live.get(place)
    if live is None:
        end_s = [t / 1000.0 for t in run.end_ms]
        live = figures.live[place] = LiveAlignment(run.sent, end_s, habits_before(figures, run, seat))
        figures.live_marks[place] = 0
    known = figures.live_marks[place]
    new = copy.marks[known : known + MARKS_A_SLICE]
    for mark in new:
        live.write(mark.sign, None if mark.at_ms is None else mark.at_ms / 1000.0)
    figures.live_marks[place] = known + len(new)
    return len(new)


def habits_before(figures: Figures, run: Run, seat: int) -> al.Habits | None:
    """What the seat's runs before this one taught; so it does not matter when a copy is aligned, or again."""
    earlier = (figures.habits.get((before.id, seat)) for before in reversed(figures.room.runs[: run.id - 1]))
    return next((habits for habits in earlier if habits is not None), None)


def _final_input(figures: Figures, run: Run, seat: int) -> al.Copy:
    """A copy as the alignment takes it.

    Typed marks are held against everything that was sent, heard here or not, so that what a learner
    wrote for a neighbour's sound is known as such and left out. A sheet has no times to tell by.
    """
    copy = run.copies[seat]
    habits = habits_before(figures, run, seat)
    if copy.way == "typing":
        at_s = [None if mark.at_ms is None else mark.at_ms / 1000.0 for mark in copy.marks]
        return al.Copy(copy.written, at_s, habits)
    heard = [i for i in range(run.sent_count) if copy.heard[i]]
    return al.Copy(copy.written, None, habits, heard)


def mark_run(figures: Figures, run: Run) -> Generator[None]:
    """Align every copy of a closed run for good, a slice at a time, and learn the seats' habits.

    A copy that changes meanwhile is aligned by `mark_copy`; its older state is passed over.
    """
    given: dict[int, al.Copy] = {}
    for n, seat in enumerate(list(figures.room.seats)):
        if n % SEATS_A_SLICE == 0:
            yield
        if _has_copy(run, seat):
            given[seat] = _final_input(figures, run, seat)
    end_s = [t / 1000.0 for t in run.end_ms]
    settled_anew = 0
    yield
    found = (yield from _aligned(run, end_s, given)) if given else []
    for n, (seat, aligned) in enumerate(zip(given, found, strict=True)):
        if n % SEATS_A_SLICE == 0:
            yield
        if _has_copy(run, seat) and _final_input(figures, run, seat) == given[seat]:
            _note(figures, run, seat, aligned)
            if live := figures.live_results.get((run.id, seat)):
                settled_anew += _differing(live.alignment, aligned.alignment)
    figures.settled_anew[run.id] = settled_anew
    figures.marked.add(run.id)
    figures.forget_run(run.id)


def _aligned(run: Run, end_s: list[float], given: dict[int, al.Copy]) -> Slices[list[al.Aligned]]:
    """Every copy of a run: by the alignment, or as its answers say themselves which sound they are for."""
    if not run.placed:
        return (yield from al.align_class_in_slices(run.sent, end_s, list(given.values())))
    found: list[al.Aligned] = []
    for n, seat in enumerate(given):
        copy = run.copies.get(seat)  # None: taken out meanwhile
        found.append(al.Aligned(_as_placed(copy, run) if copy else Alignment((), (), ())))
        if n % SEATS_A_SLICE == 0:
            yield
    return found


def _as_placed(copy: Copy, run: Run) -> Alignment:
    places = tuple(mark.place for mark in copy.marks)
    answered = set(places)
    missed = tuple(i for i in range(run.sent_count) if i not in answered)
    return Alignment(places, (1.0,) * len(places), missed)


def _note(figures: Figures, run: Run, seat: int, aligned: al.Aligned) -> None:
    if not run.placed:  # answers that were asked for say nothing of a writer's habits
        figures.habits[run.id, seat] = aligned.habits
    figures.results[run.id, seat] = result_of(run, run.copies[seat], aligned.alignment)


def _has_copy(run: Run, seat: int) -> bool:
    return seat in run.copies and bool(run.copies[seat].marks) and bool(run.sent)


def _differing(live: Alignment, final: Alignment) -> int:
    """Marks that the final alignment attributes otherwise; none of a copy tidied up since."""
    if len(live.attribution) != len(final.attribution):
        return 0
    return sum(a != b for a, b in zip(live.attribution, final.attribution, strict=True))


def mark_copy(figures: Figures, run: Run, seat: int) -> Slices[None]:
    """Align one copy that changed after its run was closed, a slice at a time.

    When it changes meanwhile nothing is kept: each change asks for this anew.
    """
    aligned = (yield from _align_one(figures, run, seat)) if _has_copy(run, seat) else None
    if aligned is None and _has_copy(run, seat):
        return
    figures.live_results.pop((run.id, seat), None)
    figures.results.pop((run.id, seat), None)
    figures.habits.pop((run.id, seat), None)
    if aligned is not None:
        _note(figures, run, seat, aligned)
    figures.forget_run(run.id)


def _align_one(figures: Figures, run: Run, seat: int) -> Slices[al.Aligned | None]:
    """One copy as well as is possible; None when it changed meanwhile."""
    given = _final_input(figures, run, seat)
    end_s = [t / 1000.0 for t in run.end_ms]
    (aligned,) = yield from _aligned(run, end_s, {seat: given})
    return aligned if _has_copy(run, seat) and _final_input(figures, run, seat) == given else None


def _provisional(figures: Figures, run: Run, seat: int, now_ms: float) -> Slices[Alignment | None]:
    """The alignment so far; what may still be answered is not missed. None when the copy changed."""
    if run.placed:
        found = _as_placed(run.copies[seat], run)
        past = max((i for i in found.attribution if i is not None), default=-1)
        return replace(found, missed=tuple(i for i in found.missed if i < past))
    live = figures.live.get((run.id, seat))
    if live is not None:
        with suppress(al.CopyRefused):  # keys stamped far from any sound: read like a sheet
            return replace(live.current(), missed=live.missed_by((now_ms - run.start_room_ms) / 1000.0))
    # Paper, or tidied up: no clock says what is missing before the copy is final.
    aligned = yield from _align_one(figures, run, seat)
    if aligned is None:
        return None
    found = aligned.alignment
    last = max((i for i in found.attribution if i is not None), default=-1)
    return replace(found, missed=tuple(i for i in found.missed if i < last))


def heard_only(run: Run, copy: Copy, found: Alignment) -> tuple[str, Alignment]:
    """The copy without marks for symbols that did not sound there, that the stop cut off, or set aside."""
    heard = copy.counted(run)
    last = _marks_before_aside(run, copy, found)
    kept = [k for k, i in enumerate(found.attribution) if (k < last if i is None else heard[i])]
    written = copy.written
    return "".join(written[k] for k in kept), Alignment(
        tuple(found.attribution[k] for k in kept),
        tuple(found.confidence[k] for k in kept),
        tuple(i for i in found.missed if heard[i]),
    )


def _marks_before_aside(run: Run, copy: Copy, found: Alignment) -> int:
    """How many marks were made before what was set aside: an extra mark belongs to the sounds around it."""
    first = copy.aside_from
    if first is None:
        return len(copy.marks)
    for k, (mark, i) in enumerate(zip(copy.marks, found.attribution, strict=False)):
        if (i is not None and i >= first) or first == 0:
            return k
        if i is None and mark.at_ms is not None and mark.at_ms >= run.start_ms[first]:
            return k
    return len(copy.marks)


def result_of(run: Run, copy: Copy, found: Alignment) -> Result:
    """What a copy comes to with this alignment, over what its seat heard."""
    written, heard = heard_only(run, copy, found)
    answers = [BLANK] * len(run.sent)
    for sign, i in zip(written, heard.attribution, strict=True):
        if i is not None:
            answers[i] = sign
    lags_ms = np.full(len(run.sent), np.inf)
    for mark, i in zip(copy.marks, found.attribution, strict=False):
        if i is not None and mark.at_ms is not None:
            lags_ms[i] = mark.at_ms - run.end_ms[i]
    return Result(found, cells(run.sent, written, heard), "".join(answers), lags_ms)


def count_live(figures: Figures, now_ms: float) -> Generator[None]:
    """Count the changed copies of open runs anew, the longest untouched first, a few at a time."""
    for n, place in enumerate(sorted(figures.due, key=lambda place: figures.due[place])):
        run, seat = figures.room.runs[place[0] - 1], place[1]
        if run.closed or place not in figures.due:
            figures.due.pop(place, None)
            continue
        if _has_copy(run, seat) and seat in figures.room.seats:
            while follow(figures, run, seat) == MARKS_A_SLICE:
                yield
            found = yield from _provisional(figures, run, seat, now_ms)
            if found is None or run.closed:
                continue  # its turn comes again
            figures.live_results[place] = result_of(run, run.copies[seat], found)
        else:
            figures.live_results.pop(place, None)
        figures.due.pop(place, None)
        if n % COUNTED_A_SLICE == 0:
            yield


def results(figures: Figures, run: Run) -> dict[int, Result]:
    """Per seat with a copy, what it comes to: as it stands, or for good once the run is closed."""
    seats, live = figures.room.seats, figures.live_results
    if not run.closed:
        return {seat: live[run.id, seat] for seat in run.copies if (run.id, seat) in live and seat in seats}
    # Until a run is marked, the figures of the moment stand in.
    provisional = {} if figures.is_final(run.id) else live
    return {
        seat: result
        for seat in seats
        if (result := figures.results.get((run.id, seat)) or provisional.get((run.id, seat)))
        and (run.copies[seat].aside_from is None or any(run.copies[seat].counted(run)))
    }


def run_table(figures: Figures, run: Run) -> Counts:
    """The class table of one run, kept once its copies are final."""
    if run.id in figures.tables:
        return figures.tables[run.id]
    total = count(result.cells for result in results(figures, run).values())
    if figures.is_final(run.id):
        figures.tables[run.id] = total
    return total


def runs_in(figures: Figures, scope: str) -> list[Run]:
    """The runs that a table is made of: the "run" at hand, or all counted ones of "evening" or "course"."""
    if scope == "run":
        return figures.room.at_hand
    runs = figures.room.runs if scope == "course" else figures.room.meeting_runs()
    return [run for run in runs if run.counts and not run.cancelled]


def answers(figures: Figures, run: Run) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """How many learners wrote something for each sent symbol, and how many the right one."""
    written = code_points("".join(result.answers for result in results(figures, run).values()))
    if not run.sent:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    by_learner = written.reshape(-1, len(run.sent))
    return (by_learner != ord(BLANK)).sum(axis=0), (by_learner == code_points(run.sent)).sum(axis=0)


def code_points(signs: str) -> NDArray[np.uint32]:
    """Signs as numbers, to be compared by the thousand."""
    return np.frombuffer(signs.encode("utf-32-le"), np.uint32)
