"""Rows of one sound with another one among them: where it stands, when each begins, which one a hand is for.

All sounds of a row begin equally far apart, so that nothing but the sound itself tells the odd one. A row
has none, one or two of them, at any place but the first alike: a hand raised by counting gains nothing, and
waiting for one is no plan.

A hand is for the last sound that had begun at least `REACTION_MS` before it: nobody hears a sound and lifts a
hand sooner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.bursts import Speed, bursts

REACTION_MS = 150.0
"""Simple reactions to sound take about 150 ms (Woodworth and Schlosberg 1954; from memory)."""
ROW_PAUSE_MS = 2500.0
"""Between two rows, more than between two sounds: hands come down."""
ODD_ONES = {0: 0.2, 1: 0.4, 2: 0.4}
"""How often a row has so many: our own judgement."""


@dataclass(frozen=True, slots=True)
class Row:
    """Places `first` to `stop` of a run, each sound `period_ms` after the one before it.

    odd, often : the sound looked for, and the one that comes again and again. odd_at : places in the run.
    """

    odd: str
    often: str
    odd_at: tuple[int, ...]
    first: int
    stop: int
    period_ms: float

    @property
    def text(self) -> str:
        """Its sounds in order."""
        places = range(self.first, self.stop)
        return "".join(self.odd if place in self.odd_at else self.often for place in places)


def drawn(
    pairs: Sequence[str], rows: int, sounds: int, rng: np.random.Generator
) -> list[tuple[str, list[int]]]:
    """So many rows of every pair, in any order: the pair, odd sound first, and the odd places from 0 on.

    A single row of a pair may have no odd one; of several, one has: else nothing is learned of the pair.
    """
    made: list[tuple[str, list[int]]] = []
    for pair in pairs:
        counts = _counts(rows, rng)
        while rows > 1 and not counts.any():
            counts = _counts(rows, rng)
        for count in counts:
            places = 1 + rng.choice(sounds - 1, count, replace=False)
            made.append((pair, sorted(places.tolist())))
    return [made[i] for i in rng.permutation(len(made))]


def _counts(rows: int, rng: np.random.Generator) -> NDArray[np.int64]:
    return rng.choice(list(ODD_ONES), rows, p=list(ODD_ONES.values()))


def rows_of(
    made: Sequence[tuple[str, Sequence[int]]], sounds: int, gap_s: float, speed: Speed
) -> tuple[Row, ...]:
    """Drawn rows at this speed, with `gap_s` of silence after the longer sound of a pair."""
    rows = []
    for k, (pair, at) in enumerate(made):
        first = k * sounds
        longer_s = max(float(bursts(sign, speed).duration_s) for sign in pair)
        places = tuple(first + place for place in at)
        rows.append(Row(pair[0], pair[1], places, first, first + sounds, (longer_s + gap_s) * 1000.0))
    return tuple(rows)


def begins_ms(rows: Sequence[Row]) -> list[float]:
    """When each sound begins after the first one."""
    begins: list[float] = []
    at_ms = 0.0
    for row in rows:
        count = row.stop - row.first
        begins += [round(at_ms + k * row.period_ms, 3) for k in range(count)]
        at_ms += count * row.period_ms + ROW_PAUSE_MS
    return begins


def place_of(
    at_ms: float,
    rows: Sequence[Row],
    begins: Sequence[float],
    shifts: Sequence[tuple[int, float]],
    halted_ms: float | None,
) -> int | None:
    """The sound that a hand is for, by what had sounded until then; None for none.

    A sound that a pause cut off comes again; until then a hand is for its first beginning. After a row's last
    sound a hand has as long as after any other.

    Parameters
    ----------
    at_ms : when the hand was raised, after the run's start.
    begins : when each sound was to begin, before any pause.
    shifts : after each pause, the first sound that comes later, and by how much; a later one overrides.
    halted_ms : since when all is silent, where it is now.
    """
    as_sent_ms = np.asarray(begins)
    starts_ms, begun = as_sent_ms.copy(), len(as_sent_ms)
    for first, shift_ms in shifts:
        if at_ms < as_sent_ms[first] + shift_ms + REACTION_MS:
            begun = first + 1  # nothing after it had begun before that pause
            break
        starts_ms[first:] = as_sent_ms[first:] + shift_ms
    else:
        if halted_ms is not None:
            begun = int(np.searchsorted(starts_ms, halted_ms, side="right"))
    place = int(np.searchsorted(starts_ms[:begun], at_ms - REACTION_MS, side="right")) - 1
    if place < 0:
        return None
    row = next(row for row in rows if place < row.stop)
    is_late = place == row.stop - 1 and at_ms >= starts_ms[place] + row.period_ms + REACTION_MS
    return None if is_late else place
