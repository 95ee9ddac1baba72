"""Pairs of sounds that a class really mixes up.

A class must not be re-taught what was chance. A pair is named only when neither chance, nor what the keys in
play leave to choose from, nor anybody's habit of answering explains it, several learners did it, and it costs
something.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.evidence.intervals import FEWEST_SENDINGS, binomial_tail, t_quantile
from copyroom.core.record import PastRun, columns_of
from copyroom.core.slices import Slices, at_once

CELLS_A_SLICE = 200
"""Cells tested between two looks at the event loop."""
FEWEST_LEARNERS = 3
"""A pair that fewer learners than this mixed up is theirs, not the class's."""
FALSE_SHARE = 0.1
"""Share of false ones that is accepted among the pairs named (Benjamini and Hochberg 1995)."""
WORTH_LOST = 0.02
"""What a pair must cost to be named: part of the sendings of a symbol that is lost to the other."""
SURELY = 1.28
"""Standard errors by which it must cost that: by then a cheaper one is named in one of ten."""
UNEVEN = 0.05
"""Level of the test that it is not one learner alone who makes a pair."""
OWN_HABIT, CLASS_HABIT = 3.0, 6.0
"""The class's habit stands in for a learner's, and evenness for the class's, as if by so many answers."""
TEACHABLE, SEEN = 0.10, 0.8
"""\"No mix-ups\" is said only of sounds that would have shown one that costs this much, this surely."""
_FEWEST_KEYS = 3
"""With two keys whoever errs has but one to take: nothing is learned of mix-ups."""

_OFF = ~np.eye(len(SYMBOLS), dtype=bool)


def benjamini_hochberg(p: NDArray[np.float64], tests: int | None = None) -> NDArray[np.float64]:
    """P values adjusted for the false discovery rate (Benjamini and Hochberg, JRSS B 57, 1995), (n,).

    tests : how many were made in all; those that are not in `p` count as failed.
    """
    if not len(p):
        return p
    order = np.argsort(p)[::-1]
    scaled = p[order] * (tests or len(p)) / np.arange(len(p), 0, -1)
    adjusted = np.empty_like(p)
    adjusted[order] = np.minimum(np.minimum.accumulate(scaled), 1.0)
    return adjusted


@dataclass(frozen=True, slots=True)
class Pair:
    """ "sent heard as written", `n` times in `sendings`, by `learners` different learners.

    lost : share of the sendings of `sent` lost to `written`, beyond chance and habits; the rank.
    back, back_sendings : the other direction: `written` heard as `sent`, of so many sendings.
    """

    sent: str
    written: str
    n: int
    sendings: int
    learners: int
    back: int
    back_sendings: int
    lost: float


@dataclass(frozen=True, slots=True)
class Pairs:
    """The pairs worth teaching, the most worth first.

    unseen : signs of which too little was copied to say that they are mixed up with nothing.
    enough : something was copied, and there is no such sign: "no other mix-ups" may be said.
    """

    pairs: tuple[Pair, ...]
    unseen: str
    enough: bool


class MixUps:
    """Substitutions of a class, summed run by run over the keys that were in play. Rows are learners.

    Of runs with two keys only the sendings count: whoever errs there has but one to take.

    made : shape (L, A, A), how often each was written for each.
    by_keys : keys in play -> (substitutions, sendings), each (L, A), by what was sent.
    sendings : shape (A,), heard by the class.
    """

    def __init__(self) -> None:
        self.rows: dict[str, int] = {}
        self.made = np.zeros((0, len(SYMBOLS), len(SYMBOLS)))
        self.by_keys: dict[frozenset[str], tuple[NDArray[np.float64], NDArray[np.float64]]] = {}
        self.sendings = np.zeros(len(SYMBOLS))

    def take(self, run: PastRun) -> None:
        """Count one more run."""
        if not run.copies or not run.sent:
            return
        self._enrol(run.copies)
        who = np.array([self.rows[name] for name in run.copies])
        sent = columns_of(run.sent)
        np.add.at(self.sendings, sent, float(len(who)))
        keys = frozenset(run.in_play)
        if len(keys) < _FEWEST_KEYS:
            return
        written = columns_of("".join(run.copies.values())).reshape(len(who), len(sent))
        wrong = np.isin(written, columns_of(run.in_play)) & (written != sent)
        learner, place = np.nonzero(wrong)
        np.add.at(self.made, (who[learner], sent[place], written[learner, place]), 1.0)
        if keys not in self.by_keys:
            self.by_keys[keys] = (np.zeros((0, len(SYMBOLS))), np.zeros((0, len(SYMBOLS))))
        substituted, heard = (_grown(table, len(self.rows)) for table in self.by_keys[keys])
        np.add.at(substituted, (who[learner], sent[place]), 1.0)
        np.add.at(heard, (np.repeat(who, len(sent)), np.tile(sent, len(who))), 1.0)
        self.by_keys[keys] = (substituted, heard)

    def _enrol(self, names: Iterable[str]) -> None:
        for name in names:
            self.rows.setdefault(name, len(self.rows))
        self.made = _grown(self.made, len(self.rows))


