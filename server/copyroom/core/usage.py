"""How often each symbol is met: in English text by a published count, in traffic by what is sent here."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from copyroom.core import traffic
from copyroom.core.alphabet import SYMBOLS

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

_MARK_USE = {"figure": 0.4, "punctuation": 0.08, "signal": 0.05}
"""Use of marks in plain language against that of E, once all letters are known (a judgement: letter counts
leave them out). It grows with the letters known, because a figure or a stop wants words around it."""
_COMMON_MARKS = {".": 0.25, ",": 0.2, "?": 0.2, "=": 0.15, "/": 0.12, "+": 0.12, "␄": 0.1}

_PIECES, _CONTACT_SOUNDS, _MESSAGE_SOUNDS, _SAMPLE_SEED = 40, 400, 40, 1
_FEWEST, _MOST_PIECES = 5, 400
"""Each letter and figure comes in at least so many pieces of traffic; more are drawn until it does."""


def language_use(known: str) -> Floats:
    """Per symbol of the table, its use in plain English, 0..1, once `known` is known."""
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


@cache
def traffic_pieces() -> tuple[str, ...]:
    """Contacts and messages by turns, as a class is sent them; always the same."""
    rng = np.random.default_rng(_SAMPLE_SEED)
    pieces: list[str] = []
    while len(pieces) < _PIECES or (len(pieces) < _MOST_PIECES and not _holds_all(pieces)):
        if len(pieces) % 2:
            pieces.append(traffic.message(EXAMINED_SIGNS, _MESSAGE_SOUNDS, rng))
        else:
            pieces.append(traffic.contact(EXAMINED_SIGNS, _CONTACT_SOUNDS, rng))
    return tuple(pieces)


def _holds_all(pieces: list[str]) -> bool:
    return all(sum(sign in piece for piece in pieces) >= _FEWEST for sign in EXAMINED_SIGNS[:36])


@cache
def traffic_counts() -> dict[str, int]:
    """In how many of those pieces each sign comes."""
    return {s.sign: sum(s.sign in piece for piece in traffic_pieces()) for s in SYMBOLS}


def traffic_use() -> Floats:
    """Per symbol of the table, the share of contacts and messages that cannot be sent without it, 0..1."""
    return np.array([traffic_counts()[s.sign] / len(traffic_pieces()) for s in SYMBOLS])
