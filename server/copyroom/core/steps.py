"""The steps that an evening is made of: what each sends, and how long it takes.

The purposes and the talk around them are common practice; the seconds allowed for talk are a judgement.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.deal import deal
from copyroom.core.advice.needs import NEED_OF_NEW, RECALL_OF_NEW, Floats, need, weights
from copyroom.core.advice.standing import Standing
from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.bursts import Speed, bursts
from copyroom.core.composition import known_words, meet, practice_calls
from copyroom.core.purpose import PURPOSES, USUAL, Because, Purpose, Sounding
from copyroom.core.rounds import meeting_s
from copyroom.core.slices import Slices
from copyroom.core.traffic import contact, message, sentences

READINGS: tuple[Sounding, ...] = ("words", "sentences", "calls", "contact", "message")
"""Texts that mean something, in the order in which they take turns."""
TALK_S: Mapping[Purpose, float] = (
    dict.fromkeys(PURPOSES, 25.0)
    | dict.fromkeys(("warm-up", "meet", "practise"), 20.0)
    | {"longer": 40.0, "breather": 180.0, "close": 90.0}
)
"""Saying what comes and looking at what was copied; the whole step where nothing is sent."""
ANSWER_S = 6.0
"""From the last sound until the last answer may come."""
MOST_SOUNDS: Mapping[Purpose, int] = dict.fromkeys(PURPOSES, 60) | {
    "warm-up": 40,
    "practise": 50,
    "longer": 100,
}
"""Longer texts become several steps: attention wanes, and advice comes after a text."""
FEWEST_SOUNDS = 8
INTRODUCTION_SOUNDS = 15
"""A new sound is heard about a dozen times with attention, with the odd other one (W. G. Pierpont, *The Art
and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 3)."""
GROUP = 5
WEAKEST_NAMED = 3

_MAKERS: Mapping[Purpose, Callable[[str, int, np.random.Generator], str]] = {
    "sentences": sentences,
    "calls": practice_calls,
    "contact": contact,
    "message": message,
}
"""How readings are made, of signs and to a length; words are taken from a list."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an evening, one click to send.

    symbols : distinct signs in play, of one to be met that one first; "" where nothing is sent.
    text : what is sent, in groups or words; "" for a breather and the close.
    sounds : number of signs in the text.
    duration_s : with talk and answers.
    because : why it is there.
    leans_on : the weak signs of which a mix has more.
    title : what somebody called it; "" says that its purpose and its symbols name it.
    """

    purpose: Purpose
    symbols: str
    text: str
    sounds: int
    duration_s: float
    because: Because = USUAL
    leans_on: str = ""
    title: str = ""


def timed_step(
    purpose: Purpose,
    text: str,
    speed: Speed,
    because: Because = USUAL,
    *,
    symbols: str = "",
    title: str = "",
) -> Step:
    """A step with its duration worked out; without `symbols` those of the text are in play."""
    sounds = text.replace(WORD_SPACE, "")
    in_play = symbols or "".join(dict.fromkeys(sounds))
    return Step(purpose, in_play, text, len(sounds), duration_s(purpose, text, speed), because, title=title)


def duration_s(purpose: Purpose, text: str, speed: Speed) -> float:
    """Tones, answers and talk of a step, in seconds."""
    if not text:
        return TALK_S[purpose]
    if purpose == "meet":
        return TALK_S[purpose] + meeting_s(text, speed)
    return TALK_S[purpose] + bursts(text, speed).duration_s + ANSWER_S


def cut(text: str, limit_s: float, speed: Speed) -> str:
    """As much of a text as its tones last no longer than `limit_s`; "" when not even one sound does."""
    made = bursts(text, speed)
    left = int(np.searchsorted(made.end_s, limit_s, side="right"))
    for place, sign in enumerate(text):
        if sign != WORD_SPACE and (left := left - 1) < 0:
            return text[:place].rstrip()
    return text


def cut_words(text: str, limit_s: float, speed: Speed) -> str:
    """As many whole words as last no longer than `limit_s`."""
    shorter = cut(text, limit_s, speed)
    if len(shorter) == len(text) or text[len(shorter)] == WORD_SPACE:
        return shorter
    return shorter.rpartition(WORD_SPACE)[0]


@dataclass(frozen=True, slots=True)
class Lectern:
    """What all steps of one evening are made from.

    standing : where the class stands: what it has met, and what it knows of that.
    """

    standing: Standing
    speed: Speed
    rng: np.random.Generator
    words: Sequence[str] = ()

    @property
    def known(self) -> str:
        """Signs that the class has met."""
        return self.standing.known

    @property
    def shares(self) -> Floats:
        """Chance of each learner for each known sign."""
        return self.standing.shares

    def step(self, purpose: Sounding, signs: str, budget_s: float, because: Because = USUAL) -> Step | None:
        """One step as long as its purpose and the budget allow; None when that is too short.

        Nor is there one of a single sound: it would be written without listening.
        """
        if len(signs) < 2:
            return None
        tones_s = budget_s - TALK_S[purpose] - ANSWER_S
        text = self._text(purpose, signs, MOST_SOUNDS[purpose])
        shorter = cut(text, tones_s, self.speed)
        if PURPOSES[purpose].read and shorter != text:  # a text of that length ends where it means to
            fewer = max(1, len(shorter.replace(WORD_SPACE, "")))
            shorter = cut_words(self._text(purpose, signs, fewer), tones_s, self.speed)
        text = shorter
        if len(text.replace(WORD_SPACE, "")) < FEWEST_SOUNDS:
            return None
        step = timed_step(purpose, text, self.speed, because, symbols=signs)
        return replace(step, leans_on="".join(self.weakest())) if purpose == "mix" else step

    def fill(
        self, purpose: Sounding, signs: str, budget_s: float, because: Because = USUAL
    ) -> Slices[list[Step]]:
        """Steps of one purpose that together last no longer than the budget; [] when it is too short."""
        yield
        whole_s = duration_s(purpose, self._text(purpose, signs, MOST_SOUNDS[purpose]), self.speed)
        parts = max(1, int(np.ceil(budget_s / whole_s)))
        steps: list[Step | None] = []
        for _ in range(parts):
            yield
            steps.append(self.step(purpose, signs, budget_s / parts, because))
        if parts > 1 and not all(steps):  # too short to be halved: one step that leaves time over
            steps = [self.step(purpose, signs, budget_s, because)]
        return [step for step in steps if step]

    def introduction(self, sign: str, others: str) -> Step:
        """One new sound to be met, among the odd known one."""
        return timed_step("meet", meet(sign, others, INTRODUCTION_SOUNDS, self.rng), self.speed)

    def readings(self, signs: str) -> list[Sounding]:
        """Those that can be made of these signs alone."""
        return [purpose for purpose in READINGS if self._reading(purpose, signs, FEWEST_SOUNDS)]

    @property
    def were_answered(self) -> NDArray[np.bool_]:
        """Which of the known signs anybody has answered yet."""
        answered: NDArray[np.bool_] = self.standing.tested > 0.0
        return answered

    def weakest(self, most: int = WEAKEST_NAMED) -> dict[str, float | None]:
        """The known signs that need most, each with the class's recall of it; None when it is not tested."""
        if not self.known:
            return {}
        shares, is_tested = self.shares, self.were_answered
        order = np.argsort(-need(shares), kind="stable")[:most]
        return {self.known[i]: round(float(shares[:, i].mean()), 4) if is_tested[i] else None for i in order}

    def _reading(self, purpose: Purpose, signs: str, count: int) -> str:
        make = _MAKERS.get(purpose) or partial(known_words, self.words)
        try:
            return make(signs, count, self.rng)
        except ValueError:
            return ""

    def _text(self, purpose: Purpose, signs: str, count: int) -> str:
        if PURPOSES[purpose].read:
            return self._reading(purpose, signs, count)
        fresh = np.array([sign not in self.known for sign in signs])
        needs, expected = np.full(len(signs), NEED_OF_NEW), np.full(len(signs), RECALL_OF_NEW)
        at = self.standing.at("".join(sign for sign in signs if sign in self.known))
        if at:
            needs[~fresh], expected[~fresh] = need(self.shares[:, at]), self.standing.of_class[at]
        recent, earlier = self.standing.recent, self.standing.earlier
        return grouped(deal(signs, weights(needs, expected), needs, count, recent, earlier, self.rng))


def grouped(sounds: str) -> str:
    """Groups of five."""
    return WORD_SPACE.join(sounds[i : i + GROUP] for i in range(0, len(sounds), GROUP))
