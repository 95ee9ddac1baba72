"""The lattice: every way of cutting a row of marks into symbols of the code, summed over.

A parse cuts the n marks into runs of one to eight, each run one symbol. What a run says of its symbol depends
on its own marks and the gaps inside it, so all sums are over (first mark, length): a semi-Markov chain with
one state. Only element sequences of the alphabet are summed over, which is what a prefix tree would do too.

All arrays have a leading axis of h hypotheses about the hand, which are carried through together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import Symbol

Floats = NDArray[np.float64]

NEVER = -1e30
"""Logarithm of a probability of nothing, safe to add and subtract."""


@dataclass(frozen=True, slots=True, eq=False)
class Codebook:
    """Symbols by the number of their elements.

    symbols : those in play.
    rows : per length 1, 2, ..., the indices into `symbols` of that length.
    dahs : per length, shape (symbols of that length, length): 1 for a dah, 0 for a dit.
    """

    symbols: tuple[Symbol, ...]
    rows: tuple[NDArray[np.intp], ...]
    dahs: tuple[Floats, ...]

    @classmethod
    def of(cls, symbols: tuple[Symbol, ...]) -> Codebook:
        """Sort symbols by length."""
        lengths = np.array([len(one.elements) for one in symbols])
        rows = tuple(np.flatnonzero(lengths == length) for length in range(1, int(lengths.max()) + 1))
        dahs = tuple(
            np.array([[e == "-" for e in symbols[i].elements] for i in row], float).reshape(len(row), length)
            for length, row in enumerate(rows, 1)
        )
        return cls(symbols, rows, dahs)

    def can_fill(self, n: int) -> bool:
        """Whether n marks can be cut into symbols at all."""
        ends = {0}
        for end in range(1, n + 1):
            if any(len(row) and end - length in ends for length, row in enumerate(self.rows, 1)):
                ends.add(end)
        return n in ends


@dataclass(frozen=True, slots=True, eq=False)
class Parses:
    """What all parses together say.

    evidence : shape (h,), log of their sum.
    runs : per length L, shape (h, n - L + 1, symbols of that length): probability that this symbol begins at
        this mark.
    dah : shape (h, n), probability that a mark is a dah.
    ends : shape (h, n - 1), probability that a symbol ends before a gap.
    """

    evidence: Floats
    runs: list[Floats]
    dah: Floats
    ends: Floats


def _log_sum(terms: Floats) -> Floats:
    """Logarithm of the sum of exponentials along the last axis."""
    most = terms.max(axis=-1)
    total: Floats = most + np.log(np.exp(terms - most[..., None]).sum(axis=-1))
    return total


def parses(book: Codebook, marks: Floats, inside: Floats, between: Floats, prior: Floats) -> Parses:
    """Sum over every parse, forwards and backwards.

    marks : shape (h, n, 2), log density of each mark as dit and as dah.
    inside, between : shape (h, n - 1), log density of each gap inside a symbol, and between two.
    prior : shape (h, number of symbols), log probability of each.
    """
    h, n, _ = marks.shape
    longest = len(book.rows)
    scores = [
        _scores(marks, inside, dahs, prior[:, row]) for row, dahs in zip(book.rows, book.dahs, strict=True)
    ]
    weights = np.full(
        (longest, h, n + 1), NEVER
    )  # of a run of this length from this mark, with the gap behind
    after = np.concatenate([between, np.zeros((h, 1))], axis=1)
    for length, score in enumerate(scores, 1):
        if score.size:
            weights[length - 1, :, : n - length + 1] = _log_sum(score) + after[:, length - 1 :]
    forward, backward = _chain(weights, n)
    evidence = forward[n]
    runs, dah = [], np.zeros((h, n))
    for length, (score, dahs) in enumerate(zip(scores, book.dahs, strict=True), 1):
        if score.size:
            stays = n - length + 1
            around = (forward[:stays] + backward[length:]).T + after[:, length - 1 :] - evidence[:, None]
            score = np.exp(score + around[..., None])
            heavy = score @ dahs
            for i in range(length):
                dah[:, i : i + stays] += heavy[..., i]
        runs.append(score)
    ends = np.exp(np.minimum((forward[1:n] + backward[1:n]).T - evidence[:, None], 0.0))
    return Parses(evidence, runs, np.clip(dah, 0.0, 1.0), ends)


def _scores(marks: Floats, inside: Floats, dahs: Floats, prior: Floats) -> Floats:
    """Log density of a run for each symbol of one length L, shape (h, n - L + 1, symbols)."""
    h, n, _ = marks.shape
    count, length = dahs.shape
    stays = n - length + 1
    if stays <= 0 or not count:
        return np.empty((h, 0, count))
    dit = np.stack([marks[:, i : i + stays, 0] for i in range(length)], axis=-1)
    more = np.stack([marks[:, i : i + stays, 1] for i in range(length)], axis=-1) - dit
    gaps = sum((inside[:, i : i + stays] for i in range(length - 1)), np.zeros((h, stays)))
    score: Floats = more @ dahs.T + (dit.sum(axis=-1) + gaps)[..., None] + prior[:, None, :]
    return score


def _chain(weights: Floats, n: int) -> tuple[Floats, Floats]:
    """Log sums over the parses of all marks before, and of all from, each mark: shape (n + 1, h) both."""
    longest, h, _ = weights.shape
    by_end = np.full((n + 1, h, longest), NEVER)  # slot j: the run of length longest - j that ends here
    by_start = np.full((n + 1, h, longest), NEVER)
    for length in range(1, longest + 1):
        if length <= n:
            own = weights[length - 1, :, : n - length + 1].T
            by_end[length:, :, longest - length] = own
            by_start[: n - length + 1, :, length - 1] = own
    forward = np.full((longest + n + 1, h), NEVER)
    forward[longest] = 0.0
    for k in range(1, n + 1):
        forward[longest + k] = np.logaddexp.reduce(by_end[k] + forward[k : k + longest].T, axis=-1)
    backward = np.full((n + 1 + longest, h), NEVER)
    backward[n] = 0.0
    for k in range(n - 1, -1, -1):
        backward[k] = np.logaddexp.reduce(by_start[k] + backward[k + 1 : k + 1 + longest].T, axis=-1)
    return forward[longest:], backward[: n + 1]
