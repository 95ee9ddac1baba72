"""Texts and introductions that an advice is made of."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from copyroom.core.advice.deal import deal
from copyroom.core.advice.needs import NEED_OF_NEW, RECALL_OF_NEW, Floats, need, weights
from copyroom.core.advice.standing import Standing
from copyroom.core.purpose import Action, Sounding
from copyroom.core.record import RunKind
from copyroom.core.similarity import likeness

USUAL_LENGTH = 45
"""Long enough to train, short enough that the next text can answer to its copies."""
LOOK_AHEAD = 5
"""Of so many next symbols of an order the one least like what is weak is taken first."""
MOST_UNKNOWN = 4
"""Sounds in one text that the class does not know yet: with more, all of them suffer."""
NAMED_BELOW = 0.5
"""Where less than this share of a text is expected to be copied, each name is told after its answer."""


@dataclass(frozen=True, slots=True)
class About:
    """For what or whom a choice is; empty where it is for all."""

    symbols: str = ""
    learners: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proposal:
    """`introduce` these signs, then send `text` (no spaces) in a run of this kind; a sentence a reason."""

    introduce: str
    text: str
    reasons: tuple[str, ...]
    kind: RunKind = "copy"
    about: About = field(default_factory=About)


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that could be done next: its sentence, and the exercise that does it."""

    action: Action
    proposal: Proposal

    @property
    def sentence(self) -> str:
        """Why, first of all."""
        return self.proposal.reasons[0]

    @property
    def purpose(self) -> Sounding:
        """What its text is sent for."""
        return "apart" if self.action == "contrast" else "practise"


def text_on(
    standing: Standing, signs: str, rng: np.random.Generator, *, new: str = "", kind: RunKind | None = None
) -> tuple[str, RunKind]:
    """A text on these signs, by need, and the kind of its run: as asked where there is time for that.

    signs : distinct, known or `new` ones, at least one.
    """
    shares, expected = _figures(standing, signs)
    share = weights(shares, expected)
    wanted = kind or ("named" if float(share @ expected) < NAMED_BELOW else "copy")
    kind = affordable(standing, wanted, len(new))
    length = text_length(standing, len(new), kind)
    return deal(signs, share, shares, length, standing.recent, standing.earlier, rng), kind


def _figures(standing: Standing, signs: str) -> tuple[Floats, Floats]:
    """Need and expected recall of each sign."""
    known = standing.known
    fresh = np.array([sign not in known for sign in signs])
    needs, expected = np.full(len(signs), NEED_OF_NEW), np.full(len(signs), RECALL_OF_NEW)
    at = [known.index(sign) for sign in signs if sign in known]
    if at:
        needs[~fresh], expected[~fresh] = need(standing.shares[:, at]), standing.of_class[at]
    return needs, expected


def affordable(standing: Standing, wanted: RunKind, introduced: int) -> RunKind:
    """The wanted kind of run, or the cheapest where that one is not to be had or there is no time for it."""
    situation = standing.situation
    if wanted in situation.kinds and situation.longest(introduced, wanted) >= situation.min_length:
        return wanted
    return situation.cheapest


def text_length(standing: Standing, introduced: int, kind: RunKind) -> int:
    """The usual length within bounds; a rest too short for another text is used up."""
    situation = standing.situation
    longest = situation.longest(introduced, kind)
    length = max(situation.min_length, min(USUAL_LENGTH, longest))
    left = situation.sendings_left - situation.intro_cost * introduced - length * situation.kinds[kind]
    if left < situation.min_length * situation.kinds[situation.cheapest]:
        length = min(longest, length + int(left / situation.kinds[kind]))
    return min(length, longest)


def in_reach(standing: Standing, first: str = "") -> str:
    """The signs of a mixed text: all that the class knows, and a few others: `first`, then the nearest."""
    unknown = standing.unknown
    others = [sign for sign in unknown if sign not in first]
    taken = sum(sign in unknown or sign not in standing.known for sign in first)
    waiting = {*others[max(0, MOST_UNKNOWN - taken) :]}
    return first + "".join(sign for sign in standing.known if sign not in first and sign not in waiting)


def firm_company(standing: Standing, signs: str, count: int) -> str:
    """So many of the best known other signs, those least like these first among equals."""
    others = [sign for sign in standing.known if sign not in signs]
    if not others:
        return ""
    alike = likeness("".join(others) + signs)[: len(others), len(others) :].max(axis=1, initial=0.0)
    worth = standing.of_class[standing.at("".join(others))] - 0.3 * alike
    return "".join(others[i] for i in np.argsort(-worth, kind="stable")[:count])


def next_symbols(standing: Standing, count: int) -> str:
    """The next `count` signs to introduce: of those whose turn it is, the least like what is weak.

    Confusable sounds are thereby introduced apart. Without an order all that are untaught may come. What is
    planned for today comes first, as planned.
    """
    situation, known = standing.situation, standing.known
    waiting = situation.untaught
    chosen = "".join(sign for sign in situation.planned if sign in waiting)[:count]
    waiting = "".join(sign for sign in waiting if sign not in chosen)
    needs = need(standing.shares)
    for _ in range(count - len(chosen)):
        turn = waiting[:LOOK_AHEAD] if situation.order else waiting
        playing = known + chosen
        weak = np.concatenate([needs, np.full(len(chosen), NEED_OF_NEW)])
        pull = likeness(playing + turn)[len(playing) :, : len(playing)] * weak
        taken = turn[int(np.argmin(pull.max(axis=1)))] if playing else turn[0]
        chosen += taken
        waiting = waiting.replace(taken, "")
    return chosen
