"""What a seat writes, and what its browser sounded."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from copyroom.room.contract import By, Event, Settled, event
from copyroom.room.events.seating import OwnSeat
from copyroom.room.limits import InPushMs, Place, PushNumber, Right, SeatNumber, Sign, Span, StrokeNumber

Writer = Annotated[SeatNumber, Settled.WRITER]


class Key(msgspec.Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """One stroke of a learner's copy, `at_ms` after its push's start.

    A plain stroke writes `sign` at the end. In the tidy-up time, and on paper copies, a stroke may
    also change the mark at place `change`, insert before place `before`, or erase place `erase`.
    """

    at_ms: InPushMs
    sign: Sign = ""
    change: Place | None = None
    before: Place | None = None
    erase: Place | None = None


@event(By.EITHER, kept=True)
class WriteKeys(Event, frozen=True):
    """Strokes `first`, `first + 1`, ... of a seat's copy; numbers already known change nothing.

    Acknowledged by `kept`.
    """

    seat: OwnSeat
    push: PushNumber
    first: StrokeNumber
    keys: Annotated[tuple[Key, ...], Meta(min_length=1, max_length=200)]
    by: Writer


@event(By.LEARNER, kept=True)
class ReportSounded(Event, frozen=True):
    """Symbols [start, stop) that this seat's browser sounded (or passed in silence, on purpose)."""

    seat: OwnSeat
    push: PushNumber
    spans: Annotated[tuple[Span, ...], Meta(min_length=1, max_length=100)]


@event(By.EITHER, kept=True)
class HandIn(Event, frozen=True):
    """The copy is finished: nothing more will be tidied or keyed in."""

    seat: OwnSeat
    push: PushNumber
    by: Writer


@event(By.EITHER, kept=True)
class HandInCount(Event, frozen=True):
    """Who wrote on paper has compared their sheet with what was shown: so many right of so many.

    After the reveal. The sheet itself stays on paper.
    """

    seat: OwnSeat
    push: PushNumber
    right: Right
    of: Right
    by: Writer
