"""Procedure: every form of a question, from the publications named beside it, or as common practice.

The table stands in tests/data/procedure.json: the browser's tests read the same rows.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from copyroom.core.procedure import (
    WORDS,
    Part,
    Question,
    answer_text,
    differing,
    first_gap,
    held_against,
    question_text,
    read_answer,
    read_question,
    said,
    smallest,
)

TABLE = json.loads((Path(__file__).parent.parent / "data" / "procedure.json").read_text("utf-8"))
PARTS = [Part(part["call"], part["groups"]) for part in TABLE["parts"]]
HUT = PARTS[2]
CALLS = [part.call for part in PARTS]
GIVEN = "1 asked, {} given: exactly what was asked, nothing more."


@pytest.mark.parametrize("row", TABLE["rows"], ids=lambda row: f"{row['text']} ({row['source']})")
def test_a_question_asks_for_what_its_source_says(row: dict[str, Any]) -> None:
    read = read_question(row["text"], TABLE["own"], PARTS)
    found = {
        "to": read.to,
        "form": read.form,
        "groups": list(read.groups),
        "said": said(read),
        "fault": read.fault,
    }
    assert found == {name: row[name] for name in found}


@pytest.mark.parametrize("text", ["? WA HUT K", "B7RM DE K2KF ? WA HUT K"])
def test_where_only_two_work_each_other_calls_may_be_left_out(text: str) -> None:
    """Common practice."""
    read = read_question(text, [0], [Part("K2KF", ["NEED"]), HUT])
    assert (read.to, read.groups, read.fault) == (1, (1,), "")


def test_a_group_may_be_named_as_it_was_copied() -> None:
    heard = [[], [], ["HUM", "", "SEVEN", ""]]
    assert read_question("B7RM DE K2KF ? WA HUM K", [1], PARTS, heard).groups == (1,)
    assert read_question("B7RM DE K2KF ? WA HUM K", [1], PARTS).fault == "There is no group HUM in that part."


# ------------------------------------------------------------------ the smallest question


@pytest.mark.parametrize(
    ("have", "wanted", "form"),
    [
        (["HUT", "", "SEVEN", "TENTS"], {1}, ("WA", "HUT")),
        (["", "RIVER", "SEVEN", "TENTS"], {0}, ("WB", "RIVER")),
        (["HUT", "RIVER", "SEVEN", ""], {3}, ("WA", "SEVEN")),
        (["HUT", "", "", ""], {1, 2, 3}, ("AA", "HUT")),
        (["", "", "", "TENTS"], {0, 1, 2}, ("AB", "TENTS")),
        (["HUT", "", "", "TENTS"], {1, 2}, ("BN", "HUT", "TENTS")),
        (["", "", "", ""], {0, 1, 2, 3}, ("",)),
        (["HUT", "", "SEVEN", ""], {1, 3}, ("AA", "HUT")),
    ],
)
def test_the_smallest_question_for_each_gap(have: list[str], wanted: set[int], form: tuple[str, ...]) -> None:
    best = smallest(have, wanted)
    assert (best.form, *best.named) == form
    read = read_question(question_text("B7RM", "K2KF", best), [1], PARTS)
    assert (read.groups, read.fault) == (best.groups, "")
    assert wanted <= set(read.groups)


def test_a_gap_ends_with_the_first_group_that_is_there() -> None:
    assert first_gap({5, 2, 3}) == (2, 3)
    assert first_gap(()) == ()


# ------------------------------------------------------------------ held against what is missing


@pytest.mark.parametrize(
    ("text", "missing", "fault", "right"),
    [
        ("B7RM DE K2KF ? BN HUT TENTS K", {1, 2}, "", ""),
        (
            "B7RM DE K2KF ? AA HUT K",
            {1, 2},
            "Asks for 3, 2 missing: a shorter question will do.",
            "B7RM DE K2KF ? BN HUT TENTS K",
        ),
        ("B7RM DE K2KF ? WA SEVEN K", {1}, "You have all of that already.", "B7RM DE K2KF ? WA HUT K"),
        ("B7RM DE K2KF ? WA HUT K", set(), "You have all of that already.", ""),
        ("B7RM DE K2KF ? AB BT K", {1}, "", ""),
        (
            "B7RM DE K2KF AGN NR 2 K",
            {1},
            "After ? comes AA, AB, BN, WA or WB, or K for all of it.",
            "B7RM DE K2KF ? WA HUT K",
        ),
    ],
)
def test_beside_a_wrong_form_stands_the_right_one(
    text: str, missing: set[int], fault: str, right: str
) -> None:
    have = Part("B7RM", ["" if i in missing else group for i, group in enumerate(HUT.groups)])
    assert held_against(read_question(text, [1], PARTS), "K2KF", have, missing) == (fault, right)


def test_only_the_differing_word_is_marked() -> None:
    assert differing("? AA NEED", "? BN NEED ROPE") == ((1,), (1, 3))
    assert differing("? WA HUT", "? WA HUT") == ((), ())


# ------------------------------------------------------------------ the answer


def asked(text: str) -> Question:
    return read_question(text, [1], PARTS)


@pytest.mark.parametrize(
    ("question", "answer"),
    [
        ("B7RM DE K2KF ? WA HUT K", "K2KF DE B7RM WA HUT RIVER K"),
        ("B7RM DE K2KF ? BN HUT TENTS K", "K2KF DE B7RM BN HUT TENTS RIVER SEVEN K"),
        ("B7RM DE K2KF ? K", "K2KF DE B7RM HUT RIVER SEVEN TENTS K"),
        ("B7RM DE K2KF ? AB BT K", "K2KF DE B7RM AB BT GR 4 K"),
    ],
)
def test_the_answer_is_the_same_identifier_then_the_words(question: str, answer: str) -> None:
    """ACP 124(D), as quoted in NAVEDTRA 14244; GR before the text gives the number of groups: there, too."""
    read = asked(question)
    assert answer_text("K2KF", "B7RM", read, HUT.groups) == answer
    found = read_answer(answer, read, CALLS, HUT.groups)
    assert (found.groups, found.extra, found.lacking, found.fault) == (read.groups, 0, (), "")
    assert found.strange == ()


@pytest.mark.parametrize(
    ("answer", "groups", "extra", "lacking", "fault"),
    [
        (
            "K2KF DE B7RM WA HUT RIVER SEVEN K",
            (1, 2),
            1,
            (),
            GIVEN.format(2),
        ),
        (
            "K2KF DE B7RM WA HUT SEVEN K",
            (2,),
            1,
            (1,),
            GIVEN.format(1),
        ),
        ("K2KF DE B7RM WA HUT K", (), 0, (1,), GIVEN.format(0)),
        ("K2KF DE B7RM RIVER K", (1,), 0, (), "The answer begins with the same words: WA HUT."),
        ("WA HUT RIVVER", (), 0, (1,), "There is no group RIVVER in the part."),
    ],
)
def test_more_or_fewer_groups_than_asked_are_counted(
    answer: str, groups: tuple[int, ...], extra: int, lacking: tuple[int, ...], fault: str
) -> None:
    found = read_answer(answer, asked("B7RM DE K2KF ? WA HUT K"), CALLS, HUT.groups)
    assert (found.groups, found.extra, found.lacking, found.fault) == (groups, extra, lacking, fault)


def test_no_word_of_the_procedure_is_a_group() -> None:
    assert {"AA", "AB", "BN", "WA", "WB", "DE", "K", "R", "BT", "GR", "RPT"} <= WORDS
