"""What each audience is shown: the console all, a seat its own, the wall the class without names."""

from __future__ import annotations

import itertools
from collections.abc import Generator
from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, WALL, WakeAt
from scripted_room import ScriptedRoom, Send, misfit, refusal, sends

TEXT = "KMATN RSKMA"
NAMES = ("Amber", "Birch", "Cedar")


@pytest.fixture
def lesson(play: ScriptedRoom) -> ScriptedRoom:
    """Three learners have copied one run, each in a way of their own."""
    play.seat_three()
    play.send(TEXT)
    play.to_tidying()
    play.copies_all(1, "KMATNRSKMA")
    play.copies_all(2, "KM_TNRSKMA")
    play.copies_all(3, "KMENNRSKM")
    return play


def test_a_payload_that_does_not_fit_is_found_out() -> None:
    """The check that all these tests lean on."""
    assert misfit("closed", {"push": 1}) == ""
    assert misfit("closed", {"push": "1"}) != ""
    assert misfit("closed", {}) != ""
    assert misfit("closed", {"push": 1, "names": ["Amber"]}) != ""
    assert misfit("shift", {"push": 1, "shifts": [{"first": 1, "shift_ms": 2.0, "more": 3}]}) != ""
    assert misfit("no such event", {"push": 1}) != ""


# ------------------------------------------------------------------ the wall


