"""How alike two sounds are. (First version: plain edit distance of the elements.)"""

from __future__ import annotations

from functools import cache
from math import exp

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import SYMBOLS


def _distance(a: str, b: str) -> float:
    row = [float(j) for j in range(len(b) + 1)]
    for i, x in enumerate(a, 1):
        above, row = row, [float(i)]
        for j, y in enumerate(b, 1):
            row.append(min(above[j] + 1, row[j - 1] + 1, above[j - 1] + 0.9 * (x != y)))
    return row[-1]


@cache
def similarity() -> NDArray[np.float64]:
    """How readily the second sound is taken for the first, shape (A, A), 0..1, in table order."""
    table = np.array([[exp(-0.8 * _distance(a.elements, b.elements)) for b in SYMBOLS] for a in SYMBOLS])
    table.flags.writeable = False
    return table
