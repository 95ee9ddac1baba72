"""What was sent is shown to all; who wrote on paper alone may hand in the count of the own sheet."""

from __future__ import annotations

from typing import Any

import pytest

from scripted_room import ScriptedRoom, refusal, sends

TEXT = "KMATN KMATN"


@pytest.fixture
def shown(play: ScriptedRoom) -> ScriptedRoom:
    """The first types, the second writes on paper and keys nothing in, the third types nothing."""
    first, second, third = play.seat_three()
    play.learner(second, "choose_way", way="paper")
    play.send(TEXT)
    for seat in (second, third):
        play.hears(seat)
    play.copies_all(first, "KMATNKMATT")
    play.to_tidying()
    play.console("reveal")
    return play


def figures(play: ScriptedRoom) -> dict[str, Any]:
    """All that is computed from copies."""
    review = sends(play.console("show_review", days=7, seat=0), "review")[0].payload
    progress = sends(play.console("show_progress"), "course_progress")[0].payload
    parts = ("table", "findings", "advice", "plan", "room", "wall")
    return {part: play.view(part) for part in parts} | {"review": review, "course": progress}


def own_counts(play: ScriptedRoom) -> dict[int, list[int] | None]:
    return {copy["seat"]: copy["own_count"] for copy in play.view("progress")["copies"]}


def test_what_was_sent_is_shown_to_who_wrote_nothing_here(shown: ScriptedRoom) -> None:
    told = {send.to: send.payload for send in sends(shown.sent, "reveal")}
    assert {seat: (view["text"], view["marks"], view["own_count"]) for seat, view in told.items()} == {
        1: (TEXT, "KMATNKMATT", None),
        2: (TEXT, "", None),
        3: (TEXT, "", None),
    }


def test_the_wall_shows_what_was_sent_at_the_reveal_and_not_before(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_tidying()
    assert "text" not in play.view("wall")["run"]
    play.console("close")
    assert "text" not in play.view("wall")["run"]
    play.console("reveal")
    assert play.view("wall")["run"]["text"] == TEXT


@pytest.mark.parametrize(("sounds", "shown"), [(3, "KMA"), (5, "KMATN"), (6, "KMATN K"), (10, TEXT)])
def test_the_wall_shows_no_more_than_was_sent(play: ScriptedRoom, sounds: int, shown: str) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(sounds)
    play.console("stop" if sounds < 10 else "close")
    play.console("reveal")
    assert play.view("wall")["run"]["text"] == shown


def test_a_count_of_the_own_sheet_is_shown_as_a_count_and_is_in_no_figure(shown: ScriptedRoom) -> None:
    before = figures(shown)
    effects = shown.learner(2, "hand_in_count", push=1, right=8, of=10)
    assert [(send.to, send.payload["own_count"]) for send in sends(effects, "reveal")] == [(2, [8, 10])]
    assert own_counts(shown) == {1: None, 2: [8, 10], 3: None}
    assert figures(shown) == before
    sheet = sends(shown.console("show_sheet", seat=2), "sheet")[0].payload
    assert [(s["own_count"], s["marks"], s["of"]) for s in sheet["sheets"]] == [([8, 10], "", 0)]


def test_a_count_can_be_put_right_and_survives_a_restart(shown: ScriptedRoom) -> None:
    shown.learner(2, "hand_in_count", push=1, right=8, of=10)
    shown.learner(2, "hand_in_count", push=1, right=9, of=10)
    shown.learner(3, "hand_in_count", push=1, right=0, of=10)
    assert own_counts(shown.replayed()) == {1: None, 2: [9, 10], 3: [0, 10]}
    welcome = sends(shown.join("", shown.state.seats[2].token), "welcome")[0].payload
    assert welcome["reveal"]["own_count"] == [9, 10]


@pytest.mark.parametrize(("right", "of"), [(11, 11), (9, 8), (0, 11)])
def test_a_count_that_cannot_be_is_refused(shown: ScriptedRoom, right: int, of: int) -> None:
    sentence = "Of 10 sounds no more than 10 can be right."
    assert refusal(shown.learner(2, "hand_in_count", push=1, right=right, of=of)) == sentence


def test_a_count_is_taken_only_of_what_was_shown_and_not_keyed_in(shown: ScriptedRoom) -> None:
    keyed_in = refusal(shown.learner(1, "hand_in_count", push=1, right=9, of=10))
    assert keyed_in == "What you wrote is here already, and counted."
    shown.send("EAT")
    not_shown = refusal(shown.learner(2, "hand_in_count", push=2, right=3, of=3))
    assert not_shown == "What was sent is not shown yet."


def test_the_console_hands_in_the_count_of_a_seat_without_a_device_alone(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("add_seat", name="Dahlia")
    play.send(TEXT)
    play.to_tidying()
    play.console("reveal")
    assert not refusal(play.console("hand_in_count", push=1, seat=4, right=8, of=10))
    assert own_counts(play)[4] == [8, 10]
    sentence = "This learner counts on a device of their own."
    assert refusal(play.console("hand_in_count", push=1, seat=2, right=8, of=10)) == sentence


def test_who_comes_after_the_reveal_is_not_asked_about_it(shown: ScriptedRoom) -> None:
    welcome = sends(shown.join("Dahlia"), "welcome")[0].payload
    assert (welcome["push"], welcome["reveal"]) == (None, None)
    assert refusal(shown.learner(4, "hand_in_count", push=1, right=3, of=10))


def test_a_removed_seat_takes_its_count_with_it(shown: ScriptedRoom) -> None:
    shown.learner(2, "hand_in_count", push=1, right=8, of=10)
    shown.console("remove_seats", seats=[2])
    assert own_counts(shown) == {1: None, 3: None}
