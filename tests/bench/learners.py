"""Assumed learners: seven families of simulated classes, for judging the advice.

They are assumptions, not people: no figure here was measured on anyone. The families differ in what
practice does and what time undoes, so that a rule which is good in all of them leans on none. Each
class holds ordinary learners, a fifth of slow ones, a sound that is hard for everybody, and slips of the
hand that nobody learns away.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import SYMBOLS
from copyroom.core.record import RunKind

Floats = NDArray[np.float64]
SLOW_PACE = 0.3
"""What practice gives a slow learner against the others."""
AFTERWARDS = 0.6
"""What an answer shown after the run teaches against one told at once (an assumption)."""
HARD_SOUND = 0.25
"""Of the soundings of the sound that is hard for a class, so many teach anything."""
SENDING_S = 3.0
"""One sound at a beginner's spacing, with its share of the pauses."""


def _distance(a: str, b: str) -> float:
    """Plain edit distance of two element sequences; adding or dropping an element costs 0.7."""
    row = [0.7 * j for j in range(len(b) + 1)]
    for i, x in enumerate(a, 1):
        above, row = row, [0.7 * i]
        for j, y in enumerate(b, 1):
            row.append(min(above[j] + 0.7, row[-1] + 0.7, above[j - 1] + (x != y)))
    return row[-1]


LIKENESS = np.exp([[-_distance(a.elements, b.elements) for b in SYMBOLS] for a in SYMBOLS])
"""How alike these learners find two sounds: on purpose not the product's own formula."""


class Learners:
    """What all families share: slips, blanks, substitutions that follow the likeness of sounds.

    A subclass says `_strength` (probability of recall without slips), `expose` and `rest`.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        self.size = size
        self.rng = rng
        self.slow = np.zeros(size, bool)
        self.slow[: max(1, size // 5)] = True
        self.pace = (
            rng.uniform(0.7, 1.5) * rng.lognormal(0.0, 0.3, size) * np.where(self.slow, SLOW_PACE, 1.0)
        )
        self.slip = rng.uniform(0.01, 0.07, size)
        self.blank_share = rng.uniform(0.3, 0.8, size)
        self.known: list[int] = []
        self.hard = int(rng.integers(len(SYMBOLS)))

    def _strength(self, symbol: int) -> Floats:
        raise NotImplementedError

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        """One sound heard and then named."""
        raise NotImplementedError

    def rest(self, days: int) -> None:
        """Days go by."""
        raise NotImplementedError

    def recall(self, symbol: int) -> Floats:
        """True probability of writing the right symbol, shape (size,)."""
        return (1.0 - self.slip) * self._strength(symbol)

    def introduce(self, symbol: int, present: NDArray[np.bool_], sounds: int = 5) -> None:
        """An introduction is worth a few attentive sendings, apart from any text."""
        self.known.append(symbol)
        for _ in range(sounds):
            self._hear(symbol, present)

    def _hear(self, symbol: int, present: NDArray[np.bool_]) -> None:
        if symbol == self.hard:
            present = present & (self.rng.random(self.size) < HARD_SOUND)
        self.expose(symbol, present)

    def copy(self, text: Sequence[int], present: NDArray[np.bool_], kind: RunKind) -> list[list[str]]:
        """What each learner writes for each sound.

        In a named run each answer is told at once; in a copied one all are shown afterwards, and what is
        still attended to then is worth `AFTERWARDS` of that.
        """
        written = []
        for symbol in text:
            written.append(self.write(symbol))
            if kind == "named":
                self._hear(symbol, present)
        if kind == "copy":
            for symbol in text:
                self._hear(symbol, present & (self.rng.random(self.size) < AFTERWARDS))
        return written

    def write(self, symbol: int) -> list[str]:
        """What each learner writes for one sound, "_" for a blank."""
        right = self.rng.random(self.size) < self.recall(symbol)
        blank = self.rng.random(self.size) < self.blank_share
        others = [i for i in self.known if i != symbol]
        if others:
            reach = np.cumsum(LIKENESS[symbol, others] + 0.02)
            wrong = np.searchsorted(reach, self.rng.random(self.size) * reach[-1])
        else:
            others, wrong, blank = [symbol], np.zeros(self.size, int), np.ones(self.size, bool)
        return [
            SYMBOLS[symbol].sign if r else "_" if b else SYMBOLS[others[w]].sign
            for r, b, w in zip(right.tolist(), blank.tolist(), wrong.tolist(), strict=True)
        ]


class Activation(Learners):
    """Every sounding leaves a trace that fades as a power of its age; recall is logistic in the sum.

    After Pavlik and Anderson (Cognitive Science 29, 2005): a trace laid while the sum is high fades
    faster, which rewards spacing. Time between meetings counts at 2.5 %. Constants from memory.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        n = len(SYMBOLS)
        self.now_s = 0.0
        self.gain = 0.5 * np.log(self.pace) - 0.15
        self.hardness = rng.normal(0.0, 0.15, (size, n))
        self.times_s = np.zeros((n, 64))
        self.decays = np.zeros((n, 64, size))
        self.soundings = np.zeros(n, int)

    def _activation(self, symbol: int) -> Floats:
        n = self.soundings[symbol]
        age_s = self.now_s - self.times_s[symbol, :n]
        total = np.exp(-self.decays[symbol, :n] * np.log(age_s)[:, None]).sum(axis=0)
        return np.log(total + 1e-9) + self.gain + self.hardness[:, symbol]

    def _strength(self, symbol: int) -> Floats:
        return 1.0 / (1.0 + np.exp((-0.704 - self._activation(symbol)) / 0.255))

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        decay = 0.177 + 0.217 * np.exp(np.minimum(self._activation(symbol), 1.5))
        n = self.soundings[symbol]
        if n == self.times_s.shape[1]:
            self.times_s = np.concatenate([self.times_s, np.zeros_like(self.times_s)], axis=1)
            self.decays = np.concatenate([self.decays, np.zeros_like(self.decays)], axis=1)
        self.times_s[symbol, n], self.decays[symbol, n] = self.now_s, np.where(present, decay, 9.0)
        self.soundings[symbol] += 1
        self.now_s += SENDING_S

    def rest(self, days: int) -> None:
        self.now_s += days * 86400 * 0.025


