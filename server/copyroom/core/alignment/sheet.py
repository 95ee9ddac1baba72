"""The machine for sheets, which carry no times: the same gaps and marks, without the lag.

Slots follow the diagonal: before mark k + 1, slot w stands for "the last symbol answered is k + w -
early". A gap of g is then g slots forward and an extra mark one slot back, the same for the whole group,
and the sum over all gaps is two running sums.
"""

from __future__ import annotations

from collections.abc import Generator

import numpy as np

from copyroom.core.alignment.gaps import LONG_GAP
from copyroom.core.alignment.group import Floats, Group, HabitRows, Ints, Singles
from copyroom.core.alignment.marks import answer_probability, extra_share
from copyroom.core.alignment.timed import Posterior

BLOCK = 4
"""Marks between two breaths for the event loop."""
_TINY = 1e-30


def slack(symbols: Ints, marks: Ints) -> Ints:
    """How many extra marks a sheet may hold, (C,): any surplus, and some more."""
    spare: Ints = np.maximum(marks - symbols, 0) + 6 + marks // 25
    return spare


def breadth(symbols: Ints, marks: Ints) -> Ints:
    """How many slots a sheet needs, (C,)."""
    slots: Ints = np.abs(symbols - marks) + 2 * slack(symbols, marks) + 1
    return slots


class _Gaps:
    """Sums over gaps: S of gaps.py, as running sums over slots (W, C)."""

    def __init__(self, rows: HabitRows, width: int, longest: int) -> None:
        skip, on = rows.skip.astype(np.float64), rows.skip_on.astype(np.float64)
        self.none = 1 - skip
        self.short = skip * (1 - LONG_GAP) * (1 - on)
        self.long = skip * LONG_GAP / max(longest, 1)
        self.decay = on ** np.arange(width)[:, None]

    def forward(self, s: Floats) -> Floats:
        out = self.none * s
        out[1:] += self.short * (np.cumsum(s / self.decay, axis=0) * self.decay)[:-1]
        out[1:] += self.long * np.cumsum(s, axis=0)[:-1]
        return out

    def backward(self, s: Floats) -> Floats:
        return self.forward(s[::-1])[::-1]


def posterior(
    group: Group, rows: HabitRows, substitutions: Singles, in_play: int
) -> Generator[None, None, Posterior]:
    """Forward and backward sums over a group of sheets; yields between blocks, returns the Posterior."""
    (count, size), longest = group.written.shape, len(group.sent)
    early = int(slack(group.symbols, group.marks).max())
    width = int(max(early, (group.symbols - group.marks).max() + early)) + early + 1
    gaps = _Gaps(rows, width, longest)
    padded = np.zeros((count + width + longest, size), np.intp)
    padded[early : early + longest] = group.sent
    there = np.zeros(padded.shape, bool)
    there[early : early + longest] = np.arange(longest)[:, None] < group.symbols
    before = np.concatenate([np.full((1, size), -1), group.written[:-1]])
    extra = rows.extra * extra_share(group.written, before, in_play)

    def answers(k: int) -> Floats:
        mark = answer_probability(
            padded[k : k + width], group.written[k], rows.recall, rows.blank, substitutions
        )
        return mark * (there[k : k + width] * (1 - rows.extra))

    states = np.zeros((count + 1, width, size), np.float32)
    state = np.zeros((width, size))
    state[early] = states[0, early] = 1.0
    scales = np.ones((count, size))
    for k in range(count):
        new = answers(k) * gaps.forward(state)
        new[:-1] += extra[k] * state[1:]
        scales[k] = new.sum(axis=0) + _TINY
        state = new / scales[k]
        states[k + 1] = state
        if k % BLOCK == 0:
            yield
    left = group.symbols - group.marks - np.arange(width)[:, None] + early
    final = np.where(left == 0, gaps.none, gaps.short * rows.skip_on ** np.maximum(left - 1, 0.0) + gaps.long)
    final = np.where(left < 0, 0.0, final)
    after = np.ones_like(state)
    rest = np.zeros((count, size), np.float32)
    for k in range(count - 1, -1, -1):
        after = np.where(group.marks - 1 == k, final, after)
        resting = extra[k] * states[k, 1:] / scales[k]
        states[k + 1, :-1] -= resting
        states[k + 1] = np.maximum(states[k + 1], 0) * after
        rest[k] = (resting * after[:-1]).sum(axis=0)
        total = states[k + 1].sum(axis=0) + rest[k] + _TINY
        states[k + 1] /= total
        rest[k] /= total
        before = gaps.backward(answers(k) * after)
        before[1:] += extra[k] * after[:-1]
        after = before / (before.max(axis=0) + _TINY)
        if k % BLOCK == 0:
            yield
    low = np.broadcast_to(np.arange(count)[:, None] - early, (count, size))
    written = np.arange(count)[:, None] < group.marks
    log_likelihood = np.where(written, np.log(scales), 0).sum(axis=0)
    return Posterior(low, states[1:, :, None], rest, log_likelihood)
