"""A net by hand: a question that is keyed is heard as it comes, read, and judged as a composed one.

All names, calls and groups are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from copyroom.core.alphabet import symbol
from copyroom.core.bursts import bursts
from copyroom.room.events import Leave
from copyroom.room.exercises.net.by_hand import KEYING_S
from copyroom.room.exercises.net.state import ANSWER_MS, KeyedLine
from copyroom.room.forgetting import without_the_removed
from copyroom.room.journal import from_record, to_record
from keyed_turns import DOT_MS, tones_of
from net_room import CALLS, begun, question, rest, state, to_fills, told
from scripted_room import ScriptedRoom, refusal, sends


@pytest.fixture
def net(play: ScriptedRoom) -> ScriptedRoom:
    """Three stations; the first and the third miss a group of the second's part."""
    net = begun(play)
    to_fills(net, {1: {1: (1,), 3: (0, 1)}})
    return net


def hand(net: ScriptedRoom) -> KeyedLine:
    found = state(net).hand
    assert found is not None
    return found


def takes_key(net: ScriptedRoom, seat: int) -> None:
    found = net.learner(seat, "take_net_key")
    assert not refusal(found), refusal(found)


def keys(net: ScriptedRoom, tones: list[list[float]]) -> None:
    """Who has the key sends these tones, and says that it is all."""
    line = hand(net)
    for first in range(0, len(tones), 100):
        some = tones[first : first + 100]
        net.now_ms = max(net.now_ms, line.start_room_ms + some[-1][1] + 100.0)
        edges = [edge for tone in some for edge in tone]
        found = net.learner(line.seat, "key_edges", turn=line.number, first=first, edges=edges)
        assert not refusal(found), refusal(found)
    assert not refusal(net.learner(line.seat, "sent_all", turn=line.number))
    net.now_ms = max(net.now_ms, line.end_room_ms)
    net.settle()


def keys_text(net: ScriptedRoom, seat: int, text: str) -> None:
    takes_key(net, seat)
    keys(net, tones_of(text))


def last(net: ScriptedRoom) -> Any:
    return state(net).exchanges[-1]


def test_a_keyed_question_is_judged_like_a_composed_one(net: ScriptedRoom) -> None:
    text = question(net, 1)
    keys_text(net, 1, text)
    assert (last(net).text, last(net).keyed, last(net).question.fault) == (text, True, "")
    assert last(net).question.groups == (1,)
    turn = told(net, 2)["turn"]
    assert (turn["text"], turn["stage"]) == (text, "asked")
    assert told(net, 1)["hand"] is None


def test_a_wrong_form_is_keyed_and_told_with_the_right_one_beside_it(net: ScriptedRoom) -> None:
    keys_text(net, 1, f"{CALLS[1]} DE {CALLS[0]} AGN K")
    assert told(net, 1)["last"]["fault"] == "After ? comes AA, AB, BN, WA or WB, or K for all of it."
    assert told(net, "console")["figures"]["wrong"] == 1


def test_it_sounds_as_it_is_keyed_on_all_pages_but_the_senders(net: ScriptedRoom) -> None:
    takes_key(net, 1)
    line, net.now_ms = hand(net), hand(net).start_room_ms + 900.0
    found = net.learner(1, "key_edges", turn=line.number, first=0, edges=[500.0, 740.0])
    sounds = sends(found, "sound")
    assert [s.to for s in sounds] == [2, 3, "console"]
    assert sounds[0].payload["start_room_ms"] == line.start_room_ms + line.delay_ms
    keys_more = question(net, 1)
    keys(net, [[500.0, 740.0], *tones_of(keys_more, at_ms=3_000.0)])
    parts = [s.payload["part"] for s in net.sent if s.name == "sound" and s.to in (2, "seats")]
    assert len(parts) == len(set(parts)), "each part of the sound has a number of its own"


def test_while_one_keys_the_channel_is_theirs(net: ScriptedRoom) -> None:
    takes_key(net, 1)
    assert told(net, 3)["hand"] == {"station": 0, "answers": False, "read": False}
    assert told(net, 3)["key"] is None
    assert told(net, 1)["key"]["kept"] == 0
    assert refusal(net.learner(3, "ask_fill", text=question(net, 3))) == f"{CALLS[0]} is keying."
    assert refusal(net.learner(3, "take_net_key")) == f"{CALLS[0]} is keying."
    assert refusal(net.learner(1, "ask_fill", text=question(net, 1))) == (
        "Your key is on: send it all, or give it back."
    )
    assert not refusal(net.learner(1, "leave_net_key"))
    assert not refusal(net.learner(3, "ask_fill", text=question(net, 3)))


