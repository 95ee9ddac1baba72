"""Turns at the key: who sends what when, what came of it, and when the next thing is due."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from msgspec import Meta

from copyroom.room.classroom import Classroom
from copyroom.room.contract import Event, Part, Settled
from copyroom.room.exercises.key.events import NextTurn
from copyroom.room.keyed import Stretch
from copyroom.room.keyed.events import TurnOver, TurnRead, TurnSounded
from copyroom.room.keyed.stretch import REPORTS_MS, SHORTEST_DELAY_MS
from copyroom.room.limits import RawText, SeatNumber
from copyroom.room.run import Run

KIND = "key"
TIDY_MS = 8000.0
HURRY_MS = 4000.0


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


@dataclass(kw_only=True)
class Turn(Stretch):
    """One sender's turn.

    part : the run in which the others copy it.
    given, meant : the text it began with; as it was said, or with what was sent again.
    announced_ms : when it was the next one.
    hurry : nobody finishes a copy any more; handed_over : another begins at once, without a look at this one.
    """

    part: Run
    given: str
    meant: str
    announced_ms: float
    read: TurnRead | None = None
    done: bool = False
    hurry: bool = False
    handed_over: bool = False
    fist_shown: bool = False

    def forget(self) -> None:
        """Its sender is gone, and all that was keyed."""
        super().forget()
        self.read, self.fist_shown, self.meant = None, False, self.given


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


def due_ms(room: Classroom, run: Run) -> float | None:
    """When something comes by itself. A turn is held while its sender is away, and in a pause."""
    state: AtKey = run.state
    turn = state.turn
    if turn.done:
        return None
    if not turn.over:
        return turn.ends_ms(room, run, state.setup.turn_s)
    if not turn.sounded:
        return turn.end_room_ms + REPORTS_MS
    if turn.part.unread or run.halted_room_ms is not None:
        return None
    return turn.end_room_ms + (REPORTS_MS if turn.hurry else TIDY_MS)


def due_event(run: Run, now_ms: float) -> Event:
    """What comes by itself at `due_ms`."""
    state: AtKey = run.state
    turn = state.turn
    if not turn.over:
        return TurnOver(turn.number, turn.sounded_by_ms(run, now_ms), run.id)
    if not turn.sounded:
        return TurnSounded(turn.number, run.id)
    nothing_to_see = turn.handed_over or not turn.on_ms
    gap_ms = HURRY_MS if nothing_to_see else state.setup.gap_s * 1000.0
    return NextTurn(turn.number, now_ms + gap_ms, run.id)
