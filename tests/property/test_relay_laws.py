"""Laws of the tracks: whatever was written, every version stands in its row, and nothing else."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from copyroom.core.relay import (
    ABSENT,
    ADDED,
    CHANGED,
    KEPT,
    LOST,
    PASSED_ON,
    PUT_BACK,
    Links,
    attributed,
    passed_on,
    tracks,
)

SIGNS = "KMRSTA"
BLANK = "_"
Chain = tuple[str, tuple[str, ...], tuple[Links, ...]]


@st.composite
def links_to(draw: st.DrawFn, symbols: int, version: str) -> Links:
    """Any attribution without crossings."""
    free = list(range(symbols))
    some = draw(st.lists(st.sampled_from(free), unique=True, max_size=len(version))) if free else []
    marks = draw(st.permutations(range(len(version))))[: len(some)]
    by_mark = dict(zip(sorted(marks), sorted(some), strict=True))
    return tuple(by_mark.get(mark) for mark in range(len(version)))


@st.composite
def chains(draw: st.DrawFn) -> Chain:
    """A message, versions that need not have to do with it, and answers that need not make sense."""
    words = draw(st.lists(st.text(SIGNS, min_size=1, max_size=5), min_size=1, max_size=3))
    message, versions, links = " ".join(words), [], []
    symbols = len("".join(words))
    for _ in range(draw(st.integers(0, 5))):
        version = draw(st.text(SIGNS + BLANK, max_size=9))
        links.append(draw(links_to(symbols, version)))
        versions.append(version)
        symbols = len(version.replace(BLANK, ""))
    return message, tuple(versions), tuple(links)


def signs_of(text: str) -> str:
    return "".join(sign for sign in text if sign not in " _")


@settings(max_examples=150, deadline=None)
@given(chain=chains())
def test_every_version_stands_in_its_row_in_its_own_order(chain: Chain) -> None:
    message, versions, _ = chain
    found = tracks(*chain)
    assert signs_of(found.columns) == signs_of(message)
    assert [signs_of(row.signs) for row in found.rows] == [signs_of(version) for version in versions]
    assert all(len(row.signs) == len(row.kinds) == len(found.columns) for row in found.rows)


@settings(max_examples=150, deadline=None)
@given(chain=chains())
def test_there_are_no_more_columns_than_characters_sent_and_added(chain: Chain) -> None:
    message, versions, links = chain
    answering_nothing = sum(
        link is None and sign != BLANK
        for version, of in zip(versions, links, strict=True)
        for sign, link in zip(version, of, strict=True)
    )
    found = tracks(*chain)
    assert len(found.columns) <= len(signs_of(message)) + answering_nothing
    assert all(any(row.signs[k] not in " _" for row in found.rows) for k in places(found.columns, " "))


def places(text: str, sign: str) -> list[int]:
    return [k for k, other in enumerate(text) if other == sign]


@settings(max_examples=150, deadline=None)
@given(chain=chains())
def test_each_kind_says_what_stands_there_before_and_now(chain: Chain) -> None:
    """Written out once more, as a table: what the message has, what the row before has, what this one has."""
    found = tracks(*chain)
    for k, origin in enumerate(found.columns):
        before = signs_of(origin)
        for row in found.rows:
            now, due = signs_of(row.signs[k]), signs_of(origin)
            expected = {
                (True, True): KEPT if due else ABSENT,
                (False, True): PUT_BACK,
                (True, False): LOST if not now else CHANGED if due else ADDED,
                (False, False): PASSED_ON if now == before else CHANGED if now else LOST,
            }[before == due, now == due]
            assert row.kinds[k] == expected
            before = now
    assert [row.in_place for row in found.rows] == [
        sum(a == b != " " for a, b in zip(found.columns, row.signs, strict=True)) for row in found.rows
    ]


messages = st.lists(st.text(SIGNS, min_size=1, max_size=5), min_size=1, max_size=4).map(" ".join)


def copied(message: str, versions: list[str]) -> Chain:
    """A chain whose copies were aligned, each with what was sent of the one before."""
    sent, links = signs_of(message), []
    for version in versions:
        links.append(attributed(sent, None, version, None))
        sent = signs_of(version)
    return message, tuple(versions), tuple(links)


@settings(max_examples=20, deadline=None)
@given(message=messages, stations=st.integers(1, 5))
def test_a_perfect_chain_has_straight_threads(message: str, stations: int) -> None:
    plain = signs_of(message)
    chain = copied(message, [plain] * stations)
    found = tracks(*chain)
    assert found.columns == plain
    assert all(row.kinds == KEPT * len(plain) and row.in_place == len(plain) for row in found.rows)
    assert passed_on(message, plain, chain[2][0]) == message


@settings(max_examples=20, deadline=None)
@given(message=messages, at=st.integers(0, 19), station=st.integers(0, 3), mended=st.booleans())
def test_one_change_shows_where_it_happened_and_is_passed_on_until_it_is_put_back(
    message: str, at: int, station: int, mended: bool
) -> None:
    """The other sign is in no message, so that no neighbour can be taken for it."""
    plain = signs_of(message)
    at %= len(plain)
    changed = plain[:at] + "5" + plain[at + 1 :]
    straight = tuple(range(len(plain)))
    versions = [plain if k < station else changed for k in range(5)] + [plain if mended else changed]
    found = tracks(message, tuple(versions), (straight,) * 6)
    thread = "".join(row.kinds[at] for row in found.rows)
    last = PUT_BACK if mended else PASSED_ON
    assert thread == KEPT * station + CHANGED + PASSED_ON * (4 - station) + last
    others = {row.kinds[k] for row in found.rows for k in range(len(plain)) if k != at}
    assert others <= {KEPT}


@settings(max_examples=30, deadline=None)
@given(message=st.permutations(list(SIGNS)).map("".join), at=st.integers(0, 5), station=st.integers(0, 2))
def test_what_was_lost_and_is_put_back_goes_back_to_its_column(message: str, at: int, station: int) -> None:
    without = message[:at] + message[at + 1 :]
    versions = [message if k < station else without for k in range(4)] + [message]
    found = tracks(*copied(message, versions))
    assert found.columns == message
    assert "".join(row.kinds[at] for row in found.rows) == (
        KEPT * station + LOST + PASSED_ON * (3 - station) + PUT_BACK
    )
