"""What the class's copies say, with how sure it is: recall with intervals, pairs worth teaching."""

from __future__ import annotations

from typing import Any

import numpy as np

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.evidence import Interval, Pair, pairs_worth_teaching, recall
from copyroom.core.tally import Counts, empty
from copyroom.room.push import Push
from copyroom.room.scoring import run_copies, runs_in
from copyroom.room.state import State


def seat_counts(state: State, runs: list[Push]) -> dict[int, Counts]:
    """Per seat with a copy in these runs, its counts over all of them."""
    total: dict[int, Counts] = {}
    for push in runs:
        for seat, counts in run_copies(state, push).items():
            total[seat] = total.get(seat, empty()) + counts
    return total


def evidence_view(per_seat: dict[int, Counts]) -> dict[str, Any]:
    """Recall per symbol and pairs worth teaching, as the wire has them."""
    if not per_seat:
        return {"copies": 0, "recall": [], "pairs": [], "enough": False}
    counts = np.stack(list(per_seat.values()))
    found = pairs_worth_teaching(counts)
    return {
        "copies": len(per_seat),
        "recall": recall_view(recall(counts)),
        "pairs": [_pair_view(pair) for pair in found.pairs],
        "enough": found.enough,
    }


def recall_view(intervals: tuple[Interval, ...]) -> list[list[Any]]:
    """[sign, right, sendings, low, high, enough] for each symbol that was sent."""
    return [
        [symbol.sign, i.k, i.n, round(i.low, 4), round(i.high, 4), i.enough]
        for symbol, i in zip(SYMBOLS, intervals, strict=True)
        if i.n
    ]


def _pair_view(pair: Pair) -> dict[str, Any]:
    return {
        "sent": pair.sent,
        "written": pair.written,
        "n": pair.n,
        "sendings": pair.sendings,
        "learners": pair.learners,
        "back": pair.back,
        "back_sendings": pair.back_sendings,
    }


def findings(state: State, scope: str) -> dict[str, Any]:
    """The evidence of a scope: "run", "evening" or "course"."""
    return evidence_view(seat_counts(state, runs_in(state, scope)))
