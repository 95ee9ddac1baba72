"""One copy as a fold over its numbered strokes."""

from __future__ import annotations

import pytest

from copyroom.core.bursts import Speed
from copyroom.room.copies import MAX_MARKS, Copy
from copyroom.room.effects import Refused
from copyroom.room.events import Key
from copyroom.room.run import Run

PUSH = Run(1, "own", "ET", "ETETE", Speed(20.0, 20.0), 600.0, 0.0, 30_000.0, False, True)
TIDY_MS = PUSH.last_end_ms + 5_000.0


def keys(signs: str, at_ms: float = 100.0) -> tuple[Key, ...]:
    return tuple(Key(at_ms + 100.0 * k, sign) for k, sign in enumerate(signs))


def a_copy(way: str = "typing", signs: str = "") -> Copy:
    copy = Copy(way, bytearray(len(PUSH.sent)))
    if signs:
        assert copy.write(PUSH, 0, keys(signs)) == ""
    return copy


@pytest.mark.parametrize(
    ("batches", "written"),
    [
        ([(0, "ETE")], "ETE"),
        ([(0, "ET"), (2, "E")], "ETE"),
        ([(0, "ET"), (0, "ET")], "ET"),  # sent again
        ([(0, "ET"), (0, "ETE")], "ETE"),  # sent again with more
        ([(0, "ET"), (1, "TE")], "ETE"),  # overlapping
        ([(0, "ETE"), (0, "E")], "ETE"),  # an old one, late
        ([(0, "ETE"), (1, "T"), (2, "E"), (0, "ETE"), (3, "T")], "ETET"),
        ([(0, "E_E")], "E_E"),
    ],
)
def test_known_strokes_change_nothing(batches: list[tuple[int, str]], written: str) -> None:
    copy = a_copy()
    for first, signs in batches:
        copy.write(PUSH, first, keys(signs))
    assert (copy.written, copy.strokes) == (written, len(written))


def test_a_gap_is_refused_and_says_where_to_begin() -> None:
    copy = a_copy(signs="ET")
    with pytest.raises(Refused, match=r"Strokes 2 to 3 have not come yet\."):
        copy.write(PUSH, 4, keys("E"))
    assert (copy.written, copy.strokes) == ("ET", 2)


@pytest.mark.parametrize(
    ("key", "written"),
    [
        (Key(TIDY_MS, "T", change=0), "TTE"),
        (Key(TIDY_MS, "_", change=2), "ET_"),
        (Key(TIDY_MS, "T", before=0), "TETE"),
        (Key(TIDY_MS, "T", before=2), "ETTE"),
        (Key(TIDY_MS, erase=1), "EE"),
        (Key(TIDY_MS, "T"), "ETET"),
    ],
)
def test_tidying_up_changes_what_it_names(key: Key, written: str) -> None:
    copy = a_copy(signs="ETE")
    assert copy.write(PUSH, 3, (key,)) == ""
    assert (copy.written, copy.strokes) == (written, 4)


@pytest.mark.parametrize("key", [Key(500.0, "T", change=0), Key(500.0, "T", before=0), Key(500.0, erase=0)])
def test_no_going_back_while_the_sound_runs(key: Key) -> None:
    copy = a_copy(signs="ETE")
    assert "no going back" in copy.write(PUSH, 3, (key,))
    assert (copy.written, copy.strokes, copy.edited) == ("ETE", 4, False)


@pytest.mark.parametrize(
    "key", [Key(TIDY_MS, "T", change=3), Key(TIDY_MS, "T", before=3), Key(TIDY_MS, erase=3)]
)
def test_an_edit_of_a_mark_that_is_not_there_is_left_out(key: Key) -> None:
    copy = a_copy(signs="ETE")
    assert copy.write(PUSH, 3, (key,)) == "There is no mark at that place."
    assert (copy.written, copy.edited) == ("ETE", False)


def test_a_stroke_left_out_does_not_hold_up_the_next_ones() -> None:
    copy = a_copy()
    batch = (Key(100.0, "E"), Key(150.0, erase=0), Key(1e7, "T"), Key(200.0, "T"))
    assert copy.write(PUSH, 0, batch) != ""
    assert (copy.written, copy.strokes) == ("ET", 4)


def test_a_sheet_is_keyed_in_whenever_it_suits_and_has_no_times() -> None:
    copy = a_copy("paper")
    assert copy.write(PUSH, 0, (*keys("ETE", 1e7), Key(1.0, "_", change=1), Key(2.0, erase=0))) == ""
    assert copy.written == "_E"
    assert [mark.at_ms for mark in copy.marks] == [None, None]


def test_a_mark_put_in_later_has_no_time_and_a_changed_one_keeps_its_own() -> None:
    copy = a_copy(signs="ETE")
    copy.write(PUSH, 3, (Key(TIDY_MS, "T", before=1), Key(TIDY_MS, "T", change=0)))
    assert [(mark.sign, mark.at_ms) for mark in copy.marks] == [
        ("T", 100.0),
        ("T", None),
        ("T", 200.0),
        ("E", 300.0),
    ]


def test_a_copy_has_an_end() -> None:
    copy = a_copy("paper")
    assert copy.write(PUSH, 0, keys("E" * MAX_MARKS)) == ""
    assert copy.write(PUSH, MAX_MARKS, keys("T")) == "This copy is full."
    assert copy.write(PUSH, MAX_MARKS + 1, (Key(0.0, "T", before=0),)) == "This copy is full."
    assert copy.written == "E" * MAX_MARKS


@pytest.mark.parametrize(
    ("spans", "heard"),
    [
        (((0, 2),), "11000"),
        (((0, 2), (1, 4)), "11110"),
        (((3, 1000),), "00011"),
        (((2, 2), (4, 3), (7, 9)), "00000"),
    ],
)
def test_only_reported_symbols_of_the_push_are_heard(spans: tuple[tuple[int, int], ...], heard: str) -> None:
    copy = a_copy()
    copy.hear(spans)
    assert "".join(map(str, copy.heard)) == heard
    copy.hear(spans)
    assert "".join(map(str, copy.heard)) == heard
