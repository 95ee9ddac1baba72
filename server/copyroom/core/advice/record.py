"""What a class has copied so far, as far as it still matters for what to send next.

A fold over exercises: `Record.extend` takes the next ones, and the same exercises always give the same
record, so a record can be kept and continued, or made anew from the whole history.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import INDEX, SYMBOLS

Floats = NDArray[np.float64]

FORGET_PER_SENDING = 0.9
"""Older answers count less by this factor with each later sending of the same symbol."""
LONGEST_TAIL = 300
"""Signs: five for each symbol of the code, and some."""
_ABSENT = "\0"


@dataclass(frozen=True, slots=True)
class Exercise:
    """One text and its copies.

    day : number of the meeting's day.
    introduce : signs taught before the text.
    sent : the text, without spaces.
    copies : name -> one sign for each one sent, "_" for blank or missed. Who was absent has none.
    """

    day: int
    introduce: str
    sent: str
    copies: Mapping[str, str]

    def __post_init__(self) -> None:
        for name, copy in self.copies.items():
            if len(copy) != len(self.sent):
                raise ValueError(
                    f"the copy of {name!r} has {len(copy)} symbols where {len(self.sent)} were sent"
                )
        for sign in {*self.introduce, *self.sent}:
            if sign not in INDEX:
                raise ValueError(f"{sign!r} is not a symbol of the code")


def _codes(text: str) -> NDArray[np.uint32]:
    return np.frombuffer(text.encode("utf-32-le", "surrogatepass"), np.uint32)


@dataclass(slots=True)
class Record:
    """Running figures of one class; rows are learners in order of first appearance, columns the table.

    hits, tries : shape (learners, symbols), sendings copied right and heard, older ones fading with each
        later one that the class heard: what somebody could do a month ago says little after an absence.
    last_sent : shape (symbols,), 1-based place of the latest sending in the stream of all, 0 = never.
    last_day, first_day : shape (symbols,), day of the latest and first sending, -1 = never.
    sendings : shape (symbols,), how often sent in all.
    sent_total : length of the stream.
    tail : the last signs sent, `LONGEST_TAIL` at most.
    texts : those of the last day, in order.
    scores : share copied right of each exercise that anyone copied, class mean.
    days : days of meetings with an exercise, in order.
    attended : name -> those of the days on which the learner copied anything.
    """

    rows: dict[str, int] = field(default_factory=dict)
    hits: Floats = field(default_factory=lambda: np.zeros((0, len(SYMBOLS))))
    tries: Floats = field(default_factory=lambda: np.zeros((0, len(SYMBOLS))))
    last_sent: NDArray[np.int64] = field(default_factory=lambda: np.zeros(len(SYMBOLS), np.int64))
    last_day: NDArray[np.int64] = field(default_factory=lambda: np.full(len(SYMBOLS), -1))
    first_day: NDArray[np.int64] = field(default_factory=lambda: np.full(len(SYMBOLS), -1))
    sendings: NDArray[np.int64] = field(default_factory=lambda: np.zeros(len(SYMBOLS), np.int64))
    sent_total: int = 0
    tail: str = ""
    texts: tuple[str, ...] = ()
    scores: list[float] = field(default_factory=list)
    days: list[int] = field(default_factory=list)
    attended: dict[str, list[int]] = field(default_factory=dict)

    def extend(self, exercises: Iterable[Exercise]) -> None:
        """Take the next exercises into account, oldest first, in place.

        All at once, because a whole course comes with every request to a fresh process.
        """
        exercises = [exercise for exercise in exercises if exercise.sent]
        if not exercises:
            return
        self._enrol(exercises)
        stream = _Stream(exercises)
        written = _codes(
            "".join(
                exercise.copies.get(name) or _ABSENT * len(exercise.sent)
                for name in self.rows
                for exercise in exercises
            )
        ).reshape(len(self.rows), len(stream.days))
        right = written == _codes("".join(exercise.sent for exercise in exercises))
        seen, fading = stream.symbols, FORGET_PER_SENDING**stream.times
        for table, counted in ((self.hits, right), (self.tries, written != ord(_ABSENT))):
            table[:, seen] = table[:, seen] * fading + stream.faded_sums(counted)
        self._score(exercises, right)
        self.last_sent[seen] = self.sent_total + 1 + stream.last
        self.sendings[seen] += stream.times
        fresh = self.first_day[seen] < 0
        self.first_day[seen[fresh]] = stream.days[stream.first[fresh]]
        self.last_day[seen] = stream.days[stream.last]
        self.sent_total += len(stream.days)
        self.tail = (self.tail + "".join(exercise.sent for exercise in exercises))[-LONGEST_TAIL:]

    def _enrol(self, exercises: Sequence[Exercise]) -> None:
        for exercise in exercises:
            if not self.days or self.days[-1] != exercise.day:
                self.days.append(exercise.day)
                self.texts = ()
            self.texts += (exercise.sent,)
            for name in exercise.copies:
                self.rows.setdefault(name, len(self.rows))
                attended = self.attended.setdefault(name, [])
                if not attended or attended[-1] != exercise.day:
                    attended.append(exercise.day)
        newcomers = np.zeros((len(self.rows) - len(self.hits), len(SYMBOLS)))
        self.hits = np.vstack([self.hits, newcomers])
        self.tries = np.vstack([self.tries, newcomers])

    def _score(self, exercises: Sequence[Exercise], right: NDArray[np.bool_]) -> None:
        right_at, end = right.sum(axis=0), 0
        for exercise in exercises:
            start, end = end, end + len(exercise.sent)
            if exercise.copies:
                answers = len(exercise.copies) * len(exercise.sent)
                self.scores.append(float(right_at[start:end].sum()) / answers)


class _Stream:
    """The sendings of some exercises one after the other, sorted by symbol.

    symbols : shape (U,), columns of the symbols sent, each once.
    times, first, last : shape (U,), how often each was sent, and its first and last place in the stream.
    days : shape (N,), day of each place.
    """

    def __init__(self, exercises: Sequence[Exercise]) -> None:
        columns = np.array([INDEX[sign] for exercise in exercises for sign in exercise.sent])
        self._order = np.argsort(columns, kind="stable")
        self.symbols, self._starts, self.times = np.unique(
            columns[self._order], return_index=True, return_counts=True
        )
        ends = self._starts + self.times
        later = np.repeat(ends, self.times) - 1 - np.arange(len(columns))
        self._fading = FORGET_PER_SENDING**later
        self.first, self.last = self._order[self._starts], self._order[ends - 1]
        self.days = np.repeat([e.day for e in exercises], [len(e.sent) for e in exercises])

    def faded_sums(self, counted: NDArray[np.bool_]) -> Floats:
        """Per learner and symbol the sum of what counted, each later sending fading it; shape (S, U)."""
        sums: Floats = np.add.reduceat(counted[:, self._order] * self._fading, self._starts, axis=1)
        return sums
