"""Tones on their way, and what becomes of them: the one shape of a run for all who sound it."""

from __future__ import annotations

from typing import Any

from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from copyroom.core.purpose import Sounding
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.effects import Sound
from copyroom.room.run import Run


class Shift(Part, frozen=True, kw_only=True):
    """After a pause: symbols from `first` on come so much later than the edges say; the last entry wins."""

    first: int
    shift_ms: float


class RunShape(Message, frozen=True, kw_only=True):
    """A run as pages know it: one shape for all, each told it without what it must not know.

    kind : of exercise; within : the run that it is a part of, 0 for none.
    sent : how many symbols it has; fewer than there are edges when it was stopped for good.
    lasts_ms : how long it goes on where it has no edges; 0: until it is ended.
    shown : the symbols' names, when they may be seen.
    edges : per symbol [on, off, on, off, ...] in ms after the start; for whoever sounds it or draws it. A
        learner is told the first of them; the others come as MoreOut.
    sounds : how many there are in all; end_ms : when the last of them ends.
    symbols : the keys of a learner's grid. begins_, ends_, tidy_ends_room_ms : for a page without edges.
    text, title : for the instructor, and once they may be seen.
    """

    push: int
    kind: str
    within: int
    purpose: Sounding
    counted: bool
    phase: str
    start_room_ms: float
    halted_room_ms: float | None
    sent: int
    lasts_ms: float
    tidy_ms: float
    pitch_hz: float
    shown: str
    edges: list[list[float]] | UnsetType = UNSET
    sounds: int | UnsetType = UNSET
    end_ms: float | UnsetType = UNSET
    shifts: list[Shift] | UnsetType = UNSET
    symbols: str | UnsetType = UNSET
    begins_room_ms: float | UnsetType = UNSET
    ends_room_ms: float | UnsetType = UNSET
    tidy_ends_room_ms: float | UnsetType = UNSET
    title: str | UnsetType = UNSET
    text: str | UnsetType = UNSET
    wpm: float | UnsetType = UNSET
    overall_wpm: float | UnsetType = UNSET


@message(Audience.SEAT, Audience.SEATS, Audience.CONSOLE, name="push")
class PushOut(RunShape, frozen=True, kw_only=True):
    """Tones on their way: the first of them."""


@message(Audience.SEAT, Audience.SEATS, name="more")
class MoreOut(Message, frozen=True, kw_only=True):
    """More tones of a push, as of symbol `first`, some seconds before they sound."""

    push: int
    first: int
    edges: list[list[float]]


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


def push_view(run: Run, now_ms: float) -> PushOut:
    """A run as a learner gets it: edges, not characters, and only those that sound soon."""
    known = _sounded(run) | {"edges": run.edges_ms[: run.let_out(now_ms)]}
    return PushOut(**_known_to_all(run, now_ms), **known)


def push_to_console(run: Run, now_ms: float) -> PushOut:
    """A run as the console sounds it: the instructor sees its text anyway."""
    return PushOut(**_known_to_all(run, now_ms), **_sounded(run))


def more_view(run: Run, known: int, now_ms: float) -> MoreOut:
    """What is told of it to those who know so many of its sounds."""
    return MoreOut(push=run.id, first=known, edges=run.edges_ms[known : run.let_out(now_ms)])


def console_view(run: Run, now_ms: float) -> RunShape:
    """A run as the instructor sees it: with its characters."""
    return RunShape(
        **_known_to_all(run, now_ms),
        **_sounded(run),
        title=run.title(),
        text=run.text,
        wpm=run.speed.wpm,
        overall_wpm=run.speed.overall_wpm,
    )


def on_the_wall(run: Run, now_ms: float) -> RunShape:
    """A run as the class sees it: its times; its name and its text only once they may be seen."""
    shape = RunShape(
        **_known_to_all(run, now_ms),
        begins_room_ms=run.first_room_ms,
        ends_room_ms=run.start_room_ms + run.over_ms,
        tidy_ends_room_ms=run.start_room_ms + run.tidy_end_ms,
    )
    if run.name_shown or run.revealed:
        shape = replace(shape, title=run.title(), symbols=run.symbols)
    if run.name_shown:
        shape = replace(shape, edges=run.edges_ms, shifts=shifts_of(run))
    return replace(shape, text=run.sent_text) if run.revealed else shape


def _known_to_all(run: Run, now_ms: float) -> dict[str, Any]:
    return {
        "push": run.id,
        "kind": run.kind,
        "within": run.within,
        "purpose": run.purpose,
        "counted": run.counted,
        "phase": run.phase(now_ms),
        "start_room_ms": run.start_room_ms,
        "halted_room_ms": _halted_room_ms(run),
        "sent": run.sent_count,
        "lasts_ms": run.lasts_ms,
        "tidy_ms": run.tidy_ms,
        "pitch_hz": run.pitch_hz,
        "shown": run.sent if run.name_shown else "",
    }


def _sounded(run: Run) -> dict[str, Any]:
    return {
        "edges": run.edges_ms,
        "sounds": len(run.edges_ms),
        "end_ms": run.edges_ms[-1][-1] if run.edges_ms else 0.0,
        "shifts": shifts_of(run),
        "symbols": run.symbols,
    }


def _halted_room_ms(run: Run) -> float | None:
    return run.stopped_room_ms if run.stopped else run.halted_room_ms


def shifts_of(run: Run) -> list[Shift]:
    """What pauses have done to its times."""
    return [Shift(first=first, shift_ms=shift) for first, shift in run.shifts]


def halt_view(run: Run) -> HaltOut:
    """All sound ends; for good, the run has only what sounded."""
    at_room_ms = _halted_room_ms(run)
    assert at_room_ms is not None
    return HaltOut(push=run.id, at_room_ms=at_room_ms, for_good=run.stopped, sent=run.sent_count)


def shift_view(run: Run) -> ShiftOut:
    """A paused run goes on with these shifts."""
    return ShiftOut(push=run.id, shifts=shifts_of(run))