def test_an_answer_is_keyed_too_and_who_hears_it_has_it(net: ScriptedRoom) -> None:
    net.learner(1, "ask_fill", text=question(net, 1))
    assert refusal(net.learner(2, "take_net_key")) == "The question is still being sent."
    rest(net)
    group = state(net).stations[1].groups[1]
    keys_text(net, 2, f"{CALLS[0]} DE {CALLS[1]} {last(net).question.form} "
                      f"{' '.join(last(net).question.named)} {group} K")  # fmt: skip
    assert (last(net).by, last(net).answer_fault, last(net).answer_keyed) == (2, "", True)
    net.settle()
    assert told(net, 1)["rows"][1]["states"] == "cfcc"


def test_while_an_answer_is_keyed_the_server_keeps_silent(net: ScriptedRoom) -> None:
    net.learner(1, "ask_fill", text=question(net, 1))
    rest(net)
    takes_key(net, 2)
    net.now_ms += ANSWER_MS + 10_000.0
    net.settle()
    assert last(net).answer == ""
    net.learner(2, "leave_net_key")
    net.now_ms += ANSWER_MS + 1_000.0
    net.settle()
    assert last(net).by == 0
    assert last(net).answer != ""


def test_what_cannot_be_read_surely_comes_to_nothing_and_says_so(net: ScriptedRoom) -> None:
    """A hand whose lengths say nothing: each anywhere from a third to three times as long."""
    rng = np.random.default_rng(7)
    at_ms, tones = 500.0, []
    for sign in question(net, 1).replace(" ", ""):
        for element in symbol(sign).elements:
            length_ms = DOT_MS * (3.0 if element == "-" else 1.0) * float(rng.uniform(0.33, 3.0))
            tones.append([at_ms, at_ms + length_ms])
            at_ms += length_ms + DOT_MS * float(rng.uniform(0.33, 4.0))
    takes_key(net, 1)
    keys(net, tones)
    assert state(net).exchanges == []
    assert state(net).turn is None
    assert told(net, 1)["unclear"] != ""
    assert told(net, 2)["unclear"] == "", "others are told nothing of it"
    assert told(net, "console")["unclear"] != ""
    net.learner(1, "ask_fill", text=question(net, 1))
    assert told(net, 1)["unclear"] == ""


def test_a_key_left_alone_is_given_back_by_its_time(net: ScriptedRoom) -> None:
    for seat in (1, 2, 3):
        net.sound(seat, "on")
    takes_key(net, 1)
    net.now_ms += KEYING_S * 1000.0 + 1_000.0
    net.settle()
    assert state(net).hand is None
    assert state(net).exchanges == []


@pytest.mark.parametrize("order", ["skip_turn", "hand_over"])
def test_a_station_that_went_away_holds_its_key_until_it_is_taken_from_it(
    net: ScriptedRoom, order: str
) -> None:
    takes_key(net, 1)
    net.receive(Leave(1))
    net.now_ms += 600_000.0
    net.settle()
    assert hand(net).seat == 1
    net.join("Dove")
    assert not refusal(net.console(order, **({"seat": 1, "to": 4} if order == "hand_over" else {})))
    assert state(net).hand is None
    assert not refusal(net.learner(3, "ask_fill", text=question(net, 3)))


@pytest.mark.parametrize("stage", ["taken", "keyed", "over"])
def test_a_restart_in_the_middle_of_a_line_goes_on_with_it(net: ScriptedRoom, stage: str) -> None:
    text = question(net, 1)
    takes_key(net, 1)
    tones = tones_of(text)
    line = hand(net)
    edges = [edge for tone in tones for edge in tone]
    if stage != "taken":
        net.now_ms = line.start_room_ms + edges[-1] + 100.0
        for first in range(0, len(tones), 100):
            some = edges[2 * first : 2 * first + 200]
            net.learner(1, "key_edges", turn=line.number, first=first, edges=some)
    if stage == "over":
        net.learner(1, "sent_all", turn=line.number)
        net.now_ms = hand(net).end_room_ms
        net.tick()
    again = net.replayed()
    assert state(again) == state(net)
    for seat in (1, 2, 3):
        again.join("", again.state.seats[seat].token)
    again.settle()
    if stage == "taken":
        keys(again, tones)
    elif stage == "keyed":
        again.learner(1, "sent_all", turn=line.number)
        again.now_ms = hand(again).end_room_ms
        again.settle()
    assert last(again).text == text


