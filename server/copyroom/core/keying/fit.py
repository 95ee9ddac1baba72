"""Fitting the hand: speed, weight, spacing and unsteadiness, learned from what is being read.

Expectation and maximisation (A. P. Dempster, N. M. Laird and D. B. Rubin, J. Roy. Statist. Soc. B 39,
1977): `Fit.expect` sums over all parses under what is thought of the hand, `Fit.maximise` takes the most
probable hand under these sums and the assumptions below. Both carry several hypotheses at once,
since each start leads only to its nearest summit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.keying.keyed import Keyed
from copyroom.core.keying.lattice import Codebook, Floats, Parses, parses

# What is assumed of hands: middle, standard deviation of the logarithm (common practice).
DIT_S = (0.08, 0.5)
"""15 wpm; two in three hands within 9 and 25."""
DAH = (3.1, 0.2)
INSIDE = (1.0, 0.25)
SPACING = ((3.2, 0.3, 1.0), (7.0, 0.4, 0.22), (16.0, 0.4, 0.22))
"""Gap between letters in dits, and how usual that is: one speed, or characters sent faster than spaced."""
WORD = (7 / 3, 0.25)
"""Gap between words by that between letters."""
DAH_BOUNDS = (1.8, 6.0)
INSIDE_BOUNDS = (0.4, 2.0)
"""Beyond these it is no code any more. Without bounds dits alone are read with dahs that are as long."""

UNSTEADY = (0.1, 2.0)
"""Standard deviation of the logarithm of lengths, and as how many observations that counts."""
OWN_UNSTEADY = 12.0
"""As how many observations the common unsteadiness counts for that of each kind of mark or gap."""
STEADIEST = 0.015

KNOT_MARKS = 24
MOST_KNOTS = 32
KNOT_STEP = 0.05
"""The logarithm of the dit goes straight from knot to knot, one in so many marks, each about this far from
the last."""

PAUSE, PAUSE_SPAN = 0.01, 3.0
"""One word space in a hundred is a pause: longer by anything up to e to the seventh, a minute and more."""
WORD_SHARE = (1.0, 5.0)
"""Share of word spaces among the gaps between letters: seen in addition, of so many."""
KIND_WEIGHT = 8.0
"""As how many symbols the kinds' equal use counts, before a text shows which it has."""
KINDS = ("letter", "figure", "punctuation", "signal")

START_STEP = 0.25
START_BELOW = 1.2
"""Starts: dits from the shortest mark by e to this (all marks are dahs) up to the longest, so far apart."""

DIT, DAH_, IN, LETTER, WORDS = range(5)
"""Kinds of marks and gaps, the last axis of all that has one for each."""


@dataclass(frozen=True, slots=True, eq=False)
class Hands:
    """Hypotheses about a hand, h of them.

    lengths : shape (h, k + 4). Logarithm of the dit at each of k knots, in seconds, then by the dit: dah, gap
        inside a letter, between letters, between words.
    unsteady : shape (h, 5), standard deviation of the logarithm, per kind.
    words : shape (h,), share of word spaces among gaps between letters.
    prior : shape (h, symbols), log probability of each symbol.
    spacing : shape (h, 3), the row of `SPACING` this one started from.
    """

    lengths: Floats
    unsteady: Floats
    words: Floats
    prior: Floats
    spacing: Floats

    def of(self, rows: NDArray[np.intp]) -> Hands:
        """Some of the hypotheses."""
        return Hands(
            self.lengths[rows], self.unsteady[rows], self.words[rows], self.prior[rows], self.spacing[rows]
        )


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """What all parses say under each hypothesis.

    score : shape (h,), log of evidence by prior.
    kinds : shape (h, n + n - 1, 5), probability that a mark or gap is of a kind; pauses are of none.
    words : shape (h, n - 1), probability that a gap is a word space or pause.
    """

    parses: Parses
    score: Floats
    kinds: Floats
    words: Floats


