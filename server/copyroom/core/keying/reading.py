"""A reading: what was sent, how sure each symbol is, and the hand that sent it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import RECOMMENDED, WORD_SPACE, symbol
from copyroom.core.keying.fist import Fist, fist
from copyroom.core.keying.fit import Fit, Hands
from copyroom.core.keying.keyed import Keyed
from copyroom.core.keying.lattice import Codebook, Floats
from copyroom.core.slices import Slices, at_once

BEGINNING = 200
"""Marks from which the hand is found; about 60 symbols hold all of it but the drift to come."""
STAGES = ((4, 6), (6, 3))
"""Rounds of learning, and how many of the hypotheses are kept then."""
LAST_ROUNDS = 12
SETTLED = 1e-3
"""Rounds end when none of the hypotheses gains as much, in log probability."""
SAME = 0.02
"""Hypotheses whose probabilities of dahs and letters' ends are nowhere further apart are one."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read.

    text : a text, groups separated by one space; "" when nothing was sent.
    confidence : one probability per symbol (not per space) that it is right.
    fist : the hand; None when nothing was sent.
    """

    text: str
    confidence: tuple[float, ...]
    fist: Fist | None


def read_in_slices(tones: Keyed, symbols: str = "") -> Slices[Reading]:
    """Read hand-sent or machine-sent code, yielding after each round of learning.

    tones : the key's; no speed, weight or spacing needs to be known.
    symbols : the signs that may have been sent; all of the code's by default, and when these cannot make up
        as many tones.

    Raises ValueError for a sign that is no symbol.
    """
    if not len(tones.on_s):
        return Reading("", (), None)
    book = Codebook.of(tuple(symbol(sign) for sign in dict.fromkeys(symbols)) or RECOMMENDED)
    if not book.can_fill(len(tones.on_s)):
        book = Codebook.of(RECOMMENDED)
    fit, hands = yield from _fitted(tones, book)
    yield
    sums = fit.expect(hands)
    kept = _distinct(np.argsort(-sums.score), np.concatenate([sums.parses.dah, sums.parses.ends], axis=1))
    shares = np.exp(sums.score[kept] - sums.score[kept[0]])
    shares /= shares.sum()
    runs = [np.tensordot(shares, of_length[kept], axes=1) for of_length in sums.parses.runs]
    words = shares @ sums.words[kept]
    yield
    text, confidence, behind = "", [], 0
    for first, length, index, sure in _tiled(fit.book, runs, fit.n):
        if first and words[behind] > 0.5:
            text += WORD_SPACE
        text += fit.book.symbols[index].sign
        confidence.append(min(1.0, sure))
        behind = first + length - 1
    best = kept[:1]
    return Reading(text, tuple(confidence), fist(fit, hands.of(best), sums.kinds[best[0]]))


read = at_once(read_in_slices)


def _fitted(tones: Keyed, book: Codebook) -> Slices[tuple[Fit, Hands]]:
    """Find the hand in the beginning, then follow it through the whole."""
    cut = BEGINNING if book.can_fill(BEGINNING) else len(tones.on_s)
    fit = Fit(Keyed(tones.on_s[:cut], tones.off_s[:cut]), book)
    hands = fit.starts()
    for rounds, kept in STAGES:
        hands = yield from _learned(fit, hands, rounds)
        hands = hands.of(np.argsort(-fit.expect(hands).score)[:kept])
        yield
    if len(tones.on_s) > cut:
        fit, beginning = Fit(tones, book), fit
        hands = fit.carried_over(beginning, hands)
    hands = yield from _learned(fit, hands, LAST_ROUNDS)
    return fit, hands


def _learned(fit: Fit, hands: Hands, rounds: int) -> Slices[Hands]:
    before = np.full(len(hands.words), -np.inf)
    for _ in range(rounds):
        sums = fit.expect(hands)
        if np.max(sums.score - before) < SETTLED:
            break
        before = sums.score
        yield
        hands = fit.maximise(hands, sums)
        yield
    return hands


def _distinct(order: NDArray[np.intp], seen: Floats) -> NDArray[np.intp]:
    """The rows in this order, without those that are like one before."""
    kept: list[int] = []
    for row in order:
        if all(np.max(np.abs(seen[row] - seen[other])) > SAME for other in kept):
            kept.append(int(row))
    return np.array(kept)


def _tiled(book: Codebook, runs: list[Floats], n: int) -> list[tuple[int, int, int, float]]:
    """Cut the marks so that as many symbols as possible are expected to be right.

    Returns first mark, length, index of the symbol and its probability, for each in order.
    """
    best = [
        (of_length.argmax(axis=1), of_length.max(axis=1)) if of_length.size else None for of_length in runs
    ]
    gain = [0.0] + [-1.0] * n
    cut: list[tuple[int, int, int, float]] = [(0, 0, 0, 0.0)] * (n + 1)
    for end in range(1, n + 1):
        for length in range(1, min(len(best), end) + 1):
            found = best[length - 1]
            if found is None or gain[end - length] < 0:
                continue
            which, sure = int(found[0][end - length]), float(found[1][end - length])
            if gain[end - length] + sure > gain[end]:
                gain[end] = gain[end - length] + sure
                cut[end] = (end - length, length, int(book.rows[length - 1][which]), sure)
    tiles, end = [], n
    while end:
        tiles.append(cut[end])
        end = cut[end][0]
    return tiles[::-1]
