"""Classes drawn from the model's own prior: where its truth falls in its belief must be uniform.

Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari and Gelman 2018), with the place in the
normal belief of one learner and sound instead of a rank among draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.knowledge import Knowledge
from copyroom.core.knowledge.belief import UNSEEN, UNSEEN_AHEAD, Belief
from copyroom.core.knowledge.posterior import (
    CELLS_SPREAD,
    LEARNERS_SPREAD,
    OWN,
    SYMBOLS_SPREAD,
    USUAL,
    USUAL_SPREAD,
    sigma,
)
from copyroom.core.knowledge.practice import Practice
from copyroom.core.record import PastRun, columns_of

Floats = NDArray[np.float64]
SPEEDS = (16.0, 18.0, 20.0)


@dataclass(frozen=True)
class Drawn:
    """A class of the prior: its runs, what is believed after them, and the true strengths, shape (L, S)."""

    runs: list[PastRun]
    believed: Belief
    truth: Floats

    @property
    def places(self) -> Floats:
        """Where the truth falls in what is believed, 0..1, shape (L, S)."""
        spread = np.sqrt(self.believed.variance)
        return np.asarray(norm.cdf((self.truth - self.believed.eta) / spread))


class _Drawing:
    """Strengths of learners and sounds as the prior has them."""

    def __init__(self, learners: int, rng: np.random.Generator) -> None:
        self.rng = rng
        self.beta = rng.normal(USUAL, USUAL_SPREAD)
        self.a = rng.normal(0.0, LEARNERS_SPREAD, (learners, len(OWN)))
        self.b = rng.normal(0.0, SYMBOLS_SPREAD, len(SYMBOLS))
        self.d = rng.normal(0.0, CELLS_SPREAD, (learners, len(SYMBOLS)))
        self.writes = rng.beta(2.0, 2.0, learners)

    def strength(self, x: Floats, columns: NDArray[np.int64]) -> Floats:
        own = np.einsum("lsq,lq->ls", x[..., OWN], self.a)
        return np.asarray(x @ self.beta + own + self.b[columns] + self.d[:, columns])

    def copies(self, sent: str, known: Floats) -> list[str]:
        """One copy a learner; `known` of each sending, shape (L, sendings)."""
        keys = sorted(set(sent))
        knows = self.rng.random(known.shape) < known
        writes = self.rng.random(known.shape) < self.writes[:, None]
        guess = self.rng.choice(keys, known.shape)
        written = np.where(knows, list(sent), np.where(writes, guess, "_"))
        return ["".join(row) for row in written]


def drawn(
    rng: np.random.Generator, learners: int = 8, signs: str = "KMRSUAPTLOWI", meetings: int = 4
) -> Drawn:
    """Weekly meetings of two runs, some new sounds at each, a third of the learners away at each."""
    drawing, practice, runs = _Drawing(learners, rng), Practice(), []
    names = [f"s{row}" for row in range(learners)]
    rows = np.arange(learners)
    for meeting in range(meetings):
        known = signs[: len(signs) * (meeting + 1) // meetings]
        first = len(signs) * meeting // meetings
        here = rows[rng.random(learners) < 0.7] if meeting else rows
        if not len(here):
            continue
        for half in range(2):
            sent = "".join(rng.choice(list(known), 40))
            wpm = float(rng.choice(SPEEDS))
            new = "" if half else known[first:]
            heard = PastRun(7 * meeting, sent, {}, tuple(names[row] for row in here), new, wpm=wpm)
            practice.enrol(learners)
            practice.begin(heard, here)
            columns, place, times = np.unique(columns_of(sent), return_inverse=True, return_counts=True)
            x = practice.features(heard, rows, columns, times)
            written = drawing.copies(sent, sigma(drawing.strength(x, columns))[:, place])
            practice.end(heard, here, columns, times)
            copies = {names[row]: written[row] for row in here}
            runs.append(PastRun(heard.day, sent, copies, heard.present, new, wpm=wpm))
    knowledge = Knowledge()
    knowledge.learn(runs)
    ahead = int(rng.choice([0, 7]))
    day = runs[-1].day + ahead
    believed = knowledge.believe(day, signs, (18.0, None), names)
    truth = drawing.strength(practice.features_on(day, columns_of(signs), (18.0, None)), columns_of(signs))
    unseen = np.sqrt(UNSEEN + UNSEEN_AHEAD * np.log1p(ahead))
    return Drawn(runs, believed, truth + rng.normal(0.0, unseen, truth.shape))
