"""Texts that mean something: sentences, on-air style contacts, messages. Wording, names and places are ours.

CQ, DE, K and QTH are those of Recommendation ITU-R M.1172; the other abbreviations (such as RST, UR, HW, TNX,
FER, WX, GM, R, 73, NR, GR) and where ``=``, ``+`` and end of work stand are common practice. Calls are
invented ones of the amateur form; what shows these texts calls them practice.

Everything is drawn from a Generator, uses only the symbols given, and is cut to length at a whole
sentence or over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from copyroom.core.alphabet import RECOMMENDED, by_table_order
from copyroom.core.composition import practice_calls
from copyroom.core.grammar import Grammar
from copyroom.core.wording import MESSAGES, NAMES, OVER_WORDS, OVERS, SENTENCES, TOWNS

TRIES = 40
"""Texts drawn until one is made of what is known, or fits what is left."""
FEWEST_LEFT = 8
"""Sounds in which no other text is looked for."""
EVERY_SIGN = "".join(symbol.sign for symbol in RECOMMENDED)


def sentences(symbols: str, count: int, rng: np.random.Generator) -> str:
    """Sentences of known symbols, about `count` sounds, never more unless the shortest one is longer.

    Raises ValueError with a sentence when none can be made of `symbols`.
    """
    grammar = Grammar(SENTENCES, symbols)
    if not grammar.can("sentence"):
        raise ValueError(f"No sentence can be made of {by_table_order(symbols) or 'nothing'} alone yet.")
    stop = "." if "." in symbols else ""

    def one() -> str:
        said = grammar.make("sentence", rng)
        return said if said.endswith("?") else said + stop

    return _filled(one, count)


def contact(symbols: str, count: int, rng: np.random.Generator) -> str:
    """The overs of one invented contact, as many as `count` sounds hold, at least the first.

    Raises ValueError naming the symbols that are still missing.
    """
    ours, theirs = _two_calls(symbols, rng)
    said = {"ours": ours, "theirs": theirs, "there": f"{theirs} DE {ours}", "here": f"{ours} DE {theirs}"}
    for slot, words in OVER_WORDS.items():
        said[slot] = _sayable(words.split("|"), symbols, rng)
    overs = [_sayable([one.format(**said) for one in over], symbols, rng) for over in OVERS]
    if _sounds("".join(overs)) > count:
        del overs[4]
    return _cut(overs, symbols, count)


def _sayable(options: Sequence[str], symbols: str, rng: np.random.Generator) -> str:
    """One of those made of `symbols`; where there is none, the one that lacks least of them."""
    able = _known(options, symbols)
    if not able:
        return min(options, key=lambda one: len(set(one) - set(symbols)))
    return able[int(rng.integers(len(able)))]


def message(symbols: str, count: int, rng: np.random.Generator) -> str:
    """Formal messages with number, check of groups, address, text and signature, about `count` sounds.

    Raises ValueError naming the symbols that are still missing.
    """
    grammar = Grammar(MESSAGES, symbols)
    if not grammar.can("message"):
        grammar = Grammar(MESSAGES, EVERY_SIGN)  # to say what is missing
    names, towns = (_known(words, symbols) or words for words in (NAMES, TOWNS))

    def one() -> str:
        text = grammar.make("message", rng)
        number, groups = int(rng.integers(1, 100)), len(text.split())
        to, sender, town = (words[int(rng.integers(len(words)))] for words in (names, names, towns))
        return f"NR {number} GR {groups} = {to} {town} = {text} = {sender} +"

    def known() -> str:
        drawn: list[str] = []
        for _ in range(TRIES):
            drawn.append(one())
            if _made_of(drawn[-1], set(symbols)):
                return drawn[-1]
        raise ValueError(_lacking(min(drawn, key=lambda text: len(set(text) - set(symbols))), symbols))

    return _filled(known, count)


def _known(words: Sequence[str], symbols: str) -> list[str]:
    return [word for word in words if _made_of(word, set(symbols))]


def _two_calls(symbols: str, rng: np.random.Generator) -> Sequence[str]:
    calls: list[str] = []
    while len(calls) < 2:
        calls = practice_calls(symbols, 24, rng).split()
    return calls[:2]


def _made_of(text: str, known: set[str]) -> bool:
    return set(text) - {" "} <= known


def _lacking(text: str, symbols: str) -> str:
    missing = by_table_order("".join(set(text) - set(symbols)))
    return f"Such a text needs {', '.join(missing)} as well."


def _sounds(text: str) -> int:
    return len(text.replace(" ", ""))


def _filled(draw: Callable[[], str], count: int) -> str:
    """As many different texts as fit; where even the first is too much, the shortest of some."""
    if count < 1:
        raise ValueError(f"a text has at least one sound, not {count}")
    made: list[str] = []
    left = count
    for _ in range(TRIES):
        drawn = draw()
        if _sounds(drawn) <= left and drawn not in made:
            made.append(drawn)
            left -= _sounds(drawn)
        if left < FEWEST_LEFT:
            break
    return " ".join(made or [min((draw() for _ in range(TRIES)), key=_sounds)])


def _cut(overs: Iterable[str], symbols: str, count: int) -> str:
    """The first overs that `count` sounds hold, at least one, all of known symbols."""
    kept: list[str] = []
    for over in overs:
        if kept and _sounds(" ".join([*kept, over])) > count:
            break
        if not _made_of(over, set(symbols)):
            raise ValueError(_lacking(over, symbols))
        kept.append(over)
    return " ".join(kept)
