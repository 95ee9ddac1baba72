"""The factors of one step for timed copies: what each mark says about each symbol that it may answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import as_strided

from copyroom.core.alignment.gaps import gap_probability
from copyroom.core.alignment.group import Floats, Group, HabitRows, Ints, Singles
from copyroom.core.alignment.lag import EARLIEST_S, WILD, WILD_DENSITY, standardise
from copyroom.core.alignment.marks import answer_probability, extra_density, extra_share

RARE = 0.02
"""Share of marks that may have more symbols to choose among than slots; the oldest symbols then fall out."""


def window(group: Group, latest_s: Floats) -> tuple[Ints, Ints]:
    """First symbol (K, C) that each mark may answer, and how many slots to look at (C,).

    Symbols whose lag would be between EARLIEST_S and latest_s (C,). An untimed mark lies between its timed
    neighbours, so it may answer what any of them may.
    """
    size, count = len(group.marks), len(group.written)
    low, high = np.empty((size, count), np.intp), np.empty((size, count), np.intp)
    at_s, end_s = np.ascontiguousarray(group.at_s.T), np.ascontiguousarray(group.end_s.T)
    for c, n in enumerate(group.symbols):
        low[c] = np.searchsorted(end_s[c, :n], at_s[c] - latest_s[c])
        high[c] = np.searchsorted(end_s[c, :n], at_s[c] - EARLIEST_S, side="right")
    low, high = np.ascontiguousarray(low.T), np.ascontiguousarray(high.T)
    written = np.arange(len(low))[:, None] < group.marks
    untimed = written & ~np.isfinite(group.at_s)
    if untimed.any():
        low = np.where(untimed, np.maximum.accumulate(np.where(untimed, 0, low)), low)
        open_end = np.where(np.isfinite(group.at_s), high, group.symbols)
        high = np.where(untimed, np.minimum.accumulate(open_end[::-1])[::-1], high)
    slots = np.where(written, high - low, 1)
    width = np.maximum(slots.max(axis=0), 1)
    spare = np.where(untimed.any(axis=0), 0, RARE * group.marks)
    while (narrower := (width > 1) & ((slots >= width).sum(axis=0) <= spare)).any():
        width = width - narrower
    low = np.where(written, np.maximum(low, high - width), group.symbols)
    return np.minimum.accumulate(low[::-1])[::-1], width


@dataclass(frozen=True, slots=True)
class Reading:
    """A group of copies as read with certain habits.

    low : (K, C), the symbol of slot 0; width : W slots; states : B, 2 when falling behind is remembered from
    mark to mark, 1 when it is a matter of each mark alone.
    substitutions, in_play : of `marks.substitution`.
    """

    group: Group
    rows: HabitRows
    low: Ints
    width: int
    states: int
    substitutions: Singles
    in_play: int
    gaps: Singles

    @property
    def size(self) -> int:
        """How many copies, C."""
        return len(self.group.marks)


def reading(
    group: Group, rows: HabitRows, low: Ints, width: int, states: int, substitutions: Singles, in_play: int
) -> Reading:
    """Put a reading together; `gaps` is (2 W + n, C), W rows of 0 for going backwards, then S(0), S(1)..."""
    gaps = gap_probability(rows.skip, rows.skip_on, len(group.sent))
    backwards = np.zeros((len(group.marks), width), np.float32)
    table = np.concatenate([backwards, gaps], axis=1).T.astype(np.float32)
    return Reading(group, rows, low, width, states, substitutions, in_play, np.ascontiguousarray(table))


def _lags(r: Reading, k: Ints) -> tuple[Ints, Singles, Singles]:
    """Symbol, standardised lag and its density, each (k, W + 1, C), of each slot and the one after."""
    g = r.group
    j = np.minimum(r.low[k][:, None] + np.arange(r.width + 1)[:, None], g.symbols)
    lag_s = g.at_s[k][:, None] - g.end_s.ravel()[j * r.size + np.arange(r.size)]
    z, density = standardise(lag_s, r.rows.log_lag, r.rows.spread)
    untimed = ~np.isfinite(g.at_s[k])
    if untimed.any():
        density = np.where(untimed[:, None], _any_time(r), density)
    return j, z, density


def _any_time(r: Reading) -> Singles:
    """(C,): density of a mark that may come at any time, the same for answers and extra marks."""
    return (1 / r.group.tempo_s).astype(np.float32)


def _answers(r: Reading, k: Ints, j: Ints) -> Singles:
    """(k, W, C): probability of the mark for the slot's symbol, and of being no extra."""
    g, rows = r.group, r.rows
    sent = g.sent.ravel()[np.minimum(j, len(g.sent) - 1) * r.size + np.arange(r.size)]
    mark = answer_probability(sent, g.written[k][:, None], rows.recall, rows.blank, r.substitutions)
    return mark * np.where(j < g.symbols, 1 - rows.extra, np.float32(0))


