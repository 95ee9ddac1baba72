"""Alignment against two libraries that align sequences for other trades: Biopython and rapidfuzz.

Neither knows times or sounds. So where a copy leaves nothing open, all three must agree; and where it leaves
much open, ours must find more of the simulated learners' truth than they do.
"""

from __future__ import annotations

import string

import numpy as np
import pytest
from Bio.Align import PairwiseAligner
from rapidfuzz.distance import Levenshtein

from bench.copyists import KINDS, class_of
from copyroom.core.alignment import align

SIGNS = string.ascii_uppercase + string.digits
Attribution = list[int | None]


def by_rapidfuzz(sent: str, written: str) -> Attribution:
    """One of the alignments with the fewest edits."""
    found: Attribution = [None] * len(written)
    for kind, i, _, k, end in Levenshtein.opcodes(sent, written):
        if kind in ("equal", "replace"):
            found[k:end] = range(i, i + end - k)
    return found


def by_biopython(sent: str, written: str) -> Attribution:
    """One of the best global alignments with affine gaps."""
    aligner = PairwiseAligner(
        mode="global", match_score=1.0, mismatch_score=-0.9, open_gap_score=-1.2, extend_gap_score=-0.4
    )
    found: Attribution = [None] * len(written)
    for (i, _), (k, end) in zip(*aligner.align(sent, written)[0].aligned, strict=True):
        found[k:end] = range(i, i + int(end) - int(k))
    return [None if i is None else int(i) for i in found]


REFERENCES = {"rapidfuzz": by_rapidfuzz, "Biopython": by_biopython}


@pytest.mark.parametrize("reference", REFERENCES)
@pytest.mark.parametrize("seed", range(20))
def test_sheets_that_leave_nothing_open_are_attributed_as_by_both(reference: str, seed: int) -> None:
    """Every sign once; every third place lost, written wrong, or right: each slip stands alone."""
    rng = np.random.default_rng(seed)
    sent = "".join(rng.permutation(list(SIGNS)))
    slips = {place: rng.choice(["lost", "wrong", "right"]) for place in range(1, len(sent), 3)}
    places = [i for i in range(len(sent)) if slips.get(i) != "lost"]
    written = "".join("_" if slips.get(i) == "wrong" else sent[i] for i in places)
    assert list(align(sent, None, written, None).attribution) == places
    assert REFERENCES[reference](sent, written) == places


@pytest.mark.parametrize("reference", REFERENCES)
@pytest.mark.parametrize("kind", ["timed, 30 % errors", "sheet, 30 % errors"])
def test_of_simulated_copies_more_marks_find_their_symbol(reference: str, kind: str) -> None:
    sent, end_s, truths = class_of(KINDS[kind], 6, seed=11)
    ours, theirs = [], []
    for truth in truths:
        times = (end_s, truth.at_s) if KINDS[kind].times else (None, None)
        found = align(sent, times[0], truth.written, times[1]).attribution
        ours += [a == b for a, b in zip(found, truth.attribution, strict=True)]
        other = REFERENCES[reference](sent, truth.written)
        theirs += [a == b for a, b in zip(other, truth.attribution, strict=True)]
    assert np.mean(theirs) > 0.7  # a reference that is set up wrongly would be easy to beat
    assert np.mean(ours) > np.mean(theirs)
