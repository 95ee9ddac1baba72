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
from copyroom.core.tally import Counts, empty, tally
from copyroom.room.copies import Copy
from copyroom.room.push import Push
from copyroom.room.state import State

SEATS_A_TICK = 60
"""Live copies counted anew at one tick; in a larger class the others wait for the next."""


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
    copy = state.copies[push.id, seat]
    heard = [i for i in range(push.sent_count) if copy.heard[i]]
    timed = copy.way == "typing"
    at_s = [None if m.at_ms is None else m.at_ms / 1000.0 for m in copy.marks] if timed else None
    return al.Copy(copy.written, at_s, habits_before(state, push, seat), heard)


def mark_run(state: State, push: Push) -> Generator[None]:
    """Align every copy of a closed run for good, a slice at a time, and learn the seats' habits.

    A copy that changes meanwhile is aligned by `mark_late_copy`; its older state is passed over.
    """
    seats = [s for s in state.seats if (c := state.copies.get((push.id, s))) and c.marks]
    inputs = [_final_input(state, push, s) for s in seats]
    end_s = [t / 1000.0 for t in push.end_ms]
    settled_anew = 0
    results = (yield from al.align_class_in_slices(push.sent, end_s, inputs)) if inputs else []
    for seat, given, aligned in zip(seats, inputs, results, strict=True):
        copy = state.copies.get((push.id, seat))
        if copy is not None and _final_input(state, push, seat) == given:
            copy.alignment, copy.habits = aligned.alignment, aligned.habits
            if push is state.run and (live := state.live_found.get(seat)):
                settled_anew += _differing(live, aligned.alignment)
    state.settled_anew[push.id] = settled_anew
    state.forget_results(push.id)
    state.changed |= {"table", "findings", "progress", "room"}


def _differing(live: Alignment, final: Alignment) -> int:
    """Marks that the final alignment attributes otherwise; none of a copy tidied up since."""
    if len(live.attribution) != len(final.attribution):
        return 0
    return sum(a != b for a, b in zip(live.attribution, final.attribution, strict=True))


def mark_late_copy(state: State, push: Push, seat: int) -> None:
    """Align one copy that came in after the run was closed."""
    copy = state.copies[push.id, seat]
    copy.alignment = copy.habits = None
    if copy.marks:
        end_s = [t / 1000.0 for t in push.end_ms]
        aligned = al.align_class(push.sent, end_s, [_final_input(state, push, seat)])[0]
        copy.alignment, copy.habits = aligned.alignment, aligned.habits
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
    """The copy without marks for symbols that the seat's browser did not sound, or that the stop cut off."""
    heard = copy.heard[: push.sent_count] + bytes(len(push.sent) - push.sent_count)
    kept = [k for k, i in enumerate(found.attribution) if i is None or heard[i]]
    written = copy.written
    return "".join(written[k] for k in kept), Alignment(
        tuple(found.attribution[k] for k in kept),
        tuple(found.confidence[k] for k in kept),
        tuple(i for i in found.missed if heard[i]),
    )


def count_copy(push: Push, copy: Copy, found: Alignment) -> Counts:
    """One copy's counts over what its seat heard."""
    written, heard = heard_only(push, copy, found)
    return tally(push.sent, written, heard)


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
            state.live_counts.pop(seat, None)
            state.live_found.pop(seat, None)
            continue
        found = _provisional(state, push, seat, now_ms)
        state.live_counts[seat] = count_copy(push, copy, found)
        state.live_found[seat] = found
    return bool(state.due)


def run_copies(state: State, push: Push) -> dict[int, Counts]:
    """Per seat with a copy, its counts in this run."""
    if not push.closed:
        return {s: c for s, c in state.live_counts.items() if s in state.seats}
    return {
        seat: count_copy(push, copy, copy.alignment)
        for seat in state.seats
        if (copy := state.copies.get((push.id, seat))) and copy.alignment is not None
    }


def run_table(state: State, push: Push) -> Counts:
    """The class table of one run, kept once the run is closed."""
    if push.id in state.tables:
        return state.tables[push.id]
    total = empty()
    for counts in run_copies(state, push).values():
        total += counts
    if push.closed:
        state.tables[push.id] = total
    return total


def runs_in(state: State, scope: str) -> list[Push]:
    """The runs that a table is made of: the "run" at hand, or all counted ones of "evening" or "course"."""
    if scope == "run":
        return [state.run] if state.run else []
    runs = state.runs if scope == "course" else state.meeting_runs()
    return [push for push in runs if push.counted]


def table_of(state: State, scope: str) -> Counts:
    """The class table of a scope, the open run included."""
    total = empty()
    for push in runs_in(state, scope):
        total += run_table(state, push)
    return total


def found_in(state: State, push: Push, seat: int) -> Alignment | None:
    """A seat's alignment as it stands."""
    if push.closed:
        copy = state.copies.get((push.id, seat))
        return copy.alignment if copy else None
    return state.live_found.get(seat)


def answers(state: State, push: Push) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """How many learners wrote something for each sent symbol, and how many the right one."""
    answered = np.zeros(len(push.sent), np.int64)
    right = np.zeros(len(push.sent), np.int64)
    for seat in state.seats:
        found = found_in(state, push, seat)
        if found is None:
            continue
        written, heard = heard_only(push, state.copies[push.id, seat], found)
        for sign, i in zip(written, heard.attribution, strict=True):
            if i is not None and sign != "_":
                answered[i] += 1
                right[i] += sign == push.sent[i]
    return answered, right
