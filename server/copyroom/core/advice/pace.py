"""Judgements that a class's pace hangs on: what is held, what stays behind, and who.

The mean over all that is known decides nothing alone: it hides the newest sounds, one that stays behind, and
the weakest learner. Who has no copy yet is no part of any figure. The shares are judgements, tried on
assumed learners (`bench advice`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from copyroom.core.advice.standing import Floats, Standing

FIRST_SYMBOLS = 4
"""Two would be guessed, not heard."""
HELD, EACH_HELD, WEAKEST_HELD = 0.68, 0.45, 0.55
"""The newest sounds are held from this chance on, by the class in the mean; each of them from this one on;
and in the mean of the weakest quarter from this."""
FEWEST_COPIED = 5.0
"""How often a sound is copied, by the learners in the mean, before the next ones come."""
CARRIED, WEAKEST_CARRIED = 0.8, 0.68
"""So much of all that is known the class writes, and its weakest quarter, before anything is added."""
STUCK, STUCK_BEHIND, STUCK_TESTED = 0.5, 0.25, 15.0
"""A sound stays behind: under this chance, this far under the median, after so many sendings to each."""
LOST_TONIGHT, ANSWERS_TONIGHT = 0.5, 12
"""Under this share of so many answers when tonight it was last sent, a sound is not held, whatever it was
before: the belief joins evenings, and is slow to give up what was copied well at an earlier one."""
BEHIND, BEHIND_CLASS = 0.55, 0.25
"""A learner is far behind under this chance over what is known, this far under the class's median."""
MOST_STUCK = 2
"""Where more sounds lag, it is not these that are hard: the class is not there yet. Two at the first evening
are just new."""
ALONE = 8
"""One in so many who is far behind has an own answer, and does not hold the class."""
LATE = 0.5
"""Who heard less than this part of what the others did came late: they are helped, and do not hold back."""


@dataclass(frozen=True, slots=True)
class Newest:
    """What the newest sounds lack before others come.

    weak : not written often enough, the weakest first. few : copied too seldom to tell.
    weakest : what the weakest quarter of the steady ones writes of them where that is too little; else None.
    tonight : shares of the weak ones that were written right when they were last sent, where these tell.
    """

    weak: str = ""
    few: str = ""
    weakest: float | None = None
    tonight: tuple[float, ...] = ()

    @property
    def signs(self) -> str:
        """All of them."""
        return self.weak + "".join(sign for sign in self.few if sign not in self.weak)


def weakest_quarter(by_learner: Floats) -> float:
    """The mean of the weakest quarter, one learner at least."""
    return float(np.sort(by_learner)[: max(1, len(by_learner) // 4)].mean())


def of_newest(standing: Standing) -> Newest:
    """What the newest sounds lack; a sound that stays behind for long is waited for no longer."""
    hard = stuck_signs(standing)
    newest = "".join(sign for sign in standing.newest if sign not in hard)
    at = standing.at(newest)
    if not at:
        return Newest()
    if lost := _lost_tonight(standing, newest):
        return Newest("".join(lost), tonight=tuple(lost.values()))
    means, tested = standing.of_class[at], standing.tested[at]
    few = "".join(
        sign
        for sign, times in zip(newest, tested, strict=True)
        if times < FEWEST_COPIED or sign not in standing.mixed_in
    )
    by_weakness = [int(i) for i in np.argsort(means, kind="stable")]
    weak = "".join(newest[i] for i in by_weakness if means[i] < HELD and tested[i] > 0.0)
    if means.mean() >= HELD and not (means < EACH_HELD).any():
        weak = ""
    weakest = weakest_quarter(steady_shares(standing)[:, at].mean(axis=1))
    if weakest >= WEAKEST_HELD or few or weak or not standing.counted.any():
        return Newest(weak, few)
    return Newest("".join(newest[i] for i in by_weakness), "", weakest)


def _lost_tonight(standing: Standing, signs: str) -> dict[str, float]:
    """Those that were lost when last sent tonight, with the share written right, the weakest first."""
    lost: dict[str, float] = {}
    for sign in signs:
        last = next((run for run in reversed(standing.tonight) if sign in run.sent), None)
        asked = [
            copy[place] == sign
            for copy in (last.copies.values() if last else ())
            for place, sent in enumerate(last.sent if last else "")
            if sent == sign
        ]
        if len(asked) >= ANSWERS_TONIGHT and sum(asked) < LOST_TONIGHT * len(asked):
            lost[sign] = sum(asked) / len(asked)
    return dict(sorted(lost.items(), key=lambda item: item[1]))


def not_held(standing: Standing) -> str:
    """Those of the newest sounds that are not held, by the class and by its weakest; "" where all are."""
    return of_newest(standing).signs


def may_go_on(standing: Standing) -> bool:
    """Whether the class can take something new: the newest is held, and all that is known is carried."""
    if not_held(standing):
        return False
    by_learner = np.sort(steady_shares(standing).mean(axis=1))
    alone = len(far_behind(standing))
    by_learner = by_learner[alone if ALONE * alone <= len(by_learner) else 0 :]
    return float(by_learner.mean()) >= CARRIED and weakest_quarter(by_learner) >= WEAKEST_CARRIED


def steady_shares(standing: Standing) -> Floats:
    """The chances, (C, S), of those counted who heard about as much as the others."""
    if standing.believed is None or not standing.counted.any():
        return standing.shares
    heard = standing.believed.tested[standing.counted].sum(axis=1)
    steady: Floats = standing.counted_shares[heard >= LATE * np.median(heard)]
    return steady


def stuck_signs(standing: Standing) -> str:
    """The one or two sounds that stay behind the others for long, the weakest first."""
    if len(standing.known) < 3:
        return ""
    median = float(np.median(standing.of_class))
    found = "".join(
        standing.known[i]
        for i in np.argsort(standing.of_class, kind="stable")
        if standing.of_class[i] < min(STUCK, median - STUCK_BEHIND) and standing.tested[i] >= STUCK_TESTED
    )
    if len(found) > 1:
        found = "".join(sign for sign in found if standing.evenings_of(sign) > 1)
    return found if len(found) <= MOST_STUCK else ""


def far_behind(standing: Standing) -> tuple[str, ...]:
    """Those present who are far behind the others, by what they copied."""
    if standing.believed is None or standing.counted.sum() < 3:
        return ()
    own = standing.shares.mean(axis=1)
    usual = float(np.median(own[standing.counted]))
    enough = standing.believed.tested.sum(axis=1) >= 2 * FEWEST_COPIED
    return tuple(
        name
        for row, name in enumerate(standing.situation.present)
        if enough[row] and own[row] < min(BEHIND, usual - BEHIND_CLASS)
    )
