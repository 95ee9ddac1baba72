"""What advice rests on: the record, and what was learned from it, continued where the record goes on."""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.core.advice.situation import Situation
from copyroom.core.advice.standing import Standing
from copyroom.core.evidence.mix_ups import MixUps, Pair, pairs_in_slices
from copyroom.core.knowledge import Belief, Knowledge
from copyroom.core.record import PastRun
from copyroom.core.slices import Slices, at_once

RECENT_MEETINGS = 2
"""Mix-ups are advised on by so many last meetings: what was mixed up a month ago may be long over."""


class Grounds:
    """A class's record with the knowledge made of it. The same runs always give the same grounds."""

    def __init__(self) -> None:
        self.runs: list[PastRun] = []
        self.knowledge = Knowledge()

    def goes_on_in(self, runs: Sequence[PastRun]) -> bool:
        """Whether these runs begin with the ones known here."""
        return len(self.runs) <= len(runs) and all(a == b for a, b in zip(self.runs, runs, strict=False))

    def follow_in_slices(self, runs: Sequence[PastRun]) -> Slices[None]:
        """Take in what is new in these runs."""
        fresh = list(runs[len(self.runs) :])
        self.runs = list(runs)
        yield from self.knowledge.learn_in_slices(fresh)

    def pairs_in_slices(self) -> Slices[tuple[Pair, ...]]:
        """Mix-ups worth teaching, by the last meetings."""
        days = sorted({run.day for run in self.runs if run.copies})[-RECENT_MEETINGS:]
        mixed = MixUps()
        for run in self.runs:
            if run.day in days:
                mixed.take(run)
                yield
        return (yield from pairs_in_slices(mixed)).pairs

    def standing_in_slices(self, situation: Situation) -> Slices[Standing]:
        """Where the class stands in a situation."""
        believed: Belief | None = None
        if situation.known:
            believed = yield from self.knowledge.believe_in_slices(
                situation.today, situation.known, situation.speeds, situation.present
            )
        yield
        pairs = yield from self.pairs_in_slices()
        return Standing(situation, believed, self.runs, pairs)

    follow = at_once(follow_in_slices)
    standing = at_once(standing_in_slices)


def grounds_in_slices(before: Grounds | None, runs: Sequence[PastRun]) -> Slices[Grounds]:
    """The grounds for these runs: those of before continued, or new ones where the record is another."""
    grounds = before if before is not None and before.goes_on_in(runs) else Grounds()
    yield from grounds.follow_in_slices(runs)
    return grounds


grounds_after = at_once(grounds_in_slices)
