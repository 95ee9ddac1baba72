"""Gaps: how probable it is that a learner passes over g symbols in silence between two marks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

LONG_GAP = 0.02
"""Share of the silences that are of any length: a copy begun late, a pencil dropped."""


def gap_probability(
    skip: NDArray[np.floating], skip_on: NDArray[np.floating], longest: int
) -> NDArray[np.float64]:
    """S(g) for g = 0..longest, shape (C, longest + 1).

    S(0) = 1 - w;  S(g) = w ((1 - l) (1 - c) c^(g-1) + l / longest): one decides to skip with probability w
    and goes on with c, and a small share l of the silences is of any length. The two-part gap is common
    practice in sequence alignment ("affine"); the flat part is ours, for those who come late.
    """
    g = np.arange(max(longest, 1))
    w, c = skip[:, None].astype(np.float64), skip_on[:, None].astype(np.float64)
    skipped = w * ((1 - LONG_GAP) * (1 - c) * c**g + LONG_GAP / len(g))
    return np.concatenate([1 - w, skipped], axis=1)[:, : longest + 1]