class Delta(Learners):
    """Weights from sound features to names, corrected by the error (delta rule), blurred over like sounds.

    Confusable sounds share features, so teaching one disturbs the other until both are heard apart.
    Weights fade a little every day. Rates are our own judgement.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        n = len(SYMBOLS)
        features = LIKENESS**0.8
        self.features = features / np.linalg.norm(features, axis=1, keepdims=True)
        self.rate = 0.55 * self.pace
        self.weights = np.zeros((size, n, n))
        self.fade = rng.uniform(0.01, 0.03, size)

    def _output(self, symbol: int) -> Floats:
        drive: Floats = self.weights @ self.features[symbol]
        return drive

    def _shares(self, symbol: int) -> Floats:
        drive = 9.0 * self._output(symbol)[:, self.known]
        drive = np.concatenate([drive, np.full((self.size, 1), 3.0)], axis=1)  # "do not know"
        grown = np.exp(drive - drive.max(axis=1, keepdims=True))
        return grown / grown.sum(axis=1, keepdims=True)

    def _strength(self, symbol: int) -> Floats:
        if symbol not in self.known:
            return np.zeros(self.size)
        return self._shares(symbol)[:, self.known.index(symbol)]

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        target = np.zeros((self.size, len(SYMBOLS)))
        target[:, symbol] = 1.0
        error = (target - self._output(symbol)) * (self.rate * present)[:, None] * 0.55
        self.weights += error[:, :, None] * self.features[symbol][None, None, :]

    def rest(self, days: int) -> None:
        self.weights *= np.exp(-self.fade * days**0.7)[:, None, None]


class States(Learners):
    """All or none: a symbol is unknown, held for the moment, or learned; steps are jumps, not growth.

    What is held is crowded out by other sounds and lost overnight; what is learned is rarely lost.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        self.state = np.zeros((size, len(SYMBOLS)), int)
        self.grasp = np.clip(0.30 * self.pace, 0.0, 0.9)
        self.settle = np.clip(0.13 * self.pace, 0.0, 0.9)

    def _strength(self, symbol: int) -> Floats:
        return np.choose(self.state[:, symbol], [0.03, 0.92, 1.0])

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        draw = self.rng.random((3, self.size))
        state = self.state[:, symbol]
        up = np.where(state == 0, draw[0] < self.grasp, (state == 1) & (draw[1] < self.settle)) & present
        crowded = self.rng.random(self.state.shape) < 0.006
        self.state[(self.state == 1) & crowded] = 0
        self.state[:, symbol] = np.where(up, state + 1, state)

    def rest(self, days: int) -> None:
        lost_held = self.rng.random(self.state.shape) < 1 - 0.55**days
        lost_learned = self.rng.random(self.state.shape) < 1 - 0.994**days
        held = self.state == 1
        self.state[(self.state == 2) & lost_learned] = 1
        self.state[held & lost_held] = 0


