"""What the page of whoever is at the key is told."""

from __future__ import annotations

from copyroom.room.contract import Part
from copyroom.room.keyed.stretch import Stretch
from copyroom.room.run import Run


class AtKeyOut(Part, frozen=True, kw_only=True):
    """One's own stretch at the key. Times are room time.

    ends_room_ms : when its time is over; null in a pause. text : what to key.
    kept : how many tones the room holds; late : how many came too late to be heard.
    """

    turn: int
    start_room_ms: float
    ends_room_ms: float | None
    delay_ms: float
    paused: bool
    late: int
    kept: int
    text: str


def at_key_view(run: Run, stretch: Stretch, text: str, turn_s: float) -> AtKeyOut:
    """A stretch as its sender's page needs it."""
    paused = run.halted_room_ms is not None
    return AtKeyOut(
        turn=stretch.number,
        start_room_ms=stretch.start_room_ms,
        ends_room_ms=None if paused else stretch.time_over_ms(run, turn_s),
        delay_ms=stretch.delay_ms,
        paused=paused,
        late=stretch.late,
        kept=len(stretch.on_ms),
        text=text,
    )
