"""A whole class's copies of one push: sort them by machine and width, learn, align, a slice at a time."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from dataclasses import replace

import numpy as np

from copyroom.core.alignment import sheet, timed
from copyroom.core.alignment.copies import NOBODY, Aligned, Alignment, Copy, Habits
from copyroom.core.alignment.decode import Path, choose
from copyroom.core.alignment.fit import learn
from copyroom.core.alignment.group import Floats, Group, Ints, group, habit_rows, head, select
from copyroom.core.alignment.lag import LAG_SHIFT_S, LATEST_S
from copyroom.core.alignment.marks import BLANK_MARK, substitution
from copyroom.core.alignment.slots import reading, window
from copyroom.core.alignment.times import read_times, refusal, sane_times

MAX_WIDTH = 40
"""More symbols than this a mark is never chosen among; such a copy is aligned without its times."""
KNOWN_MARKS = 60.0
"""A seat known from fewer marks is first studied on the head of its copy."""
HEAD_MARKS = 64
OFTEN_BEHIND = 0.12
"""Share of marks from which falling behind is worth remembering from mark to mark."""
UNLIKELY_SDS = 3.0
"""Lags so far above a learner's mean, in log standard deviations, are not looked at."""
MAX_CELLS = 6_000_000
"""Matrix cells worked on at once, 4 bytes each."""

Work = Generator[None, None, None]


