"""Copies of one push as padded arrays, copies last, so that numpy's inner loop runs over the class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.copies import Copy, Habits
from copyroom.core.alignment.marks import BLANK_MARK
from copyroom.core.alphabet import BLANK, INDEX

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.intp]

MARK_INDEX = INDEX | {BLANK: BLANK_MARK}
"""sign or blank -> index as a mark."""

_MARK = np.zeros(max(map(ord, MARK_INDEX)) + 1, np.intp)
_MARK[[ord(sign) for sign in MARK_INDEX]] = list(MARK_INDEX.values())


@dataclass(frozen=True, slots=True)
class Group:
    """C copies padded to K marks and n symbols.

    sent : (n, C) table indices; end_s : (n + 1, C), the last row one tempo after the last sound;
    symbols : (C,) how many of n were sent and heard.
    written : (K, C) mark indices; at_s : (K, C), nan where untimed; marks : (C,) how many of K were written.
    tempo_s : (C,) median distance of two sounds.
    """

    sent: Ints
    end_s: Floats
    symbols: Ints
    written: Ints
    at_s: Floats
    marks: Ints
    tempo_s: Floats


@dataclass(frozen=True, slots=True)
class HabitRows:
    """The habits of C learners, field by field, each (C,)."""

    log_lag: Singles
    spread: Singles
    inertia: Singles
    behind: Singles
    caught_up: Singles
    recall: Singles
    blank: Singles
    skip: Singles
    skip_on: Singles
    extra: Singles


_FIGURES = attrgetter(*(f.name for f in fields(HabitRows)))


def habit_rows(habits: Sequence[Habits]) -> HabitRows:
    """Habits of single learners -> rows."""
    return HabitRows(*np.array([_FIGURES(h) for h in habits], np.float32).T.copy())


def sign_indices(signs: str) -> Ints:
    """Signs and blanks -> their indices as marks."""
    return _MARK[np.frombuffer(signs.encode("utf-32-le"), np.uint32)]


def empty_group(symbols: Ints, marks: Ints, tempo_s: float) -> Group:
    """A group of copies with so many heard symbols and written marks, to be filled by `put`."""
    n, k, size = int(symbols.max(initial=1)), int(marks.max(initial=1)), len(marks)
    return Group(
        np.zeros((n, size), np.intp),
        np.full((n + 1, size), np.inf),
        symbols,
        np.full((k, size), BLANK_MARK),
        np.full((k, size), np.nan),
        marks,
        np.full(size, tempo_s),
    )


def put(group: Group, c: int, sent: Ints, end_s: Floats, copy: Copy) -> None:
    """Write copy c and what it heard into a group; None among its times is read as nan."""
    n, k = len(sent), len(copy.written)
    group.sent[:n, c] = sent
    group.end_s[:n, c] = end_s
    group.end_s[n, c] = (end_s[-1] if n else 0.0) + group.tempo_s[c]
    group.written[:k, c] = sign_indices(copy.written)
    if copy.at_s is not None:
        group.at_s[:k, c] = np.array(copy.at_s, dtype=np.float64)


def select(group: Group, columns: Ints) -> Group:
    """Some of a group's copies, padded no further than they need."""
    n, k = group.symbols[columns].max(), group.marks[columns].max()
    return Group(  # np.take keeps copies contiguous, which plain indexing does not
        np.take(group.sent[:n], columns, axis=1),
        np.take(group.end_s[: n + 1], columns, axis=1),
        group.symbols[columns],
        np.take(group.written[:k], columns, axis=1),
        np.take(group.at_s[:k], columns, axis=1),
        group.marks[columns],
        group.tempo_s[columns],
    )


def head(group: Group, marks: int) -> Group:
    """Only the first marks of each copy, and the symbols as they are."""
    return replace(
        group, written=group.written[:marks], at_s=group.at_s[:marks], marks=np.minimum(group.marks, marks)
    )
