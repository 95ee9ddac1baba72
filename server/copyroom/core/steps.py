"""The steps that an evening is made of: what each sends, and how long it takes.

The kinds and the talk around them are common practice; the seconds allowed for talk are a judgement.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.deal import deal, likeness
from copyroom.core.advice.proposal import RECALL_OF_NEW
from copyroom.core.advice.recall import NEED_OF_NEW, named_share, need, recall, weights, were_answered
from copyroom.core.advice.record import Floats, Record
from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.bursts import Speed, bursts
from copyroom.core.composition import known_words, practice_calls
from copyroom.core.slices import Slices
from copyroom.core.traffic import contact, message, sentences

Kind = Literal["warm-up", "introduce", "practise", "mix", "words", "longer copy", "breather", "close"]

TALK_S: dict[Kind, float] = {
    "warm-up": 20.0,
    "introduce": 20.0,
    "practise": 20.0,
    "mix": 25.0,
    "words": 25.0,
    "longer copy": 40.0,
    "breather": 180.0,
    "close": 90.0,
}
"""Saying what comes and looking at what was copied; the whole step where nothing is sent."""
ANSWER_S = 6.0
"""From the last sound until the last answer may come."""
NAMING_S = 1.5
"""In an introduction each sound is named after it is heard."""
MOST_SOUNDS: dict[Kind, int] = {"warm-up": 40, "practise": 50, "mix": 60, "words": 60, "longer copy": 100}
"""Longer texts become several steps: attention wanes, and advice comes after a text."""
FEWEST_SOUNDS = 8
INTRODUCTION_SOUNDS, ODD_ONES = 15, 3
"""A new sound is heard about a dozen times with attention, with the odd other one (W. G. Pierpont, *The Art
and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 3)."""
GROUP = 5
WEAKEST_NAMED = 3

READINGS: Mapping[str, str] = {
    "Words": "Sounds become words; these need only known ones.",
    "Sentences": "In a sentence the next word pulls at the ear; write what sounds, not what should.",
    "Practice calls": "Nothing in a call sign can be guessed. These are invented ones.",
    "Practice contact": "What is said on the air, in its usual order, between invented stations.",
    "Practice messages": "Formal messages, all invented, whose count of groups shows whether all was copied.",
}
"""Texts that mean something, by title: what one is good for. Invented traffic is called practice."""
_MAKERS: Mapping[str, Callable[[str, int, np.random.Generator], str]] = {
    "Sentences": sentences,
    "Practice calls": practice_calls,
    "Practice contact": contact,
    "Practice messages": message,
}
"""How they are made, of signs and to a length; words are taken from a list."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an evening, one click to send.

    symbols : distinct signs in play, "" where nothing is sent.
    text : what is sent, in groups or words; "" for a breather and the close.
    sounds : number of signs in the text.
    duration_s : with talk and answers.
    reason : why it is there, one sentence.
    leans_on : the weak signs of which a mix has more.
    """

    kind: Kind
    title: str
    symbols: str
    text: str
    sounds: int
    duration_s: float
    reason: str
    leans_on: str = ""


def timed_step(kind: Kind, title: str, text: str, speed: Speed, reason: str) -> Step:
    """A step with its duration worked out."""
    sounds = text.replace(WORD_SPACE, "")
    symbols = "".join(dict.fromkeys(sounds))
    return Step(kind, title, symbols, text, len(sounds), duration_s(kind, text, speed), reason)


def duration_s(kind: Kind, text: str, speed: Speed) -> float:
    """Tones, answers and talk of a step, in seconds."""
    if not text:
        return TALK_S[kind]
    naming_s = NAMING_S * len(text.replace(WORD_SPACE, "")) if kind == "introduce" else 0.0
    return TALK_S[kind] + bursts(text, speed).duration_s + ANSWER_S + naming_s


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

    known : signs that the class has met, whose needs the record tells.
    names : whose copies count.
    day : day number of the meeting.
    """

    record: Record
    names: tuple[str, ...]
    known: str
    speed: Speed
    rng: np.random.Generator
    words: Sequence[str] = ()
    day: int = 0

    @property
    def shares(self) -> Floats:
        """Recall of each learner for each known sign."""
        return recall(self.record, self.names, self.known)

    def step(self, kind: Kind, title: str, signs: str, budget_s: float, reason: str) -> Step | None:
        """One step as long as its kind and the budget allow; None when that is too short.

        Nor is there one of a single sound: it would be written without listening.
        """
        if len(signs) < 2:
            return None
        tones_s = budget_s - TALK_S[kind] - ANSWER_S
        text = self._text(kind, title, signs, MOST_SOUNDS[kind])
        shorter = cut(text, tones_s, self.speed)
        if kind == "words" and shorter != text:  # a text of that length ends where it means to
            fewer = max(1, len(shorter.replace(WORD_SPACE, "")))
            shorter = cut_words(self._text(kind, title, signs, fewer), tones_s, self.speed)
        text = shorter
        if len(text.replace(WORD_SPACE, "")) < FEWEST_SOUNDS:
            return None
        step = timed_step(kind, title, text, self.speed, reason)
        return replace(step, leans_on="".join(sign for sign, _ in self.weakest())) if kind == "mix" else step

    def fill(self, kind: Kind, title: str, signs: str, budget_s: float, reason: str) -> Slices[list[Step]]:
        """Steps of one kind that together last no longer than the budget; [] when it is too short."""
        whole_s = duration_s(kind, self._text(kind, title, signs, MOST_SOUNDS[kind]), self.speed)
        parts = max(1, int(np.ceil(budget_s / whole_s)))
        steps: list[Step | None] = []
        for _ in range(parts):
            yield
            steps.append(self.step(kind, title, signs, budget_s / parts, reason))
        if parts > 1 and not all(steps):  # too short to be halved: one step that leaves time over
            steps = [self.step(kind, title, signs, budget_s, reason)]
        return [step for step in steps if step]

    def introduction(self, sign: str, others: str) -> Step:
        """One new sound, many times, and the odd other one, so that nobody writes ahead of hearing."""
        sounds = [sign] * INTRODUCTION_SOUNDS
        if others:
            unlike = np.argsort(likeness(sign + others)[0, 1:], kind="stable")[:ODD_ONES]
            free = np.arange(3, INTRODUCTION_SOUNDS - ODD_ONES + 1)
            places = np.sort(self.rng.choice(free, ODD_ONES, replace=False))
            for k, place in enumerate(places + np.arange(ODD_ONES)):  # never two odd ones together
                sounds[place] = others[unlike[k % len(unlike)]]
        reason = "A new sound, many times over and named each time; now and then another, to keep ears open."
        return timed_step("introduce", f"Meet {sign}", grouped("".join(sounds)), self.speed, reason)

    def readings(self, signs: str) -> list[str]:
        """Titles of the READINGS that can be made of these signs alone."""
        return [title for title in READINGS if self._reading(title, signs, FEWEST_SOUNDS)]

    @property
    def were_answered(self) -> NDArray[np.bool_]:
        """Which of the known signs anybody has answered yet."""
        return were_answered(self.record, self.known)

    def weakest(self, most: int = WEAKEST_NAMED) -> list[tuple[str, str]]:
        """The known signs that need most, each also with the class's recall of it."""
        if not self.known:
            return []
        shares, is_tested = self.shares, self.were_answered
        order = np.argsort(-need(shares), kind="stable")[:most]
        return [
            (self.known[i], named_share(self.known[i], float(shares[:, i].mean()), bool(is_tested[i])))
            for i in order
        ]

    def _reading(self, title: str, signs: str, count: int) -> str:
        make = _MAKERS.get(title) or partial(known_words, self.words)
        try:
            return make(signs, count, self.rng)
        except ValueError:
            return ""

    def _text(self, kind: Kind, title: str, signs: str, count: int) -> str:
        if kind == "words":
            return self._reading(title, signs, count)
        shares = recall(self.record, self.names, signs)
        fresh = np.array([sign not in self.known for sign in signs])
        needs = np.where(fresh, NEED_OF_NEW, need(shares))
        expected = np.where(fresh, RECALL_OF_NEW, shares.mean(axis=0))
        dealt = deal(signs, weights(needs, expected), needs, count, self.record, self.rng)
        return grouped(dealt)


def grouped(sounds: str) -> str:
    """Groups of five."""
    return WORD_SPACE.join(sounds[i : i + GROUP] for i in range(0, len(sounds), GROUP))
