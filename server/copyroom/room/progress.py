"""A course over its meetings: recall per symbol and per learner, evening by evening."""

from __future__ import annotations

from typing import Any

import numpy as np

from copyroom.core.evidence import interval, recall
from copyroom.core.tally import recalled, sendings
from copyroom.room.findings import recall_view, seat_counts
from copyroom.room.state import State


def progress_over_meetings(state: State) -> dict[str, Any]:
    """Per meeting: the class's recall of each symbol, and each learner's share, with intervals."""
    return {
        "meetings": [_meeting(state, number) for number in range(1, len(state.meetings) + 1)],
        "seats": [{"seat": seat.id, "name": seat.name} for seat in state.seats.values()],
    }


def _meeting(state: State, number: int) -> dict[str, Any]:
    runs = [push for push in state.meeting_runs(number) if push.counts]
    per_seat = seat_counts(state, runs)
    rows = []
    for seat, counts in per_seat.items():
        share = interval(int(recalled(counts).sum()), int(sendings(counts).sum()))
        rows.append([seat, share.k, share.n, round(share.low, 4), round(share.high, 4)])
    class_recall = recall_view(recall(np.stack(list(per_seat.values())))) if per_seat else []
    return {
        "number": number,
        "day": state.meetings[number - 1].day,
        "recall": class_recall,
        "seats": rows,
    }