def _grown(table: NDArray[np.float64], rows: int) -> NDArray[np.float64]:
    """The table with so many rows."""
    if len(table) == rows:
        return table
    grown = np.zeros((rows, *table.shape[1:]))
    grown[: len(table)] = table
    return grown


def pairs_in_slices(mixed: MixUps) -> Slices[Pairs]:
    """Which sounds this class mixes up.

    "i heard as j" is worth teaching when more j were written for i than is expected of chance and habit:
    of every substitution made for i, j takes the share of its weight among the keys in play in that run, a
    learner's weight of j being how often they write j for *other* symbols (the row of i itself left out, or
    the pair would prove itself), drawn towards the class's. The excess must survive Benjamini-Hochberg at .1
    over all cells, must come of three learners and more, evenly enough, and surely cost .02 of the sendings
    of i.
    """
    if not mixed.by_keys:
        return Pairs((), _signs(mixed.sendings > 0), enough=False)
    found = np.zeros((len(SYMBOLS), len(SYMBOLS)), bool)
    for _ in range(2):  # what is found first no longer counts as a habit the second time
        expected, asked, possible = yield from _expected(mixed, found)
        yield
        adjusted = yield from _adjusted(mixed.made.sum(axis=0), expected.sum(axis=0), asked, possible)
        found = (adjusted <= FALSE_SHARE) & ((mixed.made > 0).sum(axis=0) >= 2)
    surely = [
        pair
        for i, j in np.argwhere(adjusted <= FALSE_SHARE)
        if (pair := _pair(mixed, expected[:, i, j], int(i), int(j)))
    ]
    surely.sort(key=lambda pair: (-pair.lost, pair.sent, pair.written))
    unseen = _unseen(mixed, asked, possible)
    return Pairs(tuple(surely), unseen, enough=not unseen)


pairs_worth_teaching = at_once(pairs_in_slices)

Cube = NDArray[np.float64]
"""Shape (L, A, A)."""


def _expected(
    mixed: MixUps, found: NDArray[np.bool_]
) -> Slices[tuple[Cube, NDArray[np.float64], NDArray[np.float64]]]:
    """Substitutions expected of each learner without any pair.

    With them, by cell, over the runs in which the written one was in play: the substitutions made for the
    sent one, and how often that was heard.
    """
    learners, signs = len(mixed.rows), len(SYMBOLS)
    made = mixed.made * ~found
    yield
    in_play = np.zeros((len(mixed.by_keys), signs))
    for k, keys in enumerate(mixed.by_keys):
        in_play[k, [INDEX[sign] for sign in keys]] = 1.0
    substituted = np.stack([_grown(part, learners) for part, _ in mixed.by_keys.values()])
    heard = np.stack([part.sum(axis=0) for _, part in mixed.by_keys.values()])
    asked = substituted.sum(axis=1).T @ in_play * _OFF
    possible = heard.T @ in_play * _OFF
    yield
    # k: runs with the same keys; l: learner; i: sent; j: written. Evenly over the other keys in play:
    evenly = substituted / (in_play.sum(axis=1) - 1.0)[:, None, None]
    even = np.einsum("kli,kj->lij", evenly, in_play, optimize=True) * (_OFF & ~found)
    yield
    made = made.sum(axis=1, keepdims=True) - made
    yield
    even = even.sum(axis=1, keepdims=True) - even
    yield
    of_class = (made.sum(axis=0) + CLASS_HABIT) / (even.sum(axis=0) + CLASS_HABIT)
    weight = (made + OWN_HABIT * of_class) / (even + OWN_HABIT) * _OFF
    yield
    total = np.einsum("lij,kj->kli", weight, in_play, optimize=True)
    per_weight = np.divide(substituted, total, out=np.zeros_like(total), where=total > 0)
    yield
    expected = weight * np.einsum("kli,kj->lij", per_weight, in_play, optimize=True)
    return expected, asked, possible


