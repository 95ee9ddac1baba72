"""The times of a copy: refused when they are not of this push, and put in order when people edited."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.lag import EARLIEST_S, LATEST_S

FAR_S = 120.0
"""A mark so long before the first or after the last sound cannot be of the push."""
EDITED_S = 0.5
"""A mark so much later than one that follows it in the copy was edited afterwards."""


def read_times(at_s: Sequence[float | None] | None, marks: int) -> NDArray[np.float64]:
    """Times as an array (marks,), nan for None."""
    return np.full(marks, np.nan) if at_s is None else np.array(at_s, dtype=np.float64)


def refusal(end_s: NDArray[np.float64], at_s: NDArray[np.float64]) -> str:
    """A sentence why these times cannot be of the push, or ""."""
    first_s, last_s = end_s[0], end_s[-1]
    with np.errstate(invalid="ignore"):
        outside = np.count_nonzero((at_s < first_s + EARLIEST_S) | (at_s > last_s + LATEST_S))
        far = np.any((at_s < first_s - FAR_S) | (at_s > last_s + FAR_S))
    known = np.count_nonzero(np.isfinite(at_s))
    if far or 2 * outside > known:
        return (
            f"{outside} of {known} timed marks lie outside the push, whose sounds ended between "
            f"{first_s:.1f} and {last_s:.1f} s: this copy is not of this push"
        )
    return ""


def sane_times(at_s: NDArray[np.float64], end_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Times with nan where a mark has none that tells anything.

    A mark made when all was over, or later than one that follows it, was edited: its time says nothing.
    """
    following = np.fmin.accumulate(at_s[::-1])[::-1]
    with np.errstate(invalid="ignore"):
        return np.where((at_s > end_s[-1] + LATEST_S) | (at_s > following + EDITED_S), np.nan, at_s)
