"""After an exercise: go on, repeat, go back or contrast - proposed with its evidence, decided by people."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from copyroom.core.advice.pace import Pace, pace
from copyroom.core.advice.proposal import USUAL_LENGTH, Proposal, exercise, next_symbols
from copyroom.core.advice.recall import need, recall, recalled_of, were_answered
from copyroom.core.advice.record import Floats, Record
from copyroom.core.advice.situation import Situation
from copyroom.core.composition import tell_apart
from copyroom.core.evidence import Pair
from copyroom.core.phrases import awaited, counted, percent, recalled
from copyroom.core.purpose import Action, Because, Sounding
from copyroom.core.slices import Slices, at_once

TOO_HARD = 0.60
"""Under this share of a text most of it was guessing, and more of the same disheartens."""
FEWEST_TO_GO_BACK = 4
"""Going back leaves at least so many sounds in play."""
MOST_PAIRS = 3


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that could be done next: its sentence, and the exercise that does it."""

    action: Action
    sentence: str
    proposal: Proposal

    @property
    def purpose(self) -> Sounding:
        """What its text is sent for."""
        return "apart" if self.action == "contrast" else "practise"


@dataclass(frozen=True, slots=True)
class Advice:
    """What could be done, the proposed one first, each with its evidence in one sentence.

    copied : the share of the last text that the class copied.
    """

    choices: tuple[Choice, ...]
    copied: float | None

    @property
    def proposed(self) -> Choice:
        """The best of them."""
        return self.choices[0]

    def because(self, choice: Choice) -> Because:
        """Why a step is there that comes of a choice."""
        signs = choice.proposal.introduce or "".join(dict.fromkeys(choice.proposal.text))
        return Because(choice.action, signs, copied=None if self.copied is None else round(self.copied, 4))


def advise_in_slices(
    situation: Situation,
    record: Record,
    rng: np.random.Generator,
    pairs: Sequence[Pair] = (),
    copied: float | None = None,
) -> Slices[Advice]:
    """What to do after the exercise that the record ends with.

    situation : as it is now; something must be known.
    copied : share of the last text that the class copied; None is the record's last exercise.
    pairs : this evening's mix-ups worth teaching, strongest first (`evidence.pairs_worth_teaching`).

    Going back is proposed when the last text was copied under 60 %, going on when the pace allows it,
    a contrast drill when the class mixes up a pair and is not ready, and else another text.
    A single sound is never practised: it could be written without listening. Raises ValueError when nothing
    is known yet, or nothing is left to do but that.
    """
    if not situation.known:
        raise ValueError("There is nothing to judge before the first sounds are introduced.")
    shares = recall(record, situation.present, situation.known)
    now = pace(situation, record, shares)
    if copied is None and record.scores:
        copied = record.scores[-1]
    taught = [p for p in pairs if p.sent in situation.known and p.written in situation.known]
    seen = _evidence(situation, record, shares, copied)
    yield
    choices = _go_on(situation, record, rng, shares, now, seen)
    yield
    choices += _contrast(situation, rng, taught)
    yield
    choices += _repeat(situation, record, rng, shares, now, seen)
    yield
    choices += _go_back(situation, record, rng, shares, now, seen)
    if not choices:
        raise ValueError("One sound alone is no practice, and there is no other to go on with.")
    best = _best(choices, now, copied)
    return Advice((best, *(choice for choice in choices if choice is not best)), copied)


advise_after = at_once(advise_in_slices)


def _best(choices: Sequence[Choice], now: Pace, copied: float | None) -> Choice:
    by_action = {choice.action: choice for choice in choices}
    if copied is not None and copied < TOO_HARD and "go back" in by_action:
        return by_action["go back"]
    if now.count and "go on" in by_action:
        return by_action["go on"]
    return next(by_action[action] for action in ("contrast", "repeat", "go on") if action in by_action)


def contrast_drill(
    pairs: Sequence[tuple[str, str]], situation: Situation, rng: np.random.Generator
) -> Proposal:
    """A drill of the sounds of some pairs, close together. Raises ValueError without a pair."""
    signs = "".join(dict.fromkeys(sign for pair in pairs for sign in pair))
    if len(signs) < 2:
        raise ValueError("A contrast drill needs at least one pair of different sounds.")
    length = _length(situation)
    text = tell_apart(signs, length, rng, group=length)
    named = ", ".join(f"{a} and {b}" for a, b in pairs)
    return Proposal("", text, (f"{named} side by side, until each is heard for itself.",))


def _length(situation: Situation) -> int:
    longest = min(situation.max_length, situation.sendings_left)
    return max(situation.min_length, min(USUAL_LENGTH, longest))


def _go_on(
    situation: Situation,
    record: Record,
    rng: np.random.Generator,
    shares: Floats,
    now: Pace,
    seen: str,
) -> list[Choice]:
    """Possible whenever something is left and there is time, wise only when the pace says so."""
    count = now.count or min(1, max(0, situation.room_for_new), len(situation.untaught))
    if not count:
        return []
    new = next_symbols(situation, need(shares), count)
    verdict = f"go on with {' and '.join(new)}" if now.count else f"go on with {new} all the same"
    sentence = f"{seen}: {verdict}."
    return [Choice("go on", sentence, exercise(situation, record, rng, new, now))]


def _repeat(
    situation: Situation,
    record: Record,
    rng: np.random.Generator,
    shares: Floats,
    now: Pace,
    seen: str,
) -> list[Choice]:
    """Possible as soon as there are two sounds."""
    if len(situation.known) < 2:
        return []
    weakest = "".join(situation.known[i] for i in np.argsort(-need(shares), kind="stable")[:3])
    at = awaited(now.threshold, recalled_of(shares, situation.known, were_answered(record, situation.known)))
    wait = f" (new ones come at {at})" if situation.untaught and not now.count else ""
    sentence = f"{seen}: another text on the same sounds{wait}, with more of {', '.join(weakest)}."
    return [Choice("repeat", sentence, exercise(situation, record, rng, "", now))]


def _go_back(
    situation: Situation,
    record: Record,
    rng: np.random.Generator,
    shares: Floats,
    now: Pace,
    seen: str,
) -> list[Choice]:
    """A text on the better known half."""
    kept = max(FEWEST_TO_GO_BACK, len(situation.known) // 2)
    if kept >= len(situation.known):
        return []
    best = np.sort(np.argsort(-shares.mean(axis=0), kind="stable")[:kept])
    easier = replace(situation, known="".join(situation.known[i] for i in best))
    sentence = (
        f"{seen}: go back to the {kept} sounds it knows best, {', '.join(easier.known)}, and build up again."
    )
    return [Choice("go back", sentence, exercise(easier, record, rng, "", now))]


def _contrast(situation: Situation, rng: np.random.Generator, pairs: Sequence[Pair]) -> list[Choice]:
    if not pairs:
        return []
    top = pairs[0]
    sentence = (
        f"This evening {counted(top.learners, 'learner')} wrote {top.written} for {top.sent},"
        f" {top.n} times in {top.sendings}: put the two side by side."
    )
    chosen = list(dict.fromkeys(tuple(sorted((p.sent, p.written))) for p in pairs))[:MOST_PAIRS]
    return [Choice("contrast", sentence, contrast_drill([(a, b) for a, b in chosen], situation, rng))]


def _evidence(situation: Situation, record: Record, shares: Floats, copied: float | None) -> str:
    """What the choice rests on, each figure with what it is of."""
    of = recalled_of(shares, situation.known, were_answered(record, situation.known))
    if copied is None:
        return recalled("the class", of)
    return f"In the last run the class copied {percent(copied)}; {recalled('it', of)}"
