"""What is believed of learners and sounds on a day, at a speed: chances with their bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.knowledge.posterior import OWN, A, P, Point, Solved, sigma
from copyroom.core.knowledge.practice import Floats, Ints

Z_80 = 1.2815515655446004
"""The normal quantile of .9."""
UNSEEN = 0.02
"""Variance of eta that no part of the model accounts for."""
UNSEEN_AHEAD = 0.05
"""More of it for a day to come, for each unit of log(1 + days from the last run)."""


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


def believe(
    asked: Asked, at: Point, solved: Solved, tested: Floats, met: NDArray[np.bool_], guessing: Floats
) -> Belief:
    """What is believed; tested, met and guessing are the whole class's."""
    names, signs, columns, x = asked.names, asked.signs, asked.columns, asked.x
    of, sums, rows, s = np.ix_(asked.rows, asked.columns), solved.sums, len(names), len(signs)
    wx = sums.wx[of]
    own, a = x[..., OWN], at.a[asked.rows]
    eta = x @ at.beta + np.einsum("lsq,lq->ls", own, a) + at.b[columns] + at.d[of]
    # eta is a sum over d, a, (beta, b): how much of each it takes once the ones before are eliminated.
    of_d = solved.of_cells[of]
    of_a = own - wx[..., OWN] * of_d[..., None]
    common = np.zeros((rows, s, P + A))
    common[..., :P] = x - wx * of_d[..., None]
    common[:, np.arange(s), P + columns] += 1.0 - sums.w[of] * of_d
    common -= of_a @ solved.lean[asked.rows]
    by_own = np.einsum("lsq,lsq->ls", of_a @ solved.own[asked.rows], of_a)
    by_common = np.einsum("lsp,lsp->ls", common @ solved.shared, common)
    unseen = UNSEEN + UNSEEN_AHEAD * np.log1p(asked.days_ahead)
    variance = of_d + by_own + by_common + unseen
    floor = (guessing[asked.rows] / max(1, s))[:, None]
    each = chances(eta, variance, floor)
    # The class's mean moves with each eta by `pull`; what is common to all does not average out.
    known = sigma(eta)
    pull = (1.0 - floor) * known * (1.0 - known) / rows
    alone = (pull**2 * (of_d + by_own + unseen)).sum(axis=0)
    moved = np.einsum("ls,lsp->sp", pull, common)
    spread = np.sqrt(alone + np.einsum("sp,sp->s", moved @ solved.shared, moved))
    mean = each.mean.mean(axis=0)
    reach = Z_80 * spread / np.maximum(mean * (1.0 - mean), 1e-6)
    middle = np.log(mean / (1.0 - mean))
    together = Chances(sigma(middle - reach), mean, sigma(middle + reach))
    return Belief(names, signs, each, together, tested[of], met[of], eta, variance, floor)
