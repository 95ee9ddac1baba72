"""How much of each sound a class needs in the next text."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NEED_OF_NEW = 0.8
"""Need of a symbol that has only just been introduced; its recall is not known yet."""
RECALL_OF_NEW = 0.55
"""What a class may be expected to copy of a symbol in its first text (a judgement)."""
FLOOR_SHARE = 0.3
"""Part of every text that is dealt evenly, so that nothing known is absent for long."""
WEAKEST_VOICE = 0.7
"""Weight of the weakest quarter against the whole class in what is needed. With the class alone, what
everybody else knows sinks to the floor, and those who do not know it never catch up."""
EASY_ENOUGH = 0.68
"""A text is dealt so that the class may be expected to copy this share: a little over two in three."""


def need(shares: Floats) -> Floats:
    """What is lacking per symbol, half the mean of all and half that of the weakest quarter.

    shares : chance of recall, shape (L, S); at least one learner. Returns shape (S,), 0..1.
    """
    if shares.shape[1] == 0:
        return np.zeros(0)
    lack = 1.0 - shares
    weakest_first = np.argsort(-lack.mean(axis=1), kind="stable")
    weakest = lack[weakest_first[: max(1, len(lack) // 4)]]
    lacking = (1.0 - WEAKEST_VOICE) * lack.mean(axis=0) + WEAKEST_VOICE * weakest.mean(axis=0)
    rounded: Floats = np.round(lacking, 9)  # so that ties stay ties however the history was added up
    return rounded


def weights(needs: Floats, expected: Floats) -> Floats:
    """Share of a text for each symbol: a floor for all and the rest by need, eased if it were too hard.

    Text after text of nothing but weak symbols is copied badly and disheartens (common practice); so
    the part given by need shrinks until the class may be expected to copy `EASY_ENOUGH` of it, or
    until all symbols come equally often.

    needs, expected : shape (S,), need and class recall. Returns shape (S,), sum 1, each > 0.
    """
    flat = np.full(len(needs), 1.0 / len(needs))
    if needs.sum() <= 0.0:
        return flat
    by_need = needs / needs.sum()
    share = 1.0 - FLOOR_SHARE
    hardest, easiest = float(by_need @ expected), float(flat @ expected)
    if hardest < easiest:
        share = min(share, max(0.0, (easiest - EASY_ENOUGH) / (easiest - hardest)))
    dealt: Floats = (1.0 - share) * flat + share * by_need
    return dealt
