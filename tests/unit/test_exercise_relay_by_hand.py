"""A relay by hand: what a station keys is what the next one copies, and both stand in the way of the message.

All names and messages are invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from copyroom.core.alphabet import symbol
from copyroom.room.events import Leave
from copyroom.room.exercises import of
from copyroom.room.forgetting import without_the_removed
from copyroom.room.journal import from_record, to_record
from copyroom.room.keyed import Stretch
from keyed_turns import tones_of
from relay_room import RelayRoom
from scripted_room import refusal, sends

MESSAGE = "KMTA"


class HandRelay(RelayRoom):
    """A relay in which stations key what they have."""

    @property
    def stretch(self) -> Stretch:
        found: Stretch = self.state.runs[0].state.keyed[-1]
        return found

    def key(self, text: str) -> None:
        """Who is at the key sends this."""
        stretch = self.stretch
        tones = tones_of(text, at_ms=(stretch.off_ms or [0.0])[-1] + 500.0)
        self.now_ms = max(self.now_ms, stretch.start_room_ms + tones[-1][1] + 100.0)
        first, edges = len(stretch.on_ms), [edge for tone in tones for edge in tone]
        found = self.learner(stretch.seat, "key_edges", turn=stretch.number, first=first, edges=edges)
        assert not refusal(found), refusal(found)

    def keys_it(self, text: str) -> None:
        """All of it, until it is read."""
        self.key(text)
        part = self.stretch.part
        assert part is not None
        for seat in part.seats or ():
            self.learner(seat, "report_sounded", push=part.id, spans=[[0, len(self.stretch.on_ms)]])
        assert not refusal(self.learner(self.stretch.seat, "sent_all", turn=self.stretch.number))
        self.until_read()

    def until_read(self) -> None:
        for _ in range(8):
            self.now_ms += 1_000.0
            self.settle()

    def copies_hand(self, seat: int, signs: str, text: str) -> None:
        """Write each sign after its symbol, and pass it on."""
        leg, stretch = self.leg(seat), self.stretch
        ends, at = [], 0
        for sign in text:
            at += len(symbol(sign).elements)
            ends.append(stretch.off_ms[at - 1])
        keys = [{"at_ms": end + 700.0, "sign": sign} for end, sign in zip(ends, signs, strict=True)]
        assert not refusal(self.learner(seat, "write_keys", push=leg.id, first=0, keys=keys))
        self.learner(seat, "hand_in", push=leg.id)
        self.settle()


@pytest.fixture
def play() -> Iterator[HandRelay]:
    """Whatever was played, a restarted server has the same runs, copies and chains."""
    scripted = HandRelay()
    yield scripted
    again = scripted.replayed()
    assert repr(again.state.runs) == repr(scripted.state.runs)


def by_hand(play: HandRelay, **more: Any) -> list[int]:
    """The first station has copied the message; the second waits for its hand."""
    chain = play.begin(MESSAGE, by_hand=True, **more).chain
    play.passes(chain[0], MESSAGE)
    return chain


def test_who_has_copied_keys_it_for_the_next_one(play: HandRelay) -> None:
    first, second, third = by_hand(play)
    shown = play.told(first)
    assert (shown["role"], shown["key"]["text"], shown["keys"]) == ("keys", MESSAGE, 1)
    assert shown["key"]["start_room_ms"] == play.stretch.start_room_ms >= play.now_ms + 5_000.0
    assert [play.told(seat)["role"] for seat in (second, third)] == ["copies", "waits"]
    assert play.told(second)["key"] is None
    leg = play.leg(second)
    assert (leg.text, leg.unread) == ("", True)
    assert play.told("console")["paths"][0]["keys"] == 1


def test_the_hand_is_heard_at_its_receiver_alone_at_a_steady_delay(play: HandRelay) -> None:
    _, second, _ = by_hand(play)
    play.key("K")
    (sound,) = sends(play.sent, "sound")
    assert sound.to == second
    assert sound.payload["start_room_ms"] == play.stretch.start_room_ms + 1200.0
    assert sound.payload["edges"][0] == [500.0, 740.0]


def test_what_was_copied_and_what_was_really_keyed_stand_in_the_way_of_the_message(play: HandRelay) -> None:
    """The hand made an N of the A, the next ear heard that rightly, and its hand keyed it rightly."""
    _, second, third = by_hand(play)
    play.keys_it("KMTN")
    play.copies_hand(second, "KMTN", "KMTN")
    play.keys_it("KMTN")
    play.copies_hand(third, "KM_N", "KMTN")
    rows = play.rows()
    assert [(row["signs"], row["kinds"]) for row in rows] == [
        ("KMTA", "===="),
        ("KMTN", "===p"),
        ("KM_N", "==lp"),
    ]
    assert [(row["keyed_signs"], row["keyed_kinds"], row["keyed_in_place"]) for row in rows] == [
        ("KMTN", "===c", 3),
        ("KMTN", "===p", 3),
        ("", "", 0),
    ]


def test_a_copy_counts_against_what_was_keyed(play: HandRelay) -> None:
    _, second, third = by_hand(play)
    play.keys_it("KMTN")
    play.copies_hand(second, "KMTN", "KMTN")
    play.console("pass_over_station", seat=third)
    play.settle()
    table = play.evening()
    assert (table["N", "N"], table.get(("A", "N"), 0)) == (1, 0)


def test_who_has_no_key_lets_the_machine_send(play: HandRelay) -> None:
    seats = (1, 2, 3)
    first, second, third = play.begin(MESSAGE, by_hand=True, no_key=list(seats)).chain
    play.passes(first, MESSAGE)
    assert play.leg(second).text == MESSAGE
    assert not play.leg(second).unread
    play.passes(second, MESSAGE)
    assert play.leg(third).text == MESSAGE


@pytest.mark.parametrize("by_console", [False, True])
def test_a_hand_that_does_not_come_on_is_replaced_by_the_machine(play: HandRelay, by_console: bool) -> None:
    first, second, _ = by_hand(play)
    play.key("K")
    if by_console:
        play.receive(Leave(first))
        assert play.told("console")["paths"][0]["held"]
        assert play.told(second)["key_held"]
        assert not refusal(play.console("relay_by_machine", seat=first))
    else:
        assert not refusal(play.learner(first, "relay_by_machine"))
    play.settle()
    assert play.leg(second).text == MESSAGE
    assert play.told(second)["keys"] == 0


def test_where_nothing_is_keyed_in_the_time_the_machine_sends_it(play: HandRelay) -> None:
    for seat in play.begin(MESSAGE, by_hand=True, turn_s=20.0).chain:
        play.sound(seat, "on")
    first, second, _ = play.chain
    play.passes(first, MESSAGE)
    play.now_ms = play.stretch.start_room_ms + 21_000.0
    play.settle()
    assert play.leg(second).text == MESSAGE


def test_the_sender_is_waited_for_and_has_time_when_they_are_back(play: HandRelay) -> None:
    first, second, _ = by_hand(play, turn_s=20.0)
    play.key("KM")
    play.receive(Leave(first))
    play.now_ms += 300_000.0
    play.settle()
    assert not play.stretch.over
    play.join("", play.state.seats[first].token)
    play.settle()
    assert not play.stretch.over
    assert play.told(first)["key"]["kept"] == 5
    play.keys_it("TA")
    play.copies_hand(second, MESSAGE, MESSAGE)
    assert play.rows()[0]["keyed_signs"] == MESSAGE


def test_a_pause_before_a_keyed_leg_is_written_leaves_it_ended(play: HandRelay) -> None:
    _, second, third = by_hand(play)
    play.key(MESSAGE)
    play.learner(play.stretch.seat, "sent_all", turn=play.stretch.number)
    play.console("pause")
    play.now_ms += 2_000.0
    play.console("go_on")
    assert play.leg(second).stopped, "nothing more comes in it"
    play.until_read()
    play.copies_hand(second, MESSAGE, MESSAGE)
    assert play.told(third)["role"] == "copies"


def test_a_stop_at_the_key_that_stands_reads_what_was_keyed(play: HandRelay) -> None:
    _, second, _ = by_hand(play)
    play.key("KM")
    play.now_ms += 3_000.0
    play.console("stop")
    play.now_ms += 6_000.0
    play.settle()
    play.until_read()
    assert play.leg(second).text == "KM"
    play.console("reveal")
    play.settle()
    assert play.told("console")["shown"]


def test_the_end_can_come_while_somebody_keys(play: HandRelay) -> None:
    _, second, _ = by_hand(play)
    play.key("KM")
    play.now_ms += 3_000.0
    play.console("reveal")
    play.settle()
    assert play.statuses() == ["passed", "cut", "waits"]
    assert play.leg(second).text == "KM"
    assert play.told(second)["path"] is not None


def test_with_a_sender_taken_out_goes_what_was_keyed_and_the_chain_goes_on(play: HandRelay) -> None:
    first, second, _ = by_hand(play)
    play.key("KM")
    play.console("remove_seats", seats=[first])
    play.settle()
    assert play.stretch.on_ms == []
    assert play.leg(second).text == MESSAGE, "the message itself: nobody before them has a version"


def test_a_journal_without_who_keyed_tells_the_same_relay(play: HandRelay) -> None:
    first, second, third = by_hand(play)
    play.keys_it("KMTN")
    play.copies_hand(second, "KMTN", "KMTN")
    play.console("remove_seats", seats=[first])
    play.settle()
    play.keys_it("KMTN")
    play.copies_hand(third, "KMTN", "KMTN")
    events = [from_record(name, body) for name, body, _ in play.journal]
    left = RelayRoom(play.now_ms)
    for event, (_, _, at_ms) in zip(without_the_removed(events), play.journal, strict=True):
        if event is not None:
            left.journal.append((*to_record(event), at_ms))
    assert len(left.journal) < len(play.journal)
    assert repr(left.replayed().state.runs) == repr(play.state.runs)


def test_a_simulated_learner_keys_what_it_has(play: HandRelay) -> None:
    first, second, _ = by_hand(play)
    kind, chance = of(play.push), np.random.default_rng(3)
    began_ms = play.now_ms
    assert kind.play(play.told(second), chance) == ()
    for act in kind.play(play.told(first), chance):
        play.now_ms = began_ms + act.after_s * 1000.0
        assert not refusal(play.learner(first, act.name, **act.fields))
    play.until_read()
    assert play.leg(second).text == MESSAGE
