"""Lag: how long after a sound its mark comes.

The lag of an answer, from the end of the sound, is taken as log-normal after a shift of 0.3 s (a quick
learner writes a dash before it is over): z = (ln(lag + 0.3) - mu) / s is standard normal. Lags have
memory: slow now, slow next, an autoregression of first order (AR(1)), z_k = rho z_(k-1) + noise. And a
learner may be one behind: write each symbol only after the next has sounded, so that its lag runs from
the end of that one.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

LAG_SHIFT_S = 0.3
EARLIEST_S = -0.25
LATEST_S = 6.0
"""A mark answers a sound that ended between 6 s before it and 0.25 s after it, or none."""
WILD = 0.01
"""Share of the answers whose lag follows no habit (a sneeze, a dropped pencil)."""


WILD_DENSITY = 1 / (LATEST_S - EARLIEST_S)
"""Their density, per second: all lags are alike."""
_ROOT_TAU = sqrt(2 * pi)


def standardise(
    lag_s: NDArray[np.float64], log_lag: NDArray[np.float32], spread: NDArray[np.float32]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Lags -> z = (ln(lag + 0.3) - mu) / s, and 1 / (s (lag + 0.3) sqrt(2 pi)): times exp(-z^2/2), a density.

    Both are 0 where a mark with such a lag, or without time (nan), cannot answer.
    """
    inside = (lag_s >= EARLIEST_S) & (lag_s <= LATEST_S)
    possible = inside.astype(np.float32)
    shifted = np.where(inside, lag_s + LAG_SHIFT_S, 1).astype(np.float32)
    z: NDArray[np.float32] = (np.log(shifted) - log_lag) * (possible / spread)
    density: NDArray[np.float32] = np.divide(possible, shifted * (spread * _ROOT_TAU), dtype=np.float32)
    return z, density
