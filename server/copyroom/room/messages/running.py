"""Tones on their way, and what becomes of them: the one shape of a run for all who sound it."""

from __future__ import annotations

from typing import Any

from copyroom.core.purpose import Sounding
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.effects import Sound
from copyroom.room.run import Run


class Shift(Part, frozen=True, kw_only=True):
    """After a pause: symbols from `first` on come so much later than the edges say; the last entry wins."""

    first: int
    shift_ms: float


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="push")
class PushOut(Message, frozen=True, kw_only=True):
    """Tones on their way. `edges`: per symbol [on, off, on, off, ...] in ms after the start.

    `kind`: of exercise; `within`: the run that it is a part of, 0 for none.
    `lasts_ms`: how long it goes on where it has no edges, 0 until it is ended.
    `symbols`: the keys of the learner's grid.
    `shown`: the symbols' names, when they may be seen.
    """

    push: int
    kind: str
    within: int
    purpose: Sounding
    start_room_ms: float
    pitch_hz: float
    edges: list[list[float]]
    shifts: list[Shift]
    lasts_ms: float
    symbols: str
    tidy_ms: float
    counted: bool
    shown: str


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="halt")
class HaltOut(Message, frozen=True, kw_only=True):
    """All sound ends now. `sent`: how many symbols the run has when it was stopped for good."""

    push: int
    at_room_ms: float
    for_good: bool
    sent: int


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="shift")
class ShiftOut(Message, frozen=True, kw_only=True):
    """A paused run goes on."""

    push: int
    shifts: list[Shift]


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="closed")
class ClosedOut(Message, frozen=True, kw_only=True):
    push: int


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="sound")
class SoundPartOut(Message, frozen=True, kw_only=True):
    """A part of a run for this page alone to sound. `edges` as in PushOut; `shifts` is empty.

    `first`: the number of its first sound in the run, by which what sounded is reported; -1: it is not.
    """

    push: int
    part: int
    first: int
    start_room_ms: float
    pitch_hz: float
    edges: list[list[float]]
    shifts: list[Shift]


def sound_view(sound: Sound) -> SoundPartOut:
    """A sound as a page gets it."""
    return SoundPartOut(
        push=sound.run,
        part=sound.part,
        first=sound.first,
        start_room_ms=sound.start_room_ms,
        pitch_hz=sound.pitch_hz,
        edges=sound.edges,
        shifts=[],
    )


def push_view(run: Run) -> PushOut:
    """A run as browsers get it: edges, not characters. The sheet's groups are the text's."""
    return PushOut(**push_fields(run))


def push_fields(run: Run) -> dict[str, Any]:
    """What every audience knows of a run."""
    return {
        "push": run.id,
        "kind": run.kind,
        "within": run.within,
        "purpose": run.purpose,
        "start_room_ms": run.start_room_ms,
        "pitch_hz": run.pitch_hz,
        "edges": run.edges_ms,
        "shifts": shifts_of(run),
        "lasts_ms": run.lasts_ms,
        "symbols": run.symbols,
        "tidy_ms": run.tidy_ms,
        "counted": run.counted,
        "shown": run.sent if run.name_shown else "",
    }


def shifts_of(run: Run) -> list[Shift]:
    """What pauses have done to its times."""
    return [Shift(first=first, shift_ms=shift) for first, shift in run.shifts]


def halt_view(run: Run) -> HaltOut:
    """All sound ends; for good, the run has only what sounded."""
    at_room_ms = run.stopped_room_ms if run.stopped else run.halted_room_ms
    assert at_room_ms is not None
    return HaltOut(push=run.id, at_room_ms=at_room_ms, for_good=run.stopped, sent=run.sent_count)


def shift_view(run: Run) -> ShiftOut:
    """A paused run goes on with these shifts."""
    return ShiftOut(push=run.id, shifts=shifts_of(run))
