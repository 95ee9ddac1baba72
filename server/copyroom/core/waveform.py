"""Waveform: bursts turned into samples.

Each tone rises and falls along a raised cosine, e(t) = (1 - cos(pi t / T)) / 2 over T = 5 ms: smooth at
both corners, because a kink in the slope is heard as a click just as a jump is (common practice; a handbook
names 5 to 7 ms: W. G. Pierpont, *The Art and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 24). Lengths are
measured where the amplitude is half, so the edges do not alter dot to dash (common practice): the rise is
centred on a tone's beginning and the fall on its end.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from copyroom.core.bursts import Bursts

RATE_HZ = 48_000
EDGE_S = 0.005
LEAD_S = 0.1
"""Silence before the first tone's beginning, so that its rise fits and a player's start does not cut it."""
CHUNK = 65_536
"""Samples rendered at a time: an hour of sound needs no more memory than a second."""


def sample_count(bursts: Bursts, *, rate_hz: int = RATE_HZ) -> int:
    """Samples of the whole rendering: lead, bursts, and as much silence again."""
    return round((bursts.duration_s + 2 * LEAD_S) * rate_hz)


def render(
    bursts: Bursts,
    pitch_hz: float,
    *,
    rate_hz: int = RATE_HZ,
    level: float = 0.5,
    edge_s: float = EDGE_S,
    chunk: int = CHUNK,
) -> Iterator[NDArray[np.float32]]:
    """Render bursts as samples between -1 and 1, piece by piece.

    Sample k is the sound at `k / rate_hz - LEAD_S` of the bursts' time: the envelope is half of `level`
    exactly at `LEAD_S + on_s` and `LEAD_S + off_s` of the rendering's time. Each sample follows from its
    index alone, so pieces of any size join without a seam.

    Parameters
    ----------
    pitch_hz : above 0, below half of `rate_hz`.
    level : amplitude of a held tone, above 0, at most 1.
    edge_s : length of rise and fall; 0 to `LEAD_S`, and no longer than the shortest tone or gap, or they
        would run into each other. 0 is a hard edge.
    chunk : samples a piece; the last one may be shorter.

    Yields
    ------
    float32, shape (up to `chunk`,)

    Raises
    ------
    ValueError
        For an argument out of range.
    """
    if not 0 < pitch_hz < rate_hz / 2:
        raise ValueError(f"pitch {pitch_hz} Hz is not between 0 and half the rate of {rate_hz} Hz")
    if not 0 < level <= 1:
        raise ValueError(f"level {level} is not above 0 and at most 1")
    shortest_s = _shortest_s(bursts)
    if not 0 <= edge_s <= min(shortest_s, LEAD_S):
        raise ValueError(f"edges of {edge_s} s do not fit tones or gaps of {shortest_s} s")
    return _pieces(bursts, pitch_hz, rate_hz, level, edge_s, chunk)


def envelope(bursts: Bursts, at_s: NDArray[np.float64], edge_s: float = EDGE_S) -> NDArray[np.float64]:
    """Height of the envelope, 0 to 1, at ascending instants of the bursts' time. Same shape as `at_s`."""
    edges_s = np.column_stack((bursts.on_s, bursts.off_s)).ravel()
    # The edge whose rise or fall has begun last; edges do not overlap, so it alone decides.
    begun = np.searchsorted(edges_s - edge_s / 2, at_s, side="right") - 1
    risen = _edge(at_s - edges_s[np.maximum(begun, 0)], edge_s)
    rising = begun % 2 == 0
    return np.where(begun < 0, 0.0, np.where(rising, risen, 1 - risen))


def _edge(after_s: NDArray[np.float64], edge_s: float) -> NDArray[np.float64]:
    """Raised cosine from 0 to 1, half at 0."""
    if edge_s == 0:
        return np.heaviside(after_s, 1.0)
    return 0.5 + 0.5 * np.sin(np.pi * np.clip(after_s / edge_s, -0.5, 0.5))


def _shortest_s(bursts: Bursts) -> float:
    lengths_s = np.concatenate((bursts.off_s - bursts.on_s, bursts.on_s[1:] - bursts.off_s[:-1]))
    return float(lengths_s.min())


def _pieces(
    bursts: Bursts, pitch_hz: float, rate_hz: int, level: float, edge_s: float, chunk: int
) -> Iterator[NDArray[np.float32]]:
    total = sample_count(bursts, rate_hz=rate_hz)
    for first in range(0, total, chunk):
        at_s = np.arange(first, min(first + chunk, total)) / rate_hz - LEAD_S
        carrier = np.sin(2 * np.pi * np.mod(pitch_hz * at_s, 1.0))
        yield (level * envelope(bursts, at_s, edge_s) * carrier).astype(np.float32)
