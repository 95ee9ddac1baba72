"""Laws of the confusion table."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from copyroom.core.alignment import Alignment
from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.tally import NOTHING_SENT, cells, count, recalled, sendings, tally

SIGNS = "".join(symbol.sign for symbol in SYMBOLS)


@st.composite
def aligned_copies(draw: st.DrawFn) -> tuple[str, str, Alignment]:
    """A text, a copy and some alignment of the two that does not cross."""
    sent = draw(st.text(SIGNS, max_size=20))
    answered = sorted(draw(st.sets(st.sampled_from(range(len(sent)))))) if sent else []
    attribution: list[int | None] = list(answered)
    for _ in range(draw(st.integers(0, 3))):
        attribution.insert(draw(st.integers(0, len(attribution))), None)
    written = draw(st.text(SIGNS + "_", min_size=len(attribution), max_size=len(attribution)))
    missed = tuple(i for i in range(len(sent)) if i not in answered)
    return sent, written, Alignment(tuple(attribution), (1.0,) * len(attribution), missed)


@given(aligned_copies())
def test_row_sums_are_the_symbols_sent_and_the_last_the_extra_marks(copy):
    sent, written, alignment = copy
    counts = tally(sent, written, alignment)
    for sign in set(sent):
        assert sendings(counts)[INDEX[sign]] == sent.count(sign)
    assert counts[NOTHING_SENT].sum() == alignment.attribution.count(None)
    assert counts.sum() == len(sent) + alignment.attribution.count(None)


@given(aligned_copies(), st.data())
def test_pending_symbols_only_leave_the_missed_column(copy, data):
    sent, written, alignment = copy
    pending = data.draw(st.sets(st.sampled_from(alignment.missed))) if alignment.missed else set()
    whole, part = tally(sent, written, alignment), tally(sent, written, alignment, pending)
    assert np.array_equal(whole[:, :-1], part[:, :-1])
    assert whole.sum() - part.sum() == len(pending)


@given(st.lists(aligned_copies(), max_size=4), st.randoms(use_true_random=False))
def test_a_class_adds_up_in_any_order(copies, shuffler):
    parts = [cells(*copy) for copy in copies]
    total = count(parts)
    shuffler.shuffle(parts)
    assert np.array_equal(total, count(parts))
    assert np.all(recalled(total) <= sendings(total))