def _adjusted(
    n: NDArray[np.float64],
    expected: NDArray[np.float64],
    asked: NDArray[np.float64],
    possible: NDArray[np.float64],
) -> Slices[NDArray[np.float64]]:
    """Adjusted P values of all cells, shape (A, A); 1 where nothing speaks for a pair."""
    adjusted = np.ones_like(n)
    more = np.argwhere((n > expected) & (n >= FEWEST_LEARNERS) & (asked > 0))
    tails = np.ones(len(more))
    for place, (i, j) in enumerate(more):
        if place % CELLS_A_SLICE == 0:
            yield
        share = min(1.0, expected[i, j] / asked[i, j])
        tails[place] = binomial_tail(int(n[i, j]), int(asked[i, j]), share)
    if len(more):
        adjusted[more[:, 0], more[:, 1]] = benjamini_hochberg(tails, int((possible > 0).sum()))
    return adjusted


def _pair(mixed: MixUps, expected: NDArray[np.float64], i: int, j: int) -> Pair | None:
    """What is known of a pair; None where it is not the class's, or costs too little."""
    made = mixed.made[:, i, j]
    n, learners = int(made.sum()), int((made > 0).sum())
    heard, back = _heard(mixed, i, SYMBOLS[j].sign), _heard(mixed, j, SYMBOLS[i].sign)
    lost = float((made - expected).sum() / (heard.sum() + FEWEST_SENDINGS))
    at_least = lost - SURELY * sqrt(n) / (heard.sum() + FEWEST_SENDINGS)
    if learners < FEWEST_LEARNERS or at_least < WORTH_LOST or not _is_shared((made - expected)[heard > 0]):
        return None
    return Pair(
        SYMBOLS[i].sign,
        SYMBOLS[j].sign,
        n,
        int(heard.sum()),
        learners,
        int(mixed.made[:, j, i].sum()),
        int(back.sum()),
        lost,
    )


def _heard(mixed: MixUps, i: int, key: str) -> NDArray[np.float64]:
    """How often each learner heard a symbol in runs in which this key was in play, shape (L,)."""
    heard = np.zeros(len(mixed.rows))
    for keys, (_, of_keys) in mixed.by_keys.items():
        if key in keys:
            heard[: len(of_keys)] += of_keys[:, i]
    return heard


def _is_shared(excess: NDArray[np.float64]) -> bool:
    """Whether learners hang together enough for their mean to be over nothing: Student's one-sided test."""
    if len(excess) < FEWEST_LEARNERS:
        return False
    error = float(excess.std(ddof=1)) / sqrt(len(excess))
    return float(excess.mean()) > t_quantile(1.0 - UNEVEN, len(excess) - 1) * error


def _unseen(mixed: MixUps, asked: NDArray[np.float64], possible: NDArray[np.float64]) -> str:
    """Signs for which a pair worth teaching might have stayed unseen.

    A pair that costs `TEACHABLE` adds that share of the sendings to what chance writes; the count from
    which it would be named must then be reached with the probability `SEEN`, by a normal approximation.
    """
    unseen = mixed.sendings > 0
    tests = max(1, int((possible > 0).sum()))
    strict = 3.5 if tests > 200 else 3.0  # normal quantile of about .1 / tests, rounded up
    for i in np.flatnonzero(mixed.sendings):
        sendings, substituted = possible[i].max(), asked[i].max()
        keys = max(2, int((possible[i] > 0).sum()))
        chance = substituted / keys
        added = TEACHABLE * sendings
        needed = max(FEWEST_LEARNERS, chance + strict * sqrt(chance + 0.5))
        unseen[i] = chance + added - 0.85 * sqrt(chance + added) < needed or len(mixed.rows) < FEWEST_LEARNERS
    return _signs(unseen)


def _signs(chosen: NDArray[np.bool_]) -> str:
    return "".join(SYMBOLS[i].sign for i in np.flatnonzero(chosen))
