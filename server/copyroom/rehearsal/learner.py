"""The assumed learner: what somebody writes for one sound, and how long after it.

Each sound is either let go by, or answered: rightly with a probability that is the learner's own for
that symbol, else by a blank or by a sound that begins or ends alike. Lags are log-normal and hang
together (a slow moment lasts for several sounds); now and then a learner falls one sound behind for a
while, a finger slips to another key, or a key bounces. All figures are our own judgement.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from copyroom.core.alphabet import BLANK, BY_ELEMENTS, symbol

BOUNCE_MS = 110.0
"""From a key to its accidental repetition, and at the least between two keys."""
GAIN = 0.02
"""How much surer (in log odds) a learner is of a symbol after hearing it once more."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One key: its sign, and how long after the end of its sound it was pressed."""

    sign: str
    lag_ms: float


@dataclass(frozen=True, slots=True)
class Manner:
    """How one learner copies; every share is a probability for each sound.

    level : log odds of knowing a symbol, on average. spread : its standard deviation over symbols.
    blank : of what was not recognised, the share that honestly becomes a blank.
    slip, bounce, skip : another key than meant; the key twice; no key at all.
    lag_ms, lag_spread, lag_memory : median lag; deviation of its logarithm; its correlation between sounds.
    fall_behind, catch_up : begin, and cease, to write one sound late.
    """

    level: float
    spread: float = 0.9
    blank: float = 0.6
    slip: float = 0.01
    bounce: float = 0.005
    skip: float = 0.04
    lag_ms: float = 1100.0
    lag_spread: float = 0.4
    lag_memory: float = 0.6
    fall_behind: float = 0.02
    catch_up: float = 0.35

    @staticmethod
    def draw(rng: np.random.Generator, skill: float) -> Manner:
        """One member of a class whose learners know the share `skill` (0..1, ends excluded) on average."""
        return Manner(
            level=math.log(skill / (1.0 - skill)) + rng.normal(0.0, 0.7),
            blank=rng.uniform(0.3, 0.9),
            slip=rng.uniform(0.0, 0.02),
            skip=rng.uniform(0.01, 0.07),
            lag_ms=1100.0 * math.exp(rng.normal(0.0, 0.25)),
            lag_spread=rng.uniform(0.25, 0.5),
            fall_behind=rng.uniform(0.0, 0.04),
        )


def alike(first: str, second: str) -> float:
    """How far two element sequences begin and end alike, 0..1: what a beginner takes for the same."""
    shorter, longer = sorted((len(first), len(second)))
    pairs = zip(first, second, strict=False)
    head = next((i for i, (a, b) in enumerate(pairs) if a != b), shorter)
    backwards = zip(reversed(first), reversed(second), strict=False)
    tail = next((i for i, (a, b) in enumerate(backwards) if a != b), shorter)
    return min(head + tail, shorter) / longer


class Learner:
    """One simulated learner, who remembers what was heard; draws from `rng` only."""

    def __init__(self, manner: Manner, rng: np.random.Generator) -> None:
        self.manner = manner
        self.chance = rng
        self._level: dict[str, float] = {}
        self._pace = rng.normal()
        self._behind = False

    def knows(self, sign: str) -> float:
        """Probability of recognising this symbol."""
        if sign not in self._level:
            self._level[sign] = self.manner.level + self.manner.spread * self.chance.normal()
        return 1.0 / (1.0 + math.exp(-self._level[sign]))

    def hear(self, sign: str, in_play: str, spacing_ms: float) -> list[Stroke]:
        """The strokes that one sound leads to: none, one, or a bounced one.

        in_play : the keys at hand. spacing_ms : from the end of this sound to the end of the next.
        """
        manner, rng = self.manner, self.chance
        known = rng.random() < self.knows(sign)
        self._level[sign] += GAIN
        self._walk()
        if rng.random() < manner.skip:
            return []
        written = sign if known else self._unsure(sign, in_play)
        if in_play and rng.random() < manner.slip:
            written = str(rng.choice(list(in_play)))
        lag_ms = manner.lag_ms * math.exp(manner.lag_spread * self._pace) + self._behind * spacing_ms
        strokes = [Stroke(written, lag_ms)]
        if rng.random() < manner.bounce:
            strokes.append(Stroke(written, lag_ms + BOUNCE_MS))
        return strokes

    def _walk(self) -> None:
        """The next lag, correlated with the one before; falling behind, and catching up."""
        memory = self.manner.lag_memory
        self._pace = memory * self._pace + math.sqrt(1.0 - memory**2) * self.chance.normal()
        turn = self.manner.catch_up if self._behind else self.manner.fall_behind
        self._behind ^= bool(self.chance.random() < turn)

    def _unsure(self, sign: str, in_play: str) -> str:
        others = [other for other in in_play if other != sign]
        if not others or self.chance.random() < self.manner.blank:
            return BLANK
        own = symbol(sign).elements
        weights = np.array([0.03 + alike(own, symbol(other).elements) ** 3 for other in others])
        return str(self.chance.choice(others, p=weights / weights.sum()))


def signs_of(edges: Sequence[Sequence[float]], dot_ms: float) -> str:
    """The symbols of a push from its edges, [on, off, on, off, ...] in ms for each symbol.

    The length of a dot is read off the pauses inside the symbols; `dot_ms` is for a push without any.
    Raises ValueError for tones that are no symbol.
    """
    pauses = [on - off for own in edges for off, on in zip(own[1::2], own[2::2], strict=False)]
    dot_ms = float(np.median(pauses)) if pauses else dot_ms
    signs = []
    for own in edges:
        tones = zip(own[::2], own[1::2], strict=True)
        elements = "".join("-" if off - on > 2.0 * dot_ms else "." for on, off in tones)
        if elements not in BY_ELEMENTS:
            raise ValueError(f"the tones {elements} are no symbol of the code")
        signs.append(BY_ELEMENTS[elements].sign)
    return "".join(signs)
