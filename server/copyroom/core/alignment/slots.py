"""The factors of one step for timed copies: what each mark says about each symbol that it may answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import as_strided

from copyroom.core.alignment.gaps import gap_probability
from copyroom.core.alignment.group import Floats, Group, HabitRows, Ints, Singles
from copyroom.core.alignment.lag import EARLIEST_S, LAG_SHIFT_S, LATEST_S, WILD
from copyroom.core.alignment.marks import answer_probability, extra_density, extra_share

_ROOT_TAU = np.float32(np.sqrt(2 * np.pi))
_FLAT = np.float32(1 / (LATEST_S - EARLIEST_S))


def window(group: Group, latest_s: Floats) -> tuple[Ints, Ints]:
    """First symbol (K, C) that each mark may answer, and how many: lag between EARLIEST_S and latest_s (C,).

    An untimed mark lies between its timed neighbours, so it may answer what any of them may.
    """
    low, high = np.empty_like(group.written), np.empty_like(group.written)
    for c, n in enumerate(group.symbols):
        ends = group.end_s[:n, c]
        low[:, c] = np.searchsorted(ends, group.at_s[:, c] - latest_s[c])
        high[:, c] = np.searchsorted(ends, group.at_s[:, c] - EARLIEST_S, side="right")
    untimed = ~np.isfinite(group.at_s)
    low = np.where(untimed, np.maximum.accumulate(np.where(untimed, 0, low)), low)
    high = np.where(untimed, np.minimum.accumulate(np.where(untimed, group.symbols, high)[::-1])[::-1], high)
    written = np.arange(len(low))[:, None] < group.marks
    low = np.minimum.accumulate(np.where(written, low, group.symbols)[::-1])[::-1]
    return low, np.where(written, np.maximum(high - low, 1), 1)


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
    gaps = gap_probability(rows.skip, rows.skip_on, len(group.sent) + width)
    backwards = np.zeros((len(group.marks), width), np.float32)
    table = np.concatenate([backwards, gaps], axis=1).T.astype(np.float32)
    return Reading(group, rows, low, width, states, substitutions, in_play, np.ascontiguousarray(table))


def _lags(r: Reading, k: Ints) -> tuple[Ints, Singles, Singles]:
    """Symbol, standardised lag and its density, each (k, W + 1, C), of each slot and the one after; else 0."""
    g, rows = r.group, r.rows
    j = np.minimum(r.low[k][:, None] + np.arange(r.width + 1)[:, None], g.symbols)
    lag_s = g.at_s[k][:, None] - g.end_s.ravel()[j * r.size + np.arange(r.size)]
    possible = (lag_s >= EARLIEST_S) & (lag_s <= LATEST_S)
    shifted = np.where(possible, lag_s + LAG_SHIFT_S, 1).astype(np.float32)
    z = (np.log(shifted) - rows.log_lag) * (possible / rows.spread)
    density = possible / (shifted * (rows.spread * _ROOT_TAU))
    untimed = ~np.isfinite(g.at_s[k])
    if untimed.any():
        density = np.where(untimed[:, None], (1 / g.tempo_s).astype(np.float32), density)
    return j, z, density


def _answers(r: Reading, k: Ints, j: Ints) -> Singles:
    """(k, W, C): probability of the mark for the slot's symbol, and of being no extra."""
    g, rows = r.group, r.rows
    sent = g.sent.ravel()[np.minimum(j, len(g.sent) - 1) * r.size + np.arange(r.size)]
    mark = answer_probability(sent, g.written[k][:, None], rows.recall, rows.blank, r.substitutions)
    return mark * ((j < g.symbols) * (1 - rows.extra))


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
    """Write the steps into marks k: (len(k), W, B, W B + W + 1, C), to answered from answered and from rest.

    From answered, the lag remembers (lag.py) with the share 1 - WILD; from rest it does not.
    """
    rows, width, B = r.rows, r.width, r.states
    with_prior = np.concatenate([[max(k[0] - 1, 0)], k])
    j, z, density = _lags(r, with_prior)
    prior, j = with_prior[:-1], j[1:, :-1]
    mark = _answers(r, k, j)
    timed, timed_prior = np.isfinite(r.group.at_s[k]), np.isfinite(r.group.at_s[prior])
    rho = np.where(timed & timed_prior & (k > 0)[:, None], rows.inertia, 0)[:, None]
    stretch = np.sqrt(0.5 / (1 - rho * rho))

    normal = mark[:, :, None] * _pairs(density[1:] * np.exp(-0.5 * z[1:] * z[1:]) * (1 - WILD), 2)
    flat = np.where(timed, _FLAT, (1 / r.group.tempo_s).astype(np.float32))[:, None]
    wild = WILD * flat * mark * (density[1:, :-1] > 0)
    late = rows.behind / (rows.behind + rows.caught_up)
    after = mark[:, :, None] * _pairs(density[1:] * (stretch * ((1 - WILD) * np.float32(np.sqrt(2)))), B)
    if B == 1:
        wild = (wild + late * normal[:, :, 1])[:, :, None]
        fresh = wild + (1 - late) * normal[:, :, :1]
        after *= 1 - late
    else:
        share = np.stack([1 - late, late])
        wild = wild[:, :, None] * share
        fresh = normal * share + wild
    gap = _gap_matrix(r, k, prior)[:, :, None]
    now, then = _pairs(z[1:] * stretch, B), _pairs(z[:-1] * (rho * stretch), B)
    t = now[:, :, :, None, None] - then[:, None, None]
    np.multiply(t, t, out=t)
    np.exp(np.negative(t, out=t), out=t)
    t *= after[:, :, :, None, None]
    if B == 2:
        t *= np.array([[1 - rows.behind, rows.caught_up], [rows.behind, 1 - rows.caught_up]])[:, None]
    t += wild[:, :, :, None, None]
    remembered = steps[:, :, :, : width * B].reshape(len(k), width, B, width, B, r.size)
    np.multiply(t, gap[:, :, :, 1:, None], out=remembered)
    np.multiply(fresh[:, :, :, None], gap, out=steps[:, :, :, width * B :])


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
