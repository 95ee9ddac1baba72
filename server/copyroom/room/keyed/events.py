"""What happens when something is keyed, and what of it is worked out before it is kept."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from copyroom.room.contract import By, Event, Part, event
from copyroom.room.events.seating import OwnSeat
from copyroom.room.limits import InPushMs, SeatNumber

MOST_TONES = 1000
"""In one stretch: some ten minutes of a hand that begins."""
TurnNumber = Annotated[int, Meta(ge=1, le=1000)]
ToneNumber = Annotated[int, Meta(ge=0, le=MOST_TONES)]
Edges = Annotated[tuple[InPushMs, ...], Meta(min_length=2, max_length=400)]


@event(By.LEARNER, kept=True)
class KeyEdges(Event, frozen=True):
    """Tones `first`, `first + 1`, ... of a turn, [on, off, on, off, ...] in ms after its start.

    Numbers already known change nothing. Acknowledged by `kept` in what the page is shown.
    """

    seat: OwnSeat
    turn: TurnNumber
    first: ToneNumber
    edges: Edges


@event(By.LEARNER)
class SentAll(Event, frozen=True):
    """Its sender has sent it all. Kept as the TurnOver that it becomes."""

    seat: OwnSeat
    turn: TurnNumber


@event(By.SERVER, kept=True)
class TurnOver(Event, frozen=True):
    """Nothing is keyed any more in this turn; its last tone has sounded by then for all.

    run : the exercise, here and below; 0: the one at hand.
    """

    turn: int
    end_room_ms: float
    run: int = 0


@event(By.SERVER, kept=True)
class TurnSounded(Event, frozen=True):
    """All of it has sounded, and who heard what has come in: it can be read."""

    turn: int
    run: int = 0


class FistLine(Part, frozen=True, kw_only=True):
    """The lengths of one kind, in dits: each, their median and middle half, and what is meant."""

    name: str
    ideal: float
    dits: tuple[float, ...]
    median: float
    low: float
    high: float
    is_worst: bool


class KeyedLetter(Part, frozen=True, kw_only=True):
    """A symbol as it was keyed: [on, off, on, off, ...] in dits after `at`, its beginning in the turn."""

    sign: str
    at: float
    edges: tuple[float, ...]
    ends_word: bool


class HandOut(Part, frozen=True, kw_only=True):
    """A hand: its letters, its five kinds of lengths, the one thing to mend, and what is good.

    dit_ms : its own dit, which all else is measured by.
    """

    letters: tuple[KeyedLetter, ...]
    lines: tuple[FistLine, ...]
    dit_ms: float
    wpm: float
    ratio: float | None
    spread: float
    advice: str
    praise: str


@event(By.SERVER, kept=True)
class TurnRead(Event, frozen=True):
    """What a turn's tones were read as.

    text : with a space between words. confidence : per symbol.
    places : per symbol read, its place in what was meant; None: it was added.
    """

    seat: SeatNumber
    turn: int
    text: str
    confidence: tuple[float, ...]
    places: tuple[int | None, ...]
    hand: HandOut | None
    run: int = 0
