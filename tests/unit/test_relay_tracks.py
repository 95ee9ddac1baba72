"""A message from hand to hand: small chains whose tracks can be told by eye. All messages are invented."""

from __future__ import annotations

import pytest

from copyroom.core.relay import Row, Tracks, attributed, passed_on, tracks


def laid(message: str, *versions: str) -> Tracks:
    """The tracks of versions that are aligned by their signs alone."""
    before, links = message.replace(" ", ""), []
    for version in versions:
        links.append(attributed(before, None, version, None))
        before = version.replace("_", "")
    return tracks(message, versions, tuple(links))


def test_the_path_of_a_message_is_told_character_by_character() -> None:
    """What the table is for: a figure changed, one letter lost and put back, one left lost."""
    found = laid(
        "MILL 7 PM ROPE",
        "MILL7PMROPE",
        "MILLBPMROPE",  # 7 came out as B
        "MILBPMROPE",  # an L is lost
        "MILLBPMRPE",  # it is put back; an O is lost
        "MILLBPMRPW",
    )
    assert found.columns == "MILL7PMROPE"
    assert found.words == (4, 5, 7)
    assert [row.kinds for row in found.rows] == [
        "===========",
        "====c======",
        "===lp======",
        "===bp===l==",
        "====p===p=c",
    ]
    assert [row.signs for row in found.rows] == [
        "MILL7PMROPE",
        "MILLBPMROPE",
        "MIL BPMROPE",
        "MILLBPMR PE",
        "MILLBPMR PW",
    ]
    assert [row.in_place for row in found.rows] == [11, 10, 9, 9, 8]


def test_what_was_added_has_a_column_of_its_own_until_it_is_left_out() -> None:
    found = laid("KMR", "KMXR", "KMXR", "KMR")
    assert found.columns == "KM R"
    assert [row.kinds for row in found.rows] == ["==a=", "==p=", "==b="]
    assert [row.signs[2] for row in found.rows] == ["X", "X", " "]


def test_a_blank_is_lost_where_it_stands_and_stays_to_be_seen() -> None:
    found = laid("KMRS", "K_RS", "KRS", "KMRS")
    assert found.rows == (Row("K_RS", "=l==", 3), Row("K RS", "=p==", 3), Row("KMRS", "=b==", 4))


def test_a_blank_for_nothing_is_no_character() -> None:
    assert tracks("KM", ("KM_",), ((0, 1, None),)).rows[0].signs == "KM"


def test_changed_twice_is_changed_at_both_stations() -> None:
    assert [row.kinds[0] for row in laid("KMR", "AMR", "TMR", "KMR").rows] == ["c", "c", "b"]


def test_a_version_with_nothing_has_lost_all() -> None:
    assert laid("KM", "").rows == (Row("  ", "ll", 0),)


def test_times_decide_which_of_two_equal_letters_was_lost() -> None:
    end_s = (1.0, 3.0, 5.0, 7.0)
    assert attributed("KLLM", end_s, "KLM", (2.0, 6.0, 8.0)) == (0, 2, 3)
    assert attributed("KLLM", end_s, "KLM", (2.0, 4.0, 8.0)) == (0, 1, 3)


def test_times_of_another_text_are_passed_over() -> None:
    assert attributed("KM", (1.0, 3.0), "KM", (900.0, 902.0)) == (0, 1)


@pytest.mark.parametrize(
    ("text", "written", "expected"),
    [
        ("MEET AT 7", "MEETAT7", "MEET AT 7"),
        ("MEET AT 7", "ME_TAT7", "ME T AT 7"),  # a pause where something is missing
        ("KEEP AT 7", "KEEP7", "KEEP 7"),
        ("MEET AT 7", "_MEETAT_", "MEET AT"),
        ("MEET AT 7", "MEETXAT7", "MEETX AT 7"),
        ("KM", "___", ""),
        ("KM", "", ""),
    ],
)
def test_the_machine_sends_what_was_copied_with_its_word_gaps(text: str, written: str, expected: str) -> None:
    links = attributed(text.replace(" ", ""), None, written, None)
    assert passed_on(text, written, links) == expected


def test_links_that_cross_are_a_fault() -> None:
    with pytest.raises(ValueError, match="earlier mark"):
        tracks("KM", ("KM",), ((1, 0),))