class Fit:
    """A row of marks, and how to learn from it."""

    def __init__(self, tones: Keyed, book: Codebook) -> None:
        self.book = book
        self.n = len(tones.marks_s)
        self.logs = np.log(np.concatenate([tones.marks_s, tones.gaps_s]))
        place = np.concatenate([np.arange(self.n), np.arange(self.n - 1) + 0.5])
        self.knots = np.linspace(0, self.n - 1, min(MOST_KNOTS, 1 + round((self.n - 1) / KNOT_MARKS)))
        apart = self.knots[1] if len(self.knots) > 1 else np.inf
        self.basis = np.maximum(0.0, 1.0 - np.abs(place[:, None] - self.knots) / apart)
        self.kind = np.array([KINDS.index(one.kind) for one in book.symbols])
        self.of_kind = np.bincount(self.kind, minlength=len(KINDS))
        self.rows, self.middle, self.precision = self._assumptions()

    def _assumptions(self) -> tuple[Floats, Floats, Floats]:
        """Linear combinations of `lengths`, the middle each is thought near, how closely; first: spacing."""
        k = len(self.knots)
        one = np.eye(k + 4)
        mean = one[:k].mean(axis=0)
        words = one[k + 3] - one[k + 2]
        steps = one[1:k] - one[: k - 1]
        rows = np.vstack([one[k + 2], mean, one[k], one[k + 1], words, steps])
        assumed = np.array([SPACING[0][:2], DIT_S, DAH, INSIDE, WORD, *[(1.0, KNOT_STEP)] * len(steps)])
        return rows, np.log(assumed[:, 0]), assumed[:, 1] ** -2.0

    def starts(self) -> Hands:
        """Every speed that the marks allow with every spacing."""
        marks = self.logs[: self.n]
        dits = np.arange(marks.min() - START_BELOW, marks.max() + START_STEP, START_STEP)
        spacing = np.tile(np.array(SPACING), (len(dits), 1))
        h, k = len(spacing), len(self.knots)
        lengths = np.empty((h, k + 4))
        lengths[:, :k] = np.repeat(dits, len(SPACING))[:, None]
        lengths[:, k] = np.log(DAH[0])
        lengths[:, k + 1] = np.log(INSIDE[0])
        lengths[:, k + 2] = np.log(spacing[:, 0])
        lengths[:, k + 3] = lengths[:, k + 2] + np.log(WORD[0])
        equal = np.full((h, len(self.kind)), -np.log(len(self.kind)))
        return Hands(lengths, np.full((h, 5), 0.25), np.full(h, 0.2), equal, spacing)

    def carried_over(self, part: Fit, hands: Hands) -> Hands:
        """Hypotheses from a beginning of the same row; its last speed is thought to stay."""
        k = len(part.knots)
        dits = [np.interp(self.knots, part.knots, row[:k]) for row in hands.lengths]
        lengths = np.hstack([np.array(dits), hands.lengths[:, k:]])
        return Hands(lengths, hands.unsteady, hands.words, hands.prior, hands.spacing)

    def expected(self, hands: Hands) -> Floats:
        """Logarithm of the length of each mark and gap, were it of each kind: shape (h, n + n - 1, 5)."""
        k = len(self.knots)
        by_dit = np.pad(hands.lengths[:, k:], ((0, 0), (1, 0)))
        found: Floats = (hands.lengths[:, :k] @ self.basis.T)[..., None] + by_dit[:, None]
        return found

    def expect(self, hands: Hands) -> Sums:
        """Sum over all parses."""
        n = self.n
        off = self.logs[:, None] - self.expected(hands)
        density = (
            -0.5 * (off / hands.unsteady[:, None]) ** 2 - np.log(hands.unsteady * np.sqrt(2 * np.pi))[:, None]
        )
        marks, gaps = density[:, :n, :2], density[:, n:]
        letter = gaps[..., LETTER] + np.log1p(-hands.words)[:, None]
        longer = (off[:, n:, WORDS] > 0) & (off[:, n:, WORDS] < PAUSE_SPAN)
        usual = gaps[..., WORDS] + np.log1p(-PAUSE)
        word = np.where(longer, np.logaddexp(usual, np.log(PAUSE / PAUSE_SPAN)), usual)
        between = np.logaddexp(letter, word + np.log(hands.words)[:, None])
        found = parses(self.book, marks, gaps[..., IN], between, hands.prior)
        words = found.ends * np.exp(word + np.log(hands.words)[:, None] - between)
        kinds = np.zeros_like(density)
        kinds[:, :n, DIT], kinds[:, :n, DAH_] = 1 - found.dah, found.dah
        kinds[:, n:, IN], kinds[:, n:, LETTER] = 1 - found.ends, found.ends - words
        kinds[:, n:, WORDS] = words * np.exp(usual - word)
        return Sums(found, found.evidence + self._log_prior(hands), kinds, words)

    def _middles(self, hands: Hands) -> tuple[Floats, Floats]:
        """Middle and precision of each assumption under each hypothesis, shape (h, assumptions)."""
        h = len(hands.spacing)
        middle, precision = np.tile(self.middle, (h, 1)), np.tile(self.precision, (h, 1))
        middle[:, 0], precision[:, 0] = np.log(hands.spacing[:, 0]), hands.spacing[:, 1] ** -2.0
        return middle, precision

    def _log_prior(self, hands: Hands) -> Floats:
        middle, precision = self._middles(hands)
        off = hands.lengths @ self.rows.T - middle
        usual, weight = UNSTEADY
        steady = np.sum((usual / hands.unsteady) ** 2 + 2 * np.log(hands.unsteady), axis=1) * weight / 10
        seen, of = WORD_SHARE
        shares = seen * np.log(hands.words) + (of - seen) * np.log1p(-hands.words)
        near = np.sum(precision * off**2 - np.log(precision), axis=1)
        total: Floats = shares - steady - 0.5 * near + np.log(hands.spacing[:, 2])
        return total

    def maximise(self, hands: Hands, sums: Sums) -> Hands:
        """Take the most probable hand, given the sums."""
        lengths = self._lengths(hands, sums.kinds / hands.unsteady[:, None] ** 2)
        hands = Hands(lengths, hands.unsteady, hands.words, hands.prior, hands.spacing)
        squares: Floats = np.sum(sums.kinds * (self.logs[:, None] - self.expected(hands)) ** 2, axis=1)
        counts = sums.kinds.sum(axis=1)
        usual, weight = UNSTEADY
        common = (squares.sum(axis=1) + weight * usual**2) / (counts.sum(axis=1) + weight)
        unsteady: Floats = np.sqrt((squares + OWN_UNSTEADY * common[:, None]) / (counts + OWN_UNSTEADY))
        seen, of = WORD_SHARE
        words = (sums.words.sum(axis=1) + seen) / (sums.parses.ends.sum(axis=1) + of)
        return Hands(lengths, np.maximum(unsteady, STEADIEST), words, self._prior(sums.parses), hands.spacing)

    def _lengths(self, hands: Hands, weights: Floats) -> Floats:
        """Weighted least squares: every mark and gap under each kind, and the assumptions."""
        k = len(self.knots)
        middle, precision = self._middles(hands)
        left = (self.rows.T * precision[:, None]) @ self.rows
        right = (precision * middle) @ self.rows
        all_kinds, shifted = weights.sum(axis=2), weights[..., 1:]
        cross = self.basis.T @ shifted
        left[:, :k, :k] += (self.basis.T * all_kinds[:, None]) @ self.basis
        left[:, :k, k:] += cross
        left[:, k:, :k] += cross.transpose(0, 2, 1)
        left[:, range(k, k + 4), range(k, k + 4)] += shifted.sum(axis=1)
        right[:, :k] += (all_kinds * self.logs) @ self.basis
        right[:, k:] += self.logs @ shifted
        lengths = np.asarray(np.linalg.solve(left, right[..., None])[..., 0], np.float64)
        lengths[:, k] = np.clip(lengths[:, k], *np.log(DAH_BOUNDS))
        lengths[:, k + 1] = np.clip(lengths[:, k + 1], *np.log(INSIDE_BOUNDS))
        return lengths

    def _prior(self, found: Parses) -> Floats:
        """How much a text has of each kind of symbol; within a kind all are equal."""
        used = np.zeros((len(found.evidence), len(self.kind)))
        for row, runs in zip(self.book.rows, found.runs, strict=True):
            used[:, row] = runs.sum(axis=1)
        kinds = used @ np.eye(len(KINDS))[self.kind] + KIND_WEIGHT * self.of_kind / self.of_kind.sum()
        share = kinds / kinds.sum(axis=1, keepdims=True)
        prior: Floats = np.log(share[:, self.kind] / self.of_kind[self.kind])
        return prior