class Scoring:
    """One push, its copies, and their alignments as they come."""

    def __init__(
        self, sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy], thorough: bool
    ) -> None:
        self.sent = np.array([*map(_index, sent)], dtype=np.intp)
        self.copies = copies
        self.habits: list[Habits] = [copy.habits or NOBODY for copy in copies]
        self.aligned: list[Aligned | None] = [None] * len(copies)
        self.thorough = thorough
        ends = (
            np.arange(len(sent), dtype=np.float64) if end_s is None else np.asarray(end_s, dtype=np.float64)
        )
        timed = end_s is not None and len(end_s) > 0
        times = [read_times(copy.at_s if timed else None, len(copy.written)) for copy in copies]
        self.refused = [refusal(ends, at_s) if timed else "" for at_s in times]
        times = [
            np.full_like(at_s, np.nan) if no else sane_times(at_s, ends) if len(at_s) else at_s
            for at_s, no in zip(times, self.refused, strict=True)
        ]
        self.group = group(self.sent, ends, copies, times)
        shown = self.group.written[self.group.written != BLANK_MARK]
        in_play = np.unique(np.concatenate([self.sent, shown]))
        self.in_play, self.substitutions = len(in_play), substitution(in_play)

    def run(self) -> Work:
        """All copies; yields after each slice of work."""
        trivial = (self.group.marks == 0) | (self.group.symbols == 0)
        is_timed = np.isfinite(self.group.at_s).sum(axis=0) * 2 >= self.group.marks
        for c in np.flatnonzero(trivial):
            count = self.group.marks[c]
            self._settle(c, [-1] * count, [1.0] * count, list(range(self.group.symbols[c])))
        yield from self._study(np.flatnonzero(is_timed & ~trivial))
        untimed = yield from self._timed(np.flatnonzero(is_timed & ~trivial))
        yield from self._sheets(np.concatenate([np.flatnonzero(~is_timed & ~trivial), untimed]))

    def _study(self, columns: Ints) -> Work:
        """Learn the habits of seats that are hardly known, in zero and first order, from the heads of copies."""
        new = np.array([c for c in columns if self.habits[c].marks < KNOWN_MARKS], dtype=np.intp)
        if not len(new):
            return
        group = select(self.group, new)
        group = group if self.thorough else head(group, HEAD_MARKS)
        low, breadth = window(group, np.full(len(new), LATEST_S))
        for part, width in _portions(breadth.max(axis=0), 2, len(low)):
            if width > MAX_WIDTH:
                continue
            some, seats = select(group, part), new[part]
            some_low = low[: len(some.written), part]
            before = [self.habits[c] for c in seats]
            p = yield from self._posterior(some, some_low, width, before, 2)
            first = [replace(h, first_order=True) for h in learn(some, choose(p, some.marks), before)]
            zero = [replace(h, first_order=False) for h in first]
            p = yield from self._posterior(some, some_low, width, first, 2)
            q = yield from self._posterior(some, some_low, width, zero, 1)
            for i, c in enumerate(seats):
                better = p.log_likelihood[i] >= q.log_likelihood[i]
                self.habits[c] = replace(first[i] if better else zero[i], marks=before[i].marks)

    def _timed(self, columns: Ints) -> Generator[None, None, Ints]:
        """Align timed copies; returns those too loose in time, which must go as sheets."""
        loose = []
        often = np.array([self._states(self.habits[c]) for c in columns], dtype=np.intp)
        for states in (1, 2):
            mine = columns[often == states]
            if not len(mine):
                continue
            group = select(self.group, mine)
            low, breadth = window(group, self._latest_s(mine, group))
            yield
            for part, width in _portions(breadth.max(axis=0), states, len(low)):
                if width > MAX_WIDTH:
                    loose.extend(mine[part])
                    continue
                some = select(group, part)
                used = [self.habits[c] for c in mine[part]]
                p = yield from self._posterior(some, low[: len(some.written), part], width, used, states)
                yield from self._finish(mine[part], some, choose(p, some.marks))
        return np.array(loose, dtype=np.intp)

    def _states(self, h: Habits) -> int:
        """2 where falling behind is to be remembered from mark to mark."""
        remembers = self.thorough or h.behind / (h.behind + h.caught_up) > OFTEN_BEHIND
        return 2 if h.first_order and remembers else 1

    def _latest_s(self, columns: Ints, group: Group) -> Floats:
        """Up to which lag to look, (C,): in a class, a slow answer written one behind."""
        if self.thorough:
            return np.full(len(columns), LATEST_S)
        rows = habit_rows([self.habits[c] for c in columns])
        slow_s = np.exp(rows.log_lag + UNLIKELY_SDS * rows.spread) - LAG_SHIFT_S
        return np.clip(slow_s + group.tempo_s, 1.5, LATEST_S)

    def _sheets(self, columns: Ints) -> Work:
        if not len(columns):
            return
        group = select(self.group, columns)
        group = replace(group, at_s=np.full_like(group.at_s, np.nan))
        breadth = sheet.breadth(group.symbols, group.marks)
        for part, _ in _portions(breadth, 0, 3 * len(group.written)):
            some, seats = select(group, part), columns[part]
            used = [self.habits[c] for c in seats]
            for _ in range(2):
                p = yield from sheet.posterior(some, habit_rows(used), self.substitutions, self.in_play)
                path = choose(p, some.marks)
                used = learn(some, path, [self.habits[c] for c in seats])
            yield from self._finish(seats, some, path)

    def _posterior(
        self, some: Group, low: Ints, width: int, habits: Sequence[Habits], states: int
    ) -> Generator[None, None, timed.Posterior]:
        rows = habit_rows([h if h.first_order else _without_memory(h) for h in habits])
        work = reading(some, rows, low, width, states, self.substitutions, self.in_play)
        return (yield from timed.posterior(work))

    def _finish(self, seats: Ints, some: Group, path: Path) -> Work:
        yield
        before = [self.copies[c].habits or NOBODY for c in seats]
        learned = learn(some, path, before)
        yield
        answered = np.zeros((len(some.sent) + 1, len(seats)), bool)
        answered[path.symbol, np.arange(len(seats))] = True
        for i, c in enumerate(seats):
            self.habits[c] = replace(learned[i], first_order=self.habits[c].first_order)
            count = some.marks[i]
            missed = np.flatnonzero(~answered[: some.symbols[i], i]).tolist()
            self._settle(c, path.symbol[:count, i].tolist(), path.confidence[:count, i].tolist(), missed)
            if i % 32 == 31:
                yield

    def _settle(self, c: int, symbol: list[int], confidence: list[float], missed: list[int]) -> None:
        heard = self.copies[c].heard
        if heard is not None:
            symbol = [heard[j] if j >= 0 else -1 for j in symbol]
            missed = [heard[j] for j in missed]
        attribution = tuple([None if j < 0 else j for j in symbol])
        alignment = Alignment(attribution, tuple(confidence), tuple(missed))
        self.aligned[c] = Aligned(alignment, self.habits[c], self.refused[c])


def _index(sign: str) -> int:
    from copyroom.core.alphabet import INDEX

    return INDEX[sign]


def _without_memory(h: Habits) -> Habits:
    """Zero order: each lag and each falling behind stands for itself."""
    late = h.behind / (h.behind + h.caught_up)
    return replace(h, inertia=0.0, behind=late, caught_up=1 - late)


def _portions(widths: Ints, states: int, count: int) -> Iterator[tuple[Ints, int]]:
    """Copies in portions of like width, each small enough to be worked on at once."""
    order = np.argsort(widths, kind="stable")
    while len(order):
        w = widths[order].astype(np.int64)
        cells = count * (w * states * (w * states + w + 1) if states else w)
        take = max(1, int(np.count_nonzero(cells * np.arange(1, len(w) + 1) <= MAX_CELLS)))
        part, order = order[:take], order[take:]
        yield part, int(widths[part[-1]])
