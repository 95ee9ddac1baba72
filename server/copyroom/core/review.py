"""Between meetings: what to review on which day, and what the next meeting warms up with.

Known: practice spread over days beats the same practice at one go, and the best gap grows with the time
the memory must last (Cepeda et al., Psychol. Bull. 132:354, 2006; 839 assessments). Growing gaps are not
proven better than equal ones at the end (g = 0.034, not significant: Latimier et al., Educ. Psychol.
Rev. 33:959, 2021), but recall is higher on the way (Kang et al., 2014), which keeps learners going; a
best gap of about 10 to 20 % of the time to be bridged is from memory (Cepeda et al., 2008).

Judgement: the first gap by estimated recall and its doubling, in the two tables below, and the limit on one
day's work, after the advice of 10 to 15 minutes of copying a day (W. G. Pierpont, *The Art and
Skill of Radio-Telegraphy*, 2nd rev. ed.). None of it was measured on learners of code.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from copyroom.core.advice.needs import need
from copyroom.core.knowledge import Belief
from copyroom.core.phrases import percent

FIRST_GAP_DAYS = ((0.60, 1), (0.80, 2), (0.90, 4), (1.01, 7))
"""Estimated recall below this -> days from the last meeting to the first review."""
GROWTH = 2
"""Each further gap is so many times the one before."""
MOST_A_DAY = 10
"""Symbols in one day's review; the weakest come first, the others move on by a day."""
WARM_UP_SYMBOLS = 8


@dataclass(frozen=True, slots=True)
class Review:
    """Review `signs` on day number `day`; `why` in one sentence."""

    day: int
    signs: str
    why: str


def review_calendar(believed: Belief, today: int, next_meeting: int) -> tuple[Review, ...]:
    """What to review on the days between two meetings, earliest first.

    Parameters
    ----------
    believed : of the whole class, or of one learner for a calendar of their own, for the signs met so far.
    today : day number of the meeting just held; the calendar starts the day after.
    next_meeting : day number of the next one, which is itself a review; nothing when it is tomorrow.
    """
    known = believed.signs
    if next_meeting <= today + 1:
        return ()
    shares = believed.learners.mean
    expected, needs = shares.mean(axis=0), need(shares)
    found = np.where(believed.is_tested, expected, np.nan)
    at_least = np.where(believed.is_tested, expected, 0.0)  # what was never asked for waits for no figure
    weakest_first = np.argsort(-needs, kind="stable")
    by_day: dict[int, list[int]] = {day: [] for day in range(today + 1, next_meeting)}
    for i in weakest_first:
        for n, day in enumerate(_days(float(at_least[i]), today, next_meeting)):
            days = [*range(day, next_meeting), *(range(day - 1, today, -1) if n == 0 else ())]
            free = next((d for d in days if len(by_day[d]) < MOST_A_DAY), None)
            if free is not None and i not in by_day[free]:
                by_day[free].append(int(i))
    return tuple(
        Review(day, "".join(known[i] for i in due), _why(known, due, found, day - today))
        for day, due in by_day.items()
        if due
    )


def warm_up(believed: Belief) -> str:
    """What to begin a meeting with: what is weakest by now, the days since it was heard reckoned in."""
    most = np.argsort(-need(believed.learners.mean), kind="stable")[:WARM_UP_SYMBOLS]
    return "".join(believed.signs[i] for i in most)


def _days(expected: float, today: int, next_meeting: int) -> list[int]:
    """Review days of one symbol: the first gap, then gaps that double; one at least between meetings."""
    gap = next(days for below, days in FIRST_GAP_DAYS if expected < below)
    gap = min(gap, next_meeting - today - 1)
    days, day = [], today + gap
    while day < next_meeting:
        days.append(day)
        gap *= GROWTH
        day += gap
    return days


def _why(known: str, due: Sequence[int], found: np.ndarray, gap: int) -> str:
    """Say why these are due; `found` holds the recall of each known sign, NaN where it is not tested yet."""
    after = "The day after" if gap == 1 else f"{gap} days after"
    untested = [known[i] for i in due if np.isnan(found[i])]
    if untested:
        are = "is" if len(untested) == 1 else "are"
        return f"{after} the meeting; {', '.join(untested)} {are} not tested yet."
    weakest = min(due, key=lambda i: found[i])
    of_them = "" if len(due) == 1 else ", the weakest of them,"
    share = percent(found[weakest])
    return f"{after} the meeting; {known[weakest]}{of_them} is believed to be at {share}."
