"""What the class's copies say, with how sure it is: recall with intervals, pairs worth teaching."""

from __future__ import annotations

import numpy as np

from copyroom.core.evidence.intervals import recall
from copyroom.core.evidence.mix_ups import MixUps, pairs_in_slices
from copyroom.core.slices import Slices
from copyroom.core.tally import Cells, Counts, count, empty
from copyroom.room.figures import Figures, Findings
from copyroom.room.record import past_runs
from copyroom.room.run import Run
from copyroom.room.scoring import results, runs_in

SCOPES = ("run", "evening", "course")
SEATS_A_SLICE = 60
"""Learners counted between two looks at the event loop."""


def seat_counts_in_slices(figures: Figures, runs: list[Run]) -> Slices[dict[int, Counts]]:
    """Per seat with a copy in these runs, its counts over all of them."""
    parts: dict[int, list[Cells]] = {}
    for run in runs:
        for seat, result in results(figures, run).items():
            parts.setdefault(seat, []).append(result.cells)
        yield
    counts: dict[int, Counts] = {}
    for seat, cells in parts.items():
        counts[seat] = count(cells)
        if len(counts) % SEATS_A_SLICE == 0:
            yield
    return counts


def findings_in_slices(figures: Figures, scope: str) -> Slices[Findings]:
    """What a scope's closed runs say; begun anew when a copy changes, or a learner goes, meanwhile."""
    while True:
        changes = figures.changes
        runs = [run for run in runs_in(figures, scope) if figures.is_final(run.id)]
        made_of = tuple(run.id for run in runs)
        known = next((f for f in figures.findings.values() if f.made_of == made_of), None)
        found = known or (yield from _found(figures, runs))
        if figures.changes == changes:
            figures.findings[scope] = found
            return found


def _found(figures: Figures, runs: list[Run]) -> Slices[Findings]:
    per_seat = yield from seat_counts_in_slices(figures, runs)
    counts = np.stack(list(per_seat.values())) if per_seat else np.zeros((0, *empty().shape), np.int64)
    yield
    intervals = recall(counts)
    yield
    mixed = MixUps()
    for run in runs:
        for past in past_runs(figures, run):
            mixed.take(past)
        yield
    pairs = yield from pairs_in_slices(mixed)
    return Findings(tuple(run.id for run in runs), intervals, pairs)
