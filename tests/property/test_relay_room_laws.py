"""Laws of a relay in the room: it can always be ended, survives a restart, and tells nobody too early.

Learners write other signs than those of the message, so that nothing they are told of their own can hold it.
All names and messages are invented.
"""

from __future__ import annotations

import json
import re
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, SENDER
from copyroom.room.exercises.relay.chains import Relaying
from copyroom.room.run import Run
from keyed_turns import tones_of
from relay_room import RelayRoom
from scripted_room import Send, refusal

SECRET = "TKSAM RNKTAS"
"""What travels: no stretch of it is in the alphabet's order, as keys are. Learners write OTHER signs."""
OTHER = "EIHVB_"
PLAIN = SECRET.replace(" ", "")
STRETCHES = {PLAIN[i : i + 3] for i in range(len(PLAIN) - 2)}
seats = st.integers(1, 6)


def leak(payload: Any) -> str:
    """A stretch of the message in a payload, letters of several fields run together; "" for none."""
    capitals = re.sub(r"[^A-Z]", "", json.dumps(payload))
    return next((stretch for stretch in STRETCHES if stretch in capitals), "")


class AnyRelay(RuleBasedStateMachine):
    """Instructor and learners do what they like, and the server is killed now and then."""

    @initialize(
        learners=st.integers(3, 5),
        parallel=st.integers(1, 2),
        ms=st.sampled_from([0.0, 4_000.0]),
        by_hand=st.booleans(),
        no_key=st.lists(st.integers(1, 3), max_size=1),
    )
    def begin(self, learners: int, parallel: int, ms: float, by_hand: bool, no_key: list[int]) -> None:
        hand = {"by_hand": by_hand, "no_key": no_key, "turn_s": 20.0}
        self.play = RelayRoom().begin(SECRET, learners, parallel=parallel, **hand)
        self.play.now_ms += ms
        self.checked = 0

    @property
    def run(self) -> Run:
        return self.play.state.runs[0]

    @property
    def state(self) -> Relaying:
        found: Relaying = self.run.state
        return found

    # -------------------------------------------------------- what happens

    @rule(ms=st.sampled_from([0.0, 900.0, 6_000.0, 20_000.0, 90_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.settle()

    @rule(seat=seats, signs=st.text(OTHER, max_size=7), says_so=st.booleans())
    def write(self, seat: int, signs: str, says_so: bool) -> None:
        legs = [leg for leg in self.play.state.runs if leg.within and leg.has(seat) and seat in leg.copies]
        if not legs or seat not in self.play.state.seats:
            return
        self.play.writes(seat, signs)
        if says_so:
            self.play.learner(seat, "hand_in", push=legs[-1].id)

    @rule(text=st.text("EIH", min_size=1, max_size=3), is_all=st.booleans())
    def key(self, text: str, is_all: bool) -> None:
        """Who is at the key sends something, and perhaps says that it was all."""
        stretch = next((one for one in reversed(self.state.keyed) if not one.over), None)
        if (
            stretch is None
            or stretch.seat not in self.play.state.seats
            or self.run.halted_room_ms is not None
        ):
            return
        at_ms = max(self.play.now_ms - stretch.start_room_ms, (stretch.off_ms or [0.0])[-1]) + 50.0
        tones = tones_of(text, at_ms=at_ms)
        self.play.now_ms = stretch.start_room_ms + tones[-1][1] + 100.0
        edges, first = [edge for tone in tones for edge in tone], len(stretch.on_ms)
        before = list(stretch.on_ms)
        found = self.play.learner(stretch.seat, "key_edges", turn=stretch.number, first=first, edges=edges)
        assert stretch.on_ms == before + ([] if refusal(found) else [on for on, _ in tones])
        if is_all:
            self.play.learner(stretch.seat, "sent_all", turn=stretch.number)

    @rule(seat=seats)
    def has_no_key(self, seat: int) -> None:
        self.play.learner(seat, "relay_by_machine")

    @rule(seat=seats)
    def drop(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule()
    def come_late(self) -> None:
        if len(self.play.state.seats) < 6:
            self.play.join("Late")

    @rule(order=st.sampled_from(["pause", "go_on", "go_on", "stop", "skip_turn", "close"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(seat=seats, to=seats)
    def hand_over(self, seat: int, to: int) -> None:
        self.play.console("hand_over", seat=seat, to=to)

    @rule(seat=seats)
    def pass_over(self, seat: int) -> None:
        self.play.console("pass_over_station", seat=seat)

    @rule(seat=seats)
    def take_out(self, seat: int) -> None:
        if len(self.play.state.seats) > 2:
            self.play.console("remove_seats", seats=[seat])

    @rule(chain=st.integers(1, 3))
    def show_chain(self, chain: int) -> None:
        self.play.console("show_relay_chain", chain=chain)

    @rule()
    def look(self) -> None:
        self.play.receive(ev.Watch("wall"))

    @rule()
    def kill_the_server(self) -> None:
        """What is in nobody's memory is in the journal; browsers come back by themselves."""
        before = repr(self.play.state.runs)
        again = self.play.replayed()
        assert repr(again.state.runs) == before
        self.checked = 0
        room = RelayRoom(self.play.now_ms)
        room.__dict__.update(again.__dict__)
        self.play = room
        for seat in list(self.play.state.seats.values()):
            self.play.join("", seat.token)

    # -------------------------------------------------------- what always holds

    @invariant()
    def each_chain_has_one_at_hand_and_what_is_over_stays_over(self) -> None:
        for chain in self.state.chains:
            statuses = [station.status for station in chain.stations]
            assert statuses.count("copies") <= 1
            waiting = [k for k, status in enumerate(statuses) if status == "waits"]
            copying = [k for k, status in enumerate(statuses) if status == "copies"]
            assert not copying or not waiting or copying[0] < waiting[0]
        parts = [station.seat for station in self.state.stations if station.is_open]
        assert len(set(parts)) == len(parts), "nobody has two parts to come"
        if self.run.closed:
            assert all(leg.closed for leg in self.play.state.runs)
            assert self.run.cancelled or not any(
                station.status == "copies" for station in self.state.stations
            )

    @invariant()
    def a_leg_sounds_at_its_receiver_and_nobody_else_is_told_of_the_message(self) -> None:
        told, self.checked = self.play.sent[self.checked :], len(self.play.sent)
        for send in told:
            if send.to == CONSOLE or (send.to == SENDER and send.name in ("room", "run")):
                continue
            assert leak(send.payload) == "", f"{send.name} tells {send.to}: {send.payload}"
            for push in pushes(send):
                receivers = self.play.state.runs[push - 1].seats
                gone = isinstance(send.to, int) and send.to not in self.play.state.seats
                assert gone or receivers is None or not receivers or receiver(send) in receivers

    @invariant()
    def something_comes_next_unless_somebody_is_waited_for(self) -> None:
        """Paused, stopped, over, or all who copy are away: else the room has asked to be woken."""
        seats, waits = self.play.state.seats, self.run.closed or self.run.halted_room_ms is not None
        copying = [station for station in self.state.stations if station.status == "copies"]
        is_held = copying and not any(seats[s.seat].here for s in copying if s.seat in seats)
        assert waits or is_held or self.play.room.wake_at_ms is not None

    def teardown(self) -> None:
        """It can always be ended, and shown to all; and a restarted server has the same."""
        if not hasattr(self, "play"):
            return
        play = self.play
        if self.run.halted_room_ms is not None and not self.run.closed:
            play.console("go_on")
        play.settle()
        for seat in [station.seat for station in self.state.stations if station.is_open]:
            play.console("pass_over_station", seat=seat)
        play.settle()
        assert self.run.closed or self.run.stopped, "all are through, so it is over"
        if self.run.cancelled:
            return  # it was over before it began
        effects = play.console("reveal")
        assert not refusal(effects), refusal(effects)
        play.settle()
        assert not any(leg.unread and not leg.cancelled for leg in play.state.runs), "what was keyed is read"
        for number, chain in enumerate(play.told(CONSOLE)["paths"], 1):
            assert chain["chain"] == number
            assert chain["columns"].replace(" ", "") == PLAIN
        assert repr(play.replayed().state.runs) == repr(play.state.runs)


def pushes(send: Send) -> list[int]:
    """The runs whose sounds are in a message."""
    if send.name == "sound":
        return [send.payload["push"]]
    pushed = (
        send.payload if send.name == "push" else send.payload.get("push") if send.name == "welcome" else None
    )
    return [pushed["push"]] if pushed and pushed["edges"] else []


def receiver(send: Send) -> int | str:
    return int(send.payload["seat"]) if send.name == "welcome" else send.to


AnyRelay.TestCase.settings = settings(
    max_examples=12, stateful_step_count=20, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyRelay = AnyRelay.TestCase
