"""A net with fills: parts are sent, what is missing is asked for and answered, all is receipted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from copyroom.core.alphabet import BLANK
from copyroom.core.bursts import bursts, edges_ms
from copyroom.core.procedure import WORDS
from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.exercises.net.state import ANSWER_MS, NetSetup
from net_room import KNOWN, begun, copy_part, part_run, question, rest, state, to_fills, told
from scripted_room import ScriptedRoom, refusal, sends


@pytest.fixture
def net(play: ScriptedRoom) -> Iterator[ScriptedRoom]:
    """Three stations, four groups each; the noise takes the second group of the second part from the first.

    Whatever is played, a server that is restarted then has the same.
    """
    played = begun(play, lost=[{"seat": 1, "part": 1, "groups": [1]}])
    yield played
    assert played.replayed().durable_views() == played.durable_views()


# ------------------------------------------------------------------ setting up


def test_calls_are_of_the_amateur_form_and_distinct_and_none_could_be_taken_for_distress(
    play: ScriptedRoom,
) -> None:
    """Radio Regulations 19.68: a prefix, a figure from 2 to 9, up to four more, a letter last; 19.47."""
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    kind = exercises.EXERCISES["net"]
    for seed in range(30):
        drawn = kind.settle(play.room.figures, NetSetup(parts=6), np.random.default_rng(seed), 0.0)
        assert isinstance(drawn, NetSetup)
        assert len(set(drawn.calls)) == 6
        for call in drawn.calls:
            assert re.fullmatch(r"[A-Z0-9]{1,2}[2-9][A-Z0-9]{0,3}[A-Z]", call), call
            assert not re.search(r"SOS|PAN|XXX|TTT", call)


def test_groups_are_of_known_symbols_five_each_and_each_can_be_named(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    kind = exercises.EXERCISES["net"]
    for seed in range(10):
        drawn = kind.settle(play.room.figures, NetSetup(), np.random.default_rng(seed), 0.0)
        assert isinstance(drawn, NetSetup)
        groups = [group for text in drawn.texts for group in text.split()]
        assert len(groups) == len(set(groups)) == 3 * 8
        assert {len(group) for group in groups} == {5}
        assert set("".join(groups)) <= set(KNOWN) - {"?"}
        assert not set(groups) & WORDS
        assert all(lost.seat != drawn.holders[lost.part] for lost in drawn.lost), (
            "nobody loses their own part"
        )


def test_chance_takes_about_its_share(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    kind = exercises.EXERCISES["net"]
    lost = 0
    for seed in range(100):
        drawn = kind.settle(play.room.figures, NetSetup(chance=0.25), np.random.default_rng(seed), 0.0)
        assert isinstance(drawn, NetSetup)
        lost += sum(len(one.groups) for one in drawn.lost)
    assert lost / (100 * 3 * 2 * 8) == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize(
    ("known", "setup", "sentence"),
    [
        ("AE", {}, "A net's groups need at least 3 letters or figures that are known."),
        (
            KNOWN,
            {"made_of": "words"},
            "The known sounds make 2 words of the 24 needed: take groups, or fewer.",
        ),
        (KNOWN, {"stations": [7]}, "That seat is not in this room any more."),
        (KNOWN, {"groups": 99}, "A net with fills cannot be set up like that"),
    ],
)
def test_what_cannot_be_set_up_says_why(
    play: ScriptedRoom, known: str, setup: dict[str, Any], sentence: str
) -> None:
    play.seat_three()
    play.console("set_symbols", symbols=known)
    assert refusal(play.console("start_exercise", kind="net", setup=setup)).startswith(sentence)


def test_one_learner_alone_works_with_the_server(play: ScriptedRoom) -> None:
    play.join("Wren")
    play.console("set_symbols", symbols=KNOWN)
    assert not refusal(play.console("start_exercise", kind="net", setup={"groups": 2, "chance": 0.0}))
    assert [station.holder for station in state(play).stations] == [1, 0]


# ------------------------------------------------------------------ the parts


def test_each_part_is_copied_by_all_and_its_own_station_only_listens(net: ScriptedRoom) -> None:
    first = part_run(net)
    assert (first.within, first.counted, first.kind) == (net.push.id, True, "copying")
    assert told(net, 1)["rows"][0]["states"] == "oooo"
    assert told(net, 2)["rows"][0] == {
        "call": "K2KF",
        "name": "Amber",
        "states": "llll",
        "groups": ["", "", "", ""],
        "sent": [],
    }
    copy_part(net)
    assert {s.to for s in sends(net.sent, "push")} == {"seats", "console"}
    assert part_run(net).id == first.id + 1
    assert first.closed
    net.settle()
    assert {place[1] for place in net.room.figures.results if place[0] == first.id} == {2, 3}


def test_parts_follow_each_other_when_all_have_handed_in_or_the_time_is_over(net: ScriptedRoom) -> None:
    first = part_run(net)
    net.now_ms = first.start_room_ms + first.last_end_ms + 100.0
    net.settle()
    assert not first.closed
    net.now_ms = first.start_room_ms + first.tidy_end_ms
    net.settle()
    assert first.closed
    assert state(net).at == 1


def test_what_is_missing_is_what_was_not_written_and_what_the_noise_took(net: ScriptedRoom) -> None:
    to_fills(net, {1: {3: (0, 3)}})
    assert told(net, 1)["rows"][1]["states"] == "cmcc"
    assert told(net, 3)["rows"][1]["states"] == "mccm"
    assert told(net, 1)["rows"][1]["groups"][1] == ""
    assert told(net, "console")["figures"]["in_place"] == 33
    assert [one["in_place"] for one in told(net, "wall")["stations"]] == [11, 12, 10]


# ------------------------------------------------------------------ fills


def test_question_and_answer_sound_on_every_page_and_fill_the_gap_when_they_have_sounded(
    net: ScriptedRoom,
) -> None:
    to_fills(net)
    groups = state(net).stations[1].groups
    asked = net.learner(1, "ask_fill", text=f"B7RM DE K2KF ? WA {groups[0]} K")
    heard = sends(asked, "sound")
    assert [s.to for s in heard] == ["seats", "console"]
    assert heard[0].payload["edges"] == edges_ms(bursts(f"B7RM DE K2KF ? WA {groups[0]} K", net.push.speed))
    assert told(net, 2)["turn"]["said"] == f"the group after {groups[0]}: 1 group"
    assert told(net, "console")["expected"] == f"K2KF DE B7RM WA {groups[0]} {groups[1]} K"
    assert refusal(net.learner(2, "answer_fill", text="K")) == "The question is still being sent."
    rest(net, 1.0)
    assert refusal(net.learner(3, "answer_fill", text="K")) == "B7RM was asked."
    answered = net.learner(2, "answer_fill", text=f"K2KF DE B7RM WA {groups[0]} {groups[1]} K")
    assert len(sends(answered, "sound")) == 2
    assert told(net, 1)["rows"][1]["states"] == "cmcc", "not before it has sounded"
    rest(net)
    assert told(net, 1)["rows"][1]["states"] == "cfcc"
    assert told(net, 1)["rows"][1]["groups"][1] == groups[1]
    assert told(net, 1)["turn"] is None
    assert told(net, "console")["figures"]["unneeded"] == 0


def test_one_question_at_a_time(net: ScriptedRoom) -> None:
    to_fills(net)
    net.learner(1, "ask_fill", text=question(net, 1))
    assert refusal(net.learner(3, "ask_fill", text="B7RM DE D2DU ? K")) == (
        "K2KF was first: one question at a time."
    )


def test_who_overhears_an_answer_has_it_too(net: ScriptedRoom) -> None:
    to_fills(net, {1: {3: (1,)}})
    net.learner(1, "ask_fill", text=question(net, 1))
    net.receive(ev.Leave(2))
    rest(net, ANSWER_MS)
    rest(net)
    assert told(net, 3)["rows"][1]["states"] == "cfcc"


def test_for_a_station_that_is_away_the_server_answers(net: ScriptedRoom) -> None:
    to_fills(net)
    net.receive(ev.Leave(2))
    text = question(net, 1)
    net.learner(1, "ask_fill", text=text)
    rest(net, 2_000.0)
    turn = state(net).turn
    assert turn is not None
    assert (turn.exchange.by, turn.given) == (0, (1,))
    rest(net)
    assert told(net, 1)["rows"][1]["states"] == "cfcc"


def test_for_a_station_that_does_not_answer_the_server_does_in_time(net: ScriptedRoom) -> None:
    to_fills(net)
    net.learner(1, "ask_fill", text=question(net, 1))
    rest(net, ANSWER_MS - 1_000.0)
    assert state(net).turn.given is None  # type: ignore[union-attr]
    rest(net, ANSWER_MS)
    assert state(net).turn.given == (1,)  # type: ignore[union-attr]


def test_the_instructor_may_have_the_server_answer_at_once(net: ScriptedRoom) -> None:
    to_fills(net)
    assert refusal(net.console("skip_turn")) == "Nobody has the turn: the channel is free."
    net.learner(1, "ask_fill", text=question(net, 1))
    net.console("skip_turn")
    rest(net)
    assert state(net).turn.given == (1,)  # type: ignore[union-attr]
    assert refusal(net.console("skip_turn")) == "The channel is free in a moment."


def test_a_question_that_nobody_can_answer_sounds_and_frees_the_channel_with_the_right_form_beside_it(
    net: ScriptedRoom,
) -> None:
    to_fills(net)
    groups = state(net).stations[1].groups
    net.learner(1, "ask_fill", text="B7RM DE K2KF AGN NR 2 K")
    rest(net)
    shown = told(net, 1)
    assert shown["turn"] is None
    assert shown["last"]["right"] == f"B7RM DE K2KF ? WA {groups[0]} K"
    assert shown["last"]["marked"] == [3, 4, 5]
    assert told(net, "console")["figures"]["wrong"] == 1
    assert "m" in shown["rows"][1]["states"]


def test_more_asked_and_given_than_missing_is_counted_in_groups(net: ScriptedRoom) -> None:
    to_fills(net)
    groups = state(net).stations[1].groups
    net.learner(1, "ask_fill", text=f"B7RM DE K2KF ? AA {groups[0]} K")
    rest(net, 1.0)
    net.learner(2, "answer_fill", text=f"K2KF DE B7RM AA {groups[0]} {' '.join(groups)} K")
    rest(net)
    figures = told(net, "console")["figures"]
    assert (figures["fills"], figures["unneeded"], figures["wrong"]) == (1, 3, 2)  # 2 asked, 1 given besides
    latest = told(net, "console")["exchanges"]
    assert [one["call"] for one in latest] == ["B7RM", "K2KF"]
    assert latest[1]["right"] == f"B7RM DE K2KF ? WA {groups[0]} K"
    assert latest[0]["fault"] == "3 asked, 4 given: exactly what was asked, nothing more."


def test_a_receipt_before_the_count_is_right_is_refused_with_the_reason(net: ScriptedRoom) -> None:
    to_fills(net)
    assert refusal(net.learner(1, "receipt_net")) == (
        "B7RM gave GR 4, and you have 3: ask for what is missing first."
    )
    assert not refusal(net.learner(2, "receipt_net"))
    assert refusal(net.learner(2, "ask_fill", text="K2KF DE B7RM ? K")).startswith("You have given your R")


def test_it_is_complete_when_every_station_has_given_its_r(net: ScriptedRoom) -> None:
    to_fills(net)
    net.learner(1, "ask_fill", text=question(net, 1))
    rest(net, ANSWER_MS)
    rest(net)
    for seat in (1, 2, 3):
        assert state(net).phase == "fills"
        assert not refusal(net.learner(seat, "receipt_net"))
    net.settle()
    assert state(net).phase == "complete"
    net.console("reveal")
    net.settle()
    assert told(net, 2)["rows"][0]["sent"] == list(state(net).stations[0].groups)
    assert told(net, "wall")["stations"][0]["groups"] == list(state(net).stations[0].groups)


def test_a_wrong_group_counts_as_there_and_is_shown_at_the_end(net: ScriptedRoom) -> None:
    copy_part(net)
    part, own = part_run(net), state(net).stations[1]
    net.now_ms = part.start_room_ms + part.last_end_ms + 1500.0
    wrong = "".join(own.groups)
    wrong = ("E" if wrong[0] != "E" else "T") + wrong[1:]
    keys = [{"at_ms": float(end) + 700.0, "sign": s} for end, s in zip(part.end_ms, wrong, strict=True)]
    net.learner(3, "report_sounded", push=part.id, spans=[[0, len(part.sent)]])
    net.learner(3, "write_keys", push=part.id, first=0, keys=keys)
    net.now_ms = part.start_room_ms + part.tidy_end_ms
    net.settle()
    assert told(net, 3)["rows"][1]["states"] == "cccc"
    net.now_ms = part_run(net).start_room_ms + part_run(net).last_end_ms
    net.console("reveal")
    net.settle()
    assert told(net, 3)["rows"][1]["states"] == "wccc"


# ------------------------------------------------------------------ proposing it, and how long it takes


def test_it_is_proposed_once_the_procedures_signs_are_known_and_copying_goes_well(play: ScriptedRoom) -> None:
    play.seat_three()
    kind, figures = exercises.EXERCISES["net"], play.room.figures
    play.console("set_symbols", symbols=KNOWN)
    assert kind.proposed(figures) is None, "nobody has copied anything yet"
    text = "WABNDEK?" * 8
    play.send(text)
    play.to_tidying()
    for seat in (1, 2, 3):
        play.copies_all(seat, text)
    play.console("reveal")
    play.settle()
    assert kind.proposed(figures) == NetSetup()
    play.console("set_symbols", symbols="WABNDEK")
    assert kind.proposed(figures) is None, "without ? nothing can be asked"


def test_it_is_not_proposed_while_copying_goes_badly(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols=KNOWN)
    text = "WABNDEK?" * 8
    play.send(text)
    play.to_tidying()
    for seat in (1, 2, 3):
        play.copies_all(seat, "".join(sign if i % 4 else BLANK for i, sign in enumerate(text)))
    play.console("reveal")
    play.settle()
    assert exercises.EXERCISES["net"].proposed(play.room.figures) is None


def test_words_are_of_known_sounds_and_each_stands_once(play: ScriptedRoom) -> None:
    play.room.classroom.words = ("TENT", "MEN", "TREE", "RENT", "EEL", "WA", "TEA", "KEEN", "MEET", "AND")
    play.seat_three()
    play.console("set_symbols", symbols="AEKMNRTD")
    setup = NetSetup(made_of="words", groups=2, parts=3)
    drawn = exercises.EXERCISES["net"].settle(play.room.figures, setup, np.random.default_rng(1), 0.0)
    assert isinstance(drawn, NetSetup)
    words = " ".join(drawn.texts).split()
    assert len(words) == len(set(words)) == 6
    assert set(words) <= {"TENT", "MEN", "TREE", "RENT", "TEA", "KEEN", "MEET"}, (
        "EEL has an L, AND is procedure"
    )


def test_more_groups_and_more_noise_take_longer() -> None:
    kind = exercises.EXERCISES["net"]
    assert kind.lasts_s(NetSetup(groups=4)) < kind.lasts_s(NetSetup(groups=8)) < 3600.0
    assert kind.lasts_s(NetSetup(chance=0.15)) < kind.lasts_s(NetSetup(chance=0.5))