def test_a_journal_without_who_keyed_tells_the_same_net(net: ScriptedRoom) -> None:
    keys_text(net, 1, question(net, 1))
    net.console("remove_seats", seats=[1])
    net.settle()
    keys_text(net, 3, f"{CALLS[1]} DE {CALLS[2]} ? K")
    events = [from_record(name, body) for name, body, _ in net.journal]
    left = ScriptedRoom(net.now_ms)
    for event, (_, _, at_ms) in zip(without_the_removed(events), net.journal, strict=True):
        if event is not None:
            left.journal.append((*to_record(event), at_ms))
    assert len(left.journal) < len(net.journal)
    again = left.replayed()
    assert [one.text for one in state(again).exchanges] == [one.text for one in state(net).exchanges]
    assert [run.id for run in again.state.runs] == [run.id for run in net.state.runs]


def cut(net: ScriptedRoom, symbols: int) -> None:
    """A pause after so many symbols of what sounds."""
    turn = state(net).turn
    assert turn is not None
    sent = bursts(turn.exchange.answer or turn.exchange.text, net.push.speed)
    begun_ms = turn.sounded_ms - float(sent.end_s[-1]) * 1000.0
    net.now_ms = begun_ms + float(sent.end_s[symbols - 1]) * 1000.0 + 1.0
    net.console("pause")


@pytest.mark.parametrize("what", ["question", "answer"])
def test_a_pause_in_the_middle_sounds_the_rest_again_after_it(net: ScriptedRoom, what: str) -> None:
    net.learner(1, "ask_fill", text=question(net, 1))
    if what == "answer":
        rest(net, ANSWER_MS)
    text = (last(net).answer or last(net).text).replace(" ", "")
    cut(net, 5)
    net.now_ms += 90_000.0
    (sound,) = [s for s in sends(net.console("go_on"), "sound") if s.to == "seats"]
    assert len(sound.payload["edges"]) == len(text) - 5, "from the symbol that was cut"
    turn = state(net).turn
    assert turn is not None
    assert sound.payload["edges"][0][0] == 0.0
    assert turn.sounded_ms == pytest.approx(
        sound.payload["start_room_ms"] + sound.payload["edges"][-1][-1], abs=1.0
    )
    if what == "question":
        assert turn.answer_by_ms >= turn.sounded_ms + ANSWER_MS - 1_000.0, "who was asked loses no time"


def test_a_pause_after_a_question_takes_no_time_from_who_is_to_answer(net: ScriptedRoom) -> None:
    net.learner(1, "ask_fill", text=question(net, 1))
    rest(net)
    net.console("pause")
    net.now_ms += 300_000.0
    assert sends(net.console("go_on"), "sound") == []
    net.settle()
    assert last(net).answer == ""


def test_in_a_pause_no_key_is_heard(net: ScriptedRoom) -> None:
    takes_key(net, 1)
    line = hand(net)
    net.now_ms += 1_000.0
    net.console("pause")
    net.now_ms += 2_000.0
    late = net.learner(1, "key_edges", turn=line.number, first=0, edges=[2_000.0, 2_200.0])
    assert refusal(late) == "Paused: your key is not heard now."
    assert told(net, 1)["key"]["paused"]
    net.console("go_on")
    keys(net, tones_of(question(net, 1), at_ms=net.now_ms - line.start_room_ms + 500.0))
    assert last(net).keyed


@pytest.mark.parametrize("take", [lambda net: takes_key(net, 1), lambda net: None])
def test_the_end_can_come_while_somebody_keys(
    net: ScriptedRoom, take: Callable[[ScriptedRoom], None]
) -> None:
    take(net)
    assert not refusal(net.console("reveal"))
    net.settle()
    assert state(net).hand is None
    assert state(net).phase == "complete"
