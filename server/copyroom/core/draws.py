"""Draws: what sounds next, so that each symbol has its share and no listener can tell it beforehand.

A listener who hears nothing can still write what is due. Dealing every symbol before any comes twice gave
such a listener .31 of eight symbols and .19 of twenty; blind draws give nothing away, and leave some symbol
unheard for minutes. So chance rises with the wait, but never above a limit (`most_chance`) that leaves
whoever knows all that went before, and this rule too, little better off than writing the commonest symbol
all the time. What the limit leaves to chance is a wait of up to `LONGEST_WAIT` sounds a symbol; only then
does a symbol come for certain.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ABOVE_SHARE, ABOVE_ALL = 1.15, 0.015
"""A symbol's chance is at most so many times its share, or an even share, and so much."""
LONGEST_WAIT = 5
"""A symbol that was absent for so many sounds for each symbol in play comes next for certain."""
LONG_WAIT = 2
"""From about so many sounds for each symbol in play, chance rises steeply, whatever the share."""
LONGEST_RUN, LONGEST_RUN_OF_TWO = 2, 5
"""How often a symbol may come running; with two in play, two would tell the third."""

Pull = Callable[[Sequence[int]], Floats]
"""The places drawn last, newest last -> shape (K,), by what factor each symbol's chance is raised."""


def own_chance(rng: np.random.Generator, earlier: Sequence[str]) -> np.random.Generator:
    """A text's own chance: not that of the evening's earlier texts, even where all begin from one seed."""
    heard = zlib.crc32("\n".join(earlier).encode())
    return np.random.default_rng([int(rng.integers(2**32)), len(earlier), heard])


def most_chance(shares: Floats) -> Floats:
    """The most that each symbol's chance to come next may be; shape (K,), like `shares`."""
    return ABOVE_SHARE * np.maximum(shares, 1.0 / len(shares)) + ABOVE_ALL


def draw(
    shares: Floats,
    count: int,
    rng: np.random.Generator,
    *,
    recent: Sequence[int] = (),
    pull: Pull | None = None,
) -> list[int]:
    """The places of the next `count` symbols.

    Parameters
    ----------
    shares : shape (K,), how often each is to come, > 0, sum 1.
    recent : places of what came before, newest last; the waits go on from there.
    pull : raises chances by what came last.
    """
    waits = _waits(len(shares), recent, rng)
    most = most_chance(shares)
    drawn = list(recent)
    for chance in rng.random(count):
        waits += 1.0
        chances = shares * _due(shares, waits)
        if pull is not None:
            chances *= pull(drawn)
        if len(shares) > 1 and _has_run(drawn, len(shares)):
            chances[drawn[-1]] = 0.0
        reach = limited(chances, most).cumsum()
        longest = int(waits.argmax())
        is_over = waits[longest] > LONGEST_WAIT * len(shares)
        chosen = longest if is_over else int(reach.searchsorted(chance * reach[-1], side="right"))
        waits[chosen] = 0.0
        drawn.append(chosen)
    return drawn[len(drawn) - count :]


def limited(chances: Floats, most: Floats) -> Floats:
    """Chances of sum 1, none above its limit; what is over goes to the others in proportion.

    Where the limits do not allow for a sum of 1, they are raised to an even share.
    """
    at_all = chances > 0.0
    most = np.maximum(most, 1.0 / np.count_nonzero(at_all))
    held = np.zeros(len(chances), bool)
    while True:
        free = ~held & at_all
        spread = np.where(held, most, chances)
        spread[free] *= (1.0 - most[held].sum()) / max(chances[free].sum(), 1e-300)
        over = free & (spread > most + 1e-12)
        if not over.any():
            return spread
        held |= over


def _due(shares: Floats, waits: Floats) -> Floats:
    """By what factor the wait raises each chance: with its own share, and steeply when it was long."""
    due: Floats = 1.0 + 0.5 * shares * waits + (waits / (LONG_WAIT * len(shares))) ** 4
    return due


def _has_run(drawn: Sequence[int], in_play: int) -> bool:
    longest = LONGEST_RUN_OF_TWO if in_play == 2 else LONGEST_RUN
    return len(drawn) >= longest and len(set(drawn[-longest:])) == 1


def _waits(in_play: int, recent: Sequence[int], rng: np.random.Generator) -> Floats:
    """Sounds since each symbol came last. Those that did not come are not all due at once."""
    since = {place: len(recent) - 1 - at for at, place in enumerate(recent)}
    unheard = min(len(recent), (LONGEST_WAIT - 1) * in_play) + rng.uniform(0.0, in_play, in_play)
    return np.array([float(since.get(place, unheard[place])) for place in range(in_play)])
