"""How a relay is set up: its chains, its message, its place in the plan; and a simulated class that plays it.

All names and messages are invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from copyroom.core.bursts import Speed, bursts
from copyroom.rehearsal.learner import Learner, Manner
from copyroom.rehearsal.participant import CLOCK_EXCHANGES, Emit, Participant
from copyroom.room.exercises import EXERCISES
from copyroom.room.exercises.relay.chains import drawn
from relay_room import MESSAGE, RelayRoom
from scripted_room import Send, refusal, sends


@pytest.fixture
def play() -> Iterator[RelayRoom]:
    """Whatever was played, a restarted server has the same runs, copies and chains."""
    scripted = RelayRoom()
    yield scripted
    again = scripted.replayed()
    assert repr(again.state.runs) == repr(scripted.state.runs)


def test_several_chains_start_together_and_are_led_each_by_itself(play: RelayRoom) -> None:
    play.begin(learners=9)
    chains = [[station.seat for station in chain.stations] for chain in play.push.state.chains]
    assert sorted(map(len, chains)) == [4, 5]
    assert sorted(seat for chain in chains for seat in chain) == list(range(1, 10))
    legs = [play.leg(chain[0]) for chain in chains]
    assert legs[0].start_room_ms == legs[1].start_room_ms
    assert "beside its name" in refusal(play.console("skip_turn"))
    play.console("pass_over_station", seat=chains[1][0])
    play.settle()
    assert play.leg(chains[1][1]).text == MESSAGE
    play.console("show_relay_chain", chain=2)
    assert play.told("wall")["chain"] == 2
    assert refusal(play.console("show_relay_chain", chain=3)) == "There is no such chain."


@pytest.mark.parametrize(
    ("learners", "wanted", "sizes"),
    [(2, 0, [2]), (8, 0, [8]), (9, 0, [5, 4]), (13, 0, [5, 4, 4]), (30, 0, [6] * 5), (7, 3, [3, 2, 2])],
)
def test_nobody_is_in_two_chains_and_none_is_alone(learners: int, wanted: int, sizes: list[int]) -> None:
    chains = drawn(range(1, learners + 1), wanted, np.random.default_rng(1))
    assert [len(chain) for chain in chains] == sizes
    assert sorted(seat for chain in chains for seat in chain) == list(range(1, learners + 1))


def test_it_is_refused_with_a_sentence_where_it_cannot_be(play: RelayRoom) -> None:
    play.seat_three()

    def start(**setup: Any) -> str:
        return refusal(play.console("start_exercise", kind="relay", setup=setup))

    assert start(what="own", text="KM", left_out=[1, 2]).startswith("A relay needs two learners")
    assert start(what="own", text="K" * 61).endswith("60 at most.")
    assert start(what="own") == "Write the text to be sent first."
    assert start(what="groups") == "Choose the symbols first."
    play.console("set_hearing", way="loudspeaker", source=0)
    assert start(what="own", text="KM").startswith("In a relay one learner alone hears")


def test_who_is_left_out_has_no_part(play: RelayRoom) -> None:
    assert sorted(play.begin(left_out=[2]).chain) == [1, 3]
    assert play.told(2)["role"] == "none"


def test_a_message_is_drawn_from_the_known_sounds(play: RelayRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="AEKMNT")
    play.console("start_exercise", kind="relay", setup={"what": "groups", "sounds": 10})
    play.settle()
    message = play.told("console")["message"]
    assert len(message.replace(" ", "")) == 10
    assert set(message) <= set("AEKMNT ")


def test_it_stands_in_the_plan_with_its_length(play: RelayRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="AEKMNT")
    play.console("add_exercise", kind="relay", setup={"what": "groups", "sounds": 20})
    (step,) = play.state.plan
    assert step.step.duration_s == EXERCISES["relay"].lasts_s(EXERCISES["relay"].setup())
    assert not refusal(play.console("send_step", step=step.id))
    play.settle()
    assert play.push.kind == "relay"


def test_it_is_proposed_when_the_class_reads_words_and_knows_its_sounds(play: RelayRoom) -> None:
    kind = EXERCISES["relay"]
    seats = play.seat_three()
    play.console("set_symbols", symbols="ACEKMT")
    assert kind.proposed(play.room.figures) is None
    for text in ("CAT TAME TACK MAKE KATE TEA " * 4,) * 5:
        play.send(text, purpose="words")
        play.to_tidying()
        for seat in seats:
            play.copies_all(seat, play.push.sent)
        play.console("reveal")
        play.settle()
    proposed: Any = kind.proposed(play.room.figures)
    assert proposed is not None
    assert proposed.what == "words"
    assert not refusal(play.console("start_exercise", kind="relay", setup={"what": "words"}))
    play.settle()
    assert kind.proposed(play.room.figures) is None, "one an evening"


# ------------------------------------------------------------------ simulated learners


def test_simulated_learners_pass_it_on_to_the_end(play: RelayRoom) -> None:
    """Each hears, writes and hands in like in any run of copying; nothing else is asked of them."""
    message = "KMRS TAKE MAST"
    play.begin(message)
    rng = np.random.default_rng(3)
    pages = {seat: Participant(f"L{seat}", "c", Learner(Manner.draw(rng, 0.8), rng)) for seat in (1, 2, 3)}
    for seat, page in pages.items():
        page.connected(play.now_ms)
        for _ in range(CLOCK_EXCHANGES):
            page.clock(play.now_ms, {"received_room_ms": play.now_ms}, play.now_ms)
        page.take()
        (welcome,) = sends(play.join("", play.state.seats[seat].token), "welcome")
        page.receive("welcome", welcome.payload, play.now_ms)
    given = len(play.sent)
    for _ in range(5_000):
        for seat, page in pages.items():
            for emit in page.take():
                if isinstance(emit, Emit) and emit.event not in ("join", "clock"):
                    play.learner(seat, emit.event, **emit.payload)
        play.settle()
        given = _delivered(play, pages, given)
        if play.push.state.is_over:
            break
        wake_ms = min(page.wake_page_ms for page in pages.values())
        play.now_ms = max(play.now_ms, min(wake_ms, play.now_ms + 1_000.0))
        for page in pages.values():
            page.wake(play.now_ms)
    assert play.push.state.is_over
    assert play.statuses() == ["passed"] * 3
    assert len(bursts(message, Speed(18, 6)).symbols) >= play.rows()[2]["in_place"]
    assert sum(play.evening().values()) > 30


def _delivered(play: RelayRoom, pages: dict[int, Participant], given: int) -> int:
    for message in play.sent[given:]:
        assert isinstance(message, Send)
        if isinstance(message.to, int):
            pages[message.to].receive(message.name, message.payload, play.now_ms)
    return len(play.sent)
