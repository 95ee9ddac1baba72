"""Why a symbol stands where it stands in a course: sentences whose figures are those it was placed by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import INDEX, SYMBOLS, symbol
from copyroom.core.phrases import counted, percent
from copyroom.core.similarity import likeness
from copyroom.core.usage import LETTER_SHARES, traffic_counts, traffic_pieces

RECENT = 4
"""Sounds learned just before, against which a new one is held."""
_NEXT_LETTER = 0.25
"""A word that still lacks another letter after this one counts so much, one that lacks two its square."""
_EXAMPLES = 3
_UNLIKE, _RATHER_UNLIKE = 0.15, 0.3


@dataclass(frozen=True, slots=True)
class Placement:
    """One symbol in its place, and why it stands there; `pinned` when the instructor put it there."""

    sign: str
    reasons: tuple[str, ...]
    pinned: bool = False


class WordRack:
    """Which of the words can be spelled with what is known.

    words : shape (W,), those made of the course's symbols; missing : shape (W, A), 1 for what each lacks.
    lacking : shape (W,), how many symbols that is.
    """

    def __init__(self, words: Sequence[str], signs: str) -> None:
        able = set(signs)
        self.words = [word for word in words if able.issuperset(word)]
        rows = np.repeat(np.arange(len(self.words)), [len(word) for word in self.words])
        self.missing = np.zeros((len(self.words), len(SYMBOLS)), np.float32)
        self.missing[rows, [INDEX[sign] for word in self.words for sign in word]] = 1.0
        self.lacking = self.missing.sum(axis=1)

    def learn(self, sign: str) -> None:
        """From now on this symbol is known."""
        self.lacking -= self.missing[:, INDEX[sign]]
        self.missing[:, INDEX[sign]] = 0.0

    def gains(self) -> NDArray[np.float64]:
        """Per symbol, the words it completes, and in part those it brings nearer."""
        nearness = np.array([_NEXT_LETTER ** max(0, n - 1) for n in range(len(SYMBOLS) + 1)], np.float32)
        return np.asarray(nearness[self.lacking.astype(np.intp)] @ self.missing, np.float64)

    def completions(self) -> NDArray[np.intp]:
        """Per symbol, how many words can be spelled with it that cannot be without it."""
        return np.asarray(self.missing[self.lacking == 1].sum(axis=0), np.intp)

    def completed(self, sign: str) -> list[str]:
        """Those words, the shortest first."""
        rows = np.flatnonzero((self.lacking == 1) & (self.missing[:, INDEX[sign]] > 0))
        return sorted((self.words[row] for row in rows), key=lambda word: (len(word), word))

    def spelled(self) -> int:
        """How many words can be spelled by now."""
        return int(np.count_nonzero(self.lacking == 0))


def reasons(sign: str, known: str, waiting: str, rack: WordRack, *, by_traffic: bool) -> tuple[str, ...]:
    """Why `sign` comes after `known`, and before the others of `waiting`, which holds it too.

    by_traffic : its use counts in traffic, not in English text.
    """
    use = _why_traffic(sign, waiting) if by_traffic else _why_language(sign, known, waiting, rack)
    return tuple([*use, *_why_words(sign, waiting, rack), _why_sound(sign, known)])


def _why_traffic(sign: str, waiting: str) -> list[str]:
    counts = traffic_counts()
    if not counts[sign]:
        return []
    most = len(waiting) > 1 and counts[sign] == max(counts[other] for other in waiting)
    more = "; no sound still to come is in more" if most else ""
    return [f"In {counts[sign]} of {len(traffic_pieces())} contacts and messages of ours{more}."]


def _why_language(sign: str, known: str, waiting: str, rack: WordRack) -> list[str]:
    if sign in LETTER_SHARES:
        share = LETTER_SHARES[sign]
        most = share >= max(LETTER_SHARES.get(other, 0.0) for other in waiting)
        letters = "; no letter still to come is used more" if most and len(waiting) > 1 else ""
        return [f"{share:g} of 100 letters in English text{letters}."]
    letters_known = sum(other in LETTER_SHARES for other in known)
    if symbol(sign).kind == "figure":
        letters = counted(letters_known, "letter")
        return [f"A figure, with {letters} known to put it among."] if letters_known else []
    spelled = rack.spelled()
    name = symbol(sign).name.split(",")[0].capitalize()
    return [f"{name}: {counted(spelled, 'word')} can be sent by now around it."] if spelled else []


def _why_words(sign: str, waiting: str, rack: WordRack) -> list[str]:
    words = rack.completed(sign)
    if not words:
        return []
    others = rack.completions()[[INDEX[other] for other in waiting]]
    is_most = len(waiting) > 1 and len(words) >= others.max()
    most = "; no sound still to come would give more" if is_most else ""
    such = f", such as {', '.join(words[:_EXAMPLES])}" if len(words) > _EXAMPLES else f": {', '.join(words)}"
    return [f"With it {counted(len(words), 'more word')} can be spelled{such}{most}."]


def _why_sound(sign: str, known: str) -> str:
    if not known:
        return f"The first sound, of {counted(len(symbol(sign).elements), 'element')}."
    recent = known[-RECENT:]
    alike = likeness(sign + recent)[0, 1:]
    share = float(alike.max())
    nearest = recent[int(alike.argmax())]
    verdict = "Unlike" if share < _UNLIKE else "Rather unlike" if share < _RATHER_UNLIKE else "Like one of"
    just = "the sound just before it" if len(recent) == 1 else f"the {len(recent)} sounds just before it"
    if len(recent) == 1 and verdict == "Like one of":
        verdict = "Like"
    return f"{verdict} {just}: {symbol(nearest).joined or nearest}, the nearest, is {percent(share)} alike."
