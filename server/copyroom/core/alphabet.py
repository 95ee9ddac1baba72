"""The symbols of International Morse code: their sounds, names and place in every table.

Source: Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clauses 1.1.1 (letters), 1.1.2 (figures)
and 1.1.3 (punctuation and procedural signals), as quoted in public tables that agree with each other.

A symbol is one sound. Its identity is its element sequence; names are display. Everywhere in the
program a symbol is written as one *sign*, a single code point, so that a text and a copy are plain
strings of equal habits. A joined signal that shares its sound with a mark has that mark as its sign
(AR is ``+``, BT is ``=``, KN is ``(``). The five that share it with none take the Unicode control
picture whose meaning is nearest: end of transmission for SK, acknowledge for VE, and so on.
"""

from __future__ import annotations

from dataclasses import dataclass

BLANK = "_"
"""What a learner writes for a sound that was not caught. Never a symbol."""

WORD_SPACE = " "


@dataclass(frozen=True, slots=True)
class Symbol:
    """One sound of the code.

    sign : one code point, the symbol's key in texts, copies and tables.
    elements : string of "." and "-", the sound.
    name : what to call it, in words ("left bracket, KN").
    joined : letters sent as one sound without gaps ("SK"), shown with an overline; "" for none.
    kind : "letter", "figure", "punctuation" or "signal".
    added : not of the recommendation.
    """

    sign: str
    elements: str
    name: str
    joined: str
    kind: str
    added: bool = False


def _letters() -> list[Symbol]:
    code = (
        "A .- B -... C -.-. D -.. E . F ..-. G --. H .... I .. J .--- K -.- L .-.. M -- N -. "
        "O --- P .--. Q --.- R .-. S ... T - U ..- V ...- W .-- X -..- Y -.-- Z --.. É ..-.."
    ).split()
    names = {"K": "K, invitation to transmit", "X": "X, multiplication sign", "É": "accented E"}
    return [
        Symbol(sign, elements, names.get(sign, sign), "", "letter")
        for sign, elements in zip(code[::2], code[1::2], strict=True)
    ]


def _figures() -> list[Symbol]:
    """0 to 9: n dots then dashes up to five, n dashes then dots from six on."""
    return [
        Symbol(
            str(n),
            "." * n + "-" * (5 - n) if n <= 5 else "-" * (n - 5) + "." * (10 - n),
            str(n),
            "",
            "figure",
        )
        for n in range(10)
    ]


_MARKS = [
    Symbol(".", ".-.-.-", "full stop", "", "punctuation"),
    Symbol(",", "--..--", "comma", "", "punctuation"),
    Symbol(":", "---...", "colon, division sign", "", "punctuation"),
    Symbol("?", "..--..", "question mark", "", "punctuation"),
    Symbol("'", ".----.", "apostrophe, minute sign", "", "punctuation"),
    Symbol("-", "-....-", "hyphen, dash, minus", "", "punctuation"),
    Symbol("/", "-..-.", "fraction bar", "", "punctuation"),
    Symbol("(", "-.--.", "left bracket", "KN", "punctuation"),
    Symbol(")", "-.--.-", "right bracket", "", "punctuation"),
    Symbol('"', ".-..-.", "inverted commas", "", "punctuation"),
    Symbol("=", "-...-", "double hyphen", "BT", "punctuation"),
    Symbol("+", ".-.-.", "cross, plus, end of message", "AR", "punctuation"),
    Symbol("@", ".--.-.", "commercial at", "", "punctuation"),
    Symbol("␆", "...-.", "understood", "VE", "signal"),
    Symbol("␘", "........", "error", "HH", "signal"),
    Symbol("␖", ".-...", "wait", "AS", "signal"),
    Symbol("␄", "...-.-", "end of work", "SK", "signal"),
    Symbol("␁", "-.-.-", "starting signal", "KA", "signal"),
]

RECOMMENDED: tuple[Symbol, ...] = tuple(_letters() + _figures() + _MARKS)
"""The symbols of the recommendation, in its order."""

ADDITIONS: tuple[Symbol, ...] = (
    Symbol("Ä", ".-.-", "A with two dots, also AE", "", "letter", added=True),
    Symbol("Å", ".--.-", "A with a ring, also A with an accent", "", "letter", added=True),
    Symbol("Ñ", "--.--", "N with a tilde", "", "letter", added=True),
    Symbol("Ö", "---.", "O with two dots, also O with a bar", "", "letter", added=True),
    Symbol("Ü", "..--", "U with two dots", "", "letter", added=True),
    Symbol("␛", "-...-.-", "break", "BK", "signal", added=True),
    Symbol("␇", "...---...", "distress", "SOS", "signal", added=True),
)
"""What a class may have besides, when it asks for it. Outside the recommendation, which has É alone of all
accented letters. The letters are those on which public text tables of national letters agree (second-hand;
CH, ----, is left out: it is sent as two letters, too). BK and SOS without gaps are common practice; the
distress signal has its own rules, Radio Regulations, Article 32 (from memory), and is never sent for practice
on the air."""

SYMBOLS: tuple[Symbol, ...] = RECOMMENDED + ADDITIONS
"""All symbols: the index of every table. The additions stand last, so that every other place stays."""

INDEX: dict[str, int] = {symbol.sign: i for i, symbol in enumerate(SYMBOLS)}
"""sign -> row in every table."""

BY_ELEMENTS: dict[str, Symbol] = {symbol.elements: symbol for symbol in SYMBOLS}
"""element sequence -> symbol."""

JOINED: dict[str, Symbol] = {symbol.joined: symbol for symbol in SYMBOLS if symbol.joined} | {
    # The recommendation and the trade use two letter pairs for some of the sounds.
    "SN": BY_ELEMENTS["...-."],
    "VA": BY_ELEMENTS["...-.-"],
    "CT": BY_ELEMENTS["-.-.-"],
}
"""joined letters -> symbol, with the second names in use."""


def symbol(sign: str) -> Symbol:
    """The symbol of a sign.

    Raises ValueError, naming the sign, when the recommendation has no such symbol.
    """
    try:
        return SYMBOLS[INDEX[sign]]
    except KeyError:
        raise ValueError(f"{sign!r} is not a symbol of the code") from None


def by_table_order(signs: str) -> str:
    """The distinct signs of a string, in table order (letters alphabetical, figures, marks)."""
    return "".join(sorted(set(signs) & INDEX.keys(), key=INDEX.__getitem__))
