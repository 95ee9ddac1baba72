"""How simulated learners keep what they heard: unlike laws, because nobody knows which one holds.

None, the logarithm of practice, saturation, a power law of the sum of traces, and two stores of which one
fades. Coefficients are drawn for each class; all are invented.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
INTRODUCED = 6.0
"""An introduction is worth so many sendings."""


class Memory:
    """Nothing is learned or forgotten. Arrays have shape (learners, signs).

    met : who met what. heard : sendings so far. last : day of the last one; -inf for never.
    """

    def __init__(self, shape: tuple[int, int], known: int, rng: np.random.Generator) -> None:
        self.met = np.zeros(shape, bool)
        self.met[:, :known] = True
        self.heard = np.zeros(shape)
        self.last = np.full(shape, -np.inf)
        self.named_worth = rng.uniform(1.5, 3.5)
        self.learns = np.exp(rng.normal(0, 0.3, (shape[0], 1)))
        self.forgets = rng.uniform(0.1, 0.6) * np.exp(rng.normal(0, 0.3, (shape[0], 1)))
        self.growth, self.scale = rng.uniform(1.5, 4.0), rng.uniform(8.0, 30.0)
        if rng.random() < 0.6:
            self.before(known, rng)

    def before(self, known: int, rng: np.random.Generator) -> None:
        """What was practised before the record begins."""
        self.heard[:, :known] = rng.uniform(0, 60)

    def introduce(self, day: int, here: NDArray[np.bool_], columns: Ints) -> None:
        times = np.zeros(self.met.shape)
        times[np.ix_(here, columns)] = INTRODUCED
        self._add(day, times)

    def hear(self, day: int, rows: Ints, times: Ints, named: bool) -> None:
        heard = np.zeros(self.met.shape)
        heard[rows] = times * (self.named_worth if named else 1.0)
        self._add(day, heard)

    def _add(self, day: int, times: Floats) -> None:
        self.met |= times > 0
        self.heard += times
        self.last = np.where(times > 0, day, self.last)
        self.trace(day, times)

    def trace(self, day: int, times: Floats) -> None:
        """What else a law keeps."""

    def away(self, day: int) -> Floats:
        """Days since the last sending; 0 where there was none."""
        return np.where(np.isfinite(self.last), day - self.last, 0.0)

    def strength(self, day: int) -> Floats:
        return np.zeros(self.met.shape)


class Logarithm(Memory):
    def strength(self, day: int) -> Floats:
        learned = self.learns * self.growth / 2 * np.log1p(self.heard / 5)
        return np.asarray(learned - self.forgets * np.log1p(self.away(day)))


class Saturation(Memory):
    def strength(self, day: int) -> Floats:
        learned = self.growth * (1 - np.exp(-self.heard * self.learns / self.scale))
        lost = 1.5 * self.forgets * np.log1p(self.away(day) / 2) * np.exp(-self.heard / 100)
        return np.asarray(learned - lost)


class PowerLaw(Memory):
    def __init__(self, shape: tuple[int, int], known: int, rng: np.random.Generator) -> None:
        super().__init__(shape, known, rng)
        self.traces = [(0, self.heard.copy())]

    def trace(self, day: int, times: Floats) -> None:
        self.traces.append((day, times))

    def strength(self, day: int) -> Floats:
        active = sum(times * (1.0 + 5.0 * (day - then)) ** -0.35 for then, times in self.traces)
        return np.asarray(0.9 * self.learns * np.log(1e-3 + active))


class TwoStores(Memory):
    def __init__(self, shape: tuple[int, int], known: int, rng: np.random.Generator) -> None:
        self.fresh, self.then = np.zeros(shape), 0
        self.fades, self.fills = rng.uniform(1.5, 8.0), rng.uniform(0.03, 0.15)
        super().__init__(shape, known, rng)

    def before(self, known: int, rng: np.random.Generator) -> None:
        self.heard[:, :known], self.fresh[:, :known] = rng.uniform(0, 40), rng.uniform(0, 1)

    def trace(self, day: int, times: Floats) -> None:
        left = self.fresh * np.exp(-(day - self.then) / self.fades)
        self.fresh, self.then = 1.0 - (1.0 - left) * (1.0 - self.fills) ** times, day

    def strength(self, day: int) -> Floats:
        kept = 1.2 * self.learns * np.log1p(self.heard / self.scale * 3)
        return np.asarray(kept + 2.5 * self.fresh * np.exp(-(day - self.then) / self.fades))


def memory_of(forgets: bool, shape: tuple[int, int], known: int, rng: np.random.Generator) -> Memory:
    """One law at random; none where the class neither learns nor forgets."""
    if not forgets:
        return Memory(shape, known, rng)
    law = rng.choice([Logarithm, Saturation, PowerLaw, TwoStores, TwoStores])
    made: Memory = law(shape, known, rng)
    return made
