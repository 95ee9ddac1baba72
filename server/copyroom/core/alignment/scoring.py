"""A whole class's copies of one push: sorted by machine and width, studied, aligned, a slice at a time."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment import sheet, timed
from copyroom.core.alignment.copies import NOBODY, Aligned, Alignment, Copy, Habits
from copyroom.core.alignment.decode import Path, choose
from copyroom.core.alignment.fit import learn
from copyroom.core.alignment.group import (
    Floats,
    Group,
    Ints,
    empty_group,
    habit_rows,
    head,
    put,
    select,
    sign_indices,
)
from copyroom.core.alignment.lag import LAG_SHIFT_S, LATEST_S
from copyroom.core.alignment.marks import BLANK_MARK, substitution
from copyroom.core.alignment.slots import reading, window
from copyroom.core.alignment.times import refusals, sane_times

MAX_WIDTH = 40
"""More symbols than this a mark is never chosen among; such a copy is aligned without its times."""
KNOWN_MARKS = 60.0
"""A seat known from fewer marks is studied first."""
HEAD_MARKS = 64
"""In a class, on so many marks of its copy."""
UNLIKELY_SDS = 3.0
"""In a class, lags so many standard deviations above a learner's mean are not looked at."""
MAX_CELLS = 9_000_000
"""Matrix cells worked on at once, 4 bytes each."""
COPIES_A_SLICE = 32
MEMORY_COSTS = 2.0
"""What first order must gain in log likelihood for its two figures more (Akaike, IEEE TAC 19, 1974)."""

Work = Generator[None, None, None]


