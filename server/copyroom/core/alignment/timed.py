"""The machine for timed copies: how probable every attribution is, for a group of copies at once.

After mark k a learner is in one of these states:

- *answered* (w, b): mark k answers symbol j = low + w, one of the W that its time allows (`window`), written
  on time (b = 0) or one behind (b = 1);
- *rest* (v): mark k was an extra one, and the last symbol answered was low - 1 + v, or one before when v = 0.
  Before the first mark everybody rests at v = 0.

One step is a small matrix for each copy, into answered from both (slots.fill_steps); an extra mark only
moves the window under the last symbol answered. Sums run over all ways, forwards and backwards (Rabiner,
Proc. IEEE 77, 1989). Arrays have copies last and are of single precision: each step is scaled to 1.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from copyroom.core.alignment.group import Floats, Ints, Singles
from copyroom.core.alignment.slots import Reading, extra_densities, fill_steps, last_gap

BLOCK, BLOCK_CELLS = 16, 300_000
"""Marks between two breaths for the event loop, fewer where they fill more matrix cells than this."""
_TINY = np.float32(1e-30)

Work = Generator[None, None, None]


@dataclass(frozen=True, slots=True)
class Posterior:
    """What the recursion finds.

    low : (K, C), the symbol of slot 0.
    answered : (K, W, B, C), probability that mark k answers symbol low + w, on time / one behind.
    extra : (K, C), that it answers none.
    log_likelihood : (C,), of the copies under the habits given.
    """

    low: Ints
    answered: Singles
    extra: Singles
    log_likelihood: Floats


def posterior(r: Reading) -> Generator[None, None, Posterior]:
    """Forward and backward sums over a reading; yields between blocks of marks, returns the Posterior."""
    (count, size), width, answers = r.group.written.shape, r.width, r.width * r.states
    steps = np.empty((count, answers, answers + width + 1, size), np.float32)
    by_slot = steps.reshape(count, width, r.states, answers + width + 1, size)
    for start in range(0, count, some := _block(r)):
        fill_steps(r, np.arange(start, min(start + some, count)), by_slot[start : start + some])
        yield
    extra = extra_densities(r)
    alpha = np.empty((count, answers + width + 1, size), np.float32)
    yield
    log_likelihood = yield from _forward(r, steps, extra, alpha)
    yield from _backward(r, steps, extra, alpha)
    answered = alpha[:, :answers].reshape(count, width, r.states, size)
    return Posterior(r.low, answered, alpha[:, answers:].sum(axis=1), log_likelihood)


def _block(r: Reading) -> int:
    """How many marks to work on at once."""
    answers = r.width * r.states
    return max(1, min(BLOCK, BLOCK_CELLS // (answers * (answers + r.width + 1) * r.size)))


def _blocks(r: Reading) -> list[tuple[range, Ints]]:
    """Marks in blocks, and by how many symbols the window moves on to each mark of a block, (k, 1, C)."""
    moved = np.diff(r.low, axis=0, prepend=0)[:, None]
    some = _block(r)
    return [(range(len(moved))[i : i + some], moved[i : i + some]) for i in range(0, len(moved), some)]


def _forward(r: Reading, steps: Singles, extra: Singles, alpha: Singles) -> Generator[None, None, Floats]:
    """Fill alpha, (K, W B + W + 1, C): each state's share of the probability of the copy up to mark k."""
    width, states, size = r.width, r.states, r.size
    answers, column = width * states, np.arange(size)
    scales = np.empty((len(alpha), size), np.float32)
    state = np.zeros(alpha.shape[1:], np.float32)
    state[answers] = 1.0
    last = np.zeros((width + 2, size), np.float32)  # by the last symbol answered; a row of zeros at the end
    for block, moved in _blocks(r):
        source = np.minimum(np.arange(1, width + 1)[:, None] + moved, width + 1) * size + column
        for k in block:
            new = alpha[k]
            np.einsum("avc,vc->ac", steps[k], state, out=new[:answers])
            last[:-1] = state[answers:]
            last[1:-1] += _by_slot(state[:answers], states)
            rest = new[answers + 1 :]
            last.take(source[k - block.start], out=rest, mode="clip")
            np.subtract(np.add.reduce(last), np.add.reduce(rest), out=new[answers])
            np.maximum(new[answers], 0, out=new[answers])
            new[answers:] *= extra[k]
            np.add(np.add.reduce(new), _TINY, out=scales[k])
            new /= scales[k]
            state = new
        yield
    written = np.arange(len(alpha))[:, None] < r.group.marks
    log_likelihood: Floats = np.where(written, np.log(scales), 0).sum(axis=0, dtype=np.float64)
    return log_likelihood


def _backward(r: Reading, steps: Singles, extra: Singles, alpha: Singles) -> Work:
    """Multiply alpha by the probability of all that follows, and scale it to 1."""
    width, states, size = r.width, r.states, r.size
    answers, column, last_mark = width * states, np.arange(size), r.group.marks - 1
    ending, final = set(last_mark.tolist()), last_gap(r)
    after = np.ones(alpha.shape[1:], np.float32)
    for block, moved in reversed(_blocks(r)):
        source = np.maximum(np.arange(width + 1)[:, None] - moved, 0) * size + column
        for k in reversed(block):
            if k in ending:
                after = np.where(last_mark == k, final, after)
            alpha[k] *= after
            rest = after[answers:].take(source[k - block.start]) * extra[k]
            after = np.einsum("avc,ac->vc", steps[k], after[:answers])
            after[answers:] += rest
            after[:answers] += np.repeat(rest[1:], states, axis=0) if states > 1 else rest[1:]
            after /= np.maximum.reduce(after) + _TINY
        here = alpha[block.start : block.stop]
        here /= here.sum(axis=1, keepdims=True) + _TINY
        yield


def _by_slot(answered: Singles, states: int) -> Singles:
    """(W B, C) -> (W, C), on time and one behind together."""
    if states == 1:
        return answered
    both: Singles = answered[::2] + answered[1::2]
    return both
