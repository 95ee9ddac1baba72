"""One seat's alignment while the push runs: the same model, one mark at a time, the best way only.

For each state that the last mark may have left (which symbol it answered, how late) the best way there
is kept, with its log probability (Viterbi, IEEE Trans. Inf. Theory 13, 1967). States far behind the best
one are dropped; mostly two or three are left, so that a mark costs some tens of microseconds. Ways share
their beginnings: each is a chain of `Step` back to the first mark.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import exp, inf, isfinite, log, pi, sqrt
from operator import itemgetter
from typing import NamedTuple, TypeAlias

import numpy as np

from copyroom.core.alignment.copies import NOBODY, Alignment, Habits
from copyroom.core.alignment.gaps import gap_probability
from copyroom.core.alignment.group import MARK_INDEX, sign_indices
from copyroom.core.alignment.lag import EARLIEST_S, LAG_SHIFT_S, LATEST_S, WILD, WILD_DENSITY
from copyroom.core.alignment.marks import (
    BLANK_MARK,
    EXTRA_BLANK,
    EXTRA_FOLLOWS,
    EXTRA_REPEATS,
    EXTRA_SOON_S,
    substitution,
)

UNTIMED_AHEAD = 8
"""A mark without a time may answer one of so many next symbols."""
PROVISIONAL_MARKS = 2
"""So many of the latest marks may still change their symbol (more look-ahead gains next to nothing)."""
LAG_99_SDS = 2.326
"""The normal quantile of .99."""
_BEAM = 9.0
"""States whose log probability is so far below the best are dropped."""
_FEWEST = 1e-5
_SCORE = itemgetter(0)


Step: TypeAlias = "tuple[int | None, Step | None]"
"""One mark on a way: the symbol it answers (None: an extra mark), and the step before.

