"""One learner with two seats: who came back from another address, another phone or an emptied browser.

Nothing but the instructor's word says that two are one, and it can be taken back.
"""

from __future__ import annotations

from dataclasses import replace

import msgspec

from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Joined
from copyroom.room.contract import handles, settles
from copyroom.room.copies import Copy
from copyroom.room.effects import Effect, Refused, Unseat
from copyroom.room.figures import Figures
from copyroom.room.run import Run


@settles(ev.MakeOne)
def settle_one(figures: Figures, event: ev.MakeOne, now_ms: float) -> ev.MakeOne:
    """Not two who are both here; who is here is not kept, so a replay does not ask."""
    part, whole = figures.room.seat(event.seat), figures.room.seat(event.into)
    if part is not whole and part.here and whole.here and whole.device:
        raise Refused(f"{part.name} and {whole.name} are both here: they are two.")
    return event


@handles(ev.MakeOne)
def make_one(room: Classroom, event: ev.MakeOne, now_ms: float) -> list[Effect]:
    """The seat's copies become the other's; its page comes again, and sits there."""
    part, whole = room.seat(event.seat), room.seat(event.into)
    _refuse_within_an_exercise(room)
    if part is whole:
        raise Refused("That is one seat already.")
    if any(joined.into == part.id for joined in room.joined.values()):
        raise Refused(f"{part.name} is two made one already. Make them two again first.")
    copies = {run.id: _move(run, part.id, whole.id) for run in room.runs if _moves(run, part.id, whole.id)}
    moved = tuple(n for n, aside in room.asides.items() if aside.seat == part.id and aside.run in copies)
    for number in moved:
        room.asides[number] = replace(room.asides[number], seat=whole.id)
    room.joined[part.id] = Joined(part, whole.id, copies, moved, whole.met)
    del room.seats[part.id]
    whole.met = "".join(dict.fromkeys((*whole.met, *part.met)))
    whole.listed, whole.meeting = True, max(whole.meeting, part.meeting)
    whole.way, whole.inside = part.way, whole.inside or part.inside
    _follow_source(room, part.id, whole.id)
    room.plan_edits += 1
    return [Unseat(part.id, comes_again=True)]


@settles(ev.MakeTwo)
def settle_two(figures: Figures, event: ev.MakeTwo, now_ms: float) -> ev.MakeTwo:
    """Whom the seat had been made one with."""
    joined = figures.room.joined.get(event.seat)
    return msgspec.structs.replace(event, into=joined.into if joined else 0)


@handles(ev.MakeTwo)
def make_two(room: Classroom, event: ev.MakeTwo, now_ms: float) -> list[Effect]:
    """The seat gets back what it had brought; what was written since stays where it is."""
    joined = room.joined.get(event.seat)
    if joined is None:
        raise Refused("That seat stands for itself.")
    _refuse_within_an_exercise(room)
    del room.joined[event.seat]
    part, whole = joined.seat, room.seat(joined.into)
    room.seats[part.id] = part
    part.here, part.listed = False, True
    for number, before in joined.copies.items():
        _move_back(room.run_of(number), part.id, whole.id, before)
    for number in joined.asides:
        if number in room.asides:
            room.asides[number] = replace(room.asides[number], seat=part.id)
    whole.met = joined.met
    room.plan_edits += 1
    return [Unseat(whole.id, comes_again=True)]


def _refuse_within_an_exercise(room: Classroom) -> None:
    if any(run.kind != "copying" and not run.closed for run in room.at_hand):
        raise Refused("Somebody may have a part in what is going on. Close it first.")


def _moves(run: Run, part: int, whole: int) -> bool:
    """Whether the copy of the one becomes the other's: not where both wrote."""
    other = run.copies.get(whole)
    return part in run.copies and (other is None or not other.strokes)


def _move(run: Run, part: int, whole: int) -> Copy | None:
    before = run.copies.get(whole)
    run.copies[whole] = run.copies.pop(part)
    _rename(run, part, whole)
    return before


def _move_back(run: Run, part: int, whole: int, before: Copy | None) -> None:
    run.copies[part] = run.copies.pop(whole)
    _rename(run, whole, part)
    if before is not None:
        run.copies[whole] = before
        run.seats = None if run.seats is None else run.seats | {whole}


def _rename(run: Run, old: int, new: int) -> None:
    if run.seats is not None:
        run.seats = run.seats - {old} | {new}
    if old in run.unshown:
        run.unshown = run.unshown - {old} | {new}


def _follow_source(room: Classroom, part: int, whole: int) -> None:
    if room.source == part:
        room.source = whole
