"""Simulated classes of seven kinds whose truth is known: invented data, assumed learners, no people.

They are not the model of `core/knowledge` turned round: memory follows one of four laws drawn anew for each
class, learners leave blanks or write by habit, slip, come late, stay away. What is asked of a model is the
chance that each learner writes a sign when it is sent on a day to come, in a mix of all signs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.memories import Memory, memory_of
from copyroom.core.record import PastRun

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

KINDS = ("plain", "habit", "pairs", "days", "speed", "guess", "all")
"""No pair; habits of answering; true pairs; forgetting, absence, newcomers, breaks; several speeds; who does
not know writes any of the keys; all of it."""
SIGNS = "ETANIMSOURDKGWHLVFPBXCYZJQ0123456789?./,="
WORTH = 0.02
"""A true pair costs at least this part of a sign's sendings."""


@dataclass(frozen=True)
class Simulated:
    """One class.

    signs : introduced so far. names : of those who ever came.
    day, speeds : what is asked. truth : shape (L, S), chance to write each.
    lost : (sent, written) -> part of the sendings lost to a true pair.
    """

    runs: tuple[PastRun, ...]
    signs: str
    names: tuple[str, ...]
    day: int
    speeds: tuple[float | None, float | None]
    truth: Floats
    lost: dict[tuple[str, str], float]


def sigma(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))


@dataclass
class _Writers:
    """What learners write for what they heard: slips, mix-ups (L, K, K), blanks (L,), habits (L, K)."""

    slip: float
    mixed: Floats
    blank: Floats
    habit: Floats

    def write(self, known: Floats, sent: Ints, keys: Ints, rng: np.random.Generator) -> Ints:
        """Columns written, -1 for a blank; of `known`, the chances to know each, (learners, sendings)."""
        shape = known.shape
        knows = rng.random(shape) < known
        wrote = np.where(knows, sent, -1)
        slipped = knows & (rng.random(shape) < self.slip)
        wrote[slipped] = rng.choice(keys, int(slipped.sum()))
        of_pairs = self.mixed[:, sent][:, :, keys].cumsum(axis=2)
        drawn = rng.random(shape)
        mixes = ~knows & (drawn < of_pairs[..., -1])
        wrote[mixes] = keys[(of_pairs <= drawn[..., None]).sum(axis=2)[mixes]]
        writes = ~knows & ~mixes & (rng.random(shape) >= self.blank[:, None])
        habit = self.habit[:, keys].cumsum(axis=1)
        taken = rng.random(shape) * habit[:, -1:]
        at = np.minimum((habit[:, None, :] <= taken[..., None]).sum(axis=2), len(keys) - 1)
        wrote[writes] = keys[at[writes]]
        return wrote


