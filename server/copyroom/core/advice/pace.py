"""Whether the class goes on to new symbols, and how many.

Waiting until everybody is nearly perfect keeps part of the alphabet from being taught at all: slips
and a few slow learners hold the class mean down for weeks. Going on too early floods the class and leaves
its weakest behind: at .80, and .70 behind plan, simulated classes as a whole did as well, but a week later
the weakest recalled a little less than under the slow rule. So new symbols come at .85, or .78 behind plan.
"""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.core.advice.recall import recalled_of, were_answered
from copyroom.core.advice.record import Floats, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.phrases import awaited, counted, percent, recalled

GO_ON = 0.85
GO_ON_BEHIND = 0.78
"""Estimated class recall from which new symbols come, on and behind plan."""
FIRST_SYMBOLS = 4
"""Two would be guessed, not heard."""
NEW_AT_ONCE = 2
TAUGHT_BY = 0.75
"""Part of all the course's sendings by which the alphabet should be known, so that the last symbols are
practised too."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Introduce `count` symbols now, because of `reason` (one sentence).

    mean : class recall of what is known, 0..1.
    threshold : the recall from which new symbols come, lower while the course runs behind plan.
    """

    count: int
    mean: float
    threshold: float
    reason: str


def pace(situation: Situation, record: Record, shares: Floats) -> Pace:
    """Decide for the next exercise.

    shares : recall of those present, shape (S, len(known)), as `recall.recall` gives it.
    """
    if not situation.known:
        count = min(FIRST_SYMBOLS, situation.room_for_new, len(situation.untaught))
        return Pace(
            count, 0.0, 0.0, f"The class starts with {counted(count, 'sound')}: with fewer, it would guess."
        )
    of = recalled_of(shares, situation.known, were_answered(record, situation.known))
    mean, behind = float(shares.mean()), _behind(situation, record)
    threshold = GO_ON_BEHIND if behind else GO_ON
    count = max(0, min(NEW_AT_ONCE, situation.room_for_new, len(situation.untaught)))
    words = recalled("the class", of)
    recalls = words[0].upper() + words[1:] + (" (the course runs behind plan)" if behind else "")
    if not situation.untaught:
        return Pace(0, mean, threshold, f"{recalls}. Nothing is left to introduce.")
    if len(situation.known) == 1 and count:
        return Pace(count, mean, threshold, f"{recalls}. One sound alone would be written without listening.")
    if mean < threshold:
        return Pace(0, mean, threshold, f"{recalls}. New ones wait for {awaited(threshold, of)}.")
    if count == 0:
        return Pace(0, mean, threshold, f"{recalls}. Today has no time left for an introduction.")
    return Pace(count, mean, threshold, f"{recalls}. From {percent(threshold)} on it can take new ones.")


def _behind(situation: Situation, record: Record) -> bool:
    used = record.sent_total + situation.intro_cost * len(situation.known)
    whole = used + situation.sendings_left + situation.sendings_later
    progress = min(1.0, used / (TAUGHT_BY * whole))
    total = len(situation.known) + len(situation.untaught)
    return len(situation.known) < int(FIRST_SYMBOLS + (total - FIRST_SYMBOLS) * progress)
