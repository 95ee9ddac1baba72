"""Who wants attention because they were away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from copyroom.core.knowledge import Belief
from copyroom.core.record import PastRun


@dataclass(frozen=True, slots=True)
class Lack:
    """What somebody missed: days of meetings without a copy, and known symbols never heard."""

    name: str
    missed_days: tuple[int, ...]
    never_heard: str


def who_lacks(runs: Sequence[PastRun], believed: Belief) -> tuple[Lack, ...]:
    """Those who missed a meeting or were never sent a symbol that the class knows, in the belief's order.

    runs : the record. believed : of everybody, for the known signs.
    """
    days = list(dict.fromkeys(run.day for run in runs if run.copies))
    came: dict[str, set[int]] = {}
    for run in runs:
        for name in run.copies:
            came.setdefault(name, set()).add(run.day)
    lacks = []
    for row, name in enumerate(believed.names):
        missed = tuple(day for day in days if day not in came.get(name, ()))
        never = "".join(
            sign for sign, n in zip(believed.signs, believed.tested[row], strict=True) if n == 0.0
        )
        if missed or never:
            lacks.append(Lack(name, missed, never))
    return tuple(lacks)
