"""Tones come in and go on to the others; a stretch is over, has sounded, is read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from copyroom.room.classroom import Classroom
from copyroom.room.contract import handles, settles
from copyroom.room.effects import CONSOLE, Effect, Refused, Sound
from copyroom.room.exercises import of, to_its_seats
from copyroom.room.figures import Figures
from copyroom.room.keyed.events import (
    MOST_TONES,
    KeyEdges,
    SentAll,
    TurnOver,
    TurnRead,
    TurnSounded,
)
from copyroom.room.keyed.stretch import ByHand, Stretch, keyed_bursts
from copyroom.room.messages.running import halt_view
from copyroom.room.run import Run

QUICKEST_TONES = 30
"""A second; the quickest hands send dits at 60 words a minute, 25 a second."""
SHORTEST_GAP_MS = 1.0
EARLY_MS = 2000.0
"""A page's clock may be so far ahead of the room's."""
TOO_LATE_MS = 60.0
"""A tone that reaches the room this shortly before its time is on no page in time."""

# ------------------------------------------------------------------ tones come in


def keyed_in(room: Classroom) -> Iterator[tuple[Run, ByHand]]:
    """What is at hand, and something may be keyed in."""
    for run in room.at_hand:
        kind = of(run)
        if isinstance(kind, ByHand) and not run.closed:
            yield run, kind


def at_key(room: Classroom, seat: int, number: int) -> tuple[Run, Stretch]:
    """The exercise and the stretch that this seat is at. Refused where it is over."""
    found = list(keyed_in(room))
    if not found:
        raise Refused("Nobody is at the key now.")
    for run, kind in found:
        for stretch in reversed(kind.stretches(run)):
            if (stretch.number, stretch.seat) == (number, seat) and not stretch.sounded:
                return run, stretch
    raise Refused("Your turn at the key is over.")


def _stretch_of(room: Classroom, number: int, run_number: int) -> tuple[Run, ByHand, Stretch] | None:
    run = room.run_of(run_number) if run_number else room.open_run
    kind = None if run is None or run.closed else of(run)
    if run is None or not isinstance(kind, ByHand):
        return None
    stretch = next((one for one in kind.stretches(run) if one.number == number), None)
    return None if stretch is None else (run, kind, stretch)


def _checked_tones(stretch: Stretch, first: int, edges: Sequence[float]) -> list[tuple[float, float]]:
    """The tones that are new. Refused where no hand can have made them."""
    have = len(stretch.on_ms)
    if first > have:
        raise Refused(f"Tones {have} to {first - 1} have not come yet.")
    if len(edges) % 2:
        raise Refused("A tone has a beginning and an end.")
    new = list(zip(edges[::2], edges[1::2], strict=True))[have - first :]
    if have + len(new) > MOST_TONES:
        raise Refused(f"A turn takes {MOST_TONES} tones at most.")
    before_ms = stretch.off_ms[-1] if stretch.off_ms else 0.0
    for on_ms, off_ms in new:
        if not before_ms + SHORTEST_GAP_MS * bool(before_ms) <= on_ms < off_ms:
            raise Refused("Tones must come one after the other.")
        before_ms = off_ms
    on_ms_all = stretch.on_ms[-QUICKEST_TONES:] + [on for on, _ in new]
    if any(later - on < 1000.0 for on, later in zip(on_ms_all, on_ms_all[QUICKEST_TONES:], strict=False)):
        raise Refused(f"That was more than {QUICKEST_TONES} tones a second: no hand keys that fast.")
    return new


@handles(KeyEdges)
def key_edges(room: Classroom, event: KeyEdges, now_ms: float) -> list[Effect]:
    """Keep a turn's tones, and let the others hear what still has its time before it."""
    run, stretch = at_key(room, event.seat, event.turn)
    new = _checked_tones(stretch, event.first, event.edges)
    if new and new[-1][1] > now_ms - stretch.start_room_ms + EARLY_MS:
        raise Refused("The clock of this page is ahead. Load it anew.")
    if new and run.halted_room_ms is not None and stretch.start_room_ms + new[0][0] > run.halted_room_ms:
        raise Refused("Paused: your key is not heard now.")
    first = len(stretch.on_ms)
    stretch.on_ms += [on for on, _ in new]
    stretch.off_ms += [off for _, off in new]
    heard_ms = stretch.start_room_ms + stretch.delay_ms
    in_time = [[on, off] for on, off in new if heard_ms + on >= now_ms + TOO_LATE_MS]
    stretch.late += len(new) - len(in_time)
    if not in_time or run.halted_room_ms is not None:
        return []
    stretch.batches += 1
    part, first = stretch.part, first + len(new) - len(in_time)
    sounds_in = part or run
    to, number = _listeners(room, run, stretch), first if part else -1
    return [Sound(to, sounds_in.id, stretch.batches, in_time, sounds_in.pitch_hz, heard_ms, number)]


