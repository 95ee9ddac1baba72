"""Texts that mean something: sentences, on-air style contacts, messages. Wording, names and places are ours.

CQ, DE, K and QTH are those of Recommendation ITU-R M.1172; the other abbreviations (RST, UR, HW, TNX,
FER, WX, GM, R, 73, NR, GR) and where ``=``, ``+`` and end of work stand are common practice. Calls are
invented ones of the amateur form; what shows these texts calls them practice.

Everything is drawn from a Generator, uses only the symbols given, and is cut to length at a whole
sentence or over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from copyroom.core.alphabet import by_table_order
from copyroom.core.composition import practice_calls

SUBJECTS = (
    "THE TENT|THE TEAM|THE RADIO|A BOAT|THE TRAIN|OUR CAMP|THE OLD MAP|A RED KITE|THE TEA|NINE SHEEP"
    "|THE MIST|NO ONE|THE MAST|A HEN|THE MOON|ONE TREE|SHE|HE|THE NET|A WIRE"
).split("|")
VERBS = "IS|WAS|SITS|STANDS|RESTS|STAYS|WAITS|IS NOT|HAS TIME|GOES|TURNS".split("|")
PLACES = (
    "AT HOME|ON THE HILL|BY THE RIVER|IN THE RAIN|NEAR THE SEA|IN TOWN|AT NOON|AT NINE|HERE|ON TIME"
    "|IN THE EAST|AT THE STATION|OUTSIDE|IN THE SHED|ON THE ROAD"
).split("|")
NAMES = "TOM|ANNA|EMIL|NORA|STEN|MAYA|OTTO|RITA|HUGO|ENID".split("|")
TOWNS = "OSTRINEA|TARNOVEL|MERIDASK|ELTHUNAR|SIMBARET|NANDOREK".split("|")
"""Invented places, made of sounds rather than of words: no town is known by one of these (from memory)."""
WEATHER = "RAIN|SUN|WIND|MIST|SNOW|FAIR".split("|")
REPORTS = "599|579|559|449|339".split("|")
MESSAGES = (
    "ARRIVE NINE AT STATION",
    "SEND MORE TEA AND WIRE",
    "MEET AT THE NORTH GATE AT NOON",
    "CAMP IS DRY ALL ARE WELL",
    "NEED TWO TENTS FOR SUNDAY",
    "TRAIN IS LATE WAIT FOR US",
)
GREETINGS = "GM|GA|GE".split("|")


def sentences(symbols: str, count: int, rng: np.random.Generator) -> str:
    """Short sentences of known symbols, about `count` sounds, never more unless the shortest one is longer.

    Raises ValueError with a sentence when none can be made of `symbols`.
    """
    known = set(symbols)
    slots = [[part for part in slot if _made_of(part, known)] for slot in (SUBJECTS, VERBS, PLACES)]
    if not all(slots):
        raise ValueError(f"No sentence can be made of {by_table_order(symbols) or 'nothing'} alone yet.")
    stop = "." if "." in known else ""
    return _filled(lambda: " ".join(str(rng.choice(slot)) for slot in slots) + stop, count)


def contact(symbols: str, count: int, rng: np.random.Generator) -> str:
    """The overs of one invented contact, as many as `count` sounds hold, at least the first.

    Raises ValueError naming the symbols that are still missing.
    """
    ours, theirs = _two_calls(symbols, rng)
    name, town = str(rng.choice(NAMES)), str(rng.choice(TOWNS))
    greeting, report, sky = (str(rng.choice(words)) for words in (GREETINGS, REPORTS, WEATHER))
    overs = (
        f"CQ CQ DE {ours} {ours} K",
        f"{ours} DE {theirs} {theirs} K",
        f"{theirs} DE {ours} = {greeting} = UR RST {report} = NAME {name} = QTH {town} = HW? +"
        f" {theirs} DE {ours} K",
        f"R = TNX {name} = UR RST {rng.choice(REPORTS)} = NAME {rng.choice(NAMES)} = WX {sky} +"
        f" {ours} DE {theirs} K",
        f"{theirs} DE {ours} = TNX FER CALL = 73 ␄",
    )
    return _cut(overs, symbols, count)


def message(symbols: str, count: int, rng: np.random.Generator) -> str:
    """Formal messages with number, check of groups, address, text and signature, about `count` sounds.

    Raises ValueError naming the symbols that are still missing.
    """

    def one() -> str:
        text = str(rng.choice(MESSAGES))
        number, groups = int(rng.integers(1, 100)), len(text.split())
        to, town, sender = rng.choice(NAMES), rng.choice(TOWNS), rng.choice(NAMES)
        return f"NR {number} GR {groups} = {to} {town} = {text} = {sender} +"

    def known() -> str:
        drawn = [one() for _ in range(40)]
        able = [text for text in drawn if _made_of(text, set(symbols))]
        if not able:
            raise ValueError(_lacking(min(drawn, key=lambda text: len(set(text) - set(symbols))), symbols))
        return able[0]

    return _filled(known, count)


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
    """Draw texts until the next one would be too much."""
    if count < 1:
        raise ValueError(f"a text has at least one sound, not {count}")
    made = [draw()]
    while _sounds(" ".join([*made, more := draw()])) <= count:
        made.append(more)
    return " ".join(made)


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