def _gap_matrix(r: Reading, k: Ints, prior: Ints) -> Singles:
    """(k, W, W + 1, C): probability of the gap from rest v (or answered v - 1) before to slot w now."""
    step = r.low[k] - np.where((k > 0)[:, None], r.low[prior], 0)
    band = np.minimum(np.arange(2 * r.width)[:, None] + step[:, None], len(r.gaps) - 1)
    values = r.gaps.ravel()[band * r.size + np.arange(r.size)]
    block, row, column = values.strides
    start = values[:, r.width :]
    return as_strided(
        start, (len(k), r.width, r.width + 1, r.size), (block, row, -row, column), writeable=False
    )


def fill_steps(r: Reading, k: Ints, steps: Singles) -> None:
    """Write the steps into marks k, (len(k), W, B, W B + W + 1, C): to answered from answered and rest."""
    with_prior = np.concatenate([[max(k[0] - 1, 0)], k])
    j, z, density = _lags(r, with_prior)
    mark = _answers(r, k, j[1:, :-1])
    fresh, wild = _without_memory(r, k, mark, z[1:], density[1:])
    remembered = _with_memory(r, _inertia(r, with_prior), mark, z, density[1:])
    remembered += wild[:, :, :, None, None]
    gap = _gap_matrix(r, k, with_prior[:-1])[:, :, None]
    answers = r.width * r.states
    shape = (len(k), r.width, r.states, r.width, r.states, r.size)
    np.multiply(remembered, gap[:, :, :, 1:, None], out=steps[:, :, :, :answers].reshape(shape))
    np.multiply(fresh[:, :, :, None], gap, out=steps[:, :, :, answers:])


def _inertia(r: Reading, with_prior: Ints) -> Singles:
    """(k, 1, C): rho, or 0 where this mark or the one before has no time."""
    timed = np.isfinite(r.group.at_s[with_prior])
    both = timed[1:] & timed[:-1] & (np.diff(with_prior) > 0)[:, None]
    return np.where(both, r.rows.inertia, np.float32(0))[:, None]


def _without_memory(
    r: Reading, k: Ints, mark: Singles, z: Singles, density: Singles
) -> tuple[Singles, Singles]:
    """(k, W, B, C): density of an answer after an extra mark, and of one whose lag follows no habit.

    With one state, an answer written one behind counts among the latter: its lag is not remembered.
    """
    rows = r.rows
    late = rows.behind / (rows.behind + rows.caught_up)
    normal = mark[:, :, None] * _pairs(density * np.exp(-0.5 * z * z) * (1 - WILD), 2)
    flat = np.where(np.isfinite(r.group.at_s[k]), np.float32(WILD_DENSITY), _any_time(r))[:, None]
    wild = WILD * flat * mark * (density[:, :-1] > 0)
    if r.states == 1:
        wild = (wild + late * normal[:, :, 1])[:, :, None]
        return wild + (1 - late) * normal[:, :, :1], wild
    share = np.stack([1 - late, late])
    wild = wild[:, :, None] * share
    return normal * share + wild, wild


def _with_memory(r: Reading, rho: Singles, mark: Singles, z: Singles, density: Singles) -> Singles:
    """(k, W, B, W, B, C): density of an answer after another: N(z; rho z', 1 - rho^2), and falling behind.

    z : (k + 1, W + 1, C), from the mark before the first.
    """
    rows, states = r.rows, r.states
    sharp = np.sqrt(0.5 / (1 - rho * rho))
    after = mark[:, :, None] * _pairs(density * (sharp * np.float32((1 - WILD) * np.sqrt(2))), states)
    if states == 1:
        after *= 1 - rows.behind / (rows.behind + rows.caught_up)
    now, before = _pairs(z[1:] * sharp, states), _pairs(z[:-1] * (rho * sharp), states)
    t: Singles = now[:, :, :, None, None] - before[:, None, None]
    np.multiply(t, t, out=t)
    np.exp(np.negative(t, out=t), out=t)
    t *= after[:, :, :, None, None]
    if states == 2:
        t *= np.array([[1 - rows.behind, rows.caught_up], [rows.behind, 1 - rows.caught_up]])[:, None]
    return t


def _pairs(values: Singles, states: int) -> Singles:
    """(k, W + 1, C) by symbol -> (k, W, B, C): of the slot's symbol and, when B = 2, of the one after it."""
    return np.stack([values[:, b : values.shape[1] - 1 + b] for b in range(states)], axis=2)


def extra_densities(r: Reading) -> Singles:
    """(K, C): density of each mark as an extra one."""
    g = r.group
    since = np.diff(g.at_s, axis=0, prepend=np.nan)
    before = np.concatenate([np.full((1, r.size), -1), g.written[:-1]])
    density = extra_share(g.written, before, r.in_play) * extra_density(since, g.tempo_s)
    return (r.rows.extra * density).astype(np.float32)


def last_gap(r: Reading) -> Singles:
    """(W B + W + 1, C): probability of passing over all that is left, by the last symbol answered."""
    g = r.group
    last = r.low[np.maximum(g.marks - 1, 0), np.arange(r.size)]
    left = np.maximum(g.symbols - last - np.arange(r.width + 1)[:, None], 0)
    rest = r.gaps[left + r.width, np.arange(r.size)]
    return np.concatenate([np.repeat(rest[1:], r.states, axis=0), rest])