class Practice(Learners):
    """Plain practice: each sending adds an equal amount, recall saturates, half of the gain fades in days.

    No confusions, no spacing, no context: only how often, by whom, and how hard the symbol is for them.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        n = len(SYMBOLS)
        self.fresh = np.zeros((size, n))
        self.lasting = np.zeros((size, n))
        self.rate = 0.15 * self.pace[:, None] * rng.lognormal(0.0, 0.3, (size, n))

    def _strength(self, symbol: int) -> Floats:
        return 1.0 - np.exp(-self.rate[:, symbol] * (self.fresh + self.lasting)[:, symbol])

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        self.fresh[present, symbol] += 0.5
        self.lasting[present, symbol] += 0.5

    def rest(self, days: int) -> None:
        self.fresh *= 0.75**days


class Crowding(Learners):
    """Growth is S-shaped, best when a symbol is half known; each new sound sets back its likest neighbours.

    A long meeting tires; weeks fade what was learned at one go.
    """

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        n = len(SYMBOLS)
        self.level = np.full((size, n), -2.5)
        self.fade = rng.uniform(0.03, 0.09, size)
        self.today = 0

    def _strength(self, symbol: int) -> Floats:
        return 1.0 / (1.0 + np.exp(-self.level[:, symbol]))

    def introduce(self, symbol: int, present: NDArray[np.bool_], sounds: int = 5) -> None:
        self.level -= 0.5 * LIKENESS[symbol][None, :] * present[:, None]
        self.level[:, symbol] = np.where(present, -1.2, self.level[:, symbol])
        super().introduce(symbol, present, sounds)

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        p = self._strength(symbol)
        vigour = 1.0 / (1.0 + self.today / 400)
        self.level[:, symbol] += present * self.pace * vigour * (0.06 + 0.5 * p * (1 - p))
        self.today += 1

    def rest(self, days: int) -> None:
        self.today = 0
        self.level = -2.5 + (self.level + 2.5) * np.exp(-self.fade * np.sqrt(days))[:, None]


class Guessers(Practice):
    """As with plain practice; but whoever does not know writes something all the same."""

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        self.blank_share = rng.uniform(0.0, 0.1, size)


class Overload(Practice):
    """As with plain practice; but with more than four unknown sounds in a text each of them teaches less."""

    def __init__(self, size: int, rng: np.random.Generator) -> None:
        super().__init__(size, rng)
        self._load = np.ones(size)

    def copy(self, text: Sequence[int], present: NDArray[np.bool_], kind: RunKind) -> list[list[str]]:
        unknown = sum(self._strength(symbol) < 0.5 for symbol in set(text))
        self._load = np.minimum(1.0, 4.0 / np.maximum(1, unknown))
        return super().copy(text, present, kind)

    def expose(self, symbol: int, present: NDArray[np.bool_]) -> None:
        self.fresh[:, symbol] += 0.5 * self._load * present
        self.lasting[:, symbol] += 0.5 * self._load * present


FAMILIES: dict[str, type[Learners]] = {
    "activation": Activation,
    "delta": Delta,
    "states": States,
    "practice": Practice,
    "crowding": Crowding,
    "guessers": Guessers,
    "overload": Overload,
}
