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

BLOCK = 16
"""Marks between two breaths for the event loop."""
_TINY = np.float32(1e-30)


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
    (count, size), width, states = r.group.written.shape, r.width, r.states
    answers = width * states
    steps = np.empty((count, answers, answers + width + 1, size), np.float32)
    by_slot = steps.reshape(count, width, states, answers + width + 1, size)
    for start in range(0, count, BLOCK):
        fill_steps(r, np.arange(start, min(start + BLOCK, count)), by_slot[start : start + BLOCK])
        yield
    extra, step = extra_densities(r), np.diff(r.low, axis=0, prepend=0)
    slot, column = np.arange(width + 1)[:, None] * size, np.arange(size)
    end = (width + 1) * size + column
    yield
    alpha, scales = (
        np.empty((count, answers + width + 1, size), np.float32),
        np.ones((count, size), np.float32),
    )
    state = np.zeros((answers + width + 1, size), np.float32)
    state[answers] = 1.0
    last = np.zeros((width + 2, size), np.float32)
    for k in range(count):
        new = alpha[k]
        np.einsum("avc,vc->ac", steps[k], state, out=new[:answers])
        last[:-1] = state[answers:]
        last[1:-1] += (
            state[:answers].reshape(width, states, size).sum(axis=1) if states > 1 else state[:answers]
        )
        shift = slot[1:] + (step[k] * size + column)
        moved = last.ravel()[np.minimum(shift, end)]
        new[answers] = np.maximum(last.sum(axis=0) - moved.sum(axis=0), 0.0)
        new[answers + 1 :] = moved
        new[answers:] *= extra[k]
        np.add(new.sum(axis=0), _TINY, out=scales[k])
        new /= scales[k]
        state = new
        if k % BLOCK == 0:
            yield
    final, after = last_gap(r), np.ones_like(state)
    last_mark = r.group.marks - 1
    ending = set(last_mark.tolist())
    for k in range(count - 1, -1, -1):
        if k in ending:
            after = np.where(last_mark == k, final, after)
        alpha[k] *= after
        back = np.maximum(slot + (column - step[k] * size), column)
        moved = after[answers:].ravel()[back] * extra[k]
        after = np.einsum("avc,ac->vc", steps[k], after[:answers])
        after[answers:] += moved
        after[:answers] += np.repeat(moved[1:], states, axis=0) if states > 1 else moved[1:]
        after /= after.max(axis=0) + _TINY
        if k % BLOCK == 0:
            yield
    alpha /= alpha.sum(axis=1, keepdims=True) + _TINY
    written = np.arange(count)[:, None] < r.group.marks
    log_likelihood = np.where(written, np.log(scales), 0).sum(axis=0, dtype=np.float64)
    answered = alpha[:, :answers].reshape(count, width, states, size)
    return Posterior(r.low, answered, alpha[:, answers:].sum(axis=1), log_likelihood)
