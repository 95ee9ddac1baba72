"""What went before: how often each learner heard each sound, how long ago, and whether they ever met it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.record import PastRun, columns_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEVEL, PRACTICE, AWAY, UNMET, SPEED, SPACING, KEPT, HEAD_START = range(8)
"""Columns of x: 1; practice; time away; never met; log of character and overall speed against the class's
first; how much practice keeps over time; and what was practised before the record begins."""
FEATURES = 8

ONE_MEETING = 6.0
"""An introduction teaches as much as so many sendings that are copied."""
NAMED = 2.0
"""A sending whose name follows the answer teaches as much as so many that are copied (a rough prior: in
simulated classes 1 to 4 did about as well)."""
FEW_SENDINGS = 2.0
"""Practice counts by the logarithm of the sendings, from about this many on."""
WARM_AFTER = 15.0
"""Sendings of one evening after which half of the time away is forgotten."""
HEAD_START_SENDINGS = 30.0
"""What was known before the record begins may have been practised about so often."""


class Practice:
    """A fold over runs. All arrays have shape (learners, symbols), columns in table order.

    sendings : heard so far, named ones and introductions weighted.
    last_day : of hearing it; NaN for never.
    met : introduced to this learner, heard, or known before the record begins.
    """

    def __init__(self) -> None:
        self.sendings, self._today, self._before = np.zeros((3, 0, len(SYMBOLS)))
        self.last_day = np.zeros((0, len(SYMBOLS)))
        self.met = np.zeros((0, len(SYMBOLS)), bool)
        self._introduced = np.zeros(len(SYMBOLS), bool)
        self._day = -1
        self._past: list[Practice] = []
        self._usual: tuple[float | None, float | None] = (None, None)

    def enrol(self, learners: int) -> None:
        """Have rows for so many learners in all; what nobody was seen to introduce, all have met."""
        more = learners - len(self.met)
        if more > 0:
            empty = np.zeros((more, len(SYMBOLS)))
            self.sendings = np.vstack([self.sendings, empty])
            self._today = np.vstack([self._today, empty])
            self._before = np.vstack([self._before, empty + np.nan])
            self.last_day = np.vstack([self.last_day, empty + np.nan])
            self.met = np.vstack([self.met, np.tile(~self._introduced, (more, 1))])

    def begin(self, run: PastRun, present: Ints) -> None:
        """A run is about to be heard; `present` are the rows of those who met what it introduces."""
        self._turn(run.day)
        self._usual = (self._usual[0] or run.wpm, self._usual[1] or run.overall_wpm)
        new = columns_of(run.introduce)
        first = new[~self._introduced[new]]
        heard = np.isfinite(self.last_day[:, first])
        self.met[:, first] &= heard
        self._introduced[new] = True
        self._hear(run.day, present, new, np.full(len(new), ONE_MEETING))

    def end(self, run: PastRun, rows: Ints, symbols: Ints, times: Ints) -> None:
        """It was heard: each of these symbols so many times, by these rows."""
        self._hear(run.day, rows, symbols, times.astype(float) * (NAMED if run.kind == "named" else 1.0))

    def features(self, run: PastRun, rows: Ints, symbols: Ints, times: Ints) -> Floats:
        """What x is while a run is heard, (rows, symbols, P): on the way half of its names were told."""
        told = times.astype(float) * (NAMED / 2.0 if run.kind == "named" else 0.0)
        return self._features(run.day, rows, symbols, (run.wpm, run.overall_wpm), told)

    def features_on(self, day: int, symbols: Ints, speeds: tuple[float | None, float | None]) -> Floats:
        """What x is of everybody on a day, at (character, overall) speeds in words a minute, (L, S, P)."""
        rows = np.arange(len(self.met))
        if day > self._day:
            after = _Glance(self)
            after._turn(day)
            return after._features(day, rows, symbols, speeds, np.zeros(len(symbols)))
        return self._features(day, rows, symbols, speeds, np.zeros(len(symbols)))

    @property
    def day(self) -> int:
        """That of the last run; -1 before the first."""
        return self._day

    @property
    def ends(self) -> list[Practice]:
        """How it stood at the end of each day, the last one as it stands now."""
        return [*self._past, self] if self._day >= 0 else []

    def _turn(self, day: int) -> None:
        if day > self._day:
            if self._day >= 0 and not isinstance(self, _Glance):
                self._past.append(_Frozen(self))
            self._day = day
            self._before, self._today = self.last_day.copy(), np.zeros_like(self.sendings)

    def _hear(self, day: int, rows: Ints, symbols: Ints, worth: Floats) -> None:
        cells = np.ix_(rows, symbols)
        self.sendings[cells] += worth
        self._today[cells] += worth
        self.last_day[cells] = day
        self.met[cells] = True

    def _features(
        self, day: int, rows: Ints, symbols: Ints, speeds: tuple[float | None, float | None], told: Floats
    ) -> Floats:
        cells = np.ix_(rows, symbols)
        before = self._before[cells]
        days = np.where(np.isnan(before), 0.0, day - np.nan_to_num(before))
        sendings = self.sendings[cells] + told
        x: Floats = np.zeros((*sendings.shape, FEATURES))
        x[..., LEVEL] = 1.0
        x[..., PRACTICE] = np.log1p(sendings / FEW_SENDINGS)
        x[..., AWAY] = np.log1p(days) / (1.0 + (self._today[cells] + told) / WARM_AFTER)
        x[..., UNMET] = ~self.met[cells]
        x[..., SPEED], x[..., SPACING] = map(_log_ratio, speeds, self._usual)
        x[..., KEPT] = x[..., AWAY] * x[..., PRACTICE]
        head_start = np.log1p((sendings + HEAD_START_SENDINGS) / FEW_SENDINGS) - x[..., PRACTICE]
        x[..., HEAD_START] = ~self._introduced[symbols] * head_start
        return x


class _Glance(Practice):
    """The same practice seen from a later day, which the original does not turn to."""

    def __init__(self, of: Practice) -> None:
        self.__dict__.update(of.__dict__)


class _Frozen(_Glance):
    """The same practice as it stands at the end of a day."""

    def __init__(self, of: Practice) -> None:
        super().__init__(of)
        for name in ("sendings", "_today", "_before", "last_day", "met", "_introduced"):
            setattr(self, name, getattr(of, name).copy())


def _log_ratio(speed: float | None, usual: float | None) -> float:
    return float(np.log(speed / usual)) if speed and usual else 0.0
