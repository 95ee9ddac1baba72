"""A message that went from hand to hand: where each character was lost, changed, added or put back.

Each station copies what the one before sent. `attributed` says which sent symbol each of its marks answers,
by the alignment that every copy here is held against. These answers, composed along the chain, lay all
versions over each other: one column a character, from the message to the last station. Only a mark that
answers nothing opens a column of its own, unless it is just what was lost in that place before: then it was
put back, heard in the gap or guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from copyroom.core import alignment
from copyroom.core.alphabet import BLANK, WORD_SPACE

NOTHING = WORD_SPACE
"""In a column: no sign here."""
KEPT, CHANGED, LOST, ADDED, PASSED_ON, PUT_BACK, ABSENT = "=", "c", "l", "a", "p", "b", " "
"""What became of a column at one station. PASSED_ON: as it came, though that is not the message's any more.
ABSENT: nothing came in this column and nothing was written, as it should be."""

Links = tuple[int | None, ...]
"""Per mark of a version, blanks too: the sent symbol that it answers, None for one that answers nothing."""


@dataclass(frozen=True, slots=True)
class Row:
    """What one station passed on.

    signs : per column, NOTHING or a blank where there is none. kinds : per column, what became of it.
    in_place : how many characters of the message stand where they were.
    """

    signs: str
    kinds: str
    in_place: int


@dataclass(frozen=True, slots=True)
class Tracks:
    """All versions laid over each other.

    columns : the message's sign per column, NOTHING for what was added on the way. rows : one a version.
    words : the columns with which a word of the message begins, but the first.
    """

    columns: str
    rows: tuple[Row, ...]
    words: tuple[int, ...]


@dataclass(eq=False, slots=True)
class _Column:
    origin: str
    cells: list[str] = field(default_factory=list)


@lru_cache(maxsize=512)
def attributed(
    sent: str, end_s: tuple[float, ...] | None, written: str, at_s: tuple[float | None, ...] | None
) -> Links:
    """Which sent symbol each mark answers, without crossings.

    Parameters as of `alignment.align`, but spaces are not allowed. Times that cannot be of these sounds
    are passed over.
    """
    if not written or not sent:
        return (None,) * len(written)
    try:
        return tuple(alignment.align(sent, end_s, written, at_s).attribution)
    except alignment.CopyRefused:
        return tuple(alignment.align(sent, None, written, None).attribution)


def passed_on(text: str, written: str, links: Links) -> str:
    """What the machine sends next: the copy, with the word gaps of what was sent to its writer.

    A blank is sent as a pause, which is a word gap: an operator sends what was copied, and no more (common
    practice). "" where there is nothing to send.

    text : what was sent, with its word gaps. links : per mark of `written` its symbol in `text`.
    """
    word_of = [number for number, word in enumerate(text.split(WORD_SPACE)) for _ in word]
    found, word = "", 0
    for sign, link in zip(written, links, strict=True):
        before, word = word, word_of[link] if link is not None else word
        found += WORD_SPACE if sign == BLANK else (WORD_SPACE if word != before else "") + sign
    return WORD_SPACE.join(found.split())


@lru_cache(maxsize=256)
def tracks(message: str, versions: tuple[str, ...], links: tuple[Links, ...]) -> Tracks:
    """Lay the versions of a message over each other.

    Parameters
    ----------
    message : as it was sent, with its word gaps.
    versions : what each station had, in the chain's order; signs and blanks.
    links : per version and mark the symbol of the row before that it answers, counted without its blanks
        (they were not sent); ascending.

    Raises
    ------
    ValueError
        Where links cross, or answer what was not sent.
    """
    columns = [_Column(sign, [sign]) for sign in message if sign != WORD_SPACE]
    firsts = _word_beginnings(message, columns)
    sent = list(columns)
    for version, of in zip(versions, links, strict=True):
        sent = _laid(columns, sent, version, of)
    rows = tuple(_row(columns, k) for k in range(1, len(versions) + 1))
    words = tuple(place for place, column in enumerate(columns) if column in firsts)
    return Tracks("".join(column.origin for column in columns), rows, words)


def _word_beginnings(message: str, columns: Sequence[_Column]) -> list[_Column]:
    lengths = [len(word) for word in message.split(WORD_SPACE)]
    return [columns[sum(lengths[:k])] for k in range(1, len(lengths))]


def _laid(columns: list[_Column], sent: list[_Column], version: str, of: Links) -> list[_Column]:
    """Give each mark of the next version its column; the columns of what it sends on."""
    for column in columns:
        column.cells.append(NOTHING)
    row = len(columns[0].cells) - 1 if columns else 0
    sends: list[_Column] = []
    at = 0
    for mark, (sign, link) in enumerate(zip(version, of, strict=True)):
        if link is not None:
            column = sent[link]
            if column not in columns[at:]:
                raise ValueError(f"mark {mark} answers a symbol before that of an earlier mark: {of}")
        elif sign == BLANK:
            continue  # nothing was sent, and nothing is claimed
        else:
            following = next((sent[later] for later in of[mark:] if later is not None), None)
            end = columns.index(following) if following else len(columns)
            column = _lost_before(columns[at:end], sign, row) or _added(columns, at, row)
        column.cells[row] = sign
        at = columns.index(column) + 1
        if sign != BLANK:
            sends.append(column)
    return sends


def _lost_before(stretch: Sequence[_Column], sign: str, row: int) -> _Column | None:
    """The first of these columns that had this sign in the message, and nothing any more."""
    return next((c for c in stretch if c.origin == sign and not _is_there(c.cells[row - 1])), None)


def _added(columns: list[_Column], at: int, row: int) -> _Column:
    column = _Column(NOTHING, [NOTHING] * (row + 1))
    columns.insert(at, column)
    return column


def _row(columns: Sequence[_Column], row: int) -> Row:
    kinds = "".join(_kind(column.origin, *column.cells[row - 1 : row + 1]) for column in columns)
    signs = "".join(column.cells[row] for column in columns)
    in_place = sum(c.cells[row] == c.origin != NOTHING for c in columns)
    return Row(signs, kinds, in_place)


def _kind(origin: str, before: str, now: str) -> str:
    """What became of a column from one station to the next. A blank is no sign."""
    origin, before, now = (sign if _is_there(sign) else "" for sign in (origin, before, now))
    if now == origin:
        if before == origin:
            return KEPT if origin else ABSENT
        return PUT_BACK
    if now == before:
        return PASSED_ON
    if not now:
        return LOST
    return CHANGED if origin or before else ADDED


def _is_there(sign: str) -> bool:
    return sign not in (NOTHING, BLANK)
