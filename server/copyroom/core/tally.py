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
Cells = NDArray[np.int16]

NOTHING_SENT = len(SYMBOLS)
"""The last row: extra marks, which answer nothing."""
BLANK_COLUMN = len(SYMBOLS)
MISSED_COLUMN = len(SYMBOLS) + 1

_ROWS, _COLUMNS = len(SYMBOLS) + 1, len(SYMBOLS) + 2
_COLUMN = INDEX | {BLANK: BLANK_COLUMN}


def empty() -> Counts:
    """A table of nothing, shape (A + 1, A + 2), unit: symbols."""
    return np.zeros((_ROWS, _COLUMNS), dtype=np.int64)


def cells(sent: str, written: str, alignment: Alignment, pending: Iterable[int] = ()) -> Cells:
    """The cell of each thing that counts in one copy: its marks, then its misses.

    A few hundred bytes instead of a table: what is kept of a copy, and quick to add up.

    Parameters
    ----------
    sent : signs sent, without spaces.
    written : signs and blanks of the copy.
    alignment : of `written` to `sent`; symbols that were not heard are in none of its parts.
    pending : indices of symbols that may still be answered; they are not counted as missed.

    Returns
    -------
    cells : shape (marks + misses,), each row * (A + 2) + column of a table.
    """
    if len(written) != len(alignment.attribution):
        raise ValueError(f"{len(written)} marks, but an alignment of {len(alignment.attribution)}")
    found = [
        (NOTHING_SENT if i is None else INDEX[sent[i]]) * _COLUMNS + _COLUMN[sign]
        for sign, i in zip(written, alignment.attribution, strict=True)
    ]
    missed = sorted(set(alignment.missed).difference(pending))
    found += [INDEX[sent[i]] * _COLUMNS + MISSED_COLUMN for i in missed]
    return np.array(found, dtype=np.int16)


def count(parts: Iterable[Cells]) -> Counts:
    """The table of any number of copies' cells, shape (A + 1, A + 2)."""
    gathered = [*parts, np.zeros(0, np.int16)]
    flat = np.bincount(np.concatenate(gathered), minlength=_ROWS * _COLUMNS)
    return flat.astype(np.int64).reshape(_ROWS, _COLUMNS)


def tally(sent: str, written: str, alignment: Alignment, pending: Iterable[int] = ()) -> Counts:
    """Count one copy; arguments as in `cells`.

    Returns
    -------
    counts : shape (A + 1, A + 2), unit: symbols. Row = sent (last row: nothing was sent), column = written
        (then blank, then missed). A sent symbol's row sum is how often it was sent, heard and settled.
    """
    return count([cells(sent, written, alignment, pending)])


def sendings(counts: Counts) -> Counts:
    """How often each symbol was sent and settled, (..., A), from counts (..., A + 1, A + 2)."""
    settled: Counts = counts[..., :-1, :].sum(axis=-1)
    return settled


def recalled(counts: Counts) -> Counts:
    """How often each symbol was copied as itself, shape (..., A)."""
    return np.diagonal(counts[..., :-1, : len(SYMBOLS)], axis1=-2, axis2=-1)
