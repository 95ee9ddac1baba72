"""What is believed of learners and sounds on a day, at a speed: chances with their bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.knowledge.posterior import OWN, A, P, Point, Solved, sigma
from copyroom.core.knowledge.practice import Floats, Ints
from copyroom.core.slices import Slices, at_once

ROWS_A_SLICE = 100
"""Learners between two looks at the event loop."""
Z_80 = 1.2815515655446004
"""The normal quantile of .9."""
UNSEEN = 0.02
"""Variance of eta that no part of the model accounts for."""
UNSEEN_AHEAD = 0.05
"""More of it for a day to come, for each unit of log(1 + days from the last run)."""
IN_ALL = 0.6
"""The part of it that learners share, so that it does not average out in a class."""


@dataclass(frozen=True, slots=True)
class Chances:
    """Chances with the bounds that hold 80 % of what is believed, arrays of one shape, 0..1."""

    low: Floats
    mean: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class Belief:
    """The chance that each learner writes each sign when it is sent, in a mix of all of them.

    names, signs : rows and columns.
    learners : shape (L, S). together : shape (S,), the mean over these learners.
    tested : shape (L, S), how often each was sent to each; where nobody answered, all is only what is usual.
    met : shape (L, S), whether the learner ever met the sound: was there, or heard it later.
    eta, variance : shape (L, S), of strength on the logit scale; floor : shape (L, 1), what guessing gives.
    """

    names: tuple[str, ...]
    signs: str
    learners: Chances
    together: Chances
    tested: Floats
    met: NDArray[np.bool_]
    eta: Floats
    variance: Floats
    floor: Floats

    @property
    def is_tested(self) -> NDArray[np.bool_]:
        """Which signs anybody here has answered, shape (S,)."""
        tested: NDArray[np.bool_] = self.tested.sum(axis=0) > 0.0
        return tested


def chances(eta: Floats, variance: Floats, floor: Floats) -> Chances:
    """Means and bounds of floor + (1 - floor) sigma(eta), eta normal; the mean after MacKay (1992)."""
    reach = Z_80 * np.sqrt(variance)
    mean = sigma(eta / np.sqrt(1.0 + np.pi * variance / 8.0))
    return Chances(*(floor + (1.0 - floor) * part for part in (sigma(eta - reach), mean, sigma(eta + reach))))


@dataclass(frozen=True, slots=True)
class Asked:
    """For whom and what a belief is asked: rows of the class and columns of the table, with their features.

    x : shape (L, S, P). days_ahead : from the last run to the asked day.
    """

    names: tuple[str, ...]
    signs: str
    rows: Ints
    columns: Ints
    x: Floats
    days_ahead: int


@dataclass(frozen=True, slots=True)
class _Strengths:
    """Of some rows: eta, its variance and the floor; the others are what they add to the class's mean.

    alone : (S,), variance that averages out. in_all : (S,), standard deviation that does not.
    moved : (S, P + A), how that mean follows beta and b.
    """

    eta: Floats
    variance: Floats
    floor: Floats
    alone: Floats
    in_all: Floats
    moved: Floats


def believe_in_slices(
    asked: Asked, at: Point, solved: Solved, tested: Floats, met: NDArray[np.bool_], guessing: Floats
) -> Slices[Belief]:
    """What is believed; tested, met and guessing are the whole class's."""
    parts: list[_Strengths] = []
    for start in range(0, len(asked.rows), ROWS_A_SLICE):
        parts.append(_strengths(asked, slice(start, start + ROWS_A_SLICE), at, solved, guessing))
        yield
    eta, variance, floor = (
        np.concatenate([getattr(part, name) for part in parts]) for name in ("eta", "variance", "floor")
    )
    each = chances(eta, variance, floor)
    mean = each.mean.mean(axis=0)
    alone, moved = sum(part.alone for part in parts), sum(part.moved for part in parts)
    in_all = sum(part.in_all for part in parts)
    variance_of_sum = alone + in_all**2 + np.einsum("sp,sp->s", moved @ solved.shared, moved)
    spread = np.sqrt(variance_of_sum) / len(asked.rows)
    reach = Z_80 * spread / np.maximum(mean * (1.0 - mean), 1e-6)
    middle = np.log(mean / (1.0 - mean))
    together = Chances(sigma(middle - reach), mean, sigma(middle + reach))
    of = np.ix_(asked.rows, asked.columns)
    return Belief(asked.names, asked.signs, each, together, tested[of], met[of], eta, variance, floor)


def _strengths(asked: Asked, some: slice, at: Point, solved: Solved, guessing: Floats) -> _Strengths:
    columns, x, learners, s = asked.columns, asked.x[some], asked.rows[some], len(asked.signs)
    of, sums = np.ix_(learners, columns), solved.sums
    wx = sums.wx[of]
    own = x[..., OWN]
    eta = x @ at.beta + np.einsum("lsq,lq->ls", own, at.a[learners]) + at.b[columns] + at.d[of]
    # eta is a sum over d, a, (beta, b): how much of each it takes once the ones before are eliminated.
    of_d = solved.of_cells[of]
    of_a = own - wx[..., OWN] * of_d[..., None]
    common = np.zeros((len(learners), s, P + A))
    common[..., :P] = x - wx * of_d[..., None]
    common[:, np.arange(s), P + columns] += 1.0 - sums.w[of] * of_d
    common -= of_a @ solved.lean[learners]
    by_own = np.einsum("lsq,lsq->ls", of_a @ solved.own[learners], of_a)
    by_common = np.einsum("lsp,lsp->ls", common @ solved.shared, common)
    unseen = UNSEEN + UNSEEN_AHEAD * np.log1p(asked.days_ahead)
    floor = (guessing[learners] / max(1, s))[:, None]
    # The class's mean moves with each eta by `pull`; what is common to all does not average out.
    known = sigma(eta)
    pull = (1.0 - floor) * known * (1.0 - known)
    alone = (pull**2 * (of_d + by_own + (1.0 - IN_ALL) * unseen)).sum(axis=0)
    in_all = np.sqrt(IN_ALL * unseen) * pull.sum(axis=0)
    moved = np.einsum("ls,lsp->sp", pull, common)
    return _Strengths(eta, of_d + by_own + by_common + unseen, floor, alone, in_all, moved)


believe = at_once(believe_in_slices)
