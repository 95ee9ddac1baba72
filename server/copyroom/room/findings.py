"""What the class's copies say, with how sure it is: recall with intervals, pairs worth teaching."""

from __future__ import annotations

from collections.abc import Generator

import numpy as np

from copyroom.core.evidence import pairs_worth_teaching, recall
from copyroom.core.tally import Cells, Counts, count, empty
from copyroom.room.figures import Figures, Findings
from copyroom.room.run import Run
from copyroom.room.scoring import results, runs_in

SCOPES = ("run", "evening", "course")


def seat_counts(figures: Figures, runs: list[Run]) -> dict[int, Counts]:
    """Per seat with a copy in these runs, its counts over all of them."""
    parts: dict[int, list[Cells]] = {}
    for run in runs:
        for seat, result in results(figures, run).items():
            parts.setdefault(seat, []).append(result.cells)
    return {seat: count(cells) for seat, cells in parts.items()}


def findings_in_slices(figures: Figures, scope: str) -> Generator[None, None, Findings]:
    """The same, a part at a time."""
    runs = [run for run in runs_in(figures, scope) if figures.is_final(run.id)]
    made_of = tuple(run.id for run in runs)
    known = next((f for f in figures.findings.values() if f.made_of == made_of), None)
    if known is None:
        per_seat = seat_counts(figures, runs)
        yield
        counts = np.stack(list(per_seat.values())) if per_seat else np.zeros((0, *empty().shape), np.int64)
        intervals = recall(counts)
        yield
        known = Findings(made_of, intervals, pairs_worth_teaching(counts))
    figures.findings[scope] = known
    return known