class _Class:
    """A class while its meetings are played."""

    def __init__(self, kind: str, rng: np.random.Generator, meetings: int | None) -> None:
        self.kind, self.rng = kind, rng
        self.K, self.L = int(rng.integers(12, 26)), int(rng.choice([6, 8, 12, 16, 25]))
        self.signs = "".join(rng.permutation(list(SIGNS))[: self.K])
        drawn = int(rng.choice([3, 4, 5, 6, 10]))
        self.days = self._calendar(drawn if meetings is None else meetings)
        self.known = min(self.K, int(rng.integers(4, self.K // 2 + 4)))
        self.forgets = kind in ("days", "all") or (kind != "plain" and rng.random() < 0.3)
        self.paced = kind in ("speed", "all")
        self.memory: Memory = memory_of(self.forgets, (self.L, self.K), self.known, rng)
        self.level = rng.uniform(0.3, 2.0) - (rng.uniform(0.5, 2.0) if self.forgets else 0.0)
        self.own = (
            rng.normal(0, rng.uniform(0.5, 1.1), (self.L, 1))
            + rng.normal(0, rng.uniform(0.3, 0.7), self.K)
            + rng.normal(0, rng.uniform(0.2, 0.7), (self.L, self.K))
        )
        self.unmet = -rng.uniform(2.0, 4.0)
        self.slope = np.array([2 * rng.uniform(0.5, 3), rng.uniform(0.3, 2)]) * self.paced
        self.usual = np.array([rng.integers(14, 22), rng.integers(10, 21) / 2])
        self.says_speed = self.paced or rng.random() < 0.6
        self.writers = self._writers()
        came = np.where(rng.random(self.L) < 0.15, rng.integers(0, len(self.days), self.L), 0)
        self.joins = came if kind in ("plain", "days", "all") else np.zeros(self.L, int)
        self.attends = rng.uniform(0.7, 1.0)
        self.names = [f"s{row + 1}" for row in range(self.L)]
        self.runs: list[PastRun] = []
        self.seen = np.zeros(self.L, bool)

    def _calendar(self, meetings: int) -> Ints:
        rng = self.rng
        gaps = rng.choice([1, 2], meetings - 1) if rng.random() < 0.3 else np.full(meetings - 1, 7)
        if len(gaps) and self.kind in ("days", "all") and rng.random() < 0.5:
            gaps[rng.integers(0, meetings - 1)] += rng.integers(14, 60)
        return np.concatenate([[0], np.cumsum(gaps)])

    def _writers(self) -> _Writers:
        rng, shape = self.rng, (self.L, self.K)
        blank = rng.beta(1, 6, self.L) if self.kind == "guess" else rng.beta(2, 2, self.L)
        if self.kind == "plain":
            or_all = (rng.random(self.L) < 0.5).astype(float)
            blank = or_all if rng.random() < 0.5 else np.full(self.L, rng.uniform(0.3, 0.9))
        habit = np.full(shape, 1.0 / self.K)
        if self.kind in ("habit", "all"):
            habit = rng.dirichlet(np.full(self.K, rng.uniform(0.3, 1.2)), self.L)
            if rng.random() < 0.5:
                habit = (habit + rng.dirichlet(np.full(self.K, 0.5))) / 2
        return _Writers(rng.uniform(0, 0.05), self._mixed(), blank, habit)

    def _mixed(self) -> Floats:
        rng, mixed = self.rng, np.zeros((self.L, self.K, self.K))
        if self.kind in ("pairs", "all"):
            for _ in range(int(rng.integers(2, 6))):
                i, j = rng.choice(self.K, 2, replace=False)
                has_it = rng.random(self.L) < rng.uniform(0.6, 1.0)
                how_much = np.exp(rng.normal(0, 0.3, self.L)) * has_it
                mixed[:, i, j] = np.minimum(rng.uniform(0.05, 0.6) * how_much, 0.9)
                if rng.random() < 0.6:
                    mixed[:, j, i] = np.minimum(rng.uniform(0.05, 0.6) * how_much, 0.9)
        return mixed

    def strength(self, day: int, speeds: Floats) -> Floats:
        x = self.level + self.own + self.memory.strength(day)
        if self.forgets:
            x = np.where(self.memory.met, x, self.unmet)
        return np.asarray(x - (self.slope * np.log(speeds / self.usual)).sum())

    def meet(self, place: int, day: int) -> None:
        rng = self.rng
        here = (rng.random(self.L) < self.attends) & (self.joins <= place)
        if not here.any():
            here[0] = True
        self.seen |= here
        present = tuple(self.names[row] for row in np.flatnonzero(here))
        for run in range(int(rng.integers(1, 5))):
            new = ""
            if run == 0 and place > 0 and self.known < self.K:
                more = int(min(self.K - self.known, rng.integers(1, 5)))
                new = self.signs[self.known : self.known + more]
                self.memory.introduce(day, here, np.arange(self.known, self.known + more))
                self.known += more
            self._run(day, here, present, new)

    def _pool(self, new: str) -> tuple[Ints, bool]:
        """Columns that a run is drawn from, and whether all known ones may be written."""
        rng, what = self.rng, self.rng.random()
        if (new and rng.random() < 0.7) or what < 0.15:
            return np.arange(max(0, self.known - 4), self.known), False
        if what < 0.4:
            some = 2 if what < 0.3 else min(8, self.known)
            return np.sort(rng.choice(self.known, some, replace=False)), False
        return np.arange(self.known), rng.random() < 0.2

    def _run(self, day: int, here: NDArray[np.bool_], present: tuple[str, ...], new: str) -> None:
        rng = self.rng
        pool, open_keys = self._pool(new)
        sent = rng.choice(pool, int(rng.integers(24, 100) if len(pool) > 4 else rng.integers(20, 48)))
        keys = np.arange(self.known) if open_keys else pool
        named = bool(rng.random() < 0.2)
        shift = np.array([rng.integers(-3, 5), 0.5 * rng.integers(-4, 9)]) * self.paced
        speeds = np.maximum(self.usual + shift, 3.0)
        who = np.flatnonzero(here & (rng.random(self.L) < 0.95))
        strength = self.strength(day, speeds)[who][:, sent]
        if named and self.forgets:  # the name that follows each answer helps with the next one
            strength = strength + 0.15 * np.array([(sent[:at] == sign).sum() for at, sign in enumerate(sent)])
        wrote = self._of(who).write(sigma(strength), sent, keys, rng)
        spelt = np.array([*self.signs, "_"])
        self.runs.append(
            PastRun(
                day,
                "".join(spelt[sent]),
                {self.names[row]: "".join(spelt[copy]) for row, copy in zip(who, wrote, strict=True)},
                present,
                new,
                "named" if named else "copy",
                "".join(spelt[keys]) if open_keys or rng.random() < 0.6 else "",
                float(speeds[0]) if self.says_speed else None,
                float(speeds[1]) if self.says_speed else None,
            )
        )
        self.memory.hear(day, who, np.bincount(sent, minlength=self.K), named)

    def _of(self, who: Ints) -> _Writers:
        w = self.writers
        return _Writers(w.slip, w.mixed[who], w.blank[who], w.habit[who])

    def ask(self) -> Simulated:
        rng, n, w = self.rng, self.known, self.writers
        day = int(self.days[-1] + (rng.choice([0, 7, 14, 48]) if self.forgets else 0))
        speeds = self.usual + np.array([rng.integers(-2, 4), 0]) * self.paced
        knows = sigma(self.strength(day, speeds))[self.seen, :n]
        mixed, habit = w.mixed[self.seen, :n, :n], w.habit[self.seen, :n]
        habit = habit / habit.sum(axis=1, keepdims=True)
        lucky = (1.0 - knows) * (1.0 - mixed.sum(axis=2)) * (1.0 - w.blank[self.seen, None]) * habit
        lost = ((1.0 - knows)[:, :, None] * mixed).mean(axis=0)
        return Simulated(
            tuple(self.runs),
            self.signs[:n],
            tuple(np.array(self.names)[self.seen]),
            day,
            (float(speeds[0]), float(speeds[1])) if self.says_speed else (None, None),
            knows * (1.0 - w.slip + w.slip / n) + lucky,
            {(self.signs[i], self.signs[j]): float(lost[i, j]) for i, j in np.argwhere(lost >= WORTH)},
        )


def simulated(kind: str, seed: int, meetings: int | None = None) -> Simulated:
    """The same class for the same seed; without `meetings`, of 3 to 10."""
    made = _Class(kind, np.random.default_rng([KINDS.index(kind), seed]), meetings)
    for place, day in enumerate(made.days):
        made.meet(place, int(day))
    return made.ask()


def shrunken_shares(of: Simulated) -> Floats:
    """(k + 3 q) / (n + 3), q the pooled share: what any model must beat, shape (L, S)."""
    row = {name: place for place, name in enumerate(of.names)}
    column = {sign: place for place, sign in enumerate(of.signs)}
    right, heard = np.zeros((2, len(row), len(column)))
    for run in of.runs:
        for name, copy in run.copies.items():
            for sent, wrote in zip(run.sent, copy, strict=True):
                heard[row[name], column[sent]] += 1.0
                right[row[name], column[sent]] += sent == wrote
    pooled = right.sum() / max(1.0, heard.sum())
    return np.asarray((right + 3.0 * pooled) / (heard + 3.0))


def divergence(truth: Floats, believed: Floats) -> float:
    """Mean Kullback-Leibler divergence of Bernoulli answers, in nats."""
    t, p = (np.clip(chance, 1e-4, 1.0 - 1e-4) for chance in (truth, believed))
    return float(np.mean(t * np.log(t / p) + (1.0 - t) * np.log((1.0 - t) / (1.0 - p))))
