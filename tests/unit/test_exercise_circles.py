"""Circles: several runs at once, each for its own seats, begun and ended together."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.room.run import Run
from scripted_room import ScriptedRoom, Send, refusal, sends

WINDOW = {"name": "By the window", "sign": "window", "symbols": "KMAT", "wpm": 18.0, "overall_wpm": 8.0}
DOOR = {"name": "By the door", "sign": "door", "symbols": "KMATNRS", "wpm": 22.0, "overall_wpm": 14.0}


@pytest.fixture
def room(play: ScriptedRoom) -> ScriptedRoom:
    """Three learners who know some sounds."""
    play.seat_three()
    play.console("set_symbols", symbols="KMATNRS")
    return play


def begun(play: ScriptedRoom, **more: Any) -> list[object]:
    effects = play.console(
        "start_exercise", kind="circles", setup={"circles": [WINDOW, DOOR], "lasts_s": 60.0} | more
    )
    assert not refusal(effects)
    return effects


def pushes(effects: list[object]) -> dict[object, dict[str, Any]]:
    return {s.to: s.payload for s in effects if isinstance(s, Send) and s.name == "push"}


def test_each_circle_hears_its_own_and_nothing_of_the_other(room: ScriptedRoom) -> None:
    told = pushes(begun(room))
    assert set(told) == {1, 2, 3}, "each seat by itself; nothing to all"
    window, door = room.state.runs[1:]
    assert (window.seats, door.seats) == ({1, 3}, {2})
    assert told[1]["push"] == told[3]["push"] == window.id
    assert told[2]["push"] == door.id
    assert window.copies.keys() == {1, 3}
    assert room.state.runs[0].copies == {}


@pytest.mark.parametrize("lasts_s", [20.0, 60.0, 180.0, 600.0])
def test_all_start_at_the_same_moment_and_last_equally_long(room: ScriptedRoom, lasts_s: float) -> None:
    begun(room, lasts_s=lasts_s)
    top, *parts = room.state.runs
    assert {run.start_room_ms for run in parts} == {top.start_room_ms}
    for run in parts:
        assert run.last_end_ms == pytest.approx(lasts_s * 1000.0, abs=0.01)
        chosen = next(c for c in top.state.chosen.circles if c.name == run.heading)
        assert run.speed.overall_wpm == pytest.approx(chosen.overall_wpm, rel=0.35)


def test_each_circle_has_a_table_of_its_own_and_the_evening_both(room: ScriptedRoom) -> None:
    begun(room)
    top, window, door = room.state.runs
    room.now_ms = top.start_room_ms + top.last_end_ms + 1000.0
    for seat, run in ((1, window), (2, door)):
        room.of = run
        room.copies_all(seat, run.sent)
    room.console("reveal")
    room.settle()
    tables = {s.payload["push"]: s.payload for s in room.sent if s.name == "table"}
    for run in (window, door):
        assert sum(n for sent, wrote, n in tables[run.id]["cells"] if sent == wrote) == len(run.sent)
    evening = room.view("tables_before")
    assert evening["evening"] == [], "what is at hand is told by itself"
    reveals = {s.to: s.payload["push"] for s in room.sent if s.name == "reveal"}
    assert reveals == {1: window.id, 3: window.id, 2: door.id}


def test_nobody_is_told_of_another_circles_text(room: ScriptedRoom) -> None:
    begun(room)
    window, door = room.state.runs[1:]
    others = {1: door, 3: door, 2: window}
    for told in room.sent:
        if isinstance(told.to, int) and told.to in others:
            assert others[told.to].id != told.payload.get("push"), told
    wall = [s.payload["shown"] for s in room.sent if s.name == "exercise" and s.to == "wall"]
    assert all(c["text"] == "" and c["cells"] == [] for shown in wall for c in shown["circles"])


def test_a_learner_changes_circle_from_the_next_start_on(room: ScriptedRoom) -> None:
    begun(room)
    effects = room.console("move_to_circle", seat=1, circle=2)
    (told,) = [s for s in sends(effects, "exercise") if s.to == 1]
    assert told.payload["shown"]["name"] == "By the window"
    assert told.payload["shown"]["next_name"] == "By the door"
    assert room.state.runs[1].seats == {1, 3}, "what sounds goes on"
    room.now_ms += 200_000.0
    room.console("reveal")
    room.console("repeat")
    assert room.state.runs[-1].seats == {1, 2}
    assert room.state.runs[-2].seats == {3}
    assert room.state.runs[-1].text != room.state.runs[2].text, "drawn anew"


def test_pause_and_stop_hold_for_all_circles(room: ScriptedRoom) -> None:
    begun(room)
    top, window, door = room.state.runs
    room.now_ms = top.start_room_ms + 20_000.0
    assert {s.to for s in sends(room.console("pause"), "halt")} >= {1, 2, 3}
    room.now_ms += 10_000.0
    room.console("go_on")
    assert top.phase(room.now_ms + 5_000.0) == window.phase(room.now_ms + 5_000.0) == "sounding"
    assert top.start_room_ms + top.last_end_ms >= window.start_room_ms + window.last_end_ms - 2000.0
    room.console("stop")
    assert window.stopped
    assert door.stopped
    room.now_ms += 6_000.0
    room.console("close")
    assert all(run.closed for run in room.state.runs)


def test_who_comes_late_joins_the_smallest_circle_in_the_middle(room: ScriptedRoom) -> None:
    begun(room)
    (welcome,) = sends(room.join("Late"), "welcome")
    assert welcome.payload["push"]["push"] == room.state.runs[2].id
    assert welcome.payload["exercise"]["shown"]["name"] == "By the door"


def test_a_restart_in_the_middle_knows_all(room: ScriptedRoom) -> None:
    begun(room)
    top, window, _ = room.state.runs
    room.of = window
    room.to_symbol(3)
    room.types(1, window.sent[:2])
    again = room.replayed()
    assert again.state.runs[1].copies[1].written == window.sent[:2]
    assert [run.seats for run in again.state.runs] == [run.seats for run in room.state.runs]
    assert again.state.runs[0].state == top.state


def test_with_one_loudspeaker_there_are_no_circles(room: ScriptedRoom) -> None:
    room.console("set_hearing", way="loudspeaker", source=0)
    effects = room.console("start_exercise", kind="circles", setup={"circles": [WINDOW, DOOR]})
    assert "one loudspeaker" in refusal(effects)
    assert room.state.runs == []


def test_what_cannot_be_set_up_is_said_in_a_sentence(room: ScriptedRoom) -> None:
    effects = room.console("start_exercise", kind="circles", setup={"circles": [WINDOW]})
    assert "Circles cannot be set up like that" in refusal(effects)
    slow = WINDOW | {"wpm": 2.0}
    assert "By the window" in refusal(
        room.console("start_exercise", kind="circles", setup={"circles": [slow, DOOR]})
    )


def test_it_stands_in_the_plan_and_is_sent_from_there(room: ScriptedRoom) -> None:
    setup = {"circles": [WINDOW, DOOR], "lasts_s": 60.0}
    assert not refusal(room.console("add_exercise", kind="circles", setup=setup))
    (step,) = room.view("plan")["steps"]
    assert (step["kind"], step["purpose"], step["seconds"]) == ("circles", "together", 120.0)
    assert not refusal(room.console("send_step", step=step["step"]))
    assert room.state.runs[0].kind == "circles"
    assert room.view("plan")["steps"][0]["push"] == 1


NAMED = DOOR | {"kind": "named", "setup": {"symbols": "KMAT"}}
ODD = DOOR | {"kind": "odd", "setup": {"pairs": ["KM"]}}


@pytest.mark.parametrize("other", [NAMED, ODD])
def test_a_circle_may_have_an_exercise_of_its_own_that_lasts_as_long(
    room: ScriptedRoom, other: dict[str, Any]
) -> None:
    begun(room, circles=[WINDOW, other], lasts_s=60.0)
    top, window, door = room.state.runs
    assert (window.kind, door.kind) == ("copying", other["kind"])
    assert door.start_room_ms == window.start_room_ms == top.start_room_ms
    assert door.tidy_end_ms == pytest.approx(60_000.0, abs=1.0)
    shown = {s.to: s.payload for s in room.sent if s.name == "exercise"}
    assert (shown[2]["kind"], shown[2]["run"]) == (other["kind"], door.id)
    assert shown[1]["kind"] == "circles"
    (inner,) = [c["inner"] for c in shown["console"]["shown"]["circles"] if c["inner"]]
    assert inner["kind"] == other["kind"]


def test_named_rounds_in_a_circle_are_answered_named_and_counted(room: ScriptedRoom) -> None:
    begun(room, circles=[WINDOW, NAMED], lasts_s=30.0)
    _, _, door = room.state.runs
    room.of = door
    room.hears(2)
    for place, sign in enumerate(door.sent):
        room.now_ms = door.start_room_ms + float(door.end_ms[place]) + 400.0
        room.settle()
        at_ms = float(door.end_ms[place]) + 400.0
        room.learner(2, "answer_sound", push=door.id, place=place, sign=sign, at_ms=at_ms)
    room.now_ms += 30_000.0
    room.settle()
    room.console("reveal")
    room.settle()
    counts = {told["push"]: told for told in (s.payload for s in room.sent if s.name == "table")}
    right = sum(n for sent, wrote, n in counts[door.id]["cells"] if sent == wrote)
    assert right == len(door.sent)
    assert room.replayed().state.runs[2].copies[2].written == door.sent


def test_circles_cannot_stand_in_a_circle(room: ScriptedRoom) -> None:
    again = DOOR | {"kind": "circles", "setup": {}}
    effects = room.console("start_exercise", kind="circles", setup={"circles": [WINDOW, again]})
    assert "cannot stand in a circle" in refusal(effects)


# ------------------------------------------------------------------ what goes on until it is ended

RELAY = DOOR | {"kind": "relay", "setup": {"what": "own", "text": "KMAT"}}
NET = DOOR | {"kind": "net", "setup": {"groups": 2, "chance": 0.0}}
KEY = DOOR | {"kind": "key", "setup": {"text": "given", "given": "TEA"}}


def in_circles(
    play: ScriptedRoom, *circles: dict[str, Any], lasts_s: float = 60.0, door: tuple[int, ...] = (2, 4, 5)
) -> list[Run]:
    """Five learners, these by the door; the circles' own runs."""
    for name in ("Dahlia", "Erle"):
        play.join(name)
    for seat in (1, 2, 3, 4, 5):
        play.console("move_to_circle", seat=seat, circle=2 if seat in door else 1)
    begun(play, circles=circles, lasts_s=lasts_s)
    play.settle()
    return [play.state.run_of(number) for number in play.push.state.runs]


