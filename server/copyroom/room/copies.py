"""What one seat wrote for one push: a fold over its numbered strokes.

Strokes are numbered per seat and push from 0, so that a batch sent again after a broken connection
is seen to be known and changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import msgspec

from copyroom.room.effects import Refused
from copyroom.room.events import Key
from copyroom.room.limits import Way

MAX_MARKS = 3000
"""Marks in one copy: three times the longest text, so that only a stuck key reaches it."""


class Sounded(Protocol):
    """What a copy must know of the run that it is of."""

    @property
    def sent(self) -> str:
        """The symbols in order."""

    @property
    def sent_count(self) -> int:
        """How many of them belong to the run."""

    def takes_stroke_at(self, at_ms: float) -> bool:
        """Whether a typed stroke of this time lies inside it."""

    def takes_edit_at(self, at_ms: float) -> bool:
        """Whether going back is allowed by then."""


class Mark(msgspec.Struct, gc=False):
    """One written sign; `at_ms` after the push's start, None on paper and for marks put in later.

    place : the sound that it answers, where the learner was asked for that one.
    A course has a million of them, and they hold nothing that the garbage collection needs to look through.
    """

    sign: str
    at_ms: float | None
    place: int | None = None


@dataclass(slots=True)
class Copy:
    """A seat's copy.

    strokes : how many strokes are in it, and the number of the next one.
    heard : one byte a sent symbol, 1 when the seat's browser sounded it.
    edited : a stroke went back, so that marks are no longer in the order of their making.
    late : what was written in time, and came when its writer had been shown what was sent; in no figure.
    aside_from : the first symbol that was set aside for this seat; what follows it was, too.
    own_count : right, of how many, as the learner counted on paper; it is in no figure.
    """

    way: Way
    heard: bytearray
    strokes: int = 0
    marks: list[Mark] = field(default_factory=list)
    last_at_ms: float | None = None
    edited: bool = False
    handed_in: bool = False
    own_count: tuple[int, int] | None = None
    late: list[Mark] = field(default_factory=list)
    aside_from: int | None = None

    @property
    def written(self) -> str:
        """The signs in order, without times."""
        return "".join(mark.sign for mark in self.marks)

    def counted(self, run: Sounded) -> bytes:
        """One byte a sent symbol, 1 where it counts for this seat: sent, sounded here, not set aside."""
        stop = run.sent_count if self.aside_from is None else min(run.sent_count, self.aside_from)
        return bytes(self.heard[:stop]) + bytes(len(run.sent) - stop)

    def answer(self, place: int, sign: str, at_ms: float | None) -> bool:
        """The answer to one sound that was asked for; only the first one is. False: there was one already.

        at_ms : None where its time says nothing, because a pause lies in it.
        """
        if any(mark.place == place for mark in self.marks):
            return False
        self.marks.append(Mark(sign, at_ms, place))
        self.last_at_ms = self.last_at_ms if at_ms is None else at_ms
        return True

    def hear(self, spans: tuple[tuple[int, int], ...], *, grows: bool = False) -> None:
        """Note the symbols [start, stop) as sounded; what is known already stays.

        grows : nobody knows yet how many there will be.
        """
        if grows:
            self.heard.extend(bytes(max(0, max(stop for _, stop in spans) - len(self.heard))))
        for start, stop in spans:
            stop = min(stop, len(self.heard))
            if start < stop:
                self.heard[start:stop] = b"\x01" * (stop - start)

    def write(self, run: Sounded, first: int, keys: tuple[Key, ...]) -> str:
        """Fold strokes in; returns a sentence when one was left out, "" otherwise.

        Raises Refused when strokes before `first` have not come: the browser then starts from there.
        """
        left_out = ""
        for key in self._new(first, keys):
            self.strokes += 1
            self.handed_in = False  # writing on takes it back, as on the learner's page
            left_out = self._stroke(run, key) or left_out
        return left_out

    def write_late(self, run: Sounded, first: int, keys: tuple[Key, ...]) -> None:
        """Keep strokes that came after what was sent had been shown, beside the copy and outside of it.

        Only what was written on at its end, in time. Raises Refused as `write` does.
        """
        for key in self._new(first, keys):
            self.strokes += 1
            goes_back = key.change is not None or key.before is not None or key.erase is not None
            if not goes_back and run.takes_stroke_at(key.at_ms) and len(self.late) < MAX_MARKS:
                self.late.append(Mark(key.sign, key.at_ms))

    def knows(self, first: int, keys: tuple[Key, ...]) -> bool:
        """Whether all of these strokes have come before."""
        return first + len(keys) <= self.strokes

    def _new(self, first: int, keys: tuple[Key, ...]) -> tuple[Key, ...]:
        if first > self.strokes:
            raise Refused(f"Strokes {self.strokes} to {first - 1} have not come yet.")
        return keys[self.strokes - first :]

    def has_heard(self, spans: tuple[tuple[int, int], ...]) -> bool:
        """Whether all of these symbols are known to have sounded."""
        return all(b"\0" not in self.heard[start:stop] and stop <= len(self.heard) for start, stop in spans)

    def _stroke(self, run: Sounded, key: Key) -> str:
        goes_back = key.change is not None or key.before is not None or key.erase is not None
        if self.way == "typing":
            if not run.takes_stroke_at(key.at_ms):
                return "The time for this copy is over, so that stroke was left out."
            if goes_back and not run.takes_edit_at(key.at_ms):
                return "While the sound runs there is no going back. You can tidy up afterwards."
        if goes_back:
            return self._edit(key)
        if len(self.marks) >= MAX_MARKS:
            return "This copy is full."
        self.marks.append(Mark(key.sign, key.at_ms if self.way == "typing" else None))
        self.last_at_ms = key.at_ms
        return ""

    def _edit(self, key: Key) -> str:
        place = next(p for p in (key.change, key.before, key.erase) if p is not None)
        if place >= len(self.marks):
            return "There is no mark at that place."
        self.edited = True
        if key.erase is not None:
            del self.marks[place]
        elif key.change is not None:
            self.marks[place].sign = key.sign
        elif len(self.marks) >= MAX_MARKS:
            return "This copy is full."
        else:
            self.marks.insert(place, Mark(key.sign, None))
        return ""
