"""The course: which symbols in which order, computed and explained.

The order is built one symbol after the other. Each time the symbol is taken that scores best now: by
its use in language or in traffic, by the words that it lets the class spell, by how unlike it sounds to
what was just learned, and by how short it is. What an emphasis changes is only the weight of the four.
Nothing is copied from any course: the inputs are a published letter count, the words and the traffic that
the class will be sent, the likeness formula and the code itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from copyroom.core.alphabet import INDEX, SYMBOLS, symbol
from copyroom.core.placement import RECENT, Placement, WordRack, reasons
from copyroom.core.similarity import similarity
from copyroom.core.usage import EXAMINED_SIGNS, Floats, language_use, traffic_use

EXTENTS = (
    ("Letters", EXAMINED_SIGNS[:26]),
    ("Letters and figures", EXAMINED_SIGNS[:36]),
    ("All, with punctuation", EXAMINED_SIGNS),
)
"""How much a course covers: what to call it, and its symbols."""
MOST_NEW = 4
"""New symbols an evening unless the instructor says otherwise (common practice: 2 to 4); a course of fewer
meetings is too short for its symbols."""


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Weights of the four scores, and where the use of a symbol is counted."""

    title: str
    summary: str
    use: float
    words: float
    unlike: float
    short: float
    traffic: bool = False


EMPHASES: dict[str, Emphasis] = {
    "words": Emphasis("Words soon", "Real words from the first evening on.", 0.1, 0.6, 0.2, 0.1),
    "unlike": Emphasis(
        "Unlike sounds first", "Sounds that are mixed up come far apart.", 0.12, 0.1, 0.73, 0.05
    ),
    "traffic": Emphasis(
        "Traffic first", "Figures and signals early, for contacts and messages.", 0.7, 0.05, 0.2, 0.05, True
    ),
}
"""The ready-made emphases."""

_FADE = 0.8
"""Likeness to each one further back counts less by this factor."""


@dataclass(frozen=True, slots=True)
class _Scores:
    """Per symbol of the table, 0..1: the four scores, given what is already placed."""

    use: Floats
    words: Floats
    unlike: Floats
    short: Floats

    def total(self, emphasis: Emphasis) -> Floats:
        weighed: Floats = (
            emphasis.use * self.use
            + emphasis.words * self.words
            + emphasis.unlike * self.unlike
            + emphasis.short * self.short
        )
        return weighed


def plan_order(
    signs: str,
    emphasis: str,
    words: Sequence[str],
    pins: Mapping[str, int] | None = None,
) -> tuple[Placement, ...]:
    """The order of a course, with reasons; the same arguments always give the same order.

    Parameters
    ----------
    signs : distinct signs to be taught, in any order; what is left out is dropped.
    emphasis : key of `EMPHASES`.
    words : words that the class will be sent, in capitals, for "how soon can words be spelled".
    pins : sign -> its place, from 0, where the instructor wants it. The others are placed around.

    Raises
    ------
    ValueError
        When a sign comes twice or is no symbol, an emphasis is unknown, or two pins share a place.
    """
    check_signs(signs)
    if emphasis not in EMPHASES:
        raise ValueError(f"There is no emphasis {emphasis!r}, only {', '.join(EMPHASES)}.")
    weights = EMPHASES[emphasis]
    at_place = _pinned_places(pins or {}, signs)
    rack = WordRack(words, signs)
    known, waiting = "", "".join(sorted(signs, key=INDEX.__getitem__))
    placed: list[Placement] = []
    for place in range(len(signs)):
        sign = at_place.get(place)
        pinned = sign is not None
        if sign is None:
            totals = _scores(known, waiting, weights, rack).total(weights)
            free = [s for s in waiting if s not in at_place.values()]
            sign = max(free, key=lambda s: totals[INDEX[s]])
        why = reasons(sign, known, waiting, rack, by_traffic=weights.traffic)
        placed.append(Placement(sign, ("You put it here.", *why) if pinned else why, pinned))
        rack.learn(sign)
        known, waiting = known + sign, waiting.replace(sign, "")
    return tuple(placed)


def own_order(signs: str) -> tuple[Placement, ...]:
    """An order that the instructor typed or pasted; white space does not count.

    Raises ValueError, naming the sign, when one comes twice or is no symbol, or when there is none.
    """
    wanted = "".join(signs.split())
    if not wanted:
        raise ValueError("An order needs at least one symbol.")
    check_signs(wanted)
    return tuple(Placement(sign, ("Your own order.",), pinned=True) for sign in wanted)


def move(order: Sequence[Placement], sign: str, place: int) -> tuple[Placement, ...]:
    """The order with one symbol at another place (from 0) and pinned there; the rest closes up.

    Raises ValueError when the sign is not in the order or there is no such place.
    """
    if not 0 <= place < len(order):
        raise ValueError(f"The order has places 1 to {len(order)}, not {place + 1}.")
    moved = _find(order, sign)
    rest = [placement for placement in order if placement is not moved]
    rest.insert(place, replace(moved, reasons=("You put it here.",), pinned=True))
    return tuple(rest)


def drop(order: Sequence[Placement], sign: str) -> tuple[Placement, ...]:
    """The order without one symbol. Raises ValueError when it is not in the order."""
    dropped = _find(order, sign)
    return tuple(placement for placement in order if placement is not dropped)


def signs_of(order: Sequence[Placement]) -> str:
    """The bare order."""
    return "".join(placement.sign for placement in order)


def check_signs(signs: str) -> None:
    """Raises ValueError, naming the sign, when one comes twice or is no symbol."""
    for i, sign in enumerate(signs):
        if symbol(sign).sign in signs[:i]:
            raise ValueError(f"{sign!r} comes twice.")


def _find(order: Sequence[Placement], sign: str) -> Placement:
    for placement in order:
        if placement.sign == sign:
            return placement
    raise ValueError(f"{sign!r} is not in the order.")


def _pinned_places(pins: Mapping[str, int], signs: str) -> dict[int, str]:
    places: dict[int, str] = {}
    for sign, place in pins.items():
        if sign not in signs:
            raise ValueError(f"{sign!r} is pinned but not taught.")
        if not 0 <= place < len(signs) or place in places:
            raise ValueError(f"{sign!r} cannot be pinned to place {place + 1}.")
        places[place] = sign
    return places


def _scores(known: str, waiting: str, emphasis: Emphasis, rack: WordRack) -> _Scores:
    gains = rack.gains()
    most = gains[[INDEX[sign] for sign in waiting]].max()
    return _Scores(
        use=traffic_use() if emphasis.traffic else language_use(known),
        words=gains / most if most > 0 else gains,
        unlike=1.0 - _likeness_to_recent(known),
        short=1.0 / np.array([len(s.elements) for s in SYMBOLS]) ** 0.5,
    )


def _likeness_to_recent(known: str) -> Floats:
    """Per symbol, its greatest likeness to the last sounds learned, 0..1."""
    table = (similarity() + similarity().T) / 2.0
    alike = np.zeros(len(SYMBOLS))
    for age, sign in enumerate(reversed(known[-RECENT:])):
        alike = np.maximum(alike, _FADE**age * table[INDEX[sign]])
    return alike
