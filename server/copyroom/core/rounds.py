"""Rounds: one sound, a silence to answer in, its name; then the next. What comes when, and whose turn."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.bursts import Speed, bursts
from copyroom.core.composition import mixed_groups

NAME_S = 1.5
"""A name stays on the screens so long before the next sound."""
SHORTEST_MEETING_GAP_S = 2.0
"""In so long a new sound is listened for, and a known one written by who knows it. Our own judgement."""
LEAN = 2.0
"""How much more often than the others a sound comes that a round leans on."""


def deal(symbols: str, lean: str, count: int, rng: np.random.Generator) -> str:
    """So many sounds, each symbol about as often as the others, those of `lean` about twice as often.

    Chance decides the order, and none comes three times running where there are three or more: nobody can
    tell the next one without hearing it. Raises ValueError where `symbols` are not distinct symbols.
    """
    weights = [LEAN if sign in lean else 1.0 for sign in symbols]
    return mixed_groups(symbols, count, rng, weights=weights).replace(WORD_SPACE, "")


def begins_ms(sound_ms: NDArray[np.float64], silence_ms: float) -> tuple[float, ...]:
    """When each sound begins, the first one at 0, with the same silence after each.

    sound_ms : shape (n,), how long each sound is.
    """
    return tuple(np.concatenate(([0.0], np.cumsum(sound_ms + silence_ms)[:-1])).round(3).tolist())


def meeting_gap_s(speed: Speed) -> float:
    """Between a sound that is being met and its name: not less than the class has between characters."""
    return max(SHORTEST_MEETING_GAP_S, speed.character_space_s)


def meeting_s(text: str, speed: Speed) -> float:
    """How long a text takes by which a sound is met: each sound with its gap and its name."""
    sent = bursts(text, speed)
    return float((sent.end_s - sent.start_s).sum()) + len(sent.symbols) * (meeting_gap_s(speed) + NAME_S)


def in_turn(queue: Sequence[int], last: int, here: Collection[int], count: int) -> tuple[int, ...]:
    """The next `count` turns: who was told of one keeps it, then those here follow in order of their seats.

    last : the seat that was put into the queue last; 0 for none. Nobody here: nobody's turn.
    """
    turns = [seat for seat in queue if seat in here][:count]
    order = sorted(here)
    while order and len(turns) < count:
        last = next((seat for seat in order if seat > last), order[0])
        turns.append(last)
    return tuple(turns)
