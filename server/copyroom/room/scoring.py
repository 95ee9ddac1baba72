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
from copyroom.core.tally import Counts, cells, count, empty
from copyroom.room.copies import Copy, Result
from copyroom.room.push import Push
from copyroom.room.state import State

SEATS_A_TICK = 30
"""Live copies counted anew at one tick; in a larger class the others wait for the next."""
SEATS_A_SLICE = 10
"""Closed copies read or counted between two looks at the event loop."""


def follow(state: State, push: Push, seat: int, copy: Copy, new_from: int) -> None:
    """Give the marks from `new_from` on to the seat's live alignment."""
    if copy.way != "typing" or copy.edited:
        state.live.pop(seat, None)
        return
    live = state.live.get(seat)
    if live is None:
        end_s = [t / 1000.0 for t in push.end_ms]
        live = LiveAlignment(push.sent, end_s, habits_before(state, push, seat))
        state.live[seat] = live
        new_from = 0
    for mark in copy.marks[new_from:]:
        live.write(mark.sign, None if mark.at_ms is None else mark.at_ms / 1000.0)


def habits_before(state: State, push: Push, seat: int) -> al.Habits | None:
    """What the seat's runs before this one taught; so it does not matter when a copy is aligned, or again."""
    for earlier in reversed(state.runs[: push.id - 1]):
        copy = state.copies.get((earlier.id, seat))
        if copy is not None and copy.habits is not None:
            return copy.habits
    return None


def _final_input(state: State, push: Push, seat: int) -> al.Copy:
    """A copy as the alignment takes it.

    Typed marks are held against everything that was sent, heard here or not, so that what a learner
    wrote for a neighbour's sound is known as such and left out. A sheet has no times to tell by.
    """
    copy = state.copies[push.id, seat]
    habits = habits_before(state, push, seat)
    if copy.way == "typing":
        at_s = [None if mark.at_ms is None else mark.at_ms / 1000.0 for mark in copy.marks]
        return al.Copy(copy.written, at_s, habits)
    heard = [i for i in range(push.sent_count) if copy.heard[i]]
    return al.Copy(copy.written, None, habits, heard)


def mark_run(state: State, push: Push) -> Generator[None]:
    """Align every copy of a closed run for good, a slice at a time, and learn the seats' habits.

    A copy that changes meanwhile is aligned by `mark_late_copy`; its older state is passed over.
    """
    given: dict[int, al.Copy] = {}
    for n, seat in enumerate(list(state.seats)):
        if n % SEATS_A_SLICE == 0:
            yield
        if _has_copy(state, push, seat):
            given[seat] = _final_input(state, push, seat)
    end_s = [t / 1000.0 for t in push.end_ms]
    settled_anew = 0
    found = (yield from al.align_class_in_slices(push.sent, end_s, list(given.values()))) if given else []
    for n, (seat, aligned) in enumerate(zip(given, found, strict=True)):
        if n % SEATS_A_SLICE == 0:
            yield
        if _has_copy(state, push, seat) and _final_input(state, push, seat) == given[seat]:
            copy = state.copies[push.id, seat]
            copy.habits, copy.result = aligned.habits, result_of(push, copy, aligned.alignment)
            if push is state.run and (live := state.live_results.get(seat)):
                settled_anew += _differing(live.alignment, aligned.alignment)
    state.settled_anew[push.id] = settled_anew
    state.forget_results(push.id)
    state.changed |= {"table", "findings", "progress", "room"}


def _has_copy(state: State, push: Push, seat: int) -> bool:
    copy = state.copies.get((push.id, seat))
    return copy is not None and bool(copy.marks)


def _differing(live: Alignment, final: Alignment) -> int:
    """Marks that the final alignment attributes otherwise; none of a copy tidied up since."""
    if len(live.attribution) != len(final.attribution):
        return 0
    return sum(a != b for a, b in zip(live.attribution, final.attribution, strict=True))


def mark_late_copy(state: State, push: Push, seat: int) -> None:
    """Align one copy that came in after the run was closed."""
    copy = state.copies[push.id, seat]
    copy.result = copy.habits = None
    state.live_results.pop(seat, None)
    if copy.marks:
        end_s = [t / 1000.0 for t in push.end_ms]
        aligned = al.align_class(push.sent, end_s, [_final_input(state, push, seat)])[0]
        copy.habits, copy.result = aligned.habits, result_of(push, copy, aligned.alignment)
    state.forget_results(push.id)
    state.changed |= {"table", "findings", "progress", "room"}


