"""What a journal keeps of somebody who was taken out of the room: that there was a seat, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.room import events as ev
from copyroom.room.contract import Event, remains_of


def without_the_removed(journal: Sequence[Event]) -> list[Event | None]:
    """Each event of a room's journal as it may stay, None where it may not.

    Nickname and token go, and all that the seat wrote or that was said of it. What was treated once stays as
    it is.
    """
    gone = {seat for event in journal if isinstance(event, ev.RemoveSeats) for seat in event.seats}
    founded: set[int] = set()
    return [remains_of(event, gone, founded) for event in journal]
