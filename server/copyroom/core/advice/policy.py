"""What to do next: one table of situations behind the plan, the card, the other choices and the filter.

The situations are asked in order, and the first that holds decides. Each has its own answer, and says whom or
what it is about. What must not decide: the mean over all that is known (it hides the newest sounds and the
weakest learner), and who was not there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from copyroom.core.advice import answers
from copyroom.core.advice.proposal import Choice
from copyroom.core.advice.standing import Standing
from copyroom.core.purpose import Because
from copyroom.core.slices import Slices, at_once


@dataclass(frozen=True, slots=True)
class Advice:
    """What could be done, the proposed one first, each with its evidence in one sentence.

    copied : the share of the last text that the class copied.
    """

    choices: tuple[Choice, ...]
    copied: float | None = None

    @property
    def proposed(self) -> Choice:
        """The best of them."""
        return self.choices[0]

    def because(self, choice: Choice) -> Because:
        """Why a step is there that comes of a choice."""
        proposal = choice.proposal
        signs = proposal.introduce or proposal.about.symbols or "".join(dict.fromkeys(proposal.text))
        return Because(choice.action, signs, copied=None if self.copied is None else round(self.copied, 4))


class Rule(NamedTuple):
    """A situation, what is proposed in it, and for what or whom; `choose` gives None where it is not so."""

    when: str
    then: str
    about: str
    choose: Callable[[Standing, np.random.Generator], Choice | None]


def propose(standing: Standing, rng: np.random.Generator) -> Choice:
    """What this class should do next."""
    return next(choice for rule in POLICY if (choice := rule.choose(standing, rng)))


def advise_in_slices(
    standing: Standing, rng: np.random.Generator, copied: float | None = None
) -> Slices[Advice]:
    """What is proposed, and what else could be done: go on, go over it all, go back to what is firm.

    A single sound is never practised: it could be written without listening. Raises ValueError when nothing
    is known yet, or nothing is left to do but that.
    """
    if not standing.known:
        raise ValueError("There is nothing to judge before the first sounds are introduced.")
    best = propose(standing, rng)
    yield
    choices = [best]
    for other in (answers.pair, answers.new_all_the_same, answers.once_more, answers.easier):
        choice = other(standing, rng)
        if choice and choice.action not in {one.action for one in choices} and not _same(best, choice):
            choices.append(choice)
        yield
    left = tuple(choice for choice in choices if len(set(choice.proposal.text)) > 1)
    if not left:
        raise ValueError("One sound alone is no practice, and there is no other to go on with.")
    return Advice(left, copied)


def _same(best: Choice, other: Choice) -> bool:
    """Whether both go on to new sounds."""
    return bool(best.proposal.introduce and other.proposal.introduce)


advise = at_once(advise_in_slices)


POLICY = (
    Rule(
        "fewer than two sounds are known",
        "the first sounds, and a text on them",
        "all",
        answers.nothing_known,
    ),
    Rule(
        "most of the class left the last run blank",
        "look at the sound, then a short easy text; nothing new",
        "who",
        answers.sound_is_lost,
    ),
    Rule(
        "a few did who had not before", "look at their sound; nothing new", "who", answers.some_heard_nothing
    ),
    Rule(
        "nothing was copied tonight, and what is left is not known: after a break, at a faster speed, with"
        " many newcomers, or because too little was copied",
        "a text that asks after all that is known; nothing new",
        "who has copied nothing yet",
        answers.ask_first,
    ),
    Rule(
        "somebody here never met some known sounds",
        "those few among firm ones; where it is more than a third of the class, each named",
        "who, and which",
        answers.never_met,
    ),
    Rule(
        "the class really mixes two sounds up",
        "the two side by side, once an evening; when that did not help twice, each named",
        "which",
        answers.pair,
    ),
    Rule(
        "one or two sounds stay behind the others over several meetings",
        "once an evening, by turns: among a few firm ones, named; beside its likeness; met again, slower;"
        " almost alone. The class does not wait for it",
        "which",
        answers.stuck,
    ),
    Rule(
        "the newest sounds are not held, or were not copied among others yet",
        "these, by turns among a few firm ones and among all in reach; nothing new",
        "which",
        answers.newest,
    ),
    Rule(
        "a learner is far behind a class that copies well",
        "what that learner lacks, among firm ones: named, in a short run, met again, by turns",
        "who, and which",
        answers.support,
    ),
    Rule(
        "no text for all was copied tonight, and new sounds may come",
        "a text on what is known: is the newest still there?",
        "which",
        answers.still_there,
    ),
    Rule(
        "the newest sounds are held, all that is known is carried, and tonight may have more",
        "new sounds",
        "all",
        answers.go_on,
    ),
    Rule(
        "all is taught, and well held at tonight's speed",
        "a short run a little faster: the overall speed first, then the characters",
        "all",
        answers.faster,
    ),
    Rule("else", "everything in reach, by need; no more than four unknown sounds", "all", answers.everything),
)
"""Asked in order; the first that has an answer decides."""
