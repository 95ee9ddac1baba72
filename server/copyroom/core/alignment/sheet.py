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
from copyroom.core.alignment.timed import Posterior, Work

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


class _Sheets:
    """A group of sheets as read with certain habits."""

    def __init__(self, group: Group, rows: HabitRows, substitutions: Singles, in_play: int) -> None:
        self.group, self.rows, self.substitutions = group, rows, substitutions
        (count, size), longest = group.written.shape, len(group.sent)
        self.early = int(slack(group.symbols, group.marks).max())
        latest = int((group.symbols - group.marks).max()) + self.early
        self.width = max(self.early, latest) + self.early + 1
        self.gaps = _Gaps(rows, self.width, longest)
        self.sent = np.zeros((count + self.width + longest, size), np.intp)
        self.sent[self.early : self.early + longest] = group.sent
        self.there = np.zeros(self.sent.shape, bool)
        self.there[self.early : self.early + longest] = np.arange(longest)[:, None] < group.symbols
        before = np.concatenate([np.full((1, size), -1), group.written[:-1]])
        self.extra = rows.extra * extra_share(group.written, before, in_play)

    def answers(self, k: int) -> Floats:
        """(W, C): probability of mark k as an answer to each slot's symbol."""
        rows, slots = self.rows, slice(k, k + self.width)
        written = self.group.written[k]
        mark = answer_probability(self.sent[slots], written, rows.recall, rows.blank, self.substitutions)
        answer: Floats = np.where(self.there[slots], mark * (1 - rows.extra), 0.0)
        return answer

    def final(self) -> Floats:
        """(W, C): probability of passing over all that is left after the last mark."""
        left = self.group.symbols - self.group.marks - np.arange(self.width)[:, None] + self.early
        some = self.gaps.short * self.rows.skip_on ** np.maximum(left - 1, 0.0) + self.gaps.long
        return np.where(left == 0, self.gaps.none, np.where(left > 0, some, 0.0))


def posterior(
    group: Group, rows: HabitRows, substitutions: Singles, in_play: int
) -> Generator[None, None, Posterior]:
    """Forward and backward sums over a group of sheets; yields between blocks, returns the Posterior."""
    sheets = _Sheets(group, rows, substitutions, in_play)
    count, size = group.written.shape
    states = np.zeros((count + 1, sheets.width, size), np.float32)
    scales = np.ones((count, size))
    yield from _forward(sheets, states, scales)
    rest = yield from _backward(sheets, states, scales)
    low = np.broadcast_to(np.arange(count)[:, None] - sheets.early, (count, size))
    written = np.arange(count)[:, None] < group.marks
    log_likelihood = np.where(written, np.log(scales), 0).sum(axis=0)
    return Posterior(low, states[1:, :, None], rest, log_likelihood)


def _forward(sheets: _Sheets, states: Singles, scales: Floats) -> Work:
    """Fill states (K + 1, W, C), first the start: shares of the probability of the sheet up to each mark."""
    state = np.zeros(states.shape[1:])
    state[sheets.early] = states[0, sheets.early] = 1.0
    for k in range(len(scales)):
        new = sheets.answers(k) * sheets.gaps.forward(state)
        new[:-1] += sheets.extra[k] * state[1:]
        scales[k] = new.sum(axis=0) + _TINY
        states[k + 1] = state = new / scales[k]
        if k % BLOCK == 0:
            yield


def _backward(sheets: _Sheets, states: Singles, scales: Floats) -> Generator[None, None, Singles]:
    """Turn states into probabilities of answers; returns those of extra marks, (K, C)."""
    rest = np.zeros(scales.shape, np.float32)
    final, after = sheets.final(), np.ones(states.shape[1:])
    for k in range(len(scales) - 1, -1, -1):
        after = np.where(sheets.group.marks - 1 == k, final, after)
        resting = sheets.extra[k] * states[k, 1:] / scales[k]
        states[k + 1, :-1] -= resting
        states[k + 1] = np.maximum(states[k + 1], 0) * after
        rest[k] = (resting * after[:-1]).sum(axis=0)
        total = states[k + 1].sum(axis=0) + rest[k] + _TINY
        states[k + 1] /= total
        rest[k] /= total
        before = sheets.gaps.backward(sheets.answers(k) * after)
        before[1:] += sheets.extra[k] * after[:-1]
        after = before / (before.max(axis=0) + _TINY)
        if k % BLOCK == 0:
            yield
    return rest
