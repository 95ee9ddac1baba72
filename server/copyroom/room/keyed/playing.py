"""How a simulated learner keys. Invented."""

from __future__ import annotations

import numpy as np

from copyroom.core.alphabet import WORD_SPACE, symbol
from copyroom.core.bursts import Speed
from copyroom.room.exercises import Act


def keyed_acts(turn: int, text: str, starts_in_s: float, rng: np.random.Generator) -> list[Act]:
    """A hand that sends a text with some unsteadiness, in batches of a letter."""
    speed, at_ms, first = Speed(14.0, 9.0), 800.0, 0
    acts: list[Act] = []
    for word in text.split(WORD_SPACE):
        for sign in word:
            edges = _keyed_by_hand(symbol(sign).elements, at_ms, speed.dot_s * 1000.0, rng)
            after_s = starts_in_s + edges[-1] / 1000.0 + 0.1
            acts.append(Act("key_edges", {"turn": turn, "first": first, "edges": edges}, after_s))
            first += len(edges) // 2
            at_ms = edges[-1] + speed.character_space_s * 1000.0
        at_ms += (speed.word_space_s - speed.character_space_s) * 1000.0
    return [*acts, Act("sent_all", {"turn": turn}, starts_in_s + at_ms / 1000.0)]


def _keyed_by_hand(elements: str, at_ms: float, dot_ms: float, rng: np.random.Generator) -> list[float]:
    edges: list[float] = []
    for element in elements:
        length_ms = dot_ms * (3 if element == "-" else 1) * float(rng.lognormal(0.0, 0.1))
        edges += [round(at_ms, 1), round(at_ms + length_ms, 1)]
        at_ms = edges[-1] + dot_ms * float(rng.lognormal(0.0, 0.1))
    return edges