class Scoring:
    """One push, its copies, and their alignments as they come.

    thorough : study every copy whole and look at every possible lag, where there is time.
    """

    def __init__(
        self, sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy], thorough: bool
    ) -> None:
        self.copies, self.thorough = copies, thorough
        self.sent = sign_indices(sent)
        timed = end_s is not None and len(sent) > 0
        self.end_s = np.array(end_s if timed else range(len(sent)), dtype=np.float64)
        if len(self.end_s) != len(sent):
            raise ValueError(f"{len(sent)} symbols were sent, but {len(self.end_s)} ends given")
        if not (np.diff(self.end_s) > 0).all():
            raise ValueError("the ends of the sounds are not in ascending order")
        self.push_s = (float(self.end_s[0]), float(self.end_s[-1])) if timed else None
        self.habits: list[Habits] = [copy.habits or NOBODY for copy in copies]
        self.refused: dict[int, str] = {}
        self.aligned: list[Aligned | None] = [None] * len(copies)

    def run(self) -> Work:
        """All copies; yields after each slice of work."""
        yield from self._gather()
        some = (self.group.marks > 0) & (self.group.symbols > 0)
        for c in np.flatnonzero(~some).tolist():
            extra = np.full(self.group.marks[c], -1)
            self._settle(c, extra, np.ones(len(extra)), np.arange(self.group.symbols[c]))
        is_timed = some & (np.isfinite(self.group.at_s).sum(axis=0) * 2 >= self.group.marks)
        yield from self._study(np.flatnonzero(is_timed))
        loose = yield from self._timed(np.flatnonzero(is_timed))
        yield from self._sheets(np.concatenate([np.flatnonzero(some & ~is_timed), loose]))

    def _gather(self) -> Work:
        everything = np.arange(len(self.sent))
        heard = [everything if c.heard is None else np.array(c.heard, np.intp) for c in self.copies]
        tempo_s = float(np.median(np.diff(self.end_s))) if len(self.sent) > 1 else 1.0
        marks = np.array([len(copy.written) for copy in self.copies], np.intp)
        group = empty_group(np.array([len(h) for h in heard], np.intp), marks, tempo_s)
        for c, copy in enumerate(self.copies):
            put(group, c, self.sent[heard[c]], self.end_s[heard[c]], copy)
            if c % COPIES_A_SLICE == COPIES_A_SLICE - 1:
                yield
        at_s = np.full_like(group.at_s, np.nan)
        if self.push_s is not None:
            self.refused = refusals(group.at_s, *self.push_s)
            yield
            at_s = sane_times(group.at_s, self.push_s[1])
            at_s[:, list(self.refused)] = np.nan
        self.group = replace(group, at_s=at_s)
        shown = np.bincount(group.written.ravel(), minlength=BLANK_MARK + 1)[:BLANK_MARK]
        in_play = np.union1d(self.sent, np.flatnonzero(shown))
        self.in_play, self.substitutions = len(in_play), substitution(in_play)
        yield

    def _study(self, columns: Ints) -> Work:
        """Learn the habits of seats that are hardly known, and which order of lag explains them better."""
        new = np.array([c for c in columns if self.habits[c].marks < KNOWN_MARKS], dtype=np.intp)
        if not len(new):
            return
        group = select(self.group, new)
        group = group if self.thorough else head(group, HEAD_MARKS)
        low, widths = window(group, np.full(len(new), LATEST_S))
        yield
        for part, width in _portions(widths, 2, len(low)):
            if width > MAX_WIDTH:
                break
            some, low_here = _part(group, low, part)
            before = [self.habits[c] for c in new[part]]
            found = yield from self._posterior(some, low_here, width, before, 2)
            path = yield from choose(found, some.marks)
            yield
            first = learn(some, path, before)
            yield
            zero = [replace(h, first_order=False) for h in first]
            found = yield from self._posterior(some, low_here, width, first, 2)
            without = yield from self._posterior(some, low_here, width, zero, 1)
            better = found.log_likelihood - MEMORY_COSTS > without.log_likelihood
            for i, c in enumerate(new[part]):
                self.habits[c] = replace(first[i], first_order=bool(better[i]), marks=before[i].marks)

    def _timed(self, columns: Ints) -> Generator[None, None, Ints]:
        """Align timed copies; returns those too loose in time, which must go as sheets."""
        loose = [np.empty(0, np.intp)]
        states_of = np.array([self._states(self.habits[c]) for c in columns], dtype=np.intp)
        for states in sorted(set(states_of.tolist())):
            mine = columns[states_of == states]
            group = select(self.group, mine)
            yield
            low, widths = window(group, self._latest_s(mine, group))
            yield
            for part, width in _portions(widths, states, len(low)):
                if width > MAX_WIDTH:
                    loose.append(mine[part])
                    continue
                some, low_here = _part(group, low, part)
                habits = [self.habits[c] for c in mine[part]]
                found = yield from self._posterior(some, low_here, width, habits, states)
                path = yield from choose(found, some.marks)
                yield from self._finish(mine[part], some, path)
        return np.concatenate(loose)

    def _sheets(self, columns: Ints) -> Work:
        if not len(columns):
            return
        group = select(self.group, columns)
        group = replace(group, at_s=np.full_like(group.at_s, np.nan))
        widths = sheet.breadth(group.symbols, group.marks)
        for part, _ in _portions(widths, 0, 3 * len(group.written)):
            some = select(group, part)
            before = habits = [self.habits[c] for c in columns[part]]
            for _ in range(2):
                rows = habit_rows(habits)
                found = yield from sheet.posterior(some, rows, self.substitutions, self.in_play)
                path = yield from choose(found, some.marks)
                habits = learn(some, path, before)
            yield from self._finish(columns[part], some, path)

    def _states(self, h: Habits) -> int:
        """2 where falling behind is remembered from mark to mark: it gains .0005 for twice the time."""
        return 2 if self.thorough and h.first_order else 1

    def _latest_s(self, columns: Ints, group: Group) -> Floats:
        """Up to which lag to look, (C,): in a class, that of a slow answer written one behind."""
        if self.thorough:
            return np.full(len(columns), LATEST_S)
        rows = habit_rows([self.habits[c] for c in columns])
        slow_s = np.exp(rows.log_lag + UNLIKELY_SDS * rows.spread) - LAG_SHIFT_S
        return np.clip(slow_s + group.tempo_s, 1.5, LATEST_S)

    def _posterior(
        self, some: Group, low: Ints, width: int, habits: Sequence[Habits], states: int
    ) -> Generator[None, None, timed.Posterior]:
        rows = habit_rows([h if h.first_order else h.without_memory() for h in habits])
        work = reading(some, rows, low, width, states, self.substitutions, self.in_play)
        return (yield from timed.posterior(work))

    def _finish(self, seats: Ints, some: Group, path: Path) -> Work:
        """Keep a portion's alignments, and what they taught."""
        yield
        before = [self.copies[c].habits or NOBODY for c in seats]
        learned = learn(some, path, before, [self.habits[c] for c in seats])
        yield
        answered = np.zeros((len(seats), len(some.sent) + 1), bool)
        answered[np.arange(len(seats)), path.symbol] = True  # -1 goes to the last place, which nobody reads
        symbol, confidence = np.ascontiguousarray(path.symbol.T), np.ascontiguousarray(path.confidence.T)
        for i, c in enumerate(seats.tolist()):
            self.habits[c] = learned[i]
            count, symbols = some.marks[i], some.symbols[i]
            missed = np.flatnonzero(~answered[i, :symbols])
            self._settle(c, symbol[i, :count], confidence[i, :count], missed)
            if i % COPIES_A_SLICE == 0:
                yield

    def _settle(self, c: int, symbol: Ints, confidence: NDArray[np.floating], missed: Ints) -> None:
        heard = self.copies[c].heard
        if heard is not None:
            names = np.append(np.array(heard, np.intp), -1)
            symbol, missed = names[symbol], names[missed]
        attribution: list[int | None] = symbol.tolist()
        for k in np.flatnonzero(symbol < 0).tolist():
            attribution[k] = None
        alignment = Alignment(tuple(attribution), tuple(confidence.tolist()), tuple(missed.tolist()))
        self.aligned[c] = Aligned(alignment, self.habits[c], self.refused.get(c, ""))


def _part(group: Group, low: Ints, part: Ints) -> tuple[Group, Ints]:
    some = select(group, part)
    return some, np.take(low[: len(some.written)], part, axis=1)


def _portions(widths: Ints, states: int, count: int) -> Iterator[tuple[Ints, int]]:
    """Copies in portions of like width, each small enough to be worked on at once, and the portion's width.

    states : of timed copies, whose work grows with the square of their width; 0 for sheets.
    """
    order = np.argsort(widths, kind="stable")
    while len(order):
        w = widths[order]
        cells = count * (w * states * (w * states + w + 1) if states else w)
        take = max(1, int(np.count_nonzero(cells * np.arange(1, len(w) + 1) <= MAX_CELLS)))
        part, order = order[:take], order[take:]
        yield part, int(widths[part[-1]])
