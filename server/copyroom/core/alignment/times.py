"""The times of copies: refused when they are not of this push, and put in order where people edited."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alignment.lag import EARLIEST_S, LATEST_S

FAR_S = 120.0
"""A mark so long before the first or after the last sound cannot be of the push."""
EDITED_S = 0.5
"""A mark so much later than one that follows it in the copy was edited afterwards."""


def refusals(at_s: NDArray[np.float64], first_s: float, last_s: float) -> dict[int, str]:
    """Copy -> a sentence why its times cannot be of the push; copies whose times can be are left out.

    at_s : (K, C), nan where untimed; first_s, last_s : when the push's first and last sound ended.
    """
    outside = ((at_s < first_s + EARLIEST_S) | (at_s > last_s + LATEST_S)).sum(axis=0)
    far = ((at_s < first_s - FAR_S) | (at_s > last_s + FAR_S)).any(axis=0)
    known = np.isfinite(at_s).sum(axis=0)
    return {
        int(c): f"{outside[c]} of {known[c]} timed marks lie outside the push, whose sounds ended between "
        f"{first_s:.1f} and {last_s:.1f} s: this copy is not of this push"
        for c in np.flatnonzero(far | (2 * outside > known))
    }


def sane_times(at_s: NDArray[np.float64], last_s: float) -> NDArray[np.float64]:
    """Times (K, C) with nan where one tells nothing: made when all was over, or later than one that follows.

    Both were edited afterwards, a mark in the tidy-up time, or one put before marks that were there already.
    """
    following = np.fmin.accumulate(at_s[::-1], axis=0)[::-1]
    return np.where((at_s > last_s + LATEST_S) | (at_s > following + EDITED_S), np.nan, at_s)
