"""What a journal keeps of somebody who was taken out of the room: that there was a seat, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from copyroom.room import events as ev
from copyroom.room.contract import Event, remains_of


def without_the_removed(journal: Sequence[Event]) -> list[Event | None]:
    """Each event of a room's journal as it may stay, None where it may not.

    Nickname and token go, and all that the seat wrote or that was said of it. What was treated once stays as
    it is.
    """
    return [left for _, left in still_to_strike(journal)] or list(journal)


def still_to_strike(journal: Sequence[Event]) -> Iterator[tuple[Event, Event | None]]:
    """Each event with what may stay of it; nothing at all when nobody was taken out."""
    gone = {seat for event in journal if isinstance(event, ev.RemoveSeats) for seat in event.seats}
    founded: set[int] = set()
    if gone:
        for event in journal:
            yield event, remains_of(event, gone, founded)
