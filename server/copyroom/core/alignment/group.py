"""Copies of one push as padded arrays, copies last, so that numpy's inner loop runs over the class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.copies import Copy, Habits
from copyroom.core.alignment.marks import BLANK_MARK
from copyroom.core.alphabet import BLANK, INDEX

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.intp]

_MARK = np.zeros(max(map(ord, INDEX)) + 1, np.intp)
for _sign, _i in (INDEX | {BLANK: BLANK_MARK}).items():
    _MARK[ord(_sign)] = _i


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


def habit_rows(habits: Sequence[Habits]) -> HabitRows:
    """Habits of single learners -> rows."""
    return HabitRows(*(np.array([getattr(h, f.name) for h in habits], np.float32) for f in fields(HabitRows)))


def sign_indices(signs: str) -> Ints:
    """Signs and blanks -> their indices as marks."""
    return _MARK[np.frombuffer(signs.encode("utf-32-le"), np.uint32)]


def group(sent: Ints, end_s: Floats | None, copies: Sequence[Copy], at_s: Sequence[Floats]) -> Group:
    """Pad copies of one push (text `sent`, n) into a group; `at_s` are their times, made sane."""
    heard = [np.arange(len(sent)) if c.heard is None else np.asarray(c.heard, dtype=np.intp) for c in copies]
    symbols, marks = np.array([len(h) for h in heard]), np.array([len(c.written) for c in copies])
    n, k, size = max(1, symbols.max()), max(1, marks.max()), len(copies)
    if end_s is None:
        end_s = np.arange(len(sent), dtype=np.float64)
    group = Group(
        np.zeros((n, size), np.intp),
        np.full((n + 1, size), np.inf),
        symbols,
        np.full((k, size), BLANK_MARK),
        np.full((k, size), np.nan),
        marks,
        np.ones(size),
    )
    group.tempo_s[:] = np.median(np.diff(end_s)) if len(end_s) > 1 else 1.0
    for c, copy in enumerate(copies):
        ends = end_s[heard[c]]
        group.sent[: symbols[c], c] = sent[heard[c]]
        group.end_s[: symbols[c], c] = ends
        group.end_s[symbols[c], c] = (ends[-1] if len(ends) else 0.0) + group.tempo_s[c]
        group.written[: marks[c], c] = sign_indices(copy.written)
        group.at_s[: marks[c], c] = at_s[c]
    return group


def select(group: Group, columns: Ints) -> Group:
    """Some of a group's copies, padded no further than they need."""
    n, k = group.symbols[columns].max(), group.marks[columns].max()
    return Group(
        group.sent[:n, columns],
        group.end_s[: n + 1, columns],
        group.symbols[columns],
        group.written[:k, columns],
        group.at_s[:k, columns],
        group.marks[columns],
        group.tempo_s[columns],
    )


def head(group: Group, marks: int) -> Group:
    """Only the first marks of each copy, and the symbols as they are."""
    return replace(
        group, written=group.written[:marks], at_s=group.at_s[:marks], marks=np.minimum(group.marks, marks)
    )
