"""A text: the signs to be sent, groups separated by one space.

`normalise` turns what somebody typed or pasted into a text. It maps only what the code can carry
without changing the meaning; everything else is an error that says what may be sent instead, because
a sign dropped in silence is a sign that thirty learners look for in vain.

Source of the rules for signs without a signal of their own: Recommendation ITU-R M.1677-1 (10/2009),
Annex 1, clauses 3 and 4, as quoted in public text tables.
"""

# ruff: noqa: RUF001 - the look-alikes of plain signs are what this module is about

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from copyroom.core.alphabet import BY_ELEMENTS, INDEX, JOINED, RECOMMENDED, SYMBOLS, WORD_SPACE, symbol

OVERLINE = "\u0305"
_LINE_TO_NEXT = "\u035e"
"""Combining double macron: written once, it stands over two letters."""
_LINES_ABOVE = {OVERLINE, "\u0304", _LINE_TO_NEXT}
"""With the combining macron that many keyboards offer in place of the overline."""

_SAME_SIGN = {
    **dict.fromkeys("‐‑‒–—―−﹘﹣", "-"),
    **dict.fromkeys("‘’‚‛′ʹʼ`´", "'"),
    **dict.fromkeys("“”„‟«»‹›〝〞", '"'),
    **dict.fromkeys("×✕⨯", "X"),  # clause 3.2.1
    **dict.fromkeys("⁄∕", "/"),
    **dict.fromkeys("÷∶", ":"),
    "″": "''",  # clause 3.5.1: the signal of the inverted commas must not stand for seconds
    "‴": "'''",
    "…": "...",
}
_PER = {"%": "0/0", "‰": "0/00"}  # clause 3.3.1
_FRACTIONS = {sign: unicodedata.normalize("NFKC", sign).replace("⁄", "/") for sign in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"}

_INSTEAD = {
    **{"Ä": "AE or A", "Ö": "OE or O", "Ü": "UE or U", "Å": "AA or A", "Æ": "AE", "Ø": "OE or O"},
    **{"Œ": "OE", "ß": "SS", "ẞ": "SS", "Þ": "TH", "Ð": "D", "Đ": "D", "Ł": "L", "Ħ": "H"},
    **{"&": "AND", "!": "a full stop", ";": "a comma", "_": "a hyphen", "#": "NR", "*": "X", "\\": "/"},
    **{"$": "USD or DOLLARS", "€": "EUR or EUROS", "£": "GBP or POUNDS", "¥": "JPY or YEN", "§": "SECTION"},
    **dict.fromkeys("[{", "a round bracket ("),
    **dict.fromkeys("]}", "a round bracket )"),
    **{"<": "the words LESS THAN", ">": "the words MORE THAN", "~": "the word ABOUT", "^": "words"},
    **{"|": "a fraction bar /", "°": "DEG", "±": "PLUS OR MINUS"},
    **{"¿": "only the closing ?", "¡": "a full stop at the end"},
}
"""What an instructor may send for a sign that the recommendation leaves out (common practice)."""

MOST_NAMED = 20
"""Of one kind; a text in another script holds hundreds."""

_MARKS = " ".join(mark.sign for mark in RECOMMENDED if mark.kind == "punctuation")


class TextError(ValueError):
    """Something that cannot be sent.

    position : index into the raw text, from 0.
    character : the character found there, with its combining marks; "" when the text is empty.
    """

    def __init__(self, message: str, position: int, character: str) -> None:
        super().__init__(message)
        self.position = position
        self.character = character


def normalise(raw: str, *, additions: bool = False) -> str:
    """Turn what was typed into a text.

    Letters are folded to capitals and typographic variants to the signs of the code; letters with a
    line above each (U+0305) become one joined symbol; per cent, fractions and mixed numbers follow
    clauses 3.3 and 4.3 there; any white space is one space.

    A fraction written with a bar keeps its space ("1 3/4"): only a fraction in one sign ("1¾") is
    certain to belong to the number before it, and groups such as "12345 3/4" must stay as they are.

    additions : whether the signs outside the recommendation (`alphabet.ADDITIONS`) may be sent, too.

    Returns
    -------
    str
        Signs of `alphabet`, groups separated by one space. Normalising it again changes nothing.

    Raises
    ------
    TextError
        Names all that cannot be sent, at the place of the first; or when nothing is left to send.
    """
    read = list(_signs(raw, frozenset(one.sign for one in (SYMBOLS if additions else RECOMMENDED))))
    if faults := [part for part in read if isinstance(part, _Fault)]:
        raise TextError(_refusal(faults), faults[0].position, faults[0].character)
    text = WORD_SPACE.join(_numbers("".join(part for part in read if isinstance(part, str))).split())
    if not text:
        raise TextError("There is nothing to send: write at least one character.", 0, "")
    return text


def display(text: str) -> str:
    """A text as people read it: a joined signal without a mark of its own as letters under a line.

    `normalise` takes it back to the same text.
    """
    return "".join(_display_sign(sign) for sign in text)


def _display_sign(sign: str) -> str:
    if sign not in INDEX or symbol(sign).kind != "signal":
        return sign
    return "".join(letter + OVERLINE for letter in symbol(sign).joined)


@dataclass(frozen=True, slots=True)
class _Cluster:
    """A character composed with its marks, and whether a line runs above it."""

    character: str
    position: int
    lined: bool


@dataclass(frozen=True, slots=True)
class _Fault:
    """Something that cannot be sent: as it is named, and what may be sent instead."""

    position: int
    character: str
    named: str
    instead: str


def _clusters(raw: str) -> Iterator[_Cluster]:
    position = 0
    line_from_before = False
    while position < len(raw):
        end = position + 1
        while end < len(raw) and unicodedata.combining(raw[end]):
            end += 1
        written = raw[position:end]
        composed = unicodedata.normalize("NFC", "".join(c for c in written if c not in _LINES_ABOVE))
        lined = line_from_before or not _LINES_ABOVE.isdisjoint(written)
        line_from_before = _LINE_TO_NEXT in written
        if composed and not _invisible(composed):
            first = position + len(written) - len(written.lstrip("".join(_LINES_ABOVE)))
            yield _Cluster(composed, first, lined)
        position = end


def _invisible(character: str) -> bool:
    """Soft hyphens, zero-width and direction marks, variation selectors: pasted, never meant."""
    return unicodedata.category(character[0]) == "Cf" or "\ufe00" <= character[0] <= "\ufe0f"


def _signs(raw: str, able: AbstractSet[str]) -> Iterator[str | _Fault]:
    """The signs of a raw text, with white space, per cent and fraction signs still as they were."""
    line: list[_Cluster] = []
    for cluster in _clusters(raw):
        if cluster.lined:
            line.append(cluster)
            continue
        yield _joined_symbols(line, able)
        line = []
        yield _plain(cluster, able)
    yield _joined_symbols(line, able)


def _joined_symbols(line: list[_Cluster], able: AbstractSet[str]) -> str | _Fault:
    """The symbols of letters that one line runs above: one sound, or pairs ("SKSK" is SK twice)."""
    if not line:
        return ""
    letters = "".join(cluster.character.upper() for cluster in line)
    if len(line) > 1 and letters.isascii() and letters.isalpha():
        sound = "".join(symbol(letter).elements for letter in letters)
        if sound in BY_ELEMENTS and BY_ELEMENTS[sound].sign in able:
            return BY_ELEMENTS[sound].sign
        pairs = [letters[i : i + 2] for i in range(0, len(letters), 2)]
        if all(pair in JOINED and JOINED[pair].sign in able for pair in pairs):
            return "".join(JOINED[pair].sign for pair in pairs)
    return _Fault(line[0].position, line[0].character, f"{letters} under one line", "it without the line")


def _plain(cluster: _Cluster, able: AbstractSet[str]) -> str | _Fault:
    character = cluster.character
    if character.isspace():
        return WORD_SPACE
    # Full-width signs, ligatures and letters in fancy dress; not superscripts: 10² is not 102.
    if unicodedata.decomposition(character[0]).startswith(("<wide>", "<narrow>", "<compat>", "<font>")):
        character = unicodedata.normalize("NFKC", character)
    signs = "".join(_SAME_SIGN.get(part, _capital(part)) for part in character)
    if all(sign in able or sign in _PER or sign in _FRACTIONS for sign in signs):
        return signs
    named = cluster.character if cluster.character.isprintable() else f"U+{ord(cluster.character[0]):04X}"
    return _Fault(cluster.position, cluster.character, named, _instead(cluster.character))


def _capital(character: str) -> str:
    capital = character.upper()
    return capital if len(capital) == 1 else character


def _numbers(signs: str) -> str:
    """Write out fractions and per cent, joined to the number before them by one hyphen.

    Without the hyphen 1¾ would be heard as 13/4, and 2% as 20/0 (clauses 3.3.2 and 4.3). The space
    some write before the per cent sign goes; a figure that follows either starts a new group.
    """
    fractions, per = "".join(_FRACTIONS), "".join(_PER)
    signs = re.sub(rf"(?<=[{fractions}{per}])(?=[0-9{fractions}])", " ", signs)
    signs = re.sub(rf"(?<=[0-9])(?=[{fractions}])", "-", signs)
    signs = re.sub(rf"(?<=[0-9{fractions}]) *(?=[{per}])", "-", signs)
    return "".join(_PER.get(sign, _FRACTIONS.get(sign, sign)) for sign in signs)


def _refusal(faults: Sequence[_Fault]) -> str:
    """What cannot be sent, and what to send instead: one sentence for all that have the same way out."""
    named_by_instead: dict[str, list[str]] = {}
    for fault in faults:
        named_by_instead.setdefault(fault.instead, []).append(fault.named)
    return " ".join(
        f"{_listed(list(dict.fromkeys(named)))} no signal in the code: send {instead}."
        for instead, named in named_by_instead.items()
    )


def _listed(named: list[str]) -> str:
    more = len(named) - MOST_NAMED
    listed = " ".join(named[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
    return f"{listed} {'has' if len(named) == 1 else 'have'}"


def _instead(character: str) -> str:
    """What may be sent instead of a character without a signal."""
    base = unicodedata.normalize("NFD", character)[0].upper()
    instead = _INSTEAD.get(_capital(character))
    if instead is None and unicodedata.decimal(character[0], None) is not None:
        instead = str(unicodedata.decimal(character[0]))
    if instead is None and len(base) == 1 and base in INDEX and not symbol(base).added:
        instead = base
    return instead or f"words; the code has A to Z, É, 0 to 9 and {_MARKS}"
