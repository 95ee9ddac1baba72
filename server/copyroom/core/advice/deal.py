"""Deal a text for a class: every symbol by its weight, like sounds close together, nothing to be foreseen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from copyroom.core.draws import Floats, draw, own_chance
from copyroom.core.similarity import likeness

CONTRAST = 2.0
"""By how much the chance of a needed symbol rises right after a needed one that sounds just like it."""
CLOSE = 3
"""So many sounds are close together."""
TRIES = 5
"""Texts dealt before one that was sent already is sent again, where the symbols leave no choice."""


def deal(
    signs: str,
    weights: Floats,
    needs: Floats,
    length: int,
    recent: str,
    earlier: Sequence[str],
    rng: np.random.Generator,
) -> str:
    """A text of `length` signs, without spaces.

    Its chance is its own: not even the same `rng` brings an evening's earlier text again. No sign comes
    three times running, of two in play none six times, unless it is alone (`draws`).

    Parameters
    ----------
    signs : distinct signs in play, at least one.
    weights : shape (K,), share of each, > 0, sum 1.
    needs : shape (K,), 0..1; like sounds are put close together as far as both are needed.
    recent : what was sent last, newest last, without spaces; waits go on from there. Five for each sign in
        play say enough.
    earlier : this evening's earlier texts, in order.
    """
    raised = 1.0 + CONTRAST * likeness(signs) * np.sqrt(np.outer(needs, needs))
    before = [signs.index(sign) for sign in recent if sign in signs]

    def pull(drawn: Sequence[int]) -> Floats:
        close = drawn[-CLOSE:]
        factor: Floats = raised[close].max(axis=0) if close else np.ones(len(signs))
        return factor

    chance = own_chance(rng, earlier)
    for _ in range(TRIES):
        drawn = draw(weights, length, chance, recent=before, pull=pull)
        text = "".join(signs[place] for place in drawn)
        if text not in earlier:
            break
    return text
