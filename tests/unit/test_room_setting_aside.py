"""What went wrong in a run is set aside: it is in no figure, and it comes back exactly as it was."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.core.slices import finish
from copyroom.room.record import grounds_of_room
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, refusal, sends

TEXT = "KMATN KMATN KMATN KMATN"
ALARM = "Fire alarm"
ALL = 0
FIRST, SECOND, THIRD = 1, 2, 3
WRITTEN = {FIRST: "KMATNKMATNKMATNKMATN", SECOND: "KMTTNKNATNKMTTNKMATT", THIRD: "_MATNK_ATTTMATNNNNNN"}


def begun(known: str = "KMATN") -> ScriptedRoom:
    """Three learners at one meeting, some sounds known, a short evening planned."""
    play = ScriptedRoom()
    play.console("open_meeting")
    play.seat_three()
    play.console("set_symbols", symbols=known)
    play.console("plan_evening", minutes=20.0)
    return play


def run(play: ScriptedRoom, kept: dict[int, int] | None = None, stop: int = 20) -> Run:
    """One run that sounds for `stop` symbols; of each seat, how many of them it heard and wrote."""
    push = play.send(TEXT)
    if stop == 0:
        play.console("stop")
        play.now_ms = push.start_room_ms + float(push.end_ms[-1]) + 2000.0
        return push
    if stop < len(push.sent):
        play.to_symbol(stop)
        play.console("stop")
    for seat, signs in WRITTEN.items():
        count = min(stop, (kept or {}).get(seat, len(signs)))
        if count:
            play.hears(seat, 0, count)
            play.types(seat, signs[:count])
    play.now_ms = push.start_room_ms + float(push.end_ms[-1]) + 2000.0
    play.console("close")
    play.settle()
    return push


def set_aside(play: ScriptedRoom, push: int, first: int = 0, seat: int = ALL) -> int:
    """The number that it can be brought back by."""
    effects = play.console("set_aside", push=push, seat=seat, first=first, reason=ALARM)
    assert not refusal(effects), refusal(effects)
    play.settle()
    return max(play.state.asides)


def figures(play: ScriptedRoom) -> dict[str, Any]:
    """All that is computed from copies over more than the run at hand."""
    findings = play.view("findings")
    asked = {
        "review": play.console("show_review", days=7, seat=ALL),
        "own review": play.console("show_review", days=7, seat=SECOND),
        "progress": play.console("show_progress"),
        "cell": play.console("show_cell", sent="N", written="N", scope="evening"),
    }
    parts = {name: sends(effects)[0].payload for name, effects in asked.items()}
    progress = parts["progress"]["meetings"][0]
    return parts | {
        "table": [play.cells("evening"), play.cells("course")],
        "findings": [findings["evening"], findings["course"]],
        "record": finish(grounds_of_room(play.room.figures)).runs,
        "progress": [progress["recall"], progress["seats"]],
    }


@pytest.mark.parametrize(
    ("first", "seat", "as_if", "more"),
    [
        (7, ALL, {"stop": 7}, 1),
        (0, ALL, {"stop": 0}, 0),
        (12, SECOND, {"kept": {SECOND: 12}}, 0),
        (0, SECOND, {"kept": {SECOND: 0}}, 1),
    ],
)
def test_every_figure_is_as_if_it_had_not_been_sent(
    first: int, seat: int, as_if: dict[str, Any], more: int
) -> None:
    """In the last run, and in one that others have followed."""
    play, other = begun(), begun()
    for room, changed in ((play, {}), (other, as_if)):
        run(room)
        run(room, **changed)
        for _ in range(more):
            run(room)
    unlike = figures(play)
    set_aside(play, 2, first, seat)
    found, wanted = figures(play), figures(other)
    assert found == wanted
    for part in ("table", "findings", "record", "progress"):
        assert found[part] != unlike[part]


def test_what_follows_from_the_last_run_is_as_if_the_rest_had_not_been_sent() -> None:
    play, other = begun(), begun()
    for room, stop in ((play, 20), (other, 12)):
        run(room)
        run(room, stop=stop)
    set_aside(play, 2, 12)
    assert play.view("advice") == other.view("advice")
    runs, wanted = play.view("room")["runs"], other.view("room")["runs"]
    assert [(r["right"], r["of"]) for r in runs] == [(r["right"], r["of"]) for r in wanted]
    assert play.cells("run") == other.cells("run")


@pytest.mark.parametrize(
    ("push", "first", "seat"), [(2, 0, ALL), (1, 7, ALL), (2, 12, SECOND), (1, 0, THIRD)]
)
def test_what_is_brought_back_is_exactly_as_it_was(push: int, first: int, seat: int) -> None:
    play = begun()
    run(play)
    run(play)
    before, seen = figures(play), play.views()
    number = set_aside(play, push, first, seat)
    assert figures(play) != before
    assert not refusal(play.console("bring_back", aside=number))
    assert figures(play) == before
    assert play.views() == seen


@pytest.mark.parametrize("brought_back", [False, True])
def test_a_restart_knows_what_was_set_aside(brought_back: bool) -> None:
    play = begun()
    run(play)
    run(play)
    set_aside(play, 1, 5, SECOND)
    number = set_aside(play, 2)
    if brought_back:
        play.console("bring_back", aside=number)
        play.settle()
    again = play.replayed()
    assert figures(again) == figures(play)
    assert again.durable_views() == play.durable_views()
    assert set_aside(again, 1, 3) == set_aside(play, 1, 3), "the next number is the same"


def test_of_two_settings_aside_each_is_brought_back_by_itself() -> None:
    play = begun("")
    run(play)
    whole = figures(play)
    set_aside(play, 1, 10)
    only_ten = figures(play)
    one = set_aside(play, 1, 4, SECOND)
    play.console("bring_back", aside=one)
    play.settle()
    assert figures(play) == only_ten
    play.console("bring_back", aside=1)
    play.settle()
    assert figures(play) == whole


def test_it_stays_on_the_sheet_with_its_reason() -> None:
    play = begun("")
    run(play)
    play.console("reveal")
    play.sent.clear()
    set_aside(play, 1, 7)
    told = {send.to: send.payload for send in sends(play.sent, "reveal")}
    assert set(told) == set(WRITTEN), "whose page shows the sheet is told"
    sheet = sends(play.console("show_sheet", seat=SECOND))[0].payload["sheets"][0]
    for view in (told[SECOND], sheet):
        assert (view["marks"], view["aside_from"], view["aside_why"]) == (WRITTEN[SECOND], 7, ALARM)
        assert (view["right"], view["of"], view["sent"]) == (5, 7, 20)


def test_the_list_of_runs_says_what_is_set_aside() -> None:
    play = begun("")
    run(play)
    set_aside(play, 1, 7, SECOND)
    (summary,) = play.view("room")["runs"]
    aside = {"aside": 1, "seat": SECOND, "name": "Birch", "first": 7, "reason": ALARM}
    assert (summary["asides"], summary["sent"]) == ([aside], 20)


def test_a_step_whose_run_is_set_aside_is_still_to_do_and_its_sound_not_known() -> None:
    play = begun("")
    step = next(s for s in play.view("plan")["steps"] if s["purpose"] == "meet")
    play.console("send_step", step=step["step"])
    known = play.state.symbols
    play.to_tidying()
    play.console("close")
    play.settle()
    number = set_aside(play, 1)
    now = next(s for s in play.view("plan")["steps"] if s["step"] == step["step"])
    assert (now["push"], play.state.symbols) == (0, "")
    play.console("bring_back", aside=number)
    now = next(s for s in play.view("plan")["steps"] if s["step"] == step["step"])
    assert (now["push"], play.state.symbols) == (1, known)


def test_no_word_of_the_plan_rests_on_what_is_set_aside() -> None:
    play = begun()
    play.send(TEXT)
    play.to_tidying()
    play.copies_all(FIRST, "KMA__" * 4)
    play.console("close")
    play.settle()
    told = play.view("plan")
    assert "%" in str(told["changes"])
    assert "%" in str(told["steps"])
    number = set_aside(play, 1)
    told = play.view("plan")
    assert "%" not in str(told["changes"]) + str(told["steps"]), "nothing is tested yet, and it says so"
    play.console("bring_back", aside=number)
    assert "%" in str(play.view("plan")["changes"])


def test_what_was_done_to_the_plan_meanwhile_stays_when_it_is_brought_back() -> None:
    play = begun()
    run(play)
    number = set_aside(play, 1)
    play.console("add_step", purpose="mix", symbols="KMATN", title="Once more", text="KMATN")
    play.console("bring_back", aside=number)
    assert "Once more" in [step["title"] for step in play.view("plan")["steps"]]


def test_a_late_stroke_for_what_is_set_aside_stays_out() -> None:
    play = begun("")
    push = play.send(TEXT)
    play.to_tidying()
    play.copies_all(FIRST, WRITTEN[FIRST][:15])
    play.console("close")
    play.settle()
    set_aside(play, 1, 10)
    before = play.cells("evening")
    play.types(FIRST, "KMATN", start=15, push=push)
    assert play.cells("evening") == before


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"push": 9}, "There is no such run in this room."),
        ({"seat": 9}, "That seat is not in this room any more."),
        ({"first": 20}, "That run has 20 sounds."),
        ({"reason": " "}, "Say why, so that the sheet can say it, too."),
    ],
)
def test_what_cannot_be_set_aside_is_refused(changed: dict[str, Any], sentence: str) -> None:
    play = begun("")
    run(play)
    asked = {"push": 1, "seat": ALL, "first": 0, "reason": ALARM} | changed
    assert refusal(play.console("set_aside", **asked)) == sentence
    assert refusal(play.console("bring_back", aside=1)) == "That counts again already."


def test_a_run_is_set_aside_only_when_it_is_closed() -> None:
    play = begun("")
    play.send(TEXT)
    play.to_tidying()
    asked = {"push": 1, "seat": ALL, "first": 0, "reason": ALARM}
    assert refusal(play.console("set_aside", **asked)) == "A run can be set aside once it is closed."


def test_a_removed_seat_takes_what_was_set_aside_for_it_along() -> None:
    play = begun("")
    run(play)
    set_aside(play, 1, 3, SECOND)
    play.console("remove_seats", seats=[SECOND])
    assert play.view("room")["runs"][0]["asides"] == []
