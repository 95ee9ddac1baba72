"""Simulated hands: edges of a text as somebody's hand would send it. An assumption, not a person.

Every length varies by itself, lognormally; dahs have a length of their own; the speed drifts. Nothing here is
shared with what reads it but the ideal edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.bursts import Speed, bursts
from copyroom.core.keying import Keyed

SENT = "".join(one.sign for one in RECOMMENDED if one.kind != "signal")
"""Letters, figures and marks."""


@dataclass(frozen=True)
class Hand:
    """How somebody sends.

    wpm, overall_wpm : speed in the middle; the second with its wider spaces, by default the first.
    jitter : standard deviation of the logarithm of each mark and gap.
    ratio : dah by dit.
    drift : how much the lengths change over the text, as a share; negative: shorter.
    waves : 0 for a straight drift, or how many waves it goes in.
    inside, letter, word : gaps by the ideal ones.
    """

    wpm: float = 18.0
    overall_wpm: float | None = None
    jitter: float = 0.0
    ratio: float = 3.0
    drift: float = 0.0
    waves: float = 0.0
    inside: float = 1.0
    letter: float = 1.0
    word: float = 1.0


def keyed_by(hand: Hand, text: str, rng: np.random.Generator) -> Keyed:
    """The edges of a text under a hand."""
    ideal = bursts(text, Speed(hand.wpm, hand.overall_wpm or hand.wpm))
    dit_s, n = 1.2 / hand.wpm, len(ideal.on_s)
    marks_s, gaps_s = ideal.off_s - ideal.on_s, ideal.on_s[1:] - ideal.off_s[:-1]
    marks_s = np.where(marks_s > 2 * dit_s, hand.ratio * dit_s, marks_s)
    before = np.arange(1, n)
    letters = np.isin(before, ideal.first_tone)
    words = np.isin(before, ideal.first_tone[np.array(ideal.group_ends, int) + 1])
    gaps_s = gaps_s * np.where(words, hand.word, np.where(letters, hand.letter, hand.inside))
    way = np.linspace(-0.5, 0.5, n)
    if hand.waves:
        way = 0.5 * np.sin(2 * np.pi * (hand.waves * way + rng.uniform()))
    slower = 1 + hand.drift * way
    marks_s = marks_s * slower * np.exp(hand.jitter * rng.standard_normal(n))
    gaps_s = gaps_s * slower[1:] * np.exp(hand.jitter * rng.standard_normal(n - 1))
    on_s = np.concatenate([[0.0], np.cumsum(marks_s[:-1] + gaps_s)])
    return Keyed(on_s, on_s + marks_s)


def random_text(rng: np.random.Generator, length: int, group: int = 5, signs: str = SENT) -> str:
    """Signs by chance, in groups of so many; 0: without spaces."""
    drawn = "".join(signs[i] for i in rng.integers(len(signs), size=length))
    if not group:
        return drawn
    return " ".join(drawn[i : i + group] for i in range(0, length, group))
