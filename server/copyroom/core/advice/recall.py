"""How well each learner seems to recall each symbol, and how much of each the class therefore needs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.record import Floats, Record
from copyroom.core.alphabet import INDEX
from copyroom.core.purpose import Recalled

PRIOR_SENDINGS = 3.0
"""The class's share stands in for a learner as if it were so many sendings of his own."""
NEED_OF_NEW = 0.8
"""Need of a symbol that has only just been introduced; its recall is not known yet."""
FLOOR_SHARE = 0.3
"""Part of every text that is dealt evenly, so that nothing known is absent for long."""
WEAKEST_VOICE = 0.5
"""Weight of the weakest quarter against the whole class in what is needed. With the class alone, what
everybody else knows sinks to the floor, and those who do not know it never catch up."""
EASY_ENOUGH = 0.68
"""A text is dealt so that the class may be expected to copy this share: a little over two in three."""


def recall(record: Record, names: Sequence[str], signs: str) -> Floats:
    """Estimated recall of each learner for each symbol.

    A learner's own share of late sendings, drawn towards the class's share, which itself is drawn
    towards a third: few copies say little.

    Returns
    -------
    shape (len(names), len(signs)), 0..1. Somebody without copies counts as the class.
    """
    columns = [INDEX[sign] for sign in signs]
    class_hits, class_tries = record.hits[:, columns].sum(axis=0), record.tries[:, columns].sum(axis=0)
    class_share = (class_hits + 1.0) / (class_tries + 3.0)
    hits, tries = np.zeros((2, len(names), len(columns)))
    for i, name in enumerate(names):
        if name in record.rows:
            hits[i] = record.hits[record.rows[name], columns]
            tries[i] = record.tries[record.rows[name], columns]
    estimate: Floats = (hits + PRIOR_SENDINGS * class_share) / (tries + PRIOR_SENDINGS)
    return estimate


def were_answered(record: Record, signs: str, names: Sequence[str] | None = None) -> NDArray[np.bool_]:
    """Which of these signs anybody has answered; of the others `recall` knows nothing but where it starts.

    names : those alone of whom something is to be said; None is the whole class.
    Returns shape (len(signs),).
    """
    rows = (
        list(record.rows.values()) if names is None else [record.rows[n] for n in names if n in record.rows]
    )
    answered: NDArray[np.bool_] = record.tries[rows][:, [INDEX[sign] for sign in signs]].sum(axis=0) > 0.0
    return answered


def recalled_of(shares: Floats, known: str, are_tested: NDArray[np.bool_]) -> Recalled:
    """What a class recalls: an estimate of what was tested, and what was not.

    shares : recall, shape (S, len(known)); are_tested : shape (len(known),).
    """
    untested = "".join(sign for sign, is_tested in zip(known, are_tested, strict=True) if not is_tested)
    share = float(shares[:, are_tested].mean()) if are_tested.any() else 0.0
    return Recalled(round(share, 4), len(known), untested)


def need(shares: Floats) -> Floats:
    """What is lacking per symbol, half the mean of all and half that of the weakest quarter.

    shares : recall, shape (S, K); at least one learner. Returns shape (K,), 0..1.
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

    needs, expected : shape (K,), need and class recall. Returns shape (K,), sum 1, each > 0.
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
