"""What one hand keys in one go, and the kinds of exercise in which somebody does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from copyroom.core.alphabet import WORD_SPACE, symbol
from copyroom.core.bursts import Bursts
from copyroom.room.classroom import Classroom
from copyroom.room.effects import Effect
from copyroom.room.exercises import Exercise
from copyroom.room.figures import Figures, Job
from copyroom.room.keyed.events import TurnRead
from copyroom.room.run import SILENCE, UNDO_MS, Run

SHORTEST_DELAY_MS = 1200.0
BEYOND_LEAD_MS = 900.0
"""A dah at 5 words a minute lasts 720 ms, and its batch goes out within 150 more."""
MARGIN_MS = 20.0
REPORTS_MS = 1500.0
"""After the last tone, until every page has told what it sounded."""
BACK_MS = 30_000.0
"""Whoever comes back to a stretch that was held has so much time at least."""


@dataclass(kw_only=True)
class Stretch:
    """What one hand keys in one go.

    number : 1, 2, ... of its exercise. seat : 0 when its sender was taken out of the room.
    start_room_ms : its tones are timed after that; all others hear them `delay_ms` later.
    paused_ms : how long the exercise had stood still before it. back_ms : when its sender came back last.
    part : the run in which it is copied; None: it is only heard.
    on_ms, off_ms : the tones. late : how many came too late to be heard.
    batches : the number of the last part in which some of it sounded.
    over : nothing is keyed any more; end_room_ms : by then all has sounded; sounded : and was reported.
    """

    number: int
    seat: int
    start_room_ms: float
    delay_ms: float
    paused_ms: float
    part: Run | None = None
    on_ms: list[float] = field(default_factory=list)
    off_ms: list[float] = field(default_factory=list)
    batches: int = 0
    late: int = 0
    back_ms: float | None = None
    over: bool = False
    end_room_ms: float = 0.0
    sounded: bool = False

    def forget(self) -> None:
        """Its sender is gone, and all that was keyed; with that the text of those who copied it."""
        self.seat, self.late, self.batches = 0, 0, 0
        self.on_ms, self.off_ms = [], []
        if self.part is not None:
            self.part.text, self.part.unread = "", False
            self.part.take(SILENCE)
            for copy in self.part.copies.values():
                copy.heard = bytearray()

    def sounded_by_ms(self, run: Run, now_ms: float) -> float:
        """When the last tone has sounded for all, if it ends now; a stop cut it off."""
        if run.stopped_room_ms is not None:
            return run.stopped_room_ms
        if not self.off_ms:
            return now_ms
        return max(now_ms, self.start_room_ms + self.off_ms[-1] + self.delay_ms + MARGIN_MS)

    def time_over_ms(self, run: Run, turn_s: float) -> float:
        """When it has had its time, without pauses."""
        ends_ms = self.start_room_ms + turn_s * 1000.0 + run.paused_ms - self.paused_ms
        return ends_ms if self.back_ms is None else max(ends_ms, self.back_ms + BACK_MS)

    def ends_ms(self, room: Classroom, run: Run, turn_s: float) -> float | None:
        """When it ends, unless its sender ends it; None: it is held, as while they are away."""
        if run.stopped_room_ms is not None:
            return run.stopped_room_ms + UNDO_MS
        if run.halted_room_ms is not None:
            return None
        seat = room.seats.get(self.seat)
        if seat is None:
            return self.start_room_ms
        return self.time_over_ms(run, turn_s) if seat.here else None


class ByHand(Exercise):
    """A kind in which something is keyed."""

    heard_at_console: ClassVar[bool] = True

    def stretches(self, run: Run) -> Sequence[Stretch]:
        """What is keyed, or was; the latest last."""
        return ()

    def end_stretch(self, room: Classroom, run: Run, stretch: Stretch, now_ms: float) -> list[Effect]:
        """No key sounds any more in it: what is made of that."""
        return []

    def take_reading(self, room: Classroom, run: Run, stretch: Stretch, read: TurnRead) -> list[Effect]:
        """What it was read as is known."""
        return []

    def reading(self, run: Run, stretch: Stretch) -> Job:
        """Read it; lets the TurnRead out."""
        raise NotImplementedError

    def read(self, figures: Figures, run: Run) -> Job | None:
        """A stretch that has sounded to its end is read."""
        above = figures.room.around(run)
        stretch = next((one for one in self.stretches(above) if one.part is run), None)
        return self.reading(above, stretch) if stretch and stretch.sounded and stretch.seat else None


def delay_ms(lead_ms: float) -> float:
    """How much later than the sender all others hear it: what the slowest page needs, in whole tenths."""
    wanted = max(SHORTEST_DELAY_MS, lead_ms + BEYOND_LEAD_MS)
    return float(np.ceil(wanted / 100.0) * 100.0)


def keyed_bursts(text: str, on_ms: ArrayLike, off_ms: ArrayLike) -> Bursts:
    """Tones as the bursts of the text that they were read as."""
    groups = text.split(WORD_SPACE)
    symbols = "".join(groups)
    counts = [len(symbol(sign).elements) for sign in symbols]
    first_tone = np.concatenate(([0], np.cumsum(counts))).astype(np.intp)
    on_s, off_s = np.asarray(on_ms) / 1000.0, np.asarray(off_ms) / 1000.0
    ends = np.cumsum([len(group) for group in groups])[:-1] - 1
    return Bursts(
        symbols,
        tuple(ends.tolist()),
        on_s[first_tone[:-1]],
        off_s[first_tone[1:] - 1],
        on_s,
        off_s,
        first_tone,
    )
