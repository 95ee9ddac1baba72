"""A class's knowledge, kept up with its runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.knowledge.answers import Answers, Gathering, joined
from copyroom.core.knowledge.belief import Asked, Belief, believe_in_slices
from copyroom.core.knowledge.posterior import (
    Point,
    Solved,
    Sums,
    linearised,
    solve_in_slices,
    spread_anew,
)
from copyroom.core.knowledge.practice import Floats
from copyroom.core.record import PastRun, columns_of
from copyroom.core.slices import Slices, at_once

Speeds = tuple[float | None, float | None]
"""Character and overall speed in words (PARIS) a minute; None stands for the class's usual one."""

ROWS_A_SLICE = 8_000
MOST_STEPS = 8
STILL = 0.003
"""When no strength moves more than this on the logit scale, a fit is done."""
SPREADS_FROM = 2
"""The first steps leave the spreads alone, until the point is near."""
ANEW_AFTER = 0.1
"""Whenever so much of all answers was new, all are linearised anew; what came since is, at each learning.

When that is depends on the runs alone, and each fit begins with what is usual: learned at once, run by run or
after a restart, the same runs come to the same belief.
"""
NEW_STEPS = 3


class Knowledge:
    """What is believed after some runs, taken in order. The same runs always give the same belief."""

    def __init__(self) -> None:
        self._gathering = Gathering()
        self._parts: list[Answers] = []
        self._rows = self._rows_new = 0
        self._fitted = 0  # how many of the parts `base` and `sums` are made of
        self._due: tuple[int, Floats] | None = None
        self._base = Point.usual(0)
        self._sums = Sums.none(0, 0)
        self._point = Point.usual(0)
        self._solved: Solved | None = None
        self._tested = np.zeros((0, len(SYMBOLS)))
        self._day = 0
        self._evenings = 0

    @property
    def names(self) -> tuple[str, ...]:
        """Everybody who was present or has a copy, in order of appearance."""
        return tuple(self._gathering.rows)

    def enrol(self, names: Iterable[str]) -> None:
        """Have an opinion of these too, even if it is only what is usual."""
        self._gathering.enrol(list(names))
        self._grow()

    def learn_in_slices(self, runs: Sequence[PastRun]) -> Slices[None]:
        """Take the next runs into account, oldest first."""
        for run in runs:
            self._gather(run)
            yield
        if self._due is not None:
            yield from self._fit_anew(*self._due)
        yield from self._fit_new()

    learn = at_once(learn_in_slices)

    def believe_in_slices(
        self, day: int, signs: str, speeds: Speeds = (None, None), names: Sequence[str] | None = None
    ) -> Slices[Belief]:
        """What is believed for a day, not before that of the last run, of everybody or of some.

        Who was never heard of is enrolled. Raises ValueError when there is nobody, or nothing to ask for.
        """
        self.enrol(names or ())
        asked_of = self.names if names is None else tuple(names)
        if not asked_of or not signs:
            raise ValueError("There is nobody, or nothing, to say anything of.")
        rows = np.array([self._gathering.rows[name] for name in asked_of])
        columns, practice = columns_of(signs), self._gathering.practice
        x = practice.features_on(max(day, self._day), columns, speeds)[rows]
        point, solved = yield from self._fit()
        asked = Asked(asked_of, signs, rows, columns, x, max(0, day - self._day))
        guessing = self._gathering.guessing()
        return (yield from believe_in_slices(asked, point, solved, self._tested, practice.met, guessing))

    believe = at_once(believe_in_slices)

    def path_in_slices(self, signs: str, speeds: Speeds = (None, None)) -> Slices[list[tuple[int, Belief]]]:
        """What everybody then in the class knew at the end of each day, of those signs that were met by then.

        By all that was ever copied: a later answer tells of earlier days, too.
        """
        path: list[tuple[int, Belief]] = []
        if not self._parts:
            return path
        point, solved = yield from self._fit()
        guessing = self._gathering.guessing()
        for practice in self._gathering.practice.ends:
            columns = columns_of(signs)
            columns = columns[practice.sendings[:, columns].sum(axis=0) > 0.0]
            if not len(columns):
                continue
            rows = np.arange(len(practice.met))
            then = "".join(sign for sign in signs if INDEX[sign] in set(columns.tolist()))
            x = practice.features_on(practice.day, columns, speeds)
            asked = Asked(self.names[: len(rows)], then, rows, columns, x, 0)
            believed = yield from believe_in_slices(
                asked, point, solved, self._tested, practice.met, guessing
            )
            path.append((practice.day, believed))
        return path

    def _gather(self, run: PastRun) -> None:
        rows = self._gathering.take(run)
        self._grow()
        self._day = max(self._day, run.day)
        if rows is None:
            return
        self._parts.append(rows)
        self._rows += len(rows.sent)
        self._rows_new += len(rows.sent)
        np.add.at(self._tested, (rows.learner, rows.symbol), rows.sent)
        self._evenings = max(self._evenings, int(rows.evening.max()) + 1)
        if self._rows_new > ANEW_AFTER * self._rows:
            self._due, self._rows_new = (len(self._parts), self._gathering.guessing()), 0

    def _grow(self) -> None:
        learners = len(self._gathering.rows)
        more = learners - len(self._tested)
        if more:
            self._base.enrol(learners)
            self._tested = np.vstack([self._tested, np.zeros((more, len(SYMBOLS)))])
            self._solved = None

    def _fit_anew(self, parts: int, guessing: Floats) -> Slices[None]:
        """Linearise the first parts until the point stands still."""
        rows, point = joined(self._parts[:parts]), Point.usual(len(self._tested))
        for step in range(MOST_STEPS):
            before = point.d.copy()
            sums = Sums.none(len(self._tested), self._evenings)
            for start in range(0, len(rows.sent), ROWS_A_SLICE):
                sums.add(linearised(rows.part(start, start + ROWS_A_SLICE), guessing, point, self._evenings))
                yield
            solved = yield from solve_in_slices(sums, point)
            yield
            if step >= SPREADS_FROM:
                spread_anew(solved, point)
                yield
            if step > SPREADS_FROM and np.abs(point.d - before).max() < STILL:
                break
        self._parts[:parts], self._fitted = [rows], 1
        self._base, self._sums, self._due = point, sums, None

    def _fit(self) -> Slices[tuple[Point, Solved]]:
        """The point and how sure it is, with what is new."""
        if self._solved is None:
            yield from self._fit_new()
        assert self._solved is not None
        return self._point, self._solved

    def _fit_new(self) -> Slices[None]:
        """Linearise only the parts that are new; of the others the parabola of the last fit stands."""
        point, learners, evenings = self._base.copy(), len(self._tested), self._evenings
        fresh, guessing = self._parts[self._fitted :], self._gathering.guessing()
        rows = joined(fresh) if fresh else None
        for _ in range(NEW_STEPS if fresh else 1):
            sums = linearised(rows, guessing, point, evenings) if rows else Sums.none(learners, evenings)
            yield
            sums.add(self._sums)
            solved = yield from solve_in_slices(sums, point)
            yield
        self._point, self._solved = point, solved