def shown_to(play: ScriptedRoom, to: int | str) -> dict[str, Any]:
    return [s.payload for s in play.sent if s.name == "exercise" and s.to == to][-1]


@pytest.mark.parametrize("other", [RELAY, NET, KEY], ids=["relay", "net", "key"])
def test_what_goes_on_until_it_is_ended_stands_in_a_circle_and_ends_with_the_others(
    room: ScriptedRoom, other: dict[str, Any]
) -> None:
    window, door = in_circles(room, WINDOW, other)
    top = room.push
    assert (window.seats, door.seats) == ({1, 3}, {2, 4, 5})
    for seat in (2, 4, 5):
        assert (shown_to(room, seat)["kind"], shown_to(room, seat)["run"]) == (other["kind"], door.id)
    assert {shown_to(room, seat)["kind"] for seat in (1, 3)} == {"circles"}
    (inner,) = [c["inner"] for c in shown_to(room, "console")["shown"]["circles"] if c["inner"]]
    assert (inner["kind"], inner["run"]) == (other["kind"], door.id)
    sounds = [s for s in room.sent if s.name in ("push", "sound") and s.to in (1, 3)]
    assert {s.payload["push"] for s in sounds} == {window.id}, "nothing of the other circle"
    room.now_ms = top.start_room_ms + top.lasts_ms - 3_000.0
    room.settle()
    assert not door.stopped
    room.now_ms = top.start_room_ms + top.lasts_ms + 1.0
    room.settle()
    assert door.stopped
    assert all(part.stopped or part.closed for part in room.state.parts_of(door))
    room.now_ms += 10_000.0
    room.settle()
    room.console("reveal")
    room.settle()
    assert all(run.closed for run in room.state.runs)
    assert room.replayed().durable_views() == room.durable_views()


