"""Keyed tones: when the key went down and up, in order, each down before its up."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

TOUCH_S = 1e-6
"""Tones that end and begin within this are one; half a sample of any sound file, and no rounding, is more."""


@dataclass(frozen=True, slots=True, eq=False)
class Keyed:
    """Tones without their meaning.

    on_s, off_s : shape (n,), seconds, ascending: the beginning and end of each.
    """

    on_s: NDArray[np.float64]
    off_s: NDArray[np.float64]

    @property
    def marks_s(self) -> NDArray[np.float64]:
        """Length of each tone, shape (n,)."""
        return self.off_s - self.on_s

    @property
    def gaps_s(self) -> NDArray[np.float64]:
        """Silence behind each tone but the last, shape (n - 1,)."""
        return self.on_s[1:] - self.off_s[:-1]


def keyed(tones: Iterable[tuple[float, float]]) -> Keyed:
    """Put tones in order, and join those that touch.

    tones : (on, off) of each in seconds, in any order.

    Raises ValueError, in one sentence, for a time that is none, a tone that does not end after it began, and
    two tones at the same time.
    """
    spans: list[tuple[float, float]] = []
    for on_s, off_s in sorted(tones):
        if not (math.isfinite(on_s) and math.isfinite(off_s)):
            raise ValueError("A time must be a finite number of seconds.")
        if off_s <= on_s:
            raise ValueError(f"The tone that begins at {on_s:g} s must end after that, not at {off_s:g} s.")
        if not spans or on_s > spans[-1][1] + TOUCH_S:
            spans.append((on_s, off_s))
        elif on_s >= spans[-1][1] - TOUCH_S:
            spans[-1] = (spans[-1][0], off_s)
        else:
            raise ValueError(f"The tone that begins at {on_s:g} s overlaps the one before.")
    times = np.array(spans, dtype=np.float64).reshape(-1, 2)
    return Keyed(times[:, 0], times[:, 1])