A class makes tens of thousands. Garbage collection looks through plain tuples of such things once only.
"""


class State(NamedTuple):
    """Log probability, last symbol answered, behind or not, its standardised lag (None: not remembered)."""

    score: float
    last: int
    behind: int
    z: float | None
    way: Step | None


@lru_cache(maxsize=64)
def _log_substitutions(in_play: tuple[int, ...]) -> list[list[float]]:
    table = np.log(np.maximum(substitution(np.array(in_play)), _FEWEST))
    rows: list[list[float]] = table.tolist()
    return rows


@lru_cache(maxsize=512)
def _log_gaps(skip: float, skip_on: float, longest: int) -> list[float]:
    gaps: list[float] = np.log(gap_probability(np.array([skip]), np.array([skip_on]), longest)[0]).tolist()
    return gaps


class LiveAlignment:
    """One seat's alignment of one push, while it runs.

    Parameters
    ----------
    sent : signs of the whole push, without spaces.
    end_s : when each sound ends, seconds.
    habits : what earlier runs of the seat taught, or None.
    """

    def __init__(self, sent: str, end_s: Sequence[float], habits: Habits | None = None) -> None:
        if len(sent) != len(end_s):
            raise ValueError(f"{len(sent)} symbols were sent, but {len(end_s)} ends given")
        h = habits or NOBODY
        self._habits = h if h.first_order else h.without_memory()
        self._sent: list[int] = sign_indices(sent).tolist()
        tempo_s = float(np.median(np.diff(end_s))) if len(sent) > 1 else 1.0
        self._tempo_s = max(tempo_s, 1e-3)
        self._ends = [*map(float, end_s), (end_s[-1] if len(sent) else 0.0) + self._tempo_s]
        self._signs = set(self._sent)
        self._bring_into_play()
        self._log_gap = _log_gaps(h.skip, h.skip_on, len(sent))
        self._prepare()
        self._states = [State(0.0, -1, 0, None, None)]
        self._marks = 0
        self._before: int | None = None
        self._at_s: float | None = None
        self._latest_s = -inf

    def _bring_into_play(self) -> None:
        """What may be written is what was sent, and what this learner has written besides."""
        self._in_play = max(2, len(self._signs))
        self._log_substitution = _log_substitutions(tuple(sorted(self._signs)))

    def _prepare(self) -> None:
        h = self._habits
        late = h.behind / (h.behind + h.caught_up)
        other = max(_FEWEST, 1 - h.recall - h.blank)
        self._log_recall, self._log_blank, self._log_other = log(h.recall), log(h.blank), log(other)
        self._log_start = (log(1 - late), log(late))
        self._log_change = ((log(1 - h.behind), log(h.behind)), (log(h.caught_up), log(1 - h.caught_up)))
        self._log_lag, self._spread, self._inertia = h.log_lag, h.spread, h.inertia
        self._sharpness = 0.5 / (1 - h.inertia**2)
        self._log_sharpness = 0.5 * log(2 * self._sharpness)
        self._log_density = log(1 - WILD) - log(h.spread * sqrt(2 * pi))
        self._log_wild = log(WILD * WILD_DENSITY)
        slow_s = exp(h.log_lag + LAG_99_SDS * h.spread) - LAG_SHIFT_S
        self._lag_99_s = slow_s + (self._tempo_s if late > 0.01 else 0.0)

    def write(self, sign: str, at_s: float | None) -> None:
        """Take one more mark: a sign or a blank, and its time on the clock of `end_s` (None: unknown)."""
        mark = MARK_INDEX[sign]
        if mark not in self._signs and mark != BLANK_MARK:
            self._signs.add(mark)
            self._bring_into_play()
        states = self._states
        log_extra = self._log_extra(mark, at_s)
        best = states[0].score
        # An extra mark is always possible, so what is far below that need not be worked out.
        self._floor = best + log_extra - _BEAM
        new = [State(s[0] + log_extra, s[1], s[2], None, (None, s[4])) for s in states if s[0] > best - _BEAM]
        if at_s is None:
            self._answer_untimed(mark, new)
        else:
            self._answer_timed(mark, at_s, new)
            self._latest_s = max(self._latest_s, at_s)
        floor = max(map(_SCORE, new)) - _BEAM
        self._states = sorted([s for s in new if s[0] > floor], key=_SCORE, reverse=True)
        self._marks += 1
        self._before, self._at_s = mark, at_s

    def _answer_timed(self, mark: int, at_s: float, new: list[State]) -> None:
        """Add the best way to answer each symbol that the time allows, on time and one behind."""
        ends, sent = self._ends, self._sent
        low = bisect_left(ends, at_s - LATEST_S)
        high = min(bisect_right(ends, at_s - EARLIEST_S), len(ends))
        log_lags = [log(at_s - end_s + LAG_SHIFT_S) for end_s in ends[low:high]]
        for i in range(min(high, len(sent)) - low):
            log_mark = self._log_mark(sent[low + i], mark)
            self._answer(low + i, 0, log_mark, log_lags[i], new)
            if i + 1 < len(log_lags):
                self._answer(low + i, 1, log_mark, log_lags[i + 1], new)

    def _answer(self, j: int, behind: int, log_mark: float, log_lag: float, new: list[State]) -> None:
        near = log_mark + self._log_density - log_lag
        wild = log_mark + self._log_wild
        top = self._floor
        if self._states[0][0] + max(near + self._log_sharpness, wild) < top:
            return
        z = (log_lag - self._log_lag) / self._spread
        fresh = max(wild, near - 0.5 * z * z) + self._log_start[behind]
        near += self._log_sharpness
        log_gap, inertia, sharpness, change = self._log_gap, self._inertia, self._sharpness, self._log_change
        found = False
        for before, last, was_behind, z_before, way_before in self._states:
            if last >= j:
                continue
            score = before + log_gap[j - last - 1]
            if z_before is None:
                score += fresh
            else:
                off = z - inertia * z_before
                remembered = near - sharpness * off * off
                score += change[was_behind][behind] + (remembered if remembered > wild else wild)
            if score > top:
                top, way, found = score, way_before, True
        if found:
            new.append(State(top, j, behind, z, (j, way)))

    def _answer_untimed(self, mark: int, new: list[State]) -> None:
        """Add the best ways to answer the next few symbols by a mark without a time."""
        low = self._states[0].last + 1
        for j in range(low, min(low + UNTIMED_AHEAD, len(self._sent))):
            log_mark = self._log_mark(self._sent[j], mark) - log(self._tempo_s)
            for s in self._states:
                if s.last < j:
                    score = s.score + self._log_gap[j - s.last - 1] + log_mark
                    new.append(State(score, j, s.behind, None, (j, s.way)))

    def _log_mark(self, sent: int, written: int) -> float:
        if written == sent:
            return self._log_recall
        if written == BLANK_MARK:
            return self._log_blank
        return self._log_other + self._log_substitution[sent][written]

    def _log_extra(self, mark: int, at_s: float | None) -> float:
        anything = EXTRA_BLANK if mark == BLANK_MARK else (1 - EXTRA_BLANK) / self._in_play
        shown = EXTRA_REPEATS * (mark == self._before) + (1 - EXTRA_REPEATS) * anything
        density = 1 / self._tempo_s
        if at_s is not None and self._at_s is not None:
            soon = exp(-max(at_s - self._at_s, 0.0) / EXTRA_SOON_S) / EXTRA_SOON_S
            density = EXTRA_FOLLOWS * soon + (1 - EXTRA_FOLLOWS) * density
        return log(self._habits.extra * shown * density)

    @property
    def provisional_from(self) -> int:
        """Index of the first mark whose symbol may still change."""
        return max(0, self._marks - PROVISIONAL_MARKS)

    def current(self) -> Alignment:
        """The alignment so far; marks from `provisional_from` on may still change.

        Confidence is the share of the ways still open, by their probability, that agree on a mark. Missed are
        the symbols that `missed_by` the time of the latest mark.
        """
        attribution = list(_symbols(self._states[0].way))
        agree = [0.0] * self._marks
        weights = [exp(s.score - self._states[0].score) for s in self._states]
        for state, weight in zip(self._states, weights, strict=True):
            for k, symbol in enumerate(_symbols(state.way)):
                agree[k] += weight * (symbol == attribution[k])
        total = sum(weights)
        return Alignment(
            tuple(attribution[::-1]),
            tuple(a / total for a in agree[::-1]),
            self.missed_by(self._latest_s) if isfinite(self._latest_s) else (),
        )

    def missed_by(self, now_s: float) -> tuple[int, ...]:
        """Indices of the symbols nobody wrote for, whose time is over: this learner's 99 % lag has passed.

        A symbol that is neither answered nor missed is pending: it belongs in no figure yet.
        """
        answered = set(_symbols(self._states[0].way))
        over = bisect_right(self._ends, now_s - self._lag_99_s, hi=len(self._sent))
        return tuple(i for i in range(over) if i not in answered)


def _symbols(way: Step | None) -> Iterator[int | None]:
    """The symbols of a way's marks, latest first."""
    while way is not None:
        symbol, way = way
        yield symbol
