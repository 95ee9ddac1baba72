"""Counts of sent x written."""

from __future__ import annotations

import numpy as np
import pytest

from copyroom.core.alignment import Alignment
from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.tally import (
    BLANK_COLUMN,
    MISSED_COLUMN,
    NOTHING_SENT,
    cells,
    count,
    empty,
    recalled,
    sendings,
    tally,
)


def alignment(attribution: list[int | None], missed: list[int]) -> Alignment:
    return Alignment(tuple(attribution), (1.0,) * len(attribution), tuple(missed))


def test_each_mark_and_each_silence_stands_in_its_cell():
    counts = tally("ABCD", "A_XB", alignment([0, 1, 2, None], [3]))
    cells = {
        (INDEX["A"], INDEX["A"]): 1,
        (INDEX["B"], BLANK_COLUMN): 1,
        (INDEX["C"], INDEX["X"]): 1,
        (NOTHING_SENT, INDEX["B"]): 1,
        (INDEX["D"], MISSED_COLUMN): 1,
    }
    assert {cell: counts[cell] for cell in cells} == cells
    assert counts.sum() == 5


def test_a_table_has_a_row_for_nothing_sent_and_columns_for_blank_and_missed():
    assert empty().shape == (len(SYMBOLS) + 1, len(SYMBOLS) + 2)


def test_what_may_still_be_answered_stands_in_no_cell():
    assert tally("ABC", "A", alignment([0], [1, 2]), pending=[2]).sum() == 2


def test_what_was_not_heard_stands_in_no_cell():
    """The alignment of a late joiner names only what the seat heard."""
    counts = tally("ABCD", "D", alignment([3], [2]))
    assert sendings(counts).sum() == 2


def test_sendings_and_recall_leave_extra_marks_out():
    counts = tally("AAB", "AXXB", alignment([0, 1, None, 2], []))
    assert sendings(counts)[INDEX["A"]] == 2
    assert recalled(counts)[INDEX["A"]] == 1
    assert sendings(counts).sum() == 3


def test_the_table_of_a_class_is_the_sum_of_its_copies():
    one, other = (tally("AB", written, alignment([0, 1], [])) for written in ("AB", "AX"))
    parts = [cells("AB", written, alignment([0, 1], [])) for written in ("AB", "AX")]
    assert np.array_equal(count(parts), one + other)
    assert np.array_equal(count([]), empty())


def test_an_alignment_of_another_copy_is_refused():
    with pytest.raises(ValueError, match="3 marks, but an alignment of 1"):
        tally("ABC", "ABC", alignment([0], [1, 2]))
