"""What is derived of a room: alignments, tables, findings, the record, the advice.

None of it is kept: each figure follows from the classroom, and may be thrown away and made anew at any
moment. What takes long is made by jobs, a slice at a time.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Generator, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.attention import Lack
from copyroom.core.advice.grounds import Grounds
from copyroom.core.advice.policy import Advice
from copyroom.core.alignment import Alignment, Habits, LiveAlignment
from copyroom.core.evidence.intervals import Interval
from copyroom.core.evidence.mix_ups import Pairs
from copyroom.core.evidence.slow import Slow
from copyroom.core.record import PastRun
from copyroom.core.slices import Slices
from copyroom.core.tally import Cells, Counts
from copyroom.room.classroom import Classroom
from copyroom.room.contract import Event
from copyroom.room.effects import Effect

Job = Generator[Sequence[Effect | Event]]
"""Work in slices. Each may let something out: effects, or an event that the room then takes as its own."""
Place = tuple[int, int]
"""A run and a seat: a copy's place in the figures."""
T = TypeVar("T")


def let_none_out(work: Slices[T]) -> Generator[Sequence[Effect | Event], None, T]:
    """Slices of the core as a part of a job; what they come to."""
    while True:
        try:
            next(work)
        except StopIteration as done:
            result: T = done.value
            return result
        yield []


@dataclass(frozen=True, slots=True)
class Result:
    """What a copy comes to.

    alignment : over the push's symbols, of every mark.
    cells : where the copy counts in the class table; only what its seat heard.
    answers : per sent symbol the sign written for it, a blank where there is none.
    lags_ms : per sent symbol, from the end of its sound to the stroke that answers it; inf without one.
    """

    alignment: Alignment
    cells: Cells
    answers: str
    lags_ms: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Findings:
    """What the copies of some runs say: recall per symbol of the table, and pairs worth teaching."""

    made_of: tuple[int, ...]
    recall: tuple[Interval, ...]
    pairs: Pairs


@dataclass
class Figures:
    """All that is derived of one classroom.

    live, live_marks : per open run and seat, the alignment under way, and how many marks it was given.
    live_results : per run and seat, what its copy last came to while the run was open.
    due : runs and seats whose live copy has changed since it was counted, and when that was first so.
    results, habits : per run and seat, what a closed run's copy came to, and what it taught of its writer.
    marked : the closed runs whose copies were all aligned for good.
    tables : per closed run, the class table, until a copy changes.
    past : each closed run as the record has it, kept until a copy changes.
    grounds : the record with what was learned from it, continued where it goes on.
    findings : per scope, what its closed runs say, until a copy changes.
    settled_anew : per closed run, how many marks the final alignment attributed otherwise than the live one.
    advice, advice_run : what is proposed after the last closed run.
    together : the group exercises that would help then: kind and setup, as the console sends them.
    lacking, slow : who was away for what, and which sounds come slowly, by then.
    jobs : what is under way, the first one next; `queued`: the runs whose marking was asked for, all of the
        first `queued_to` among them,
        `is_counting`: the open run's copies are being counted.
    shows_anew : what an exercise shows may follow from copies that have just become final.
    reading : what was sent by hand and is being read: a run, or (a run, a line that was keyed in it).
    shown : the runs whose copies were shown to their writers.
    advice_before : per aside, how often the plan had been edited, after which run advice stood, and which.
    changes : how often something had to be made anew; what is made in slices looks whether it still holds.
    """

    room: Classroom
    live: dict[Place, LiveAlignment] = field(default_factory=dict)
    live_marks: dict[Place, int] = field(default_factory=dict)
    live_results: dict[Place, Result] = field(default_factory=dict)
    due: dict[Place, float] = field(default_factory=dict)
    results: dict[Place, Result] = field(default_factory=dict)
    habits: dict[Place, Habits] = field(default_factory=dict)
    marked: set[int] = field(default_factory=set)
    tables: dict[int, Counts] = field(default_factory=dict)
    past: dict[int, list[PastRun]] = field(default_factory=dict)
    grounds: Grounds | None = None
    findings: dict[str, Findings] = field(default_factory=dict)
    settled_anew: dict[int, int] = field(default_factory=dict)
    advice: Advice | None = None
    advice_run: int = 0
    together: Sequence[tuple[str, dict[str, Any]]] = ()
    lacking: Sequence[Lack] = ()
    slow: Sequence[Slow] = ()
    jobs: deque[Job] = field(default_factory=deque)
    queued: set[int] = field(default_factory=set)
    queued_to: int = 0
    is_counting: bool = False
    shows_anew: bool = False
    reading: set[int | tuple[int, int]] = field(default_factory=set)
    shown: set[int] = field(default_factory=set)
    advice_before: dict[int, tuple[int, int, Advice | None]] = field(default_factory=dict)
    changes: int = 0

    def is_final(self, run: int) -> bool:
        """Whether every copy of this run has been aligned for good."""
        return run in self.marked

    def forget_run(self, run: int) -> None:
        """What follows from this run's copies must be made anew."""
        self.changes += 1
        self.findings.clear()
        self.tables.pop(run, None)
        self.past.pop(run, None)

    def forget_live(self) -> None:
        """What was found of open runs is not needed any more."""
        for kept in (self.live, self.live_marks, self.live_results, self.due):
            kept.clear()

    def forget_copies(self, seats: Collection[int]) -> None:
        """These seats' copies are others by now: all that follows from them is made anew."""
        self.changes += 1
        self.findings.clear()
        self.tables.clear()
        self.past.clear()
        kept: dict[Place, Any]
        for kept in (self.live, self.live_marks, self.live_results, self.due, self.results, self.habits):
            for place in [place for place in kept if place[1] in seats]:
                kept.pop(place)

    def forget_seat(self, seat: int) -> None:
        """A learner is gone, and so is every figure that had a part of them, or of a text of theirs."""
        self.changes += 1
        self.findings.clear()
        self.tables.clear()
        self.past.clear()
        kept: dict[Place, Any]
        for kept in (self.live, self.live_marks, self.live_results, self.due, self.results, self.habits):
            for place in [
                place for place in kept if place[1] == seat or not self.room.runs[place[0] - 1].sent
            ]:
                kept.pop(place)
