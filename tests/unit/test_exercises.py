"""An exercise is one file behind one small interface: a tiny one of the tests' own, played by three."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import msgspec
import numpy as np
import pytest

from copyroom.core.bursts import Speed, bursts, edges_ms
from copyroom.rehearsal.learner import Learner, Manner
from copyroom.rehearsal.participant import Emit, Participant
from copyroom.room import exercises
from copyroom.room.contract import EVENTS, HANDLERS, SETTLERS
from copyroom.room.exercises import EXERCISES
from scripted_room import ScriptedRoom, Send, refusal, sends

FOLDER = str(Path(__file__).parent.parent / "exercises")


@pytest.fixture(scope="module", autouse=True)
def clapping() -> Iterator[ModuleType]:
    """The tests' folder beside the package's own, as long as these tests run."""
    before = [dict(table) for table in (EVENTS, HANDLERS, SETTLERS, EXERCISES)]
    exercises.__path__.append(FOLDER)
    exercises.load()
    yield sys.modules["copyroom.room.exercises.clap"]
    exercises.__path__.remove(FOLDER)
    del sys.modules["copyroom.room.exercises.clap"]
    for table, was in zip((EVENTS, HANDLERS, SETTLERS, EXERCISES), before, strict=True):
        table.clear()
        table.update(was)


@pytest.fixture
def clap(play: ScriptedRoom) -> ScriptedRoom:
    """Three learners; the first one listens."""
    play.seat_three()
    assert not refusal(play.console("start_exercise", kind="clap", setup={"hears": 1}))
    return play


def shown(effects: list[object]) -> dict[int | str, object]:
    return {s.to: s.payload["shown"] for s in effects if isinstance(s, Send) and s.name == "exercise"}


def test_a_sound_goes_to_one_seat_and_no_other(clap: ScriptedRoom) -> None:
    (heard, console) = sends(clap.sent, "sound")
    assert (heard.to, console.to) == (1, "console")
    assert heard.payload == console.payload
    assert heard.payload["edges"] == edges_ms(bursts("K", clap.push.speed))


def test_each_audience_is_shown_what_its_file_declares(clap: ScriptedRoom) -> None:
    now = shown(clap.sent)
    assert now[1] == {"hears": True, "clapped": False}
    assert now[2] == now[3] == {"hears": False, "clapped": False}
    assert now["console"] == now["wall"] == {"clapped": 0, "over": False}


def test_whoever_did_something_new_to_them_is_told_and_nobody_else(clap: ScriptedRoom) -> None:
    assert shown(clap.learner(2, "clap")) == {
        2: {"hears": False, "clapped": True},
        "console": {"clapped": 1, "over": False},
        "wall": {"clapped": 1, "over": False},
    }
    assert shown(clap.learner(2, "clap")) == {}
    assert refusal(clap.learner(1, "clap")) == "You listen; the others clap."


def test_a_page_that_comes_back_is_shown_where_it_was(clap: ScriptedRoom) -> None:
    clap.learner(2, "clap")
    (welcome,) = sends(clap.join("", clap.state.seats[2].token), "welcome")
    assert welcome.payload["exercise"] == {
        "run": 1,
        "kind": "clap",
        "shown": {"hears": False, "clapped": True},
    }
    assert welcome.payload["push"] is None


def test_it_ends_of_itself_and_a_restart_knows_how_far_it_was(clap: ScriptedRoom) -> None:
    clap.learner(2, "clap")
    again = clap.replayed()
    assert msgspec.to_builtins(again.state.runs[0].state) == {"hears": 1, "clapped": [2]}
    clap.now_ms += 60_000.0
    clap.settle()
    assert clap.state.runs[0].closed
    assert clap.journal[-1][0] == "EndClapping"
    assert refusal(clap.learner(3, "clap")) == "There is nothing to clap for."


def test_who_is_taken_out_is_struck_out_of_it(clap: ScriptedRoom) -> None:
    clap.learner(2, "clap")
    clap.learner(3, "clap")
    effects = clap.console("remove_seats", seats=[2, 3])
    assert clap.state.runs[0].state.clapped == []
    assert shown(effects)["console"] == {"clapped": 0, "over": False}


def test_a_copying_run_after_it_takes_it_off_every_page(clap: ScriptedRoom) -> None:
    clap.now_ms += 60_000.0
    clap.settle()
    effects = clap.console(
        "send_text", purpose="own", symbols="", count=1, group=5, text="KM", name_shown=False, counted=True
    )
    assert shown(effects) == dict.fromkeys([1, 2, 3, "console", "wall"], None)
    assert [s.to for s in sends(effects, "push")] == ["seats", "console"]


def test_it_says_how_long_it_takes_and_how_a_simulated_learner_plays_it(clap: ScriptedRoom) -> None:
    kind = exercises.of(clap.push)
    assert kind.lasts_s(None) == 20.0
    rng = np.random.default_rng(1)
    acts = {seat: kind.play(state, rng) for seat, state in shown(clap.sent).items() if isinstance(seat, int)}
    assert [(seat, act.name) for seat, some in acts.items() for act in some] == [(2, "clap"), (3, "clap")]


def test_a_simulated_class_plays_it_without_knowing_it() -> None:
    learner = Learner(Manner(2.0), np.random.default_rng(1))
    participant = Participant("Wren", "HERON-0417", learner)
    participant.receive(
        "exercise", {"run": 1, "kind": "clap", "shown": {"hears": False, "clapped": False}}, 0.0
    )
    assert participant.take() == []
    participant.wake(5_000.0)
    assert participant.take() == [Emit("clap", {})]
    participant.receive("exercise", {"run": 0, "kind": "", "shown": None}, 6_000.0)
    assert participant.wake_page_ms == float("inf")


def test_a_simulated_ear_takes_each_sound_for_something_and_the_exercise_makes_its_acts_of_that() -> None:
    sure = Learner(Manner(30.0, spread=0.0, slip=0.0, bounce=0.0, skip=0.0), np.random.default_rng(1))
    participant = Participant("Wren", "HERON-0417", sure)
    edges = edges_ms(bursts("EKE", Speed(20.0, 10.0)))
    push = {"push": 1, "kind": "clap", "start_room_ms": 0.0, "edges": edges, "shifts": [], "symbols": ""}
    push["end_ms"] = edges[-1][-1]
    shown = {"hears": False, "clapped": True}
    participant.receive("exercise", {"run": 1, "kind": "clap", "shown": shown}, -1.0)
    participant.receive("push", push | {"counted": False, "tidy_ms": 0.0}, -1.0)
    participant.wake(edges[1][-1] + 499.0)
    assert participant.take() == []
    participant.wake(edges[1][-1] + 500.0)
    assert participant.take() == [Emit("clap", {})]
    participant.wake(edges[2][-1])
    assert participant.take()[0] == Emit("report_sounded", {"push": 1, "spans": [[0, 3]]})


def test_two_exercises_of_one_kind_are_a_fault(clapping: ModuleType) -> None:
    with pytest.raises(ValueError, match="two exercises"):
        exercises.exercise(clapping.ClapExercise)


def test_an_exercise_that_would_help_is_proposed_beside_the_advice(play: ScriptedRoom) -> None:
    """H and S, mixed up by three learners: the odd one is proposed with that pair, and begun with it."""
    play.seat_three()
    play.console("set_symbols", symbols="HSKMAT")
    for _ in range(3):
        play.send("HSHHS SHKHS MHSHA THSSH HSKSH SHMHS")
        play.to_tidying()
        for seat in (1, 2, 3):
            play.copies_all(seat, play.push.sent.replace("H", "S"))
        play.console("reveal")
        play.settle()
    proposed = {told["kind"]: told["setup"] for told in play.view("advice")["together"]}
    assert set(proposed["odd"]["pairs"][0]) == {"H", "S"}
    assert not refusal(play.console("start_exercise", kind="odd", setup=proposed["odd"], after=play.push.id))
    assert play.push.kind == "odd"


def test_nothing_is_proposed_where_nothing_was_mixed_up(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="HSKMAT")
    play.send("HSHHS SHKHS MHSHA THSSH HSKSH SHMHS")
    play.to_tidying()
    for seat in (1, 2, 3):
        play.copies_all(seat, play.push.sent)
    play.console("reveal")
    play.settle()
    assert play.view("advice")["together"] == []
