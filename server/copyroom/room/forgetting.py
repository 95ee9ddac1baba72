"""What a journal keeps of somebody who was taken out of the room: that there was a seat, and nothing else.

The seat itself stays, because those who came later are numbered after it.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from copyroom.room import events as ev

NOBODY = "-"


def without_the_removed(journal: Sequence[ev.Event]) -> list[ev.Event | None]:
    """Each event of a room's journal as it may stay, None where it may not.

    Nickname and token go, and all that the seat wrote or that was said of it. What was treated once stays as
    it is.
    """
    seats = _seats(journal)
    removed = {event.seat for event in journal if isinstance(event, ev.RemoveSeat)}
    came = {seat: k for k, seat in reversed([*enumerate(seats)]) if seat}
    return [
        event if seat not in removed else _remains(event, first=came[seat] == k)
        for k, (event, seat) in enumerate(zip(journal, seats, strict=True))
    ]


def _seats(journal: Sequence[ev.Event]) -> list[int]:
    """Whose seat each event is about, 0 for nobody's; numbered as the room numbers them."""
    seats: list[int] = []
    by_token: dict[str, int] = {}
    newest = 0
    for event in journal:
        if isinstance(event, ev.Join) and event.token in by_token:
            seat = by_token[event.token]
        elif isinstance(event, (ev.Join, ev.AddSeat)):
            seat = newest = newest + 1
            if event.fresh_token:
                by_token[event.fresh_token] = seat
        else:
            seat = getattr(event, "seat", 0)
        if isinstance(event, ev.RemoveSeat):  # who comes with that token after this takes a new seat
            by_token = {token: other for token, other in by_token.items() if other != seat}
        seats.append(seat)
    return seats


def _remains(event: ev.Event, *, first: bool) -> ev.Event | None:
    """What stays of an event about a removed seat; `first`: the one it was taken with."""
    if first and isinstance(event, ev.Join):
        return replace(event, name=NOBODY, token="", fresh_token="")
    if first and isinstance(event, ev.AddSeat):
        return replace(event, name=NOBODY, fresh_token="")
    return event if isinstance(event, ev.RemoveSeat) else None
