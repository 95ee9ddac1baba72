"""What a run of named rounds keeps beside its copies, and what follows from its times.

A round is a sound, a gap to answer in, and its name. All times are the run's own, so a pause shifts them: the
gap that it cuts goes on where it was cut, and what was answered by then stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from copyroom.core.alphabet import BLANK
from copyroom.core.response import Asked, Response, responses
from copyroom.core.rounds import NAME_S
from copyroom.room.run import Run

Step = Literal["", "sound", "say", "name"]
"""Of the round at hand: not begun; sounding or in its gap; its name is being said; its name is shown."""
SHOW_MS, SAY_MS = 1000.0 * NAME_S, 1500.0
"""A name stays on the screens so long before the next sound; a voice has so long before that."""


@dataclass(slots=True)
class Rounds:
    """How far the rounds are.

    meets : a sound is met in them; with no other one known there is nothing to be asked.
    at, step : the round at hand, 0 the first, -1 before it; and how far it is.
    over_ms : per round whose gap is over, when that was, after the run's start.
    turns : the seats whose turn it is, the one at hand first; `last`: who was put in last.
    corrections : per round and seat, what was put right after its name.
    late : how often an answer came after its gap, or a seat went: what was made of earlier rounds is stale.
    """

    gap_ms: float
    voice: bool
    by_turns: bool
    meets: bool = False
    at: int = -1
    step: Step = ""
    over_ms: list[float] = field(default_factory=list)
    turns: list[int] = field(default_factory=list)
    last: int = 0
    corrections: dict[int, dict[int, str]] = field(default_factory=dict)
    late: int = 0
    made: tuple[Any, Any] = field(default=((), ()), compare=False, repr=False)

    def take_turns(self, turns: Sequence[int]) -> None:
        """As they were settled; the last of them is the one that the next follows."""
        self.turns = list(turns)
        self.last = self.turns[-1] if self.turns else self.last

    @property
    def after_ms(self) -> float:
        """From the end of a gap to the next sound."""
        return SHOW_MS + (SAY_MS if self.voice else 0.0)

    @property
    def given(self) -> int:
        """How many rounds' names are on the screens, or were."""
        return self.at + 1 if self.step == "name" else max(self.at, 0)

    @property
    def over(self) -> int:
        """How many rounds' gaps are over."""
        return self.at + 1 if self.step in ("say", "name") else max(self.at, 0)

    def asks(self, run: Run) -> bool:
        """Whether anything is asked: of one sound alone there is no telling what it is."""
        return len(run.symbols) > 1

    def gap_end_ms(self, run: Run, place: int) -> float:
        """When the gap of a round ends: as it did, or as it will if nothing halts it."""
        if place < len(self.over_ms):
            return self.over_ms[place]
        if place + 1 < len(run.sent):
            return float(run.start_ms[place + 1]) - self.after_ms
        return run.lasts_ms - self.after_ms if not run.stopped else float(run.end_ms[place]) + self.gap_ms

    def is_cut(self, run: Run, place: int, at_ms: float) -> bool:
        """Whether a pause lies between the end of that sound and this time, so that the time says nothing."""
        if run.halted_room_ms is not None and at_ms > run.halted_room_ms - run.start_room_ms:
            return True
        return self.gap_end_ms(run, place) - float(run.end_ms[place]) > self.gap_ms + 1.0

    def next_step(self, run: Run) -> tuple[int, Step, float] | None:
        """What comes next of itself: which round, how far it is then, and when after the run's start."""
        if self.step == "sound":
            return self.at, "say" if self.voice else "name", self.gap_end_ms(run, self.at)
        if self.step == "say":
            return self.at, "name", self.over_ms[self.at] + SAY_MS
        if self.at + 1 < run.sent_count:
            return self.at + 1, "sound", float(run.start_ms[self.at + 1])
        return None


def asked_in(run: Run, rounds: int) -> list[Asked]:
    """What became of the first rounds, by everybody who writes on a device and heard them."""
    found: list[Asked] = []
    for seat, copy in run.copies.items():
        if copy.way != "typing":
            continue
        heard = copy.counted(run)
        marks = {mark.place: mark for mark in copy.marks}
        for place in range(rounds):
            mark = marks.get(place)
            if heard[place]:
                lag_ms = None if mark is None or mark.at_ms is None else mark.at_ms - float(run.end_ms[place])
                found.append(Asked(seat, run.sent[place], mark.sign if mark else "", lag_ms))
    return found


def class_so_far(run: Run) -> tuple[tuple[Response, ...], tuple[tuple[int, int, int, int], ...]]:
    """Per symbol how it was answered; per round [asked, right, another, blank]. Made anew when needed."""
    state: Rounds = run.state
    done = min(run.sent_count, len(run.sent) if run.closed else state.over)
    heard = sum(sum(copy.counted(run)[:done]) for copy in run.copies.values())
    key = (done, run.closed, state.late, heard, len(run.copies))
    if state.made[0] != key:
        state.made = (key, (responses(run.symbols, asked_in(run, done)), _bars(run, done)))
    return state.made[1]  # type: ignore[no-any-return]


def _bars(run: Run, done: int) -> tuple[tuple[int, int, int, int], ...]:
    bars = [[0, 0, 0, 0] for _ in range(done)]
    for copy in run.copies.values():
        heard: Sequence[int] = copy.counted(run) if copy.way == "typing" else bytes(done)
        for place in range(done):
            bars[place][0] += heard[place]
        for mark in copy.marks:
            place = -1 if mark.place is None else mark.place
            if 0 <= place < done and heard[place]:
                is_right = mark.sign == run.sent[place]
                bars[place][1 if is_right else 3 if mark.sign == BLANK else 2] += 1
    return tuple((a, b, c, d) for a, b, c, d in bars)