def deep_strings(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [s for item in value.values() for s in deep_strings(item)]
    if isinstance(value, list):
        return [s for item in value for s in deep_strings(item)]
    return [value] if isinstance(value, str) else []


def test_the_wall_never_has_a_name(lesson: ScriptedRoom) -> None:
    for order in ("pause", "close", "reveal"):
        lesson.console(order)
        shown = deep_strings(lesson.view("wall"))
        assert not [text for text in shown for name in NAMES if name.lower() in text.lower()]
    lesson.settle()
    for told in lesson.sent:
        if told.to == WALL:
            assert not [text for text in deep_strings(told.payload) if text in NAMES]


@pytest.mark.parametrize("purpose", ["own", "one", "apart", "mix"])
def test_the_wall_shows_nothing_of_the_text_before_the_reveal(play: ScriptedRoom, purpose: str) -> None:
    play.seat_three()
    text = "" if purpose != "own" else "KM"
    symbols = "K" if purpose == "one" else "KM"
    play.send(text, purpose=purpose, symbols=symbols, counted=False)
    for moment in ("counting in", "tidying", "closed"):
        if moment == "tidying":
            play.to_tidying()
        if moment == "closed":
            play.console("close")
        wall = play.view("wall")
        run = wall["run"]
        assert run["phase"] == moment
        assert not {"title", "symbols", "text", "edges"} & run.keys(), "withheld"
        assert (run["shown"], wall["cells"], wall["copies"]) == ("", [], 0)


def test_the_wall_shows_the_class_table_after_the_reveal(lesson: ScriptedRoom) -> None:
    lesson.console("reveal")
    wall = lesson.view("wall")
    assert (wall["run"]["title"], wall["run"]["symbols"], wall["copies"]) == ("Own text", "AKMNRST", 3)
    assert wall["cells"] == lesson.view("table")["cells"]


def test_the_wall_shows_a_sound_that_is_introduced_by_name(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KKK", purpose="one", name_shown=True, counted=False)
    wall = play.view("wall")
    assert (wall["run"]["title"], wall["run"]["shown"]) == ("The sound K", "KKK")


def test_the_walls_progress_never_runs_over(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("add_seat", name="Dahlia")
    play.send("KMATN")
    play.to_symbol(3)
    play.console("stop")
    for seat in (1, 2, 3):
        play.types(seat, "KMA")
    keys = [{"at_ms": 0.0, "sign": sign} for sign in "KMA"]
    play.console("write_keys", push=1, first=0, keys=keys, seat=4)
    wall = play.view("wall")
    assert (wall["here"], wall["written"], wall["expected"]) == (4, 9, 9)


def test_the_wall_counts_down_to_the_first_sound_even_after_a_pause(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KMATN")
    play.console("pause")
    play.now_ms += 10_000.0
    play.console("go_on")
    run = play.view("wall")["run"]
    assert run["phase"] == "counting in"
    assert run["begins_room_ms"] == pytest.approx(play.push.start_room_ms + play.push.start_ms[0])
    assert run["begins_room_ms"] > play.now_ms


# ------------------------------------------------------------------ a learner


def test_a_learner_is_told_of_no_other(lesson: ScriptedRoom) -> None:
    effects = lesson.console("reveal")
    for told in sends(effects, "reveal"):
        others = [name for seat, name in enumerate(NAMES, 1) if seat != told.to]
        assert not [text for text in deep_strings(told.payload) if text in others]
    welcome = sends(lesson.join("", lesson.state.seats[2].token), "welcome")[0].payload
    assert not [text for text in deep_strings(welcome) if text in ("Amber", "Cedar")]


def test_the_solution_is_not_in_any_page_before_the_reveal(lesson: ScriptedRoom) -> None:
    lesson.console("close")
    lesson.settle()
    lesson.join("", lesson.state.seats[2].token)
    for told in lesson.sent:
        if told.to != CONSOLE and told.name not in ("room", "run", "table", "progress", "findings", "seats"):
            assert not [text for text in deep_strings(told.payload) if text.replace(" ", "") == "KMATNRSKMA"]


def test_a_seat_is_shown_its_own_copy_under_what_was_sent(lesson: ScriptedRoom) -> None:
    lesson.console("reveal")
    shown = {told.to: told.payload for told in sends(lesson.sent, "reveal")}
    assert [(shown[seat]["marks"], shown[seat]["right"], shown[seat]["of"]) for seat in (1, 2, 3)] == [
        ("KMATNRSKMA", 10, 10),
        ("KM_TNRSKMA", 9, 10),
        ("KMENNRSKM", 7, 10),
    ]
    assert shown[2]["taken"] == []  # a blank is no substitution
    assert sorted(shown[3]["taken"]) == [["A", "E", 1], ["T", "N", 1]]
    assert shown[3]["all_right"] == "KMNRS"


# ------------------------------------------------------------------ the console


def test_the_console_knows_from_which_sound_on_a_late_joiner_heard(play: ScriptedRoom) -> None:
    first, second, _ = play.seat_three()
    play.send("KMATN")
    play.hears(first)
    play.hears(second, start=3)
    assert [copy["heard_from"] for copy in play.view("progress")["copies"]] == [0, 3, -1]


def test_the_console_sees_how_far_each_has_written(lesson: ScriptedRoom) -> None:
    progress = lesson.view("progress")
    assert [(c["seat"], c["written"], c["heard"]) for c in progress["copies"]] == [
        (1, 10, 10),
        (2, 10, 10),
        (3, 9, 10),
    ]
    assert progress["right"] == [3, 3, 1, 2, 3, 3, 3, 3, 3, 2]
    assert lesson.view("run")["run"]["phase"] == "tidying"


def test_every_cell_is_made_of_its_sendings(lesson: ScriptedRoom) -> None:
    for order, scope in itertools.product(("", "close", "reveal"), ("run", "evening", "course")):
        if order and scope == "run":
            lesson.console(order)
        for (sent, written), count in lesson.cells(scope).items():
            effects = lesson.console("show_cell", sent=sent, written=written, scope=scope)
            cell = sends(effects, "cell")[0].payload
            assert (cell["all"], len(cell["sendings"])) == (count, count), (order, scope, sent, written)
            for sending in cell["sendings"]:
                assert sending["place"] is None or TEXT.replace(" ", "")[sending["place"]] == sent
                assert sending["name"] == NAMES[sending["seat"] - 1]


def test_a_cell_of_symbols_not_yet_answered_is_empty(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(4)
    play.hears(1, 0, 4)
    play.types(1, "KM")
    play.settle()
    cell = sends(play.console("show_cell", sent="T", written="", scope="run"), "cell")[0].payload
    assert (cell["all"], cell["sendings"]) == (0, [])


def test_a_cell_can_be_asked_for_right_after_a_mark_was_erased(lesson: ScriptedRoom) -> None:
    lesson.settle()
    at_ms = lesson.now_ms - lesson.push.start_room_ms
    lesson.learner(1, "write_keys", push=1, first=10, keys=[{"at_ms": at_ms, "erase": 0}])
    for sent, written, scope in itertools.product("KA", ("K", "A", ""), ("run", "evening")):
        assert sends(lesson.console("show_cell", sent=sent, written=written, scope=scope), "cell")
    assert lesson.receive(ev.Watch("console"))


def test_a_learners_sheets_are_for_the_console(lesson: ScriptedRoom) -> None:
    lesson.console("reveal")
    sheet = sends(lesson.console("show_sheet", seat=3), "sheet")[0].payload
    assert (sheet["name"], [run["marks"] for run in sheet["sheets"]]) == ("Cedar", ["KMENNRSKM"])


def test_console_and_wall_hear_of_changes_by_the_tick(play: ScriptedRoom) -> None:
    play.seat_three()
    play.settle()
    play.now_ms += 50.0
    effects = play.console("set_title", title="Wednesday")
    wakes = [effect.room_ms for effect in effects if isinstance(effect, WakeAt)]
    assert wakes == [play.now_ms + 100.0]
    assert not [e for e in play.console("set_symbols", symbols="KM") if isinstance(e, WakeAt)], (
        "one is enough"
    )
    play.now_ms = wakes[0]
    told = [(e.to, e.name) for e in play.tick() if isinstance(e, Send)]
    assert told == [(CONSOLE, "room"), (WALL, "wall")]
    assert play.tick() == []


def test_an_open_run_is_told_of_every_second_and_a_closed_one_no_more(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.settle()
    assert play.room.wake_at_ms is not None
    play.now_ms = play.room.wake_at_ms  # the heartbeat that was asked for
    (again,) = [effect.room_ms for effect in play.tick() if isinstance(effect, WakeAt)]
    assert again == play.now_ms + 1_000.0
    play.console("stop")
    play.console("close")
    play.settle()
    assert play.tick() == []


def test_a_stroke_does_not_wait_for_the_heartbeat(play: ScriptedRoom) -> None:
    """And the older timer, when it comes, finds nothing to do."""
    play.seat_three()
    play.send(TEXT)
    play.to_tidying()
    play.settle()
    heartbeat_ms = play.room.wake_at_ms
    assert heartbeat_ms is not None
    play.hears(1)
    wakes = [e.room_ms for e in play.types(1, "K") if isinstance(e, WakeAt)]
    wakes += [play.room.wake_at_ms or 0.0]
    assert min(wakes) <= play.now_ms + 100.0 < heartbeat_ms
    assert play.room.receive(ev.Tick(), play.now_ms) == []


def test_a_page_that_only_looks_changes_nothing(lesson: ScriptedRoom) -> None:
    lesson.settle()
    one = lesson.views()
    assert lesson.views() == one
    assert not refusal(lesson.console("watch", code="", view="wall"))
    assert lesson.views() == one


def test_a_failure_while_news_are_told_does_not_silence_the_console_for_good(play: ScriptedRoom) -> None:
    def broken() -> Generator[None]:
        raise RuntimeError("a copy that nobody thought of")
        yield

    play.join("Wren")
    play.room.figures.jobs.append(broken())
    with pytest.raises(RuntimeError):
        play.settle()
    effects = play.console("set_symbols", symbols="K")
    assert any(isinstance(effect, WakeAt) for effect in effects)
