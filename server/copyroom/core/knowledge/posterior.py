"""The most plausible beta, a, b and d for all answers together, and how sure they are.

Newton's steps on the logarithm of posterior density, with the expected curvature (Fisher's scoring). Each
step is a weighted regression whose matrix has as many rows as there are learners times symbols; but d_ls
meets only its own cell and a_l only its own learner, so both are eliminated by hand (Schur complements), and
what is left to solve has one row for each feature and each symbol: about sixty.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass

import numpy as np

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.knowledge.answers import Answers
from copyroom.core.knowledge.practice import AWAY, FEATURES, LEVEL, PRACTICE, Floats, Ints
from copyroom.core.slices import Slices, at_once

A, P = len(SYMBOLS), FEATURES
OWN = [LEVEL, PRACTICE, AWAY]
"""The features whose weight differs from learner to learner (z)."""
Q = len(OWN)

USUAL = np.array([0.5, 0.1, -0.1, -1.0, -2.0, -0.6, 0.0, 0.05])
USUAL_SPREAD = np.array([1.2, 0.5, 0.4, 1.5, 2.4, 1.2, 0.2, 0.4])
"""Mean and standard deviation of beta over classes, from simulated ones of unlike kinds."""
LEARNERS_SPREAD = np.array([0.8, 0.1, 0.1])
SYMBOLS_SPREAD, CELLS_SPREAD = 0.5, 0.5
"""Standard deviations of a, b and d, before a class has shown its own."""
AS_IF_LEARNERS, AS_IF_SYMBOLS, AS_IF_CELLS = 8.0, 8.0, 40.0
"""As if so many learners, symbols and cells had shown those spreads."""


def sigma(eta: Floats) -> Floats:
    """The logistic function."""
    found: Floats = 1.0 / (1.0 + np.exp(-np.clip(eta, -30.0, 30.0)))
    return found


@dataclass(slots=True)
class Point:
    """What is most plausible.

    beta (P,), a (L, Q), b (A,), d (L, A); the spreads of a, b and d.
    excess : how many times as much as by chance the answers of one learner's evening vary, 1 or more.
    """

    beta: Floats
    a: Floats
    b: Floats
    d: Floats
    spread_a: Floats
    spread_b: float = SYMBOLS_SPREAD
    spread_d: float = CELLS_SPREAD
    excess: float = 1.0

    @classmethod
    def usual(cls, learners: int) -> Point:
        """What is believed before any answer."""
        zeros = np.zeros((learners, A))
        return cls(USUAL.copy(), np.zeros((learners, Q)), np.zeros(A), zeros, LEARNERS_SPREAD.copy())

    def copy(self) -> Point:
        """One that may be moved on its own."""
        return deepcopy(self)

    def enrol(self, learners: int) -> None:
        """Have rows for so many learners."""
        more = learners - len(self.a)
        self.a = np.vstack([self.a, np.zeros((more, Q))])
        self.d = np.vstack([self.d, np.zeros((more, A))])


@dataclass(slots=True)
class Sums:
    """What a regression step needs of all rows, linearised at a point; sums of parts may be added up.

    w, r : shape (L, A), weight of each cell and weighted answers. wx : (L, A, P). xx (P, P) and xr (P,), of
    all rows; zx (L, Q, P) and zr (L, Q), of each learner's. off, by_chance : shape (evenings,), how far the
    answers of an evening are from what was expected, and the variance that chance gives that.
    """

    w: Floats
    r: Floats
    wx: Floats
    xx: Floats
    xr: Floats
    zx: Floats
    zr: Floats
    off: Floats
    by_chance: Floats

    @classmethod
    def none(cls, learners: int, evenings: int) -> Sums:
        """Of no rows."""
        shapes = [(learners, A), (learners, A), (learners, A, P), (P, P), (P,)]
        of_learners = [(learners, Q, P), (learners, Q), (evenings,), (evenings,)]
        return cls(*(np.zeros(shape) for shape in [*shapes, *of_learners]))

    def add(self, other: Sums) -> None:
        """Count the other's rows too; one may know of more learners and evenings."""
        for name in self.__slots__:
            mine, its = getattr(self, name), getattr(other, name)
            long, short = (mine, its) if len(mine) >= len(its) else (its, mine)
            total = long.copy()
            total[: len(short)] += short
            setattr(self, name, total)


def linearised(rows: Answers, guessing: Floats, at: Point, evenings: int) -> Sums:
    """The sums over some rows at a point.

    guessing : shape (L,), how readily each learner writes something for what they did not catch.
    """
    learners, learner, x = len(at.a), rows.learner, rows.x
    z = x[:, OWN]
    eta = x @ at.beta + np.einsum("rq,rq->r", z, at.a[learner]) + at.b[rows.symbol]
    eta += at.d[learner, rows.symbol]
    floor = guessing[learner] / rows.keys
    known = sigma(eta)
    p = np.clip(floor + (1.0 - floor) * known, 1e-6, 1.0 - 1e-6)
    slope = (1.0 - floor) * known * (1.0 - known)
    off, by_chance = rows.right - rows.sent * p, rows.sent * p * (1.0 - p)
    w = rows.sent * slope * slope / (p * (1.0 - p)) / at.excess
    r = w * eta + off * slope / (p * (1.0 - p)) / at.excess
    cell, wx = learner * A + rows.symbol, w[:, None] * x
    return Sums(
        w=_summed(cell, w, learners * A).reshape(learners, A),
        r=_summed(cell, r, learners * A).reshape(learners, A),
        wx=_columns(cell, wx, learners * A).reshape(learners, A, P),
        xx=x.T @ wx,
        xr=x.T @ r,
        zx=np.stack([_columns(learner, z[:, [q]] * wx, learners) for q in range(Q)], axis=1),
        zr=_columns(learner, z * r[:, None], learners),
        off=_summed(rows.evening, off, evenings),
        by_chance=_summed(rows.evening, by_chance, evenings),
    )


