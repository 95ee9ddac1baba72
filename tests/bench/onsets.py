"""Onsets: when tones begin in a recording, one band for each browser's pitch.

A tone's rise is symmetrical about the instant of its edge (a raised cosine), and so is the filter, so the
half-amplitude crossing of the band's envelope is that instant.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import firwin, oaconvolve

HALF_BAND_HZ = 350.0


def band_envelope(samples: NDArray[np.float32], pitch_hz: float, rate_hz: float) -> NDArray[np.float64]:
    """Amplitude around `pitch_hz`, same shape as `samples`."""
    carrier = np.exp(-2j * np.pi * pitch_hz * np.arange(samples.size) / rate_hz)
    low_pass = firwin(int(0.008 * rate_hz) | 1, HALF_BAND_HZ, fs=rate_hz)
    return 2 * np.abs(oaconvolve(samples * carrier, low_pass, mode="same"))


def crossings_s(
    envelope: NDArray[np.float64], rate_hz: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants at which the envelope rises and falls through half of its held height."""
    if envelope.size == 0 or envelope.max() < 1e-3:
        return np.empty(0), np.empty(0)
    loud = envelope > 0.5 * envelope.max()
    half = 0.5 * np.median(envelope[loud])
    above = envelope >= half
    up = np.flatnonzero(~above[:-1] & above[1:])
    down = np.flatnonzero(above[:-1] & ~above[1:])
    return _between(envelope, up, half, rate_hz), _between(envelope, down, half, rate_hz)


def _between(
    envelope: NDArray[np.float64], before: NDArray[np.intp], half: float, rate_hz: float
) -> NDArray[np.float64]:
    low, high = envelope[before], envelope[before + 1]
    return (before + (half - low) / (high - low)) / rate_hz
