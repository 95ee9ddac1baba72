"""From probabilities to one alignment: the most probable symbol for each mark, without crossings.

Of two equally probable symbols the earlier one is taken. When two marks would take the same symbol, or
cross, the later mark keeps its choice and the earlier one takes the best of what is left before it.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.group import Ints, Singles
from copyroom.core.alignment.timed import Posterior, Work

_NONE = np.iinfo(np.intp).max
BLOCK, COPIES_A_SLICE = 64, 20
"""Marks decided, and copies put right, between two breaths for the event loop."""
TIE = 1e-3
"""Relative difference under which an earlier symbol is preferred to the next."""


@dataclass(frozen=True, slots=True)
class Path:
    """Chosen alignments of a group.

    symbol : (K, C), the symbol each mark answers, -1 for extra marks and padding.
    behind : (K, C), whether it was written one behind; None when that was not remembered.
    confidence : (K, C), probability of the choice.
    """

    symbol: Ints
    behind: NDArray[np.bool_] | None
    confidence: Singles


def choose(p: Posterior, marks: Ints) -> Generator[None, None, Path]:
    """The alignment of every copy; yields between blocks of marks, returns the Path."""
    answered = p.answered.sum(axis=2) if p.answered.shape[2] > 1 else p.answered[:, :, 0]
    count = len(answered)
    written = np.arange(count)[:, None] < marks
    slot = np.empty((count, len(marks)), np.intp)
    for start in range(0, count, BLOCK):
        slot[start : start + BLOCK] = _best(answered[start : start + BLOCK])
        yield
    chance = np.take_along_axis(answered, slot[:, None], axis=1)[:, 0]
    taken = written & (chance > p.extra)
    symbol = np.where(taken, p.low + slot, -1)
    yield
    yield from _uncross(answered, p, symbol)
    yield
    slot = np.maximum(symbol - p.low, 0)
    chance = np.take_along_axis(answered, slot[:, None], axis=1)[:, 0]
    behind = None
    if p.answered.shape[2] > 1:
        on_time = np.take_along_axis(p.answered[:, :, 0], slot[:, None], axis=1)[:, 0]
        behind = (symbol >= 0) & (2 * on_time < chance)
    return Path(symbol, behind, np.where(symbol >= 0, chance, p.extra))


def _best(answered: Singles) -> Ints:
    """Slot of the highest probability (..., W, C), the earlier one when they are equal."""
    width = answered.shape[-2]
    best: Ints = np.argmax(
        answered * (1 - TIE * np.arange(width, dtype=np.float32)[:, None] / width), axis=-2
    )
    return best


def _uncross(answered: Singles, p: Posterior, symbol: Ints) -> Work:
    """Choose again, from the last mark to the first, in the copies where choices cross."""
    later = np.minimum.accumulate(np.where(symbol >= 0, symbol, _NONE)[::-1], axis=0)[::-1]
    crossing = (symbol[:-1] >= later[1:]) & (symbol[:-1] >= 0)
    slots = np.arange(answered.shape[1])
    for n, c in enumerate(np.flatnonzero(crossing.any(axis=0))):
        if n % COPIES_A_SLICE == COPIES_A_SLICE - 1:
            yield
        last = int(np.flatnonzero(crossing[:, c])[-1])
        chosen, bound = symbol[: last + 1, c].tolist(), int(later[last + 1, c])
        for k in range(last, -1, -1):
            if chosen[k] >= bound:
                free = np.where(p.low[k, c] + slots < bound, answered[k, :, c], 0)
                slot = int(_best(free[:, None])[0])
                chosen[k] = int(p.low[k, c]) + slot if free[slot] > p.extra[k, c] else -1
            if chosen[k] >= 0:
                bound = chosen[k]
        symbol[: last + 1, c] = chosen
