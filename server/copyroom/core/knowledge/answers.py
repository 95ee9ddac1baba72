"""Answers as the model takes them: one row for each learner, symbol and run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.knowledge.practice import Floats, Ints, Practice
from copyroom.core.record import PastRun, columns_of

GUESSERS_PRIOR = 4.0
"""The class's habit of leaving blanks stands in for a learner's as if it were so many lost sounds."""


@dataclass(frozen=True, slots=True)
class Answers:
    """Rows of one run or of many, all arrays of the same first length.

    learner, symbol : which cell. sent, right : how often it was sent there and copied right.
    x : shape (rows, features). keys : how many keys were in play. evening : one number for each learner and
    day, whose rows hang together.
    """

    learner: Ints
    symbol: Ints
    sent: Floats
    right: Floats
    x: Floats
    keys: Floats
    evening: Ints

    def part(self, start: int, end: int) -> Answers:
        """Some of the rows."""
        return Answers(*(getattr(self, name)[start:end] for name in self.__slots__))


def joined(parts: list[Answers]) -> Answers:
    """All rows of several, in order."""
    return Answers(*(np.concatenate([getattr(p, name) for p in parts]) for name in Answers.__slots__))


class Gathering:
    """Runs taken in, in order: their rows, and who leaves blanks.

    lost_blank, lost_written : shape (L,), sounds lost by each learner: left blank, and answered with another
        (what guessing got right reckoned in).
    """

    def __init__(self) -> None:
        self.rows: dict[str, int] = {}
        self.practice = Practice()
        self.lost_blank, self.lost_written = np.zeros((2, 0))
        self._evenings: dict[tuple[int, int], int] = {}

    def enrol(self, names: list[str]) -> None:
        """Have a row for each."""
        for name in names:
            self.rows.setdefault(name, len(self.rows))
        more = np.zeros(len(self.rows) - len(self.lost_blank))
        self.lost_blank = np.concatenate([self.lost_blank, more])
        self.lost_written = np.concatenate([self.lost_written, more])
        self.practice.enrol(len(self.rows))

    def take(self, run: PastRun) -> Answers | None:
        """The rows of the next run; None when nobody copied it."""
        self.enrol([*run.present, *run.copies])
        present = np.array([self.rows[name] for name in run.met_by], np.int64)
        self.practice.begin(run, present)
        if not run.copies or not run.sent:
            return None
        who = np.array([self.rows[name] for name in run.copies], np.int64)
        sent = columns_of(run.sent)
        symbols, place, times = np.unique(sent, return_inverse=True, return_counts=True)
        written = columns_of("".join(run.copies.values())).reshape(len(who), len(sent))
        hit = written == sent
        right = hit.astype(float) @ (place[:, None] == np.arange(len(symbols)))
        keys = len(run.in_play)
        self._note_lost(who, hit, written < 0, keys)
        x = self.practice.features(run, who, symbols, times)
        self.practice.end(run, who, symbols, times)
        learner, symbol = (cell.ravel() for cell in np.meshgrid(who, symbols, indexing="ij"))
        evenings = np.array([self._evening(int(row), run.day) for row in who])
        return Answers(
            learner,
            symbol,
            np.tile(times.astype(float), len(who)),
            right.ravel(),
            x.reshape(len(learner), -1),
            np.full(len(learner), float(keys)),
            np.repeat(evenings, len(symbols)),
        )

    def guessing(self) -> Floats:
        """Share of lost sounds for which each learner writes something all the same, shape (L,)."""
        blank, written = self.lost_blank, self.lost_written
        usual = (written.sum() + 1.0) / (written.sum() + blank.sum() + 2.0)
        share: Floats = (written + GUESSERS_PRIOR * usual) / (written + blank + GUESSERS_PRIOR)
        return share

    def _note_lost(self, who: Ints, hit: NDArray[np.bool_], blank: NDArray[np.bool_], keys: int) -> None:
        self.lost_blank[who] += blank.sum(axis=1)
        self.lost_written[who] += (~hit & ~blank).sum(axis=1) * keys / max(1, keys - 1)

    def _evening(self, row: int, day: int) -> int:
        return self._evenings.setdefault((row, day), len(self._evenings))
