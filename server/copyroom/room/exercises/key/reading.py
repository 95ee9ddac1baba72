"""What was keyed in a turn: read, held against what was meant, and the hand that sent it drawn in dits."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from copyroom.core import alignment as al
from copyroom.core.alphabet import SYMBOLS, WORD_SPACE
from copyroom.core.keying import Fist, Reading
from copyroom.room.exercises.key.turns import Turn
from copyroom.room.figures import Job, let_none_out
from copyroom.room.keyed import keyed_bursts
from copyroom.room.keyed.events import FistLine, HandOut, KeyedLetter, TurnRead
from copyroom.room.keyed.reading import reading_of

MOST_DOTS = 80
"""Lengths of one kind that are drawn each by itself."""
_IDEALS = {
    "dit": 1.0,
    "dah": 3.0,
    "gap inside a letter": 1.0,
    "gap between letters": 3.0,
    "gap between words": 7.0,
}
"""Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2."""
_WORST = {
    "inside long": "gap inside a letter",
    "inside short": "gap inside a letter",
    "letters close": "gap between letters",
    "words close": "gap between words",
    "words far": "gap between words",
    "dahs short": "dah",
    "dahs long": "dah",
}
"""Which line a fault stands in; speed and steadiness have none of their own."""


def read_turn(run: int, turn: Turn, in_play: str) -> Job:
    """Read a turn's tones in slices; lets the TurnRead out.

    in_play : signs that may have been sent beside letters, figures and what was meant.
    """
    on_ms, off_ms = np.array(turn.on_ms), np.array(turn.off_ms)
    seat, meant = turn.seat, turn.meant.replace(WORD_SPACE, "")
    yield []
    reading = yield from let_none_out(reading_of(turn, in_play + meant))
    yield []
    places = _places(meant, reading.text.replace(WORD_SPACE, ""))
    yield []
    hand = hand_of(reading, on_ms, off_ms)
    yield [TurnRead(seat, turn.number, reading.text, _rounded(reading.confidence), places, hand, run)]


def _places(meant: str, sent: str) -> tuple[int | None, ...]:
    """Per symbol sent, the one that it stands for; nobody says when it was meant."""
    if not meant or not sent:
        return (None,) * len(sent)
    return tuple(al.align_one(meant, None, al.Copy(sent)).alignment.attribution)


def hand_of(reading: Reading, on_ms: NDArray[np.float64], off_ms: NDArray[np.float64]) -> HandOut | None:
    """The hand in its own dits; in those of its speed, where it sent none."""
    fist = reading.fist
    if fist is None:
        return None
    dit_ms = fist.dit_s * 1000.0 if fist.dit_s else 1200.0 / fist.wpm
    return HandOut(
        letters=_letters(reading.text, on_ms / dit_ms, off_ms / dit_ms),
        lines=_lines(reading.text, on_ms / dit_ms, off_ms / dit_ms, fist),
        dit_ms=round(dit_ms, 2),
        wpm=round(fist.wpm, 1),
        ratio=None if fist.ratio is None else round(fist.ratio, 2),
        spread=round(fist.spread, 3),
        advice=fist.advice,
        praise=fist.praise,
    )


def _letters(text: str, on: NDArray[np.float64], off: NDArray[np.float64]) -> tuple[KeyedLetter, ...]:
    sent = keyed_bursts(text, on, off)
    ends = set(sent.group_ends)
    letters = []
    for i, sign in enumerate(sent.symbols):
        begins, stops = (edge * 1000.0 for edge in sent.tones(i))  # bursts take them for ms
        edges = np.column_stack((begins, stops)).ravel() - begins[0]
        letters.append(
            KeyedLetter(sign=sign, at=round(float(begins[0]), 2), edges=_rounded(edges), ends_word=i in ends)
        )
    return tuple(letters)


def _lines(text: str, on: NDArray[np.float64], off: NDArray[np.float64], fist: Fist) -> tuple[FistLine, ...]:
    """Each kind's lengths as they were read; a pause of several words' gaps is none of them."""
    sent = keyed_bursts(text, on, off)
    is_dah = np.array([element == "-" for element in "".join(_elements(sent.symbols))])
    marks, gaps = off - on, on[1:] - off[:-1]
    last = sent.first_tone[1:-1] - 1
    between = np.zeros(len(gaps), bool)
    between[last] = True
    words = np.zeros(len(gaps), bool)
    words[last[list(sent.group_ends)]] = True
    kinds = (
        marks[~is_dah],
        marks[is_dah],
        gaps[~between],
        gaps[between & ~words],
        gaps[words & (gaps < 30.0)],
    )
    worst = _WORST.get(fist.fault, "")
    return tuple(
        FistLine(
            name=name,
            ideal=ideal,
            dits=_rounded(dits[:MOST_DOTS]),
            median=round(float(np.median(dits)), 2),
            low=round(float(np.quantile(dits, 0.25)), 2),
            high=round(float(np.quantile(dits, 0.75)), 2),
            is_worst=name == worst,
        )
        for (name, ideal), dits in zip(_IDEALS.items(), kinds, strict=True)
        if len(dits)
    )


def _elements(symbols: str) -> list[str]:
    by_sign = {known.sign: known.elements for known in SYMBOLS}
    return [by_sign[sign] for sign in symbols]


def _rounded(values: Iterable[float]) -> tuple[float, ...]:
    return tuple(round(float(value), 2) for value in values)
