"""A stretch of tones read, in slices."""

from __future__ import annotations

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.keying import Reading, keyed, read_in_slices
from copyroom.core.slices import Slices
from copyroom.room.figures import Job, let_none_out
from copyroom.room.keyed.events import TurnRead
from copyroom.room.keyed.stretch import Stretch
from copyroom.room.run import Run

PLAIN = "".join(known.sign for known in RECOMMENDED if known.kind in ("letter", "figure"))
"""What anybody may send; punctuation and signals only where they are known or meant."""


def reading_of(stretch: Stretch, signs: str) -> Slices[Reading]:
    """Read a stretch's tones; signs : that may have been sent beside letters and figures."""
    edges_ms = zip(stretch.on_ms, stretch.off_ms, strict=True)
    tones = keyed([(on / 1000.0, off / 1000.0) for on, off in edges_ms])
    return (yield from read_in_slices(tones, PLAIN + signs))


def read_plainly(run: Run, stretch: Stretch, signs: str) -> Job:
    """Read a stretch, and say nothing of the hand; lets the TurnRead out."""
    seat, number = stretch.seat, stretch.number
    yield []
    reading = yield from let_none_out(reading_of(stretch, signs))
    sure = tuple(round(float(one), 2) for one in reading.confidence)
    yield [TurnRead(seat, number, reading.text, sure, (), None, run.id)]
