"""The course: which symbols in which order, computed and explained.

The order is built one symbol after the other. Each time the symbol is taken that scores best now: by
its use in language or in traffic, by the words that it lets the class spell, by how unlike it sounds to
what was just learned, and by how short it is. What an emphasis changes is only the weight of the four.
Nothing is copied from any course: the inputs are a published letter count, a list of common words,
the likeness formula and the code itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import INDEX, SYMBOLS, symbol
from copyroom.core.phrases import percent
from copyroom.core.similarity import similarity

Floats = NDArray[np.float64]

_COUNTED = (
    "A 8.04 B 1.48 C 3.34 D 3.82 E 12.49 F 2.40 G 1.87 H 5.05 I 7.57 J 0.16 K 0.54 L 4.07 M 2.51"
    " N 7.23 O 7.64 P 2.14 Q 0.12 R 6.28 S 6.51 T 9.28 U 2.73 V 1.05 W 1.68 X 0.23 Y 1.66 Z 0.09"
).split()
LETTER_SHARES = {letter: float(share) for letter, share in zip(_COUNTED[::2], _COUNTED[1::2], strict=True)}
"""Per cent of letters in English text: P. Norvig, "English Letter Frequency Counts" (2012); second-hand."""

EXAMINED_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,?/+=␄"
"""What a receiving test covered: letters, figures, full stop, comma, question mark, fraction bar, and the
signals AR, BT and SK (47 CFR 97.503 as of 1990 to 2000). A sensible whole for a course."""

COMMON_WORDS = tuple(
    "THE OF AND TO IN IS IT HE WAS FOR ON ARE AS WITH HIS AT BE THIS FROM HAVE OR ONE HAD BY BUT NOT WHAT"
    " ALL WERE WE WHEN YOUR CAN SAID USE AN EACH SHE DO HOW THEIR IF WILL UP OUT MANY THEN THEM SO SOME HER"
    " LIKE HIM INTO TIME HAS LOOK TWO MORE GO SEE NO WAY MY THAN BEEN CALL WHO ITS NOW FIND LONG DOWN DAY"
    " DID GET COME MADE MAY PART TEA TEN EAT SET SEA RAIN TREE NAME READ HOME TENT CAMP FIRE NEWS RADIO"
    " STATION".split()
)
"""Common short English words (from memory), for an order that need not wait for a longer list."""

_EXCHANGES = (
    "CQCQDEKRRURRST579579NAMEISNAMEIS=QTHISQTHIS=RIG100W=ANT=WX15C=HWCPY?+K"
    "TNXFERCALL=RST559559=QSBQRM?QRSPSE/P73␄NR12GR15=TXT=,.0123468+"
)
"""What is sent in two invented contacts and a message, run together without calls: how often each symbol is
met in traffic. The wording is ours. CQ, DE, K and the Q signals are those of Recommendation ITU-R M.1172; all
other abbreviations (RST, HW, TNX, 73 ...) and the = between parts are common practice."""


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
        "Traffic first", "Figures and signals early, for contacts and messages.", 0.55, 0.1, 0.25, 0.1, True
    ),
}
"""The ready-made emphases."""

_RECENT = 4
"""Sounds learned just before, against which a new one is held."""
_FADE = 0.8
"""Likeness to each one further back counts less by this factor."""
_NEXT_LETTER = 0.25
"""A word that still lacks another letter after this one counts so much, one that lacks two its square."""
_MARK_USE = {"figure": 0.4, "punctuation": 0.08, "signal": 0.05}
"""Use of marks in plain language against that of E, once all letters are known (a judgement: letter counts
leave them out). It grows with the letters known, because a figure or a stop wants words around it."""
_COMMON_MARKS = {".": 0.25, ",": 0.2, "?": 0.2, "=": 0.15, "/": 0.12, "+": 0.12, "␄": 0.1}


@dataclass(frozen=True, slots=True)
class Placement:
    """One symbol in its place, and why it stands there; `pinned` when the instructor put it there."""

    sign: str
    reasons: tuple[str, ...]
    pinned: bool = False


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
    signs: str = EXAMINED_SIGNS,
    emphasis: str = "words",
    *,
    pins: Mapping[str, int] | None = None,
    words: Sequence[str] = COMMON_WORDS,
) -> tuple[Placement, ...]:
    """The order of a course, with reasons; the same arguments always give the same order.

    Parameters
    ----------
    signs : distinct signs to be taught, in any order; what is left out is dropped.
    emphasis : key of `EMPHASES`.
    pins : sign -> its place, from 0, where the instructor wants it. The others are placed around.
    words : words for "how soon can words be spelled", in capitals.

    Raises
    ------
    ValueError
        When a sign comes twice or is no symbol, an emphasis is unknown, or two pins share a place.
    """
    check_signs(signs)
    if emphasis not in EMPHASES:
        raise ValueError(f"There is no emphasis {emphasis!r}, only {', '.join(EMPHASES)}.")
    at_place = _pinned_places(pins or {}, signs)
    rack = _WordRack(words, signs)
    placed: list[Placement] = []
    waiting = sorted((set(signs) - set(at_place.values())), key=INDEX.__getitem__)
    for place in range(len(signs)):
        sign = at_place.get(place)
        scores = _scores("".join(p.sign for p in placed), signs, EMPHASES[emphasis], rack)
        if sign is None:
            totals = scores.total(EMPHASES[emphasis])
            sign = max(waiting, key=lambda s: totals[INDEX[s]])
            waiting.remove(sign)
        pinned = place in at_place
        placed.append(Placement(sign, _reasons(sign, placed, EMPHASES[emphasis], rack, pinned), pinned))
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


class _WordRack:
    """Which of the words can be spelled with what is known."""

    def __init__(self, words: Sequence[str], signs: str) -> None:
        self.words = [word for word in words if set(word) <= set(signs)]
        self.needs = np.zeros((len(self.words), len(SYMBOLS)), bool)
        for row, word in enumerate(self.words):
            self.needs[row, [INDEX[sign] for sign in word]] = True

    def gains(self, known: str) -> Floats:
        """Per symbol, the words it completes, and in part those it brings nearer."""
        missing = self.needs.copy()
        missing[:, [INDEX[sign] for sign in known]] = False
        nearness = _NEXT_LETTER ** (missing.sum(axis=1) - 1.0)
        gained: Floats = nearness @ missing
        return gained

    def completed(self, known: str, sign: str) -> list[str]:
        """Words that can be spelled with `sign` and could not without it."""
        able = set(known + sign)
        return [word for word in self.words if sign in word and set(word) <= able]


def _scores(known: str, signs: str, emphasis: Emphasis, rack: _WordRack) -> _Scores:
    gains = rack.gains(known)
    columns = [INDEX[sign] for sign in signs]
    most = gains[columns].max()
    return _Scores(
        use=_traffic_use() if emphasis.traffic else _language_use(known),
        words=gains / most if most > 0 else gains,
        unlike=1.0 - _likeness_to_recent(known),
        short=1.0 / np.array([len(s.elements) for s in SYMBOLS]) ** 0.5,
    )


def _language_use(known: str) -> Floats:
    letters_known = sum(sign in LETTER_SHARES for sign in known) / len(LETTER_SHARES)
    top = max(LETTER_SHARES.values())
    return np.array(
        [
            LETTER_SHARES[s.sign] / top
            if s.sign in LETTER_SHARES
            else letters_known * _COMMON_MARKS.get(s.sign, _MARK_USE.get(s.kind, 0.0))
            for s in SYMBOLS
        ]
    )


def _traffic_use() -> Floats:
    counts = np.array([_EXCHANGES.count(s.sign) for s in SYMBOLS], dtype=float)
    share: Floats = np.sqrt(counts / counts.max())
    return share


def _likeness_to_recent(known: str) -> Floats:
    """Per symbol, its greatest likeness to the last sounds learned, 0..1."""
    table = (similarity() + similarity().T) / 2.0
    alike = np.zeros(len(SYMBOLS))
    for age, sign in enumerate(reversed(known[-_RECENT:])):
        alike = np.maximum(alike, _FADE**age * table[INDEX[sign]])
    return alike


def _reasons(
    sign: str, placed: Sequence[Placement], emphasis: Emphasis, rack: _WordRack, pinned: bool
) -> tuple[str, ...]:
    known = "".join(placement.sign for placement in placed)
    reasons = ["You put it here."] if pinned else []
    reasons += [*_why_use(sign, emphasis), *_why_words(sign, known, rack), *_why_sound(sign, known)]
    return tuple(reasons)


def _why_use(sign: str, emphasis: Emphasis) -> list[str]:
    if emphasis.traffic and _EXCHANGES.count(sign) > 1:
        return [
            f"Often met in traffic: {_EXCHANGES.count(sign)} times in our sample of {len(_EXCHANGES)} sounds."
        ]
    if sign in LETTER_SHARES:
        return [f"{LETTER_SHARES[sign]:g} of 100 letters in English text."]
    kind = symbol(sign).kind
    if kind == "figure":
        return ["A figure: useful once there are words around it."]
    return [f"{symbol(sign).name.capitalize()}: used between words that can be sent by now."]


def _why_words(sign: str, known: str, rack: _WordRack) -> list[str]:
    words = rack.completed(known, sign)
    if not words:
        return []
    more = "1 more word" if len(words) == 1 else f"{len(words)} more words"
    return [f"With it {more} can be spelled, such as {', '.join(words[:3])}."]


def _why_sound(sign: str, known: str) -> list[str]:
    if not known:
        elements = len(symbol(sign).elements)
        return [f"A sound to begin with: {elements} {'element' if elements == 1 else 'elements'}."]
    table = (similarity() + similarity().T) / 2.0
    recent = known[-_RECENT:]
    nearest = max(recent, key=lambda other: table[INDEX[sign], INDEX[other]])
    likeness = table[INDEX[sign], INDEX[nearest]]
    verdict = "Unlike" if likeness < 0.3 else "Not very like" if likeness < 0.5 else "Like"
    return [f"{verdict} the sounds just before it; the nearest, {nearest}, is {percent(likeness)} alike."]
