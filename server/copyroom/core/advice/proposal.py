"""The next exercise: what to introduce, what to send, and why. The policy of `copyroom advise`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.deal import deal
from copyroom.core.advice.pace import Pace, pace
from copyroom.core.advice.recall import NEED_OF_NEW, need, recall, weights, were_answered
from copyroom.core.advice.record import Floats, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.phrases import named_share
from copyroom.core.similarity import likeness

USUAL_LENGTH = 45
"""Long enough to train, short enough that the next text can answer to its copies."""
LOOK_AHEAD = 5
"""Of so many next symbols of an order the one least like what is weak is taken first."""
RECALL_OF_NEW = 0.55
"""What a class may be expected to copy of a symbol in its first text (a judgement)."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """`introduce` these signs, then send `text` (no spaces); `reasons`, one sentence each."""

    introduce: str
    text: str
    reasons: tuple[str, ...]


def propose(situation: Situation, record: Record, rng: np.random.Generator) -> Proposal:
    """What this class should hear next."""
    shares = recall(record, situation.present, situation.known)
    now = pace(situation, record, shares)
    needs = need(shares)
    new = next_symbols(situation, needs, now.count)
    return exercise(situation, record, rng, new, now)


def exercise(situation: Situation, record: Record, rng: np.random.Generator, new: str, now: Pace) -> Proposal:
    """An exercise that introduces the signs `new` and drills everything known by need."""
    known = situation.known
    shares = recall(record, situation.present, known)
    signs = known + new
    needs = np.concatenate([need(shares), np.full(len(new), NEED_OF_NEW)])
    expected = np.concatenate([shares.mean(axis=0), np.full(len(new), RECALL_OF_NEW)])
    length = _length(situation, len(new))
    text = deal(signs, weights(needs, expected), needs, length, record.tail, record.texts, rng)
    reasons = [
        now.reason,
        *_why_new(known, new, needs, situation.planned),
        *_why_text(text, known, needs, expected, were_answered(record, known)),
    ]
    return Proposal(new, text, tuple(reasons))


def next_symbols(situation: Situation, needs: Floats, count: int) -> str:
    """The next `count` signs to introduce: of those whose turn it is, the least like what is weak.

    Confusable sounds are thereby introduced apart. Without an order all that are untaught may come. What is
    planned for today comes first, as planned.

    needs : shape (len(known),).
    """
    known, waiting = situation.known, situation.untaught
    chosen = "".join(sign for sign in situation.planned if sign in waiting)[:count]
    waiting = "".join(sign for sign in waiting if sign not in chosen)
    for _ in range(count - len(chosen)):
        turn = waiting[:LOOK_AHEAD] if situation.order else waiting
        playing = known + chosen
        weak = np.concatenate([needs, np.full(len(chosen), NEED_OF_NEW)])
        pull = likeness(playing + turn)[len(playing) :, : len(playing)] * weak
        taken = turn[int(np.argmin(pull.max(axis=1)))] if playing else turn[0]
        chosen += taken
        waiting = waiting.replace(taken, "")
    return chosen


def _length(situation: Situation, new: int) -> int:
    """The usual length within bounds; a rest too short for another text is used up."""
    left = situation.sendings_left - situation.intro_cost * new
    longest = min(situation.max_length, left)
    length = max(situation.min_length, min(USUAL_LENGTH, longest))
    rest = left - length
    return min(longest, length + rest) if rest < situation.min_length else length


def _why_new(known: str, new: str, needs: Floats, planned: str) -> list[str]:
    if not new or not known:
        return []
    if set(new) <= set(planned):
        return [f"{' and '.join(new)} {'is' if len(new) == 1 else 'are'} next in today's plan."]
    alike = likeness(known + new)[len(known) :, : len(known)] * needs[: len(known)]
    nearest = known[int(np.argmax(alike.max(axis=0)))]
    named = " and ".join(new)
    comes = "comes" if len(new) == 1 else "come"
    return [
        f"{named} {comes} next, being least like what is still weak; the nearest such sound is {nearest}."
    ]


def _why_text(
    text: str, known: str, needs: Floats, expected: Floats, are_tested: NDArray[np.bool_]
) -> list[str]:
    weakest = np.argsort(-needs[: len(known)], kind="stable")[:3]
    if not len(weakest):
        return []
    named = ", ".join(named_share(known[i], float(expected[i]) if are_tested[i] else None) for i in weakest)
    times = sum(text.count(known[i]) for i in weakest)
    return [
        f"Of its {len(text)} sounds {times} {'is' if times == 1 else 'are'} {named}:"
        " what the class and its weakest need most over the course."
    ]