def _listeners(room: Classroom, run: Run, stretch: Stretch) -> tuple[int | str, ...]:
    """Who hears it; the console sounds nothing that is for some alone."""
    heard_in, kind = stretch.part or run, of(run)
    inside = (n for n, seat in sorted(room.seats.items()) if seat.inside and n != stretch.seat)
    at_console = isinstance(kind, ByHand) and kind.heard_at_console and run.seats is None
    return (*(n for n in inside if heard_in.has(n)), *((CONSOLE,) if at_console else ()))


# ------------------------------------------------------------------ it is over


@settles(SentAll)
def settle_sent_all(figures: Figures, event: SentAll, now_ms: float) -> TurnOver:
    """The turn is over with the last tone."""
    run, stretch = at_key(figures.room, event.seat, event.turn)
    if stretch.over:
        raise Refused("Your turn at the key is over.")
    return TurnOver(stretch.number, stretch.sounded_by_ms(run, now_ms), run.id)


@handles(TurnOver)
def turn_over(room: Classroom, event: TurnOver, now_ms: float) -> list[Effect]:
    """The end of keying, whoever brought it about."""
    found = _stretch_of(room, event.turn, event.run)
    if found is None or found[2].over:
        return []
    return ended(room, *found, event.end_room_ms, now_ms)


def ended(
    room: Classroom, run: Run, kind: ByHand, stretch: Stretch, end_room_ms: float, now_ms: float
) -> list[Effect]:
    """No key sounds any more in this stretch; who copies it has a while to finish."""
    stretch.over, stretch.end_room_ms = True, end_room_ms
    stretch.sounded = not stretch.on_ms
    effects: list[Effect] = []
    if part := stretch.part:
        part.unread = bool(stretch.on_ms)
        if not part.stopped:
            part.halted_room_ms = part.stopped_room_ms = end_room_ms
            part.closed = part.cancelled
        effects = to_its_seats(room, part, halt_view(part))
    return [*effects, *kind.end_stretch(room, run, stretch, now_ms)]


@handles(TurnSounded)
def turn_sounded(room: Classroom, event: TurnSounded, now_ms: float) -> list[Effect]:
    """From now on it can be read."""
    found = _stretch_of(room, event.turn, event.run)
    if found is not None:
        found[2].sounded = True
    return []


# ------------------------------------------------------------------ it is read


@handles(TurnRead)
def turn_read(room: Classroom, event: TurnRead, now_ms: float) -> list[Effect]:
    """The run's text is known now, each symbol at the time at which the others heard it."""
    for run in [room.run_of(event.run)] if event.run else room.runs:
        kind = of(run)
        if not isinstance(kind, ByHand):
            continue
        for stretch in kind.stretches(run):
            is_it = (stretch.number, stretch.seat) == (event.turn, event.seat)
            if is_it and stretch.part is not None and stretch.part.unread:
                _take_text(room, stretch.part, stretch, event.text)
                return kind.take_reading(room, run, stretch, event)
    return []  # its sender was taken out meanwhile


def _take_text(room: Classroom, part: Run, stretch: Stretch, text: str) -> None:
    part.unread = False
    if not text:
        return
    part.text = text
    part.take(keyed_bursts(text, stretch.on_ms, stretch.off_ms))
    for seat, copy in part.copies.items():
        copy.heard = _heard(room, part, seat, bytes(copy.heard))
    if part.closed:
        room.note_met(part)


def _heard(room: Classroom, part: Run, seat: int, tones: bytes) -> bytearray:
    """Which symbols a seat heard: each of whose tones its page sounded.

    A page that sounded none may be one that leaves it to the room's loudspeaker: who wrote has heard it.
    """
    sent, known = part.bursts, seat in room.seats
    if not tones.count(1) and (part.copies[seat].marks or (known and not room.seats[seat].device)):
        return bytearray(b"\x01" * len(part.sent))
    heard = tones + bytes(max(0, len(sent.on_s) - len(tones)))
    return bytearray(all(heard[a:b]) for a, b in pairwise(sent.first_tone.tolist()))
