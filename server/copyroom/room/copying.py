"""Copies as they come in: strokes, what sounded, handing in."""

from __future__ import annotations

from copyroom.core.alphabet import BLANK, INDEX
from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.copies import Copy
from copyroom.room.effects import SENDER, Effect, Refused, Send
from copyroom.room.push import Push
from copyroom.room.scoring import follow, mark_late_copy
from copyroom.room.state import Seat, State
from copyroom.room.views import reveal_view


def _open_copy(state: State, seat_number: int, push_number: int) -> tuple[Push, Seat, Copy]:
    seat, push = state.seat(seat_number), state.push(push_number)
    if not seat.inside:
        raise Refused("Your instructor has not let you in yet.")
    if (push.id, seat.id) not in state.copies:
        raise Refused("You were not in the room for that run.")
    return push, seat, state.copies[push.id, seat.id]


def _well_formed(key: ev.Key) -> bool:
    """A stroke writes one sign, at the end or at one place, or it erases one."""
    places = [key.change, key.before, key.erase].count(None)
    if key.erase is not None:
        return places == 2 and key.sign == ""
    return places >= 2 and (key.sign in INDEX or key.sign == BLANK)


def _changed(state: State, push: Push, seat: Seat, now_ms: float) -> None:
    if push.closed:
        mark_late_copy(state, push, seat.id)
        return
    state.due.setdefault(seat.id, now_ms)
    state.changed |= {"progress", "table"}


@handles(ev.WriteKeys)
def write_keys(state: State, event: ev.WriteKeys, now_ms: float) -> list[Effect]:
    """Fold strokes into the seat's copy and acknowledge how many it holds.

    Strokes that arrive after the run was closed, but were made in time, still count until the copies
    are revealed; after that they would be written with the solution in view, and are refused.
    """
    push, seat, copy = _open_copy(state, event.seat, event.push)
    if event.by == ev.CONSOLE and seat.device and copy.way == "typing":
        raise Refused("This learner writes on a device of their own.")
    if not all(map(_well_formed, event.keys)):
        raise Refused("That is not a symbol of the code.")
    if push.revealed and event.first + len(event.keys) > copy.strokes:
        kept = {"push": push.id, "seat": seat.id, "kept": event.first + len(event.keys)}
        raise Refused("This run is over; its copies were shown.", Send(SENDER, "kept", kept))
    before = len(copy.marks)
    left_out = copy.write(push, event.first, event.keys)
    if len(copy.marks) != before or copy.edited:
        if copy.edited:
            state.live_results.pop(seat.id, None)  # it speaks of marks that are not there any more
        if not push.closed:
            follow(state, push, seat.id, copy, before)
        _changed(state, push, seat, now_ms)
    effects: list[Effect] = [Send(SENDER, "kept", {"push": push.id, "seat": seat.id, "kept": copy.strokes})]
    if left_out:
        effects.append(Send(SENDER, "refused", {"sentence": left_out}))
    return effects


@handles(ev.ReportSounded)
def report_sounded(state: State, event: ev.ReportSounded, now_ms: float) -> list[Effect]:
    """Note which symbols this seat heard: only these count for it."""
    push, seat, copy = _open_copy(state, event.seat, event.push)
    if push.revealed:
        return []  # the result was shown, and stands
    copy.hear(event.spans)
    if copy.marks:
        _changed(state, push, seat, now_ms)
    return []


@handles(ev.HandInCount)
def hand_in_count(state: State, event: ev.HandInCount, now_ms: float) -> list[Effect]:
    """Keep how much of a paper sheet was right, as its writer says once all can see what was sent."""
    push, seat, copy = _open_copy(state, event.seat, event.push)
    if event.by == ev.CONSOLE and seat.device:
        raise Refused("This learner counts on a device of their own.")
    if not push.revealed:
        raise Refused("What was sent is not shown yet.")
    if copy.marks:
        raise Refused("What you wrote is here already, and counted.")
    if not event.right <= event.of <= push.sent_count:
        raise Refused(f"Of {push.sent_count} sounds no more than {push.sent_count} can be right.")
    copy.own_count = (event.right, event.of)
    state.changed.add("progress")
    return [Send(event.seat, "reveal", reveal_view(state, push, event.seat))]


@handles(ev.HandIn)
def hand_in(state: State, event: ev.HandIn, now_ms: float) -> list[Effect]:
    """The learner is done, and the instructor sees it. It can be taken back until the run is closed."""
    push, _, copy = _open_copy(state, event.seat, event.push)
    copy.handed_in = True
    state.changed.add("progress")
    return [Send(SENDER, "handed_in", {"push": push.id, "seat": event.seat})]
