"""Deal a text: every symbol as often as its weight, none absent for long, like sounds close together.

The chance of a symbol to come next is w (w t), w its weight and t the sendings since its last turn. A
chance that grows with the wait gives each symbol its share with fewer long gaps than blind draws; what
has waited twice its usual time comes for certain. Only the places of the last sendings need to be known,
so texts and meetings join without a seam. (Always sending what is most overdue was tried: with few
symbols it becomes a round that learners write without listening.)
"""

from __future__ import annotations

import numpy as np

from copyroom.core.advice.record import Floats, Record
from copyroom.core.alphabet import INDEX
from copyroom.core.similarity import likeness

CONTRAST = 2.0
"""How much more urgent a needed symbol becomes right after a needed one that sounds like it."""
OVERDUE = 1.8
"""A symbol that has waited so many of its usual waits comes next for certain."""


def deal(
    signs: str, weights: Floats, needs: Floats, length: int, record: Record, rng: np.random.Generator
) -> str:
    """A text of `length` signs, without spaces.

    Parameters
    ----------
    signs : distinct signs in play, at least one.
    weights : shape (K,), share of each, > 0, sum 1.
    needs : shape (K,), 0..1; like sounds are put close together as far as both are needed.
    record : tells when each was last sent. No symbol comes three times running unless it is alone.
    """
    pull = CONTRAST * likeness(signs) * np.sqrt(np.outer(needs, needs))
    waited = _waited(signs, weights, record, rng)
    recent = [signs.index(sign) for sign in record.tail if sign in signs]
    draws = rng.random(length)
    for draw in draws:
        waited += 1.0
        chosen = _next(weights, waited, pull, recent, float(draw))
        waited[chosen] = 0.0
        recent.append(chosen)
    return "".join(signs[i] for i in recent[len(recent) - length :])


def _next(weights: Floats, waited: Floats, pull: Floats, recent: list[int], draw: float) -> int:
    urgency = weights * waited
    if len(recent) > 1 and recent[-1] == recent[-2] and len(weights) > 1:
        urgency[recent[-1]] = 0.0
    longest = int(urgency.argmax())
    if urgency[longest] >= OVERDUE:
        return longest
    chances = weights * urgency
    if recent:
        chances *= 1.0 + pull[recent[-3:]].max(axis=0)
    reach = chances.cumsum()
    return int(reach.searchsorted(draw * reach[-1], side="right"))


def _waited(signs: str, weights: Floats, record: Record, rng: np.random.Generator) -> Floats:
    """Sendings since each symbol's last turn; one never sent is about due.

    After a change of weights a long neglected symbol counts as just not overdue: several at once would
    fill the next text alone.
    """
    last = record.last_sent[[INDEX[sign] for sign in signs]]
    fresh = rng.uniform(0.5, 1.0, len(signs)) / weights
    most = 0.8 * OVERDUE / weights
    waited: Floats = np.where(last > 0, np.minimum(record.sent_total - last, most), fresh)
    return waited