def test_a_relay_in_each_circle_goes_its_own_way(room: ScriptedRoom) -> None:
    window = RELAY | {"name": "By the window", "sign": "window", "setup": {"what": "own", "text": "NRSA"}}
    for other, text in zip(in_circles(room, window, RELAY, lasts_s=120.0), ("NRSA", "KMAT"), strict=True):
        first = next(one for one in other.state.stations if one.status == "copies")
        room.of = room.state.run_of(first.push)
        assert room.of.text == text
        assert room.of.speed.wpm == DOOR["wpm"], "at the circle's own speed"
    leg = room.of
    (seat,) = leg.seats
    room.now_ms = leg.start_room_ms + leg.last_end_ms + 1_000.0
    room.copies_all(seat, "KMAT")
    room.learner(seat, "hand_in", push=leg.id)
    room.settle()
    door = room.state.around(leg)
    assert [one.status for one in door.state.stations].count("passed") == 1
    room.of = None
    assert all(one.status != "passed" for one in room.state.run_of(room.push.state.runs[0]).state.stations)


def test_turns_in_a_circle_are_handed_over_and_skipped_there(room: ScriptedRoom) -> None:
    _, door = in_circles(room, WINDOW, KEY)
    turn = door.state.turn
    assert (turn.seat, turn.part.seats) == (2, {4, 5})
    assert refusal(room.console("skip_turn")) == "In which circle? Skip the turn there."
    assert refusal(room.console("hand_over", seat=2, to=1)) == "Amber is in another circle."
    assert not refusal(room.console("hand_over", seat=2, to=4))
    assert not refusal(room.console("skip_turn", within=door.id))
    room.settle()
    room.now_ms += 5_000.0
    room.settle()
    assert door.state.turn.seat == 4


