"""A net when something comes between: who goes or comes late, a pause, a stop, a server started again."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest

from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.exercises import Act
from copyroom.room.exercises.net.state import ANSWER_MS
from net_room import begun, copy_part, part_run, question, rest, state, to_fills, told
from scripted_room import ScriptedRoom, Send, refusal, sends


@pytest.fixture
def net(play: ScriptedRoom) -> Iterator[ScriptedRoom]:
    """Three stations, four groups each; the noise takes the second group of the second part from the first.

    Whatever is played, a server that is restarted then has the same.
    """
    played = begun(play, lost=[{"seat": 1, "part": 1, "groups": [1]}])
    yield played
    assert played.replayed().durable_views() == played.durable_views()


# ------------------------------------------------------------------ what may come between


def test_a_lost_station_is_held_and_can_be_handed_over(net: ScriptedRoom) -> None:
    to_fills(net)
    net.receive(ev.Leave(2))
    for seat in (3,):
        assert not refusal(net.learner(seat, "receipt_net"))
    net.console("hand_over", seat=2, to=3)
    assert state(net).held_by(3) == [1, 2]
    assert told(net, 3)["rows"][1]["states"] == "oooo"
    assert refusal(net.console("hand_over", seat=2, to=3)) == "There is nothing to hand over."


def test_nothing_is_held_for_who_was_removed(net: ScriptedRoom) -> None:
    to_fills(net)
    net.learner(1, "ask_fill", text=question(net, 1))
    net.console("remove_seats", seats=[1])
    assert (state(net).turn, state(net).exchanges, state(net).lost) == (None, [], {})
    for seat in (2, 3):
        net.learner(seat, "receipt_net")
    net.settle()
    assert state(net).phase == "complete"


def test_a_latecomer_copies_along_and_is_no_station(net: ScriptedRoom) -> None:
    copy_part(net)
    net.join("Dove")
    assert told(net, "console")["copiers"][0]["name"] == "Dove"
    (welcome,) = [s for s in sends(net.join("", net.state.seats[4].token)) if s.name == "welcome"]
    assert welcome.payload["exercise"]["shown"]["station"] == -1
    for _ in range(2):
        copy_part(net)
    assert refusal(net.learner(4, "ask_fill", text="K2KF DE B7RM ? K")) == (
        "You are no station in this net: copy along."
    )


def test_skipping_cuts_the_part_off_and_the_rest_of_it_is_missing(net: ScriptedRoom) -> None:
    part = part_run(net)
    net.now_ms = part.start_room_ms + float(part.end_ms[9]) + 1.0
    net.console("skip_turn")
    net.settle()
    assert state(net).at == 1
    assert part.sent_count == 10
    assert refusal(net.console("skip_turn")) == "The part has not begun yet."


def test_a_pause_holds_the_part_and_a_stop_before_its_first_sound_sends_it_again(net: ScriptedRoom) -> None:
    part = part_run(net)
    net.now_ms = part.start_room_ms + 2_000.0
    net.console("pause")
    net.now_ms += 300_000.0
    net.settle()
    assert (state(net).at, part.closed) == (0, False)
    net.console("go_on")
    copy_part(net)
    assert state(net).at == 1
    second = part_run(net)
    net.console("stop")
    assert second.cancelled
    net.now_ms += 1_000.0
    net.console("go_on")
    net.settle()
    assert state(net).at == 1
    assert part_run(net).id == second.id + 1


def test_a_restart_at_any_moment_leaves_it_where_it_was(net: ScriptedRoom) -> None:
    """The state of the fold is the same; so is what every page is shown."""
    moments = 0

    def restarted() -> None:
        nonlocal moments
        moments += 1
        again = net.replayed()
        assert state(again) == state(net)
        assert [run.copies for run in again.state.runs] == [run.copies for run in net.state.runs]

    restarted()
    to_fills(net)
    restarted()
    net.learner(1, "ask_fill", text=question(net, 1))
    restarted()
    rest(net, ANSWER_MS)
    restarted()
    rest(net)
    restarted()
    assert moments == 5


def test_before_the_end_no_page_is_told_what_was_not_copied_there(net: ScriptedRoom) -> None:
    """Neither the group that the noise took, nor any text on the wall."""
    to_fills(net)
    group = state(net).stations[1].groups[1]
    net.learner(1, "ask_fill", text=question(net, 1))
    words = [str(s.payload) for s in net.sent if s.to == 1 and s.name == "exercise"]
    assert words
    assert not any(group in text for text in words)
    groups = [group for station in state(net).stations for group in station.groups]
    wall = [str(s.payload) for s in net.sent if s.to == "wall"]
    assert not [group for text in wall for group in groups if group in text]
    assert not any(name in text for text in wall for name in ("Amber", "Birch", "Cedar"))


def played(net: ScriptedRoom, acts: list[tuple[int, Act]]) -> None:
    """The soonest of these; whoever keys keys all of it."""
    acts = sorted(acts, key=lambda one: one[1].after_s)
    keyed = [one for one in acts if one[1].name in ("key_edges", "sent_all")]
    began_ms = net.now_ms
    for seat, act in keyed or acts[:1]:
        net.now_ms = began_ms + act.after_s * 1000.0
        net.learner(seat, act.name, **act.fields)
    if keyed:
        net.now_ms += 3_000.0


def test_simulated_stations_bring_it_to_its_end(net: ScriptedRoom) -> None:
    """Each does what its manner says when told something; the server stands in where one is too slow."""
    to_fills(net, {0: {2: (0, 1), 3: (3,)}, 2: {1: (0, 1, 2, 3)}})
    kind, rng = exercises.of(net.push), np.random.default_rng(5)
    for _ in range(60):
        played(net, [(seat, act) for seat in (1, 2, 3) for act in kind.play(told(net, seat), rng)])
        net.settle()
        turn = state(net).turn
        if turn is not None and turn.given is not None:
            rest(net)
        net.settle()
        if state(net).phase == "complete":
            break
    assert state(net).phase == "complete"
    assert told(net, "console")["figures"]["in_place"] == 36
    assert any(exchange.keyed for exchange in state(net).exchanges), "some of it was keyed"


def test_answers_go_out_to_the_latest_listener_only_once(net: ScriptedRoom) -> None:
    """Each sound has a number of its own within the net's run."""
    to_fills(net)
    net.learner(1, "ask_fill", text=question(net, 1))
    rest(net, ANSWER_MS)
    numbers = [
        s.payload["part"] for s in net.sent if isinstance(s, Send) and s.name == "sound" and s.to == "seats"
    ]
    assert all(a < b for a, b in pairwise(numbers))
    assert len(numbers) == 2