def _provisional(state: State, push: Push, seat: int, now_ms: float) -> Alignment:
    """The alignment so far; what may still be answered is not missed."""
    live = state.live.get(seat)
    if live is not None:
        with suppress(al.CopyRefused):  # keys stamped far from any sound: read like a sheet
            return replace(live.current(), missed=live.missed_by((now_ms - push.start_room_ms) / 1000.0))
    # Paper, or tidied up: no clock says what is missing before the copy is final.
    end_s = [t / 1000.0 for t in push.end_ms]
    found = al.align_class(push.sent, end_s, [_final_input(state, push, seat)])[0].alignment
    last = max((i for i in found.attribution if i is not None), default=-1)
    return replace(found, missed=tuple(i for i in found.missed if i < last))


def heard_only(push: Push, copy: Copy, found: Alignment) -> tuple[str, Alignment]:
    """The copy without marks for symbols that did not sound there, that the stop cut off, or set aside."""
    heard = copy.counted(push)
    last = _marks_before_aside(push, copy, found)
    kept = [k for k, i in enumerate(found.attribution) if (k < last if i is None else heard[i])]
    written = copy.written
    return "".join(written[k] for k in kept), Alignment(
        tuple(found.attribution[k] for k in kept),
        tuple(found.confidence[k] for k in kept),
        tuple(i for i in found.missed if heard[i]),
    )


def _marks_before_aside(push: Push, copy: Copy, found: Alignment) -> int:
    """How many marks were made before what was set aside: an extra mark belongs to the sounds around it."""
    first = copy.aside_from
    if first is None:
        return len(copy.marks)
    for k, (mark, i) in enumerate(zip(copy.marks, found.attribution, strict=False)):
        if (i is not None and i >= first) or first == 0:
            return k
        if i is None and mark.at_ms is not None and mark.at_ms >= push.start_ms[first]:
            return k
    return len(copy.marks)


def result_of(push: Push, copy: Copy, found: Alignment) -> Result:
    """What a copy comes to with this alignment, over what its seat heard."""
    written, heard = heard_only(push, copy, found)
    answers = [BLANK] * len(push.sent)
    for sign, i in zip(written, heard.attribution, strict=True):
        if i is not None:
            answers[i] = sign
    lags_ms = np.full(len(push.sent), np.inf)
    for mark, i in zip(copy.marks, found.attribution, strict=False):
        if i is not None and mark.at_ms is not None:
            lags_ms[i] = mark.at_ms - push.end_ms[i]
    return Result(found, cells(push.sent, written, heard), "".join(answers), lags_ms)


def count_live(state: State, now_ms: float) -> bool:
    """Count the open run's changed copies anew, the longest untouched first; whether some are left."""
    push = state.open_run
    if push is None:
        return False
    due = sorted(state.due.items(), key=lambda item: item[1])
    for seat, _ in due[:SEATS_A_TICK]:
        del state.due[seat]
        copy = state.copies.get((push.id, seat))
        if copy is None or not copy.marks or seat not in state.seats:
            state.live_results.pop(seat, None)
        else:
            state.live_results[seat] = result_of(push, copy, _provisional(state, push, seat, now_ms))
    return bool(state.due)


def results(state: State, push: Push) -> dict[int, Result]:
    """Per seat with a copy, what it comes to: as it stands, or for good once the run is closed."""
    if not push.closed:
        return {seat: result for seat, result in state.live_results.items() if seat in state.seats}
    # Until the run at hand is marked, the figures of the moment stand in.
    provisional = state.live_results if push is state.run else {}
    return {
        seat: result
        for seat in state.seats
        if (copy := state.copies.get((push.id, seat)))
        and (copy.aside_from is None or any(copy.counted(push)))
        and (result := copy.result or provisional.get(seat))
    }


def run_table(state: State, push: Push) -> Counts:
    """The class table of one run, kept once the run is closed."""
    if push.id in state.tables:
        return state.tables[push.id]
    total = count(result.cells for result in results(state, push).values())
    if push.closed and not state.marking:
        state.tables[push.id] = total
    return total


def runs_in(state: State, scope: str) -> list[Push]:
    """The runs that a table is made of: the "run" at hand, or all counted ones of "evening" or "course"."""
    if scope == "run":
        return [state.run] if state.run else []
    runs = state.runs if scope == "course" else state.meeting_runs()
    return [push for push in runs if push.counts]


def table_of(state: State, scope: str) -> Counts:
    """The class table of a scope, the open run included."""
    total = empty()
    for push in runs_in(state, scope):
        total += run_table(state, push)
    return total


def answers(state: State, push: Push) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """How many learners wrote something for each sent symbol, and how many the right one."""
    written = code_points("".join(result.answers for result in results(state, push).values()))
    by_learner = written.reshape(-1, len(push.sent))
    return (by_learner != ord(BLANK)).sum(axis=0), (by_learner == code_points(push.sent)).sum(axis=0)


def code_points(signs: str) -> NDArray[np.uint32]:
    """Signs as numbers, to be compared by the thousand."""
    return np.frombuffer(signs.encode("utf-32-le"), np.uint32)