def test_who_comes_late_into_a_circle_with_turns_copies_the_one_at_hand(room: ScriptedRoom) -> None:
    _, door = in_circles(room, WINDOW, KEY, door=(2, 5))
    (welcome,) = sends(room.join("Late"), "welcome")
    assert welcome.payload["push"]["push"] == door.state.turn.part.id
    assert welcome.payload["exercise"]["kind"] == "key"


def test_a_pause_and_a_stop_hold_for_what_goes_on_in_a_circle(room: ScriptedRoom) -> None:
    _, door = in_circles(room, WINDOW, RELAY)
    leg = room.state.runs[-1]
    room.now_ms = leg.start_room_ms + 500.0
    room.console("pause")
    assert door.halted_room_ms == leg.halted_room_ms == room.now_ms
    room.now_ms += 300_000.0
    room.settle()
    assert not door.stopped, "the time of the circles stands still, too"
    room.console("go_on")
    room.settle()
    assert not door.stopped
    room.console("stop")
    assert door.stopped
    assert leg.stopped


def test_a_plan_may_differ_by_circle(room: ScriptedRoom) -> None:
    setup = {"circles": [WINDOW, RELAY], "lasts_s": 60.0}
    for name in ("Dahlia", "Erle"):
        room.join(name)
    assert not refusal(room.console("add_exercise", kind="circles", setup=setup))
    (step,) = room.view("plan")["steps"]
    assert [circle.get("kind", "") for circle in step["setup"]["circles"]] == ["", "relay"]
    assert [circle["wpm"] for circle in step["setup"]["circles"]] == [18.0, 22.0]
    assert not refusal(room.console("send_step", step=step["step"]))
    assert [run.kind for run in room.state.runs[:3]] == ["circles", "copying", "relay"]


def test_what_a_circle_is_too_small_for_is_said_with_its_name(room: ScriptedRoom) -> None:
    effects = room.console("start_exercise", kind="circles", setup={"circles": [WINDOW, RELAY]})
    assert refusal(effects) == (
        "By the door: A relay needs two learners here who have a device of their own."
    )