def _summed(group: Ints, values: Floats, groups: int) -> Floats:
    summed: Floats = np.bincount(group, values, groups).astype(float)
    return summed


def _columns(group: Ints, values: Floats, groups: int) -> Floats:
    return np.stack([_summed(group, column, groups) for column in values.T], axis=-1)


@dataclass(frozen=True, slots=True)
class Solved:
    """One step's solution with its covariances.

    of_cells : (L, A), variance of d with all else known.
    own : (L, Q, Q), covariance of a with beta and b known.
    lean : (L, Q, P + A), how far a follows beta and b. shared : (P + A, P + A), covariance of beta and b.
    sums : what it was solved from.
    """

    of_cells: Floats
    own: Floats
    lean: Floats
    shared: Floats
    sums: Sums


def solve_in_slices(sums: Sums, at: Point) -> Slices[Solved]:
    """The next point, put into `at`, and its covariances."""
    of_cells = 1.0 / (sums.w + 1.0 / at.spread_d**2)
    kept = 1.0 - sums.w * of_cells  # the part of a cell's evidence that is left when its d is unknown
    w, wx, r = sums.w * kept, sums.wx * kept[..., None], sums.r * kept
    wxd = sums.wx * of_cells[..., None]
    zx = sums.zx - wxd[..., OWN].transpose(0, 2, 1) @ sums.wx
    zr = sums.zr - np.einsum("lsq,ls->lq", wxd[..., OWN], sums.r)
    own = _inverse(zx[:, :, OWN] + np.diag(1.0 / at.spread_a**2))
    cross = np.concatenate([zx, wx[..., OWN].transpose(0, 2, 1)], axis=2)
    lean = own @ cross
    yield
    matrix = np.zeros((P + A, P + A))
    flat = sums.wx.reshape(-1, P)
    matrix[:P, :P] = sums.xx + np.diag(1.0 / USUAL_SPREAD**2) - wxd.reshape(-1, P).T @ flat
    matrix[P:, :P] = wx.sum(axis=0)
    matrix[:P, P:] = matrix[P:, :P].T
    matrix[P:, P:] = np.diag(w.sum(axis=0) + 1.0 / at.spread_b**2)
    matrix -= cross.reshape(-1, P + A).T @ lean.reshape(-1, P + A)
    right = np.concatenate([sums.xr + USUAL / USUAL_SPREAD**2, r.sum(axis=0)])
    right[:P] -= np.einsum("lsp,ls->p", wxd, sums.r)
    right -= np.einsum("lqp,lq->p", lean, zr)
    shared = _inverse(matrix)
    common = shared @ right
    yield
    at.beta, at.b = common[:P], common[P:]
    at.a = np.einsum("lqr,lr->lq", own, zr - cross @ common)
    explained = sums.wx @ at.beta + sums.w * at.b + np.einsum("lsq,lq->ls", sums.wx[..., OWN], at.a)
    at.d = (sums.r - explained) * of_cells
    return Solved(of_cells, own, lean, shared, sums)


solve = at_once(solve_in_slices)


def _inverse(matrix: Floats) -> Floats:
    return np.linalg.inv(matrix).astype(float)


def spread_anew(solved: Solved, at: Point) -> None:
    """Let the class show how far learners, symbols and cells spread, and how unsteady an evening is.

    A step of expectation and maximisation with a prior that counts as if some had been seen.
    """
    of_a = np.diagonal(solved.own, axis1=1, axis2=2)
    of_a = of_a + np.einsum("lqp,lqp->lq", solved.lean @ solved.shared, solved.lean)
    asked = solved.sums.w > 0.0
    who = asked.any(axis=1)
    squares = (at.a**2 + of_a)[who].sum(axis=0) + AS_IF_LEARNERS * LEARNERS_SPREAD**2
    at.spread_a = np.sqrt(squares / (who.sum() + AS_IF_LEARNERS))
    heard = solved.sums.w.sum(axis=0) > 0.0
    square = ((at.b**2 + np.diag(solved.shared)[P:])[heard]).sum() + AS_IF_SYMBOLS * SYMBOLS_SPREAD**2
    at.spread_b = float(np.sqrt(square / (heard.sum() + AS_IF_SYMBOLS)))
    square = ((at.d**2 + solved.of_cells)[asked]).sum() + AS_IF_CELLS * CELLS_SPREAD**2
    at.spread_d = float(np.sqrt(square / (asked.sum() + AS_IF_CELLS)))
    some = solved.sums.by_chance > 0.0
    if some.any():
        at.excess = max(1.0, float(np.mean(solved.sums.off[some] ** 2 / solved.sums.by_chance[some])))
