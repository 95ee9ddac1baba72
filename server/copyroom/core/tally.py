"""Counts of sent x written over one seat, a class, a course: the confusion table.

A table has one row for each symbol sent, in table order, and a last row for marks that answer nothing;
one column for each symbol written, then "blank", then "missed". A blank is an honest answer and a miss is
silence: two columns. What a seat did not hear, and what it may still answer, stands in no cell at all.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment import Alignment
from copyroom.core.alphabet import BLANK, INDEX, SYMBOLS

Counts = NDArray[np.int64]

NOTHING_SENT = len(SYMBOLS)
"""The last row: extra marks, which answer nothing."""
BLANK_COLUMN = len(SYMBOLS)
MISSED_COLUMN = len(SYMBOLS) + 1

_COLUMN = INDEX | {BLANK: BLANK_COLUMN}


def empty() -> Counts:
    """A table of nothing, shape (A + 1, A + 2), unit: symbols."""
    return np.zeros((len(SYMBOLS) + 1, len(SYMBOLS) + 2), dtype=np.int64)


def tally(sent: str, written: str, alignment: Alignment, pending: Iterable[int] = ()) -> Counts:
    """Count one copy.

    Parameters
    ----------
    sent : signs sent, without spaces.
    written : signs and blanks of the copy.
    alignment : of `written` to `sent`; symbols that were not heard are in none of its parts.
    pending : indices of symbols that may still be answered; they are not counted as missed.

    Returns
    -------
    counts : shape (A + 1, A + 2), unit: symbols. Row = sent (last row: nothing was sent), column = written
        (then blank, then missed). A sent symbol's row sum is how often it was sent, heard and settled.
    """
    if len(written) != len(alignment.attribution):
        raise ValueError(f"{len(written)} marks, but an alignment of {len(alignment.attribution)}")
    counts = empty()
    for sign, i in zip(written, alignment.attribution, strict=True):
        counts[NOTHING_SENT if i is None else INDEX[sent[i]], _COLUMN[sign]] += 1
    for i in set(alignment.missed).difference(pending):
        counts[INDEX[sent[i]], MISSED_COLUMN] += 1
    return counts


def add_up(tables: Iterable[Counts]) -> Counts:
    """The sum of tables: a seat's over its runs, a class's over its seats."""
    total = empty()
    for table in tables:
        total += table
    return total


def sendings(counts: Counts) -> Counts:
    """How often each symbol was sent and settled, (..., A), from counts (..., A + 1, A + 2)."""
    settled: Counts = counts[..., :-1, :].sum(axis=-1)
    return settled


def recalled(counts: Counts) -> Counts:
    """How often each symbol was copied as itself, shape (..., A)."""
    return np.diagonal(counts[..., :-1, : len(SYMBOLS)], axis1=-2, axis2=-1)
