"""What the class's copies say, with how sure it is: recall with intervals, pairs worth teaching."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

import numpy as np

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.evidence import Interval, Pair, pairs_worth_teaching, recall
from copyroom.core.tally import Cells, Counts, count, empty
from copyroom.room.push import Push
from copyroom.room.scoring import results, runs_in
from copyroom.room.state import Findings, State

SCOPES = ("run", "evening", "course")


def seat_counts(state: State, runs: list[Push]) -> dict[int, Counts]:
    """Per seat with a copy in these runs, its counts over all of them."""
    parts: dict[int, list[Cells]] = {}
    for push in runs:
        for seat, result in results(state, push).items():
            parts.setdefault(seat, []).append(result.cells)
    return {seat: count(cells) for seat, cells in parts.items()}


def findings(state: State, scope: str) -> Findings:
    """What the copies of a scope say; kept until a copy changes or the runs become others."""
    slices = findings_in_slices(state, scope)
    while True:
        try:
            next(slices)
        except StopIteration as done:
            found: Findings = done.value
            return found


def findings_in_slices(state: State, scope: str) -> Generator[None, None, Findings]:
    """The same, a part at a time."""
    runs = runs_in(state, scope)
    made_of = tuple(push.id for push in runs)
    known = next((f for f in state.findings.values() if f.made_of == made_of), None)
    if known is None:
        per_seat = seat_counts(state, runs)
        yield
        counts = np.stack(list(per_seat.values())) if per_seat else np.zeros((0, *empty().shape), np.int64)
        intervals = recall(counts)
        yield
        known = Findings(made_of, intervals, pairs_worth_teaching(counts))
    if all(push.closed for push in runs) and not state.marking:
        state.findings[scope] = known
    return known


def findings_view(state: State) -> dict[str, Any]:
    """The evidence of the run at hand, of the evening and of the course, as the wire has it."""
    view: dict[str, Any] = {"push": state.run.id if state.run else 0}
    return view | {scope: _evidence_view(findings(state, scope)) for scope in SCOPES}


def _evidence_view(found: Findings) -> dict[str, Any]:
    return {
        "recall": recall_view(found.recall),
        "pairs": pairs_view(found),
        "enough": found.pairs.enough,
    }


def recall_view(intervals: tuple[Interval, ...]) -> list[list[Any]]:
    """[sign, right, sendings, low, high, enough] for each symbol that was sent."""
    return [
        [symbol.sign, i.k, i.n, round(i.low, 4), round(i.high, 4), i.enough]
        for symbol, i in zip(SYMBOLS, intervals, strict=True)
        if i.n
    ]


def pairs_view(found: Findings) -> list[dict[str, Any]]:
    """The pairs worth teaching, strongest first, as the wire has them."""
    return [_pair_view(pair) for pair in found.pairs.pairs]


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
