"""The same learner with another device: two seats made one by the instructor's word, and two again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.room.effects import Unseat
from copyroom.shell.store import Record, Store
from kept_rooms import in_place, some_rooms, url_of
from scripted_room import ScriptedRoom, refusal, sends

TEXT = "KMATNRS"
WEEK_MS = 7 * 86_400_000.0


@pytest.fixture
def week_later(play: ScriptedRoom) -> ScriptedRoom:
    """Amber (seat 1) copied one run; a week later she comes from another address and gets seat 4."""
    play.seat_three()
    play.send(TEXT)
    play.to_tidying()
    for seat in (1, 2, 3):
        play.copies_all(seat, TEXT)
    play.console("reveal")
    play.settle()
    for seat in (1, 2, 3):
        play.receive(ev.Leave(seat))
    play.now_ms += WEEK_MS
    play.console("open_meeting")
    play.join(name_of(play, 1))
    return play


def name_of(play: ScriptedRoom, seat: int) -> str:
    return play.state.seats[seat].name


def listed(play: ScriptedRoom, seat: int) -> dict[str, Any]:
    return next(s for s in play.view("seats")["seats"] if s["seat"] == seat)


def welcome_of(play: ScriptedRoom, token: str) -> dict[str, Any]:
    return sends(play.join("", token), "welcome")[0].payload


def test_a_newcomer_of_the_same_nickname_is_asked_about(week_later: ScriptedRoom) -> None:
    name = name_of(week_later, 1)
    assert name_of(week_later, 4) == f"{name} 2"
    assert listed(week_later, 4)["same_as"] == 1
    week_later.join("", week_later.state.seats[1].token)
    assert listed(week_later, 4)["same_as"] == 0, "the one from before is here"


def test_one_learner_has_one_record_and_comes_with_either_device(week_later: ScriptedRoom) -> None:
    old, new = (week_later.state.seats[seat].token for seat in (1, 4))
    week_later.send("KMA")
    week_later.to_tidying()
    week_later.copies_all(4, "KMA")
    week_later.console("close")
    before = week_later.cells("course")
    effects = week_later.console("make_one", seat=4, into=1)
    assert Unseat(4, comes_again=True) in effects
    assert week_later.cells("course") == before, "the same sheets, of one learner less"
    assert 4 not in week_later.state.seats
    for token in (new, old):
        told = welcome_of(week_later, token)
        assert (told["seat"], told["name"], told["token"]) == (1, name_of(week_later, 1), token)
    assert week_later.state.seats[1].met == "".join(dict.fromkeys(TEXT))
    assert [week_later.copies[run, 1].written for run in (1, 2)] == [TEXT, "KMA"]
    assert listed(week_later, 1)["parts"] == [[4, f"{name_of(week_later, 1)} 2"]]


def test_it_can_be_taken_back(week_later: ScriptedRoom) -> None:
    week_later.send("KMA")
    week_later.to_tidying()
    week_later.copies_all(4, "KMA")
    new = week_later.state.seats[4].token
    week_later.console("make_one", seat=4, into=1)
    week_later.console("make_two", seat=4)
    assert week_later.state.joined == {}
    assert welcome_of(week_later, new)["seat"] == 4
    assert week_later.copies[2, 4].written == "KMA"
    assert week_later.copies[2, 1].written == ""
    assert week_later.copies[1, 1].written == TEXT
    week_later.console("close")
    assert week_later.cells() == {(sign, sign): 1 for sign in "KMA"}


def test_who_is_here_on_both_is_two(week_later: ScriptedRoom) -> None:
    assert refusal(week_later.console("make_one", seat=4, into=4)) == "That is one seat already."
    week_later.join("", week_later.state.seats[1].token)
    assert "both here: they are two" in refusal(week_later.console("make_one", seat=4, into=1))
    assert refusal(week_later.console("make_two", seat=4)) == "That seat stands for itself."


def test_with_the_learner_both_seats_are_struck_out(week_later: ScriptedRoom, tmp_path: Path) -> None:
    week_later.console("rename", seat=4, name="Amberlotte")
    week_later.console("make_one", seat=4, into=1)
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    store.open_room("HERON-0417", 0.0)
    journal = enumerate(week_later.journal, 1)
    store.append(
        [Record("HERON-0417", n, week_later.form, at, name, body) for n, (name, body, at) in journal]
    )
    assert store.rooms()[0].seats == 3
    rooms, _ = some_rooms(store)
    assert rooms.find("HERON-0417") is not None
    rooms.receive("HERON-0417", ev.RemoveSeats((1,)))
    rooms.let_out()  # type: ignore[attr-defined]
    rooms.forget_now()
    assert store.rooms()[0].seats == 2
    assert not any("Amberlotte" in record.body for record in store.journal("HERON-0417"))
    again, _ = some_rooms(store)
    room = again.find("HERON-0417")
    assert room is not None
    assert sorted(room.classroom.seats) == [2, 3]
    store.close()
