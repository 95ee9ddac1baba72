"""Bursts: when each tone of a text begins and ends.

Units (Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2): dot 1, dash 3, between elements 1,
between characters 3, between words 7. A dot lasts 1.2 s / wpm when the standard word is PARIS with its
space, 50 units.

Two speeds: characters are sent at one speed and spaced for another, lower one, after J. Bloom, "A
Standard for Morse Timing Using the Farnsworth Technique", QEX, April 1990 (formulas second-hand, derived
again here). Of the 50 units of PARIS 31 are inside characters and 19 are spaces; slowing down
stretches only those 19, so the 3 and 7 of the spaces become units of their own length.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import WORD_SPACE, symbol

CHARACTER_WPM = (5.0, 60.0)
"""Lowest and highest character speed: below, nobody hears a sound as one; above, phones blur it."""
SLOWEST_OVERALL_WPM = 1.0

_UNITS = {".": 1, "-": 3}


@dataclass(frozen=True, slots=True)
class Speed:
    """How fast a text is sent, in words (PARIS) a minute.

    wpm : speed of the characters themselves, 5 to 60.
    overall_wpm : speed of the whole with its wider spaces, 1 to `wpm`.

    Raises ValueError, in one sentence, for a speed out of range.
    """

    wpm: float
    overall_wpm: float

    def __post_init__(self) -> None:
        low, high = CHARACTER_WPM
        if not low <= self.wpm <= high:
            raise ValueError(f"The character speed must be {low:g} to {high:g} wpm, not {self.wpm:g}.")
        if not SLOWEST_OVERALL_WPM <= self.overall_wpm <= self.wpm:
            raise ValueError(
                f"The overall speed must be {SLOWEST_OVERALL_WPM:g} wpm to the character speed"
                f" ({self.wpm:g} wpm), not {self.overall_wpm:g}."
            )

    @property
    def dot_s(self) -> float:
        """Length of a dot, and of the gap inside a character."""
        return 1.2 / self.wpm

    @property
    def space_unit_s(self) -> float:
        """One of the 19 units of space in PARIS: a dot when both speeds are the same."""
        if self.overall_wpm == self.wpm:
            return self.dot_s
        return (60 / self.overall_wpm - 31 * self.dot_s) / 19

    @property
    def character_space_s(self) -> float:
        """Silence between characters of a group."""
        return 3 * self.space_unit_s

    @property
    def word_space_s(self) -> float:
        """Silence between groups."""
        return 7 * self.space_unit_s


@dataclass(frozen=True, slots=True, eq=False)
class Bursts:
    """The tones of a text; time 0 is the first tone's beginning, all times in seconds.

    symbols : the n signs sent, without spaces.
    group_ends : indices into `symbols` after which a word space follows (not the last one).
    start_s, end_s : shape (n,), beginning of the first and end of the last tone of each symbol.
    on_s, off_s : shape (m,), every tone in order.
    first_tone : shape (n + 1,), int. The tones of symbol i are `first_tone[i]` to `first_tone[i + 1]`.
    """

    symbols: str
    group_ends: tuple[int, ...]
    start_s: NDArray[np.float64]
    end_s: NDArray[np.float64]
    on_s: NDArray[np.float64]
    off_s: NDArray[np.float64]
    first_tone: NDArray[np.intp]

    @property
    def duration_s(self) -> float:
        """From the first tone's beginning to the last tone's end."""
        return float(self.off_s[-1])

    def tones(self, i: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Beginnings and ends of the tones of symbol i."""
        own = slice(self.first_tone[i], self.first_tone[i + 1])
        return self.on_s[own], self.off_s[own]


def bursts(text: str, speed: Speed) -> Bursts:
    """Time every tone of a text.

    Each edge is a count of keyed units and a count of space units, both integers, turned into seconds
    once: an hour's text ends as exactly as it begins.

    Parameters
    ----------
    text : a text as `text.normalise` gives it, with at least one symbol.

    Raises
    ------
    ValueError
        When the text is empty, not normalised, or has a sign that is not a symbol.
    """
    groups = text.split(WORD_SPACE)
    if not all(groups):
        raise ValueError(f"not a normalised text: {text!r}")
    symbols = "".join(groups)
    group_ends = tuple(end - 1 for end in itertools.accumulate(map(len, groups[:-1])))
    elements = [symbol(sign).elements for sign in symbols]
    first_tone = np.concatenate(([0], np.cumsum([len(own) for own in elements])))
    on, off = _edge_units(elements, frozenset(group_ends))
    unit_s = np.array([speed.dot_s, speed.space_unit_s])
    on_s, off_s = on @ unit_s, off @ unit_s
    made = Bursts(
        symbols, group_ends, on_s[first_tone[:-1]], off_s[first_tone[1:] - 1], on_s, off_s, first_tone
    )
    for array in (made.start_s, made.end_s, on_s, off_s, first_tone):
        array.setflags(write=False)  # many rooms and views share one push
    return made


def edges_ms(sent: Bursts) -> list[list[float]]:
    """Per symbol [on, off, on, off, ...] in ms, as browsers get them."""
    tones = (sent.tones(i) for i in range(len(sent.symbols)))
    return [(np.column_stack(own).ravel() * 1000.0).round(3).tolist() for own in tones]


def _edge_units(
    elements: list[str], group_ends: frozenset[int]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Beginnings and ends of the tones, shape (m, 2): keyed units and space units passed since time 0."""
    on, off = [], []
    keyed = spaces = 0
    for i, own in enumerate(elements):
        for element in own:
            on.append((keyed, spaces))
            keyed += _UNITS[element]
            off.append((keyed, spaces))
            keyed += 1
        keyed -= 1
        spaces += 7 if i in group_ends else 3
    return np.array(on, dtype=np.int64), np.array(off, dtype=np.int64)
