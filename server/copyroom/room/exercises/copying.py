"""Copying, the first exercise: what sounds is written down, and held against what was sent."""

from __future__ import annotations

from copyroom.core.alphabet import BLANK, INDEX
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import handles
from copyroom.room.copies import Copy
from copyroom.room.effects import SENDER, Effect, Known, Refused, Send
from copyroom.room.exercises import Exercise, exercise
from copyroom.room.messages.learner import (
    HandedInOut,
    KeptOut,
    RefusedOut,
)
from copyroom.room.run import Run


@exercise
class Copying(Exercise):
    """A run whose sounds are written down by everybody who has a part in it."""

    kind = "copying"


def _open_copy(room: Classroom, seat_number: int, run_number: int) -> tuple[Run, Seat, Copy]:
    seat, run = room.seat(seat_number), room.run_of(run_number)
    if not seat.inside:
        raise Refused("Your instructor has not let you in yet.")
    if seat.id not in run.copies:
        raise Refused("You were not in the room for that run.")
    return run, seat, run.copies[seat.id]


def _well_formed(key: ev.Key) -> bool:
    """A stroke writes one sign, at the end or at one place, or it erases one."""
    places = [key.change, key.before, key.erase].count(None)
    if key.erase is not None:
        return places == 2 and key.sign == ""
    return places >= 2 and (key.sign in INDEX or key.sign == BLANK)


@handles(ev.WriteKeys)
def write_keys(room: Classroom, event: ev.WriteKeys, now_ms: float) -> list[Effect]:
    """Fold strokes into the seat's copy and acknowledge how many it holds.

    What was made in time counts whenever it arrives, until this learner is shown what was sent: also after
    the reveal, for who was away. After that it could have been written with the solution in view, and
    stands beside the copy as late.
    """
    run, seat, copy = _open_copy(room, event.seat, event.push)
    if run.kind != Copying.kind:
        raise Refused("There is nothing to be written down in this.")
    if event.by == ev.CONSOLE and seat.device and copy.way == "typing":
        raise Refused("This learner writes on a device of their own.")
    if not all(map(_well_formed, event.keys)):
        raise Refused("That is not a symbol of the code.")
    if copy.knows(event.first, event.keys):
        raise Known(_kept(run, seat, copy.strokes))
    if run.revealed and seat.id not in run.unshown:
        return _write_late(run, seat, copy, event)
    left_out = copy.write(run, event.first, event.keys)
    effects: list[Effect] = [_kept(run, seat, copy.strokes)]
    if left_out:
        effects.append(Send(SENDER, RefusedOut(sentence=left_out, about="write_keys")))
    return effects


def _write_late(run: Run, seat: Seat, copy: Copy, event: ev.WriteKeys) -> list[Effect]:
    if copy.way != "typing":
        kept = _kept(run, seat, event.first + len(event.keys))
        raise Refused("This run is over; its copies were shown.", kept)
    copy.write_late(run, event.first, event.keys)
    return [_kept(run, seat, copy.strokes)]


def _kept(run: Run, seat: Seat, strokes: int) -> Send:
    return Send(SENDER, KeptOut(push=run.id, seat=seat.id, kept=strokes))


@handles(ev.ReportSounded)
def report_sounded(room: Classroom, event: ev.ReportSounded, now_ms: float) -> list[Effect]:
    """Note which symbols this seat heard: only these count for it."""
    run, seat, copy = _open_copy(room, event.seat, event.push)
    is_shown = run.revealed and seat.id not in run.unshown  # then the result stands
    if is_shown or (run.in_parts and not run.unread) or copy.has_heard(event.spans):
        raise Known()
    copy.hear(event.spans, grows=run.unread)
    return []


@handles(ev.HandInCount)
def hand_in_count(room: Classroom, event: ev.HandInCount, now_ms: float) -> list[Effect]:
    """Keep how much of a paper sheet was right, as its writer says once all can see what was sent."""
    run, seat, copy = _open_copy(room, event.seat, event.push)
    if event.by == ev.CONSOLE and seat.device:
        raise Refused("This learner counts on a device of their own.")
    if not run.revealed:
        raise Refused("What was sent is not shown yet.")
    if copy.marks:
        raise Refused("What you wrote is here already, and counted.")
    if not event.right <= event.of <= run.sent_count:
        raise Refused(f"Of {run.sent_count} sounds no more than {run.sent_count} can be right.")
    copy.own_count = (event.right, event.of)
    return []


@handles(ev.HandIn)
def hand_in(room: Classroom, event: ev.HandIn, now_ms: float) -> list[Effect]:
    """The learner is done, and the instructor sees it. It can be taken back until the run is closed."""
    run, _, copy = _open_copy(room, event.seat, event.push)
    handed_in = Send(SENDER, HandedInOut(push=run.id, seat=event.seat))
    if copy.handed_in:
        raise Known(handed_in)
    copy.handed_in = True
    return [handed_in]
