"""Turns at the key: who sends what when, what came of it, and when the next thing is due."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

import numpy as np
from msgspec import Meta
from numpy.typing import ArrayLike

from copyroom.core.alphabet import WORD_SPACE, symbol
from copyroom.core.bursts import Bursts
from copyroom.room.classroom import Classroom
from copyroom.room.contract import Event, Part, Settled
from copyroom.room.exercises.key.events import NextTurn, TurnOver, TurnRead, TurnSounded
from copyroom.room.limits import RawText, SeatNumber
from copyroom.room.run import UNDO_MS, Run

KIND = "key"
SHORTEST_DELAY_MS = 1200.0
BEYOND_LEAD_MS = 900.0
"""A dah at 5 words a minute lasts 720 ms, and its batch goes out within 150 more."""
MARGIN_MS = 20.0
REPORTS_MS = 1500.0
"""After the last tone, until every page has told what it sounded."""
TIDY_MS = 8000.0
HURRY_MS = 4000.0
BACK_MS = 30_000.0
"""Whoever comes back to a turn that was held has so much time at least."""


class KeySetup(Part, frozen=True, kw_only=True):
    """Who sends, what, and how long a turn may take.

    senders : in order; none: all who are here with a device.
    text : drawn "groups" or "words" of known symbols, one "given" to all, or "said" by each beforehand.
    order, texts, delay_ms : settled.
    """

    senders: Annotated[tuple[SeatNumber, ...], Meta(max_length=60)] = ()
    text: Literal["groups", "words", "given", "said"] = "groups"
    given: RawText = ""
    groups: Annotated[int, Meta(ge=1, le=10)] = 2
    turn_s: Annotated[float, Meta(ge=20.0, le=600.0)] = 120.0
    gap_s: Annotated[float, Meta(ge=5.0, le=120.0)] = 15.0
    order: Annotated[tuple[SeatNumber, ...], Meta(max_length=60), Settled.ROOM] = ()
    texts: Annotated[tuple[RawText, ...], Meta(max_length=60), Settled.CHANCE] = ()
    delay_ms: Annotated[float, Meta(ge=0.0, le=10_000.0), Settled.ROOM] = SHORTEST_DELAY_MS


@dataclass
class Turn:
    """One sender's turn.

    part : the run in which the others copy it. seat : 0 when its sender was taken out of the room.
    given, meant : the text it began with; as it was said, or with what was sent again.
    paused_ms : how long the exercise had stood still before it. announced_ms : when it was the next one.
    on_ms, off_ms : the tones, after its start. late : how many came too late to be heard.
    back_ms : when its sender came back last.
    over : nothing is keyed any more; end_room_ms : by then all has sounded; sounded : and was reported.
    hurry : nobody finishes a copy any more; handed_over : another begins at once, without a look at this one.
    """

    number: int
    part: Run
    seat: int
    given: str
    meant: str
    start_room_ms: float
    paused_ms: float
    announced_ms: float
    on_ms: list[float] = field(default_factory=list)
    off_ms: list[float] = field(default_factory=list)
    batches: int = 0
    late: int = 0
    back_ms: float | None = None
    over: bool = False
    end_room_ms: float = 0.0
    sounded: bool = False
    read: TurnRead | None = None
    done: bool = False
    hurry: bool = False
    handed_over: bool = False
    fist_shown: bool = False

    def forget(self) -> None:
        """Its sender is gone, and all that was keyed."""
        self.seat, self.read, self.late, self.batches, self.fist_shown = 0, None, 0, 0, False
        self.on_ms, self.off_ms, self.meant = [], [], self.given


@dataclass
class AtKey:
    """What is kept of the exercise. queue : who sends next, each with what."""

    setup: KeySetup
    queue: list[tuple[int, str]]
    turns: list[Turn] = field(default_factory=list)

    @property
    def turn(self) -> Turn:
        """The turn at hand, or the last one."""
        return self.turns[-1]

    @property
    def is_over(self) -> bool:
        """Everybody has sent."""
        return self.turn.done and not self.queue

    @property
    def last_done(self) -> Turn | None:
        """The turn whose copies became final last; one in which nothing was keyed hides none before it."""
        done = [turn for turn in reversed(self.turns) if turn.done]
        return next((turn for turn in done if turn.on_ms), done[0] if done else None)


def delay_ms(lead_ms: float) -> float:
    """How much later than the sender all others hear it: what the slowest page needs, in whole tenths."""
    wanted = max(SHORTEST_DELAY_MS, lead_ms + BEYOND_LEAD_MS)
    return float(np.ceil(wanted / 100.0) * 100.0)


def sounded_by_ms(run: Run, turn: Turn, now_ms: float) -> float:
    """When the last tone of a turn that ends now has sounded for all; a stop cut it off."""
    if run.stopped_room_ms is not None:
        return run.stopped_room_ms
    if not turn.off_ms:
        return now_ms
    delay: float = run.state.setup.delay_ms
    return max(now_ms, turn.start_room_ms + turn.off_ms[-1] + delay + MARGIN_MS)


def due_ms(room: Classroom, run: Run) -> float | None:
    """When something comes by itself. A turn is held while its sender is away, and in a pause."""
    state: AtKey = run.state
    turn = state.turn
    if turn.done:
        return None
    if not turn.over:
        return _ends_ms(room, run, turn)
    if not turn.sounded:
        return turn.end_room_ms + REPORTS_MS
    if turn.part.unread or run.halted_room_ms is not None:
        return None
    return turn.end_room_ms + (REPORTS_MS if turn.hurry else TIDY_MS)


def _ends_ms(room: Classroom, run: Run, turn: Turn) -> float | None:
    """When a turn that is under way ends, unless its sender ends it."""
    if run.stopped_room_ms is not None:
        return run.stopped_room_ms + UNDO_MS
    if run.halted_room_ms is not None:
        return None
    seat = room.seats.get(turn.seat)
    if seat is None:
        return turn.part.start_room_ms
    if not seat.here:
        return None
    return time_over_ms(run, turn)


def time_over_ms(run: Run, turn: Turn) -> float:
    """When a turn has had its time, without pauses."""
    setup: KeySetup = run.state.setup
    ends_ms = turn.start_room_ms + setup.turn_s * 1000.0 + run.paused_ms - turn.paused_ms
    return ends_ms if turn.back_ms is None else max(ends_ms, turn.back_ms + BACK_MS)


def due_event(run: Run, now_ms: float) -> Event:
    """What comes by itself at `due_ms`."""
    state: AtKey = run.state
    turn = state.turn
    if not turn.over:
        return TurnOver(turn.number, sounded_by_ms(run, turn, now_ms))
    if not turn.sounded:
        return TurnSounded(turn.number)
    nothing_to_see = turn.handed_over or not turn.on_ms
    return NextTurn(turn.number, now_ms + (HURRY_MS if nothing_to_see else state.setup.gap_s * 1000.0))


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
