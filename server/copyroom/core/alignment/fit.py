"""What an alignment teaches about a learner.

Counts and medians over the chosen alignment, held back by what was known before: a habit known from n marks
weighs as a few marks more. Medians and median deviations over correctly copied marks, so that a few wild lags
do no harm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from operator import attrgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.copies import Habits
from copyroom.core.alignment.decode import Path
from copyroom.core.alignment.group import Floats, Group
from copyroom.core.alignment.lag import LAG_SHIFT_S
from copyroom.core.alignment.marks import BLANK_MARK

STEADY_MARKS = 60.0
"""A learner's habits from this many marks weigh twice what those of nobody do."""
MOST_TRUST = 4.0
KEPT = 0.8
"""What a new run leaves of the weight of older ones."""
ENOUGH_MARKS = 125
"""Of longer copies, medians are taken over at least so many marks, evenly spread."""
_MAD_TO_SD = 1.4826
_FIGURES = tuple(f.name for f in fields(Habits))[:-1]  # all but first_order, which is chosen, not counted
_FIGURES_OF = attrgetter(*_FIGURES)

Numbers = NDArray[np.integer] | NDArray[np.floating]


def learn(
    group: Group, path: Path, before: Sequence[Habits], used: Sequence[Habits] | None = None
) -> list[Habits]:
    """The habits after a run, from its chosen alignment and the habits before it.

    used : those the alignment was made with, if others; what the alignment cannot tell is taken from them.
    """
    held = _Held(before)
    answered = path.symbol >= 0
    j = np.maximum(path.symbol, 0)
    columns = np.arange(j.shape[1])
    same = answered & (group.written == group.sent[np.minimum(j, len(group.sent) - 1), columns])
    blank = answered & (group.written == BLANK_MARK)
    total = answered.sum(axis=0)
    gap = _gaps(path)
    skips, skipped = (gap > 0).sum(axis=0), gap.sum(axis=0)
    learned = {
        "recall": held.mean("recall", same.sum(axis=0), total, 15),
        "blank": held.mean("blank", blank.sum(axis=0), total, 15),
        "skip": held.mean("skip", skips, total, 15),
        "skip_on": held.mean("skip_on", skipped - skips, skipped, 15),
        "extra": held.mean("extra", group.marks - total, group.marks, 60),
        "marks": KEPT * held.of["marks"] + group.marks,
    }
    if np.isfinite(group.at_s).any():
        learned |= _lag_habits(group, path, same, held)
    if used is not None and path.behind is None:
        learned |= {name: np.array([getattr(h, name) for h in used]) for name in ("behind", "caught_up")}
    known = held.of | learned
    columns_of: list[list[Any]] = [known[name].tolist() for name in _FIGURES]
    columns_of.append([h.first_order for h in used or before])
    return [Habits(*row) for row in zip(*columns_of, strict=True)]


class _Held:
    """Habits as they were, and how hard they hold new figures back."""

    def __init__(self, before: Sequence[Habits]) -> None:
        rows = np.array([_FIGURES_OF(h) for h in before], np.float64).T
        self.of: dict[str, Floats] = dict(zip(_FIGURES, rows, strict=True))
        self.trust = np.minimum(1 + self.of["marks"] / STEADY_MARKS, MOST_TRUST)

    def mean(self, name: str, total: Numbers, n: Numbers, weight: float) -> Floats:
        """`total` / n, held back by the habit as if known from `weight` marks or more."""
        weights = weight * self.trust
        held: Floats = (total + weights * self.of[name]) / (n + weights)
        return held


def _gaps(path: Path) -> NDArray[np.intp]:
    """(K, C): symbols passed over before each answered mark, 0 for extra marks."""
    last = np.maximum.accumulate(path.symbol, axis=0)
    before = np.concatenate([np.full((1, last.shape[1]), -1), last[:-1]])
    return np.where(path.symbol >= 0, path.symbol - before - 1, 0)


def _median(values: Floats, where: NDArray[np.bool_], otherwise: Floats) -> Floats:
    """Median over the marks (K, C) that count, (C,)."""
    every = max(1, len(values) // ENOUGH_MARKS)
    values, where = values[::every], where[::every]
    ordered = np.sort(np.where(where, values, np.inf).T, axis=1)
    n = where.sum(axis=0)
    rows = np.arange(len(n))
    middle = 0.5 * (
        ordered[rows, np.maximum(n - 1, 0) // 2] + ordered[rows, np.minimum(n // 2, len(where) - 1)]
    )
    return np.where(n > 0, middle, otherwise)


def _lag_habits(group: Group, path: Path, same: NDArray[np.bool_], held: _Held) -> dict[str, Floats]:
    columns = np.arange(path.symbol.shape[1])
    known = (path.symbol >= 0) & np.isfinite(group.at_s)
    reference = np.maximum(path.symbol, 0) + (0 if path.behind is None else path.behind)
    ends = group.end_s[reference, columns]
    lag = np.log(np.maximum(np.where(known, group.at_s - ends, 1.0) + LAG_SHIFT_S, 0.02))
    good = known & same
    n = good.sum(axis=0)
    middle = held.mean("log_lag", n * _median(lag, good, held.of["log_lag"]), n, 3)
    deviation = _MAD_TO_SD * _median(np.abs(lag - middle), good, held.of["spread"])
    weights = 8 * held.trust
    spread = np.sqrt((n * deviation**2 + weights * held.of["spread"] ** 2) / (n + weights))
    spread = np.maximum(spread, 0.1)
    z = np.clip((lag - middle) / spread, -3, 3)
    both = known[1:] & known[:-1]
    moved = np.where(both, z[1:] * z[:-1], 0).sum(axis=0)
    power = np.where(both, z[1:] ** 2 + z[:-1] ** 2, 0).sum(axis=0) / 2
    inertia = np.clip(held.mean("inertia", moved, power, 10), 0.0, 0.9)
    learned = {"log_lag": middle, "spread": spread, "inertia": inertia}
    if path.behind is None:
        return learned
    was, late = path.behind[:-1], path.behind[1:]
    return learned | {
        "behind": held.mean("behind", (both & ~was & late).sum(axis=0), (both & ~was).sum(axis=0), 15),
        "caught_up": held.mean("caught_up", (both & was & ~late).sum(axis=0), (both & was).sum(axis=0), 8),
    }
