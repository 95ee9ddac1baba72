"""Lag: how long after a sound its mark comes.

The lag of an answer, from the end of the sound, is taken as log-normal after a shift of 0.3 s (a quick learner
writes a dash before it is over): z = (ln(lag + 0.3) - mu) / s is standard normal. Lags have memory: slow now,
slow next, an autoregression of first order (AR(1)), z_k = rho z_(k-1) + noise. And a learner may be one behind: write each
symbol only after the next has sounded, so that its lag runs from the end of that one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

LAG_SHIFT_S = 0.3
EARLIEST_S = -0.25
LATEST_S = 6.0
"""A mark answers a sound that ended between 6 s before it and 0.25 s after it, or none."""
WILD = 0.01
"""Share of the answers whose lag follows no habit (a sneeze, a dropped pencil)."""


def log_lag(lag_s: NDArray[np.float64]) -> NDArray[np.float32]:
    """ln(lag + 0.3 s); nan outside the window in which a mark can answer."""
    possible = (lag_s >= EARLIEST_S) & (lag_s <= LATEST_S)
    return np.log(np.where(possible, lag_s + LAG_SHIFT_S, np.nan).astype(np.float32))
