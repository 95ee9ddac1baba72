"""Marks: how probable it is that a learner writes y for a sound x, or y for nothing at all."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.similarity import similarity

BLANK_MARK = len(SYMBOLS)
"""Index of the blank among marks; a symbol's is its place in the table."""
BY_SOUND = 0.8
"""Share of the substitutions that go by the likeness of sounds; the rest go anywhere."""
EXTRA_BLANK = 0.03
"""Share of the extra marks that are blanks."""

EXTRA_REPEATS, EXTRA_FOLLOWS, EXTRA_SOON_S = 0.4, 0.6, 0.3
"""Shares of the extra marks that show the mark before again, and that follow it within about 0.3 s."""

_SIMILARITY = similarity()


def substitution(in_play: NDArray[np.intp]) -> NDArray[np.float32]:
    """What is written in place of a sound, given that something else is: shape (A, A + 1), rows sum to 1.

    P(y|x) = .8 R_xy / sum_y R_xy + .2 / (K - 1) over the K symbols in play, R the likeness of sounds. Only
    what is in play can be expected: in a drill of five, four things can be written in place of one.
    """
    size = len(SYMBOLS)
    table = np.zeros((size, size + 1), np.float32)
    likeness = _SIMILARITY[np.ix_(in_play, in_play)] * (1 - np.eye(len(in_play)))
    others = max(1, len(in_play) - 1)
    share = likeness / np.maximum(likeness.sum(axis=1, keepdims=True), 1e-12)
    share = BY_SOUND * share + (1 - BY_SOUND) / others * (1 - np.eye(len(in_play)))
    table[np.ix_(in_play, in_play)] = share
    return table


def answer_probability(
    sent: NDArray[np.intp],
    written: NDArray[np.intp],
    recall: NDArray[np.float32],
    blank: NDArray[np.float32],
    substitutions: NDArray[np.float32],
) -> NDArray[np.float32]:
    """P(written | sent) elementwise: r for the same, b for a blank, else (1 - r - b) of `substitution`.

    sent, written : indices, broadcast against each other; recall, blank : broadcast likewise.
    """
    other = (1 - recall - blank) * substitutions.ravel()[sent * substitutions.shape[1] + written]
    return np.where(written == BLANK_MARK, blank, np.where(sent == written, recall, other))


def extra_share(written: NDArray[np.intp], before: NDArray[np.intp], in_play: int) -> NDArray[np.float32]:
    """What an extra mark shows: often the mark before it again (a double press), else anything.

    before : index of the mark before, -1 for none.
    """
    anything = np.where(written == BLANK_MARK, EXTRA_BLANK, (1 - EXTRA_BLANK) / in_play)
    share: NDArray[np.float32] = EXTRA_REPEATS * (written == before) + (1 - EXTRA_REPEATS) * anything
    return share


def extra_density(since_s: NDArray[np.float64], tempo_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """When an extra mark comes, per second: often right after the one before, else at any time.

    since_s : time from the mark before, nan where unknown; tempo_s : median distance of two sounds.
    """
    soon = np.exp(-np.maximum(since_s, 0.0) / EXTRA_SOON_S) / EXTRA_SOON_S
    density: NDArray[np.float64] = np.where(
        np.isfinite(since_s), EXTRA_FOLLOWS * soon + (1 - EXTRA_FOLLOWS) / tempo_s, 1 / tempo_s
    )
    return density
