"""Laws of the turns at the key: whatever happens, in whatever order, they go on, and nothing keyed is lost.

And nothing of a turn is told to those who copy it before their copies are final.
"""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.exercises.key.turns import AtKey
from copyroom.room.run import Run
from keyed_turns import tones_of
from scripted_room import ScriptedRoom, refusal

SECRET = "RKQX"
"""What is meant; no keyboard's order holds it."""
seats = st.integers(1, 4)


def said(value: Any) -> str:
    """All strings in a payload but the keys of the sheets, which hold every letter."""
    if isinstance(value, dict):
        return " ".join(said(inner) for name, inner in value.items() if name != "symbols")
    if isinstance(value, list):
        return "".join(said(inner) for inner in value)
    return value if isinstance(value, str) else " "


class AnyTurns(RuleBasedStateMachine):
    """Senders, copiers, the instructor and the time do what they like."""

    @initialize(gap_s=st.sampled_from([5.0, 15.0]))
    def begin(self, gap_s: float) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()
        setup = {"senders": [1, 2, 3], "text": "given", "given": SECRET, "turn_s": 20.0, "gap_s": gap_s}
        assert not refusal(self.play.console("start_exercise", kind="key", setup=setup))
        self.looked = len(self.play.sent)

    @property
    def top(self) -> Run:
        return self.play.state.runs[0]

    @property
    def state(self) -> AtKey:
        state: AtKey = self.top.state
        return state

    @rule(ms=st.sampled_from([0.0, 150.0, 1_500.0, 9_000.0, 30_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.settle()

    @rule(text=st.text("ETA", min_size=1, max_size=3), again=st.booleans())
    def key(self, text: str, again: bool) -> None:
        turn = self.state.turn
        if turn.seat not in self.play.state.seats or self.top.halted_room_ms is not None:
            return
        at_ms = max(self.play.now_ms - turn.start_room_ms, (turn.off_ms or [0.0])[-1]) + 50.0
        tones = tones_of(text, at_ms=at_ms)
        self.play.now_ms = turn.start_room_ms + tones[-1][1] + 100.0
        edges = [edge for tone in tones for edge in tone]
        before = list(turn.on_ms)
        first = len(before)
        refused = refusal(
            self.play.learner(turn.seat, "key_edges", turn=turn.number, first=first, edges=edges)
        )
        if again:
            self.play.learner(turn.seat, "key_edges", turn=turn.number, first=first, edges=edges)
        assert turn.on_ms == before + ([] if refused else [on for on, _ in tones])

    @rule(seat=seats, what=st.sampled_from(["sent_all", "word_again", "show_fist", "say_text"]))
    def say(self, seat: int, what: str) -> None:
        more: dict[str, dict[str, Any]] = {
            "word_again": {"word": 0},
            "show_fist": {"on": True},
            "say_text": {"text": "E"},
        }
        self.play.learner(seat, what, turn=self.state.turn.number, **more.get(what, {}))

    @rule(seat=seats, sign=st.sampled_from("ETA_"))
    def write(self, seat: int, sign: str) -> None:
        part = self.state.turn.part
        if seat in part.copies:
            first = part.copies[seat].strokes
            at_ms = self.play.now_ms - part.start_room_ms
            keys = [{"at_ms": max(at_ms, -1_000.0), "sign": sign}]
            self.play.learner(seat, "write_keys", push=part.id, first=first, keys=keys)
            self.play.learner(seat, "report_sounded", push=part.id, spans=[[0, 3]])

    @rule(order=st.sampled_from(["pause", "go_on", "skip_turn", "stop", "close"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(seat=seats, to=seats)
    def hand_over(self, seat: int, to: int) -> None:
        self.play.console("hand_over", seat=seat, to=to)

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule()
    def come_in(self) -> None:
        if self.play.state.next_seat < 5:
            self.play.join("Dahlia")

    @rule(seat=st.integers(2, 3))
    def take_out(self, seat: int) -> None:
        if len(self.play.state.seats) > 2:
            self.play.console("remove_seats", seats=[seat])

    @rule()
    def kill(self) -> None:
        """The server goes on from its journal, in the middle of whatever it was."""
        again = self.play.replayed()
        again.sent, self.looked = self.play.sent, len(self.play.sent)
        self.play = again
        for seat in list(again.state.seats.values()):
            again.join("", seat.token)

    @invariant()
    def the_turns_are_legal(self) -> None:
        state = self.state
        for number, turn in enumerate(state.turns, start=1):
            assert turn.number == number
            assert turn.done or turn is state.turns[-1]
            assert len(turn.on_ms) == len(turn.off_ms)
            assert all(on < off for on, off in zip(turn.on_ms, turn.off_ms, strict=True))
            assert not turn.part.sent or len(turn.part.bursts.on_s) == len(turn.on_ms)
            for copy in turn.part.copies.values():
                assert turn.part.unread or not turn.part.sent or len(copy.heard) == len(turn.part.sent)

    @invariant()
    def who_copies_is_told_nothing_before_the_copies_are_final(self) -> None:
        state, new = self.state, self.play.sent[self.looked :]
        self.looked = len(self.play.sent)
        if any(turn.done for turn in state.turns):
            return
        sender = state.turn.seat
        for send in new:
            if send.to in self.play.state.seats and send.to != sender and send.name == "exercise":
                assert SECRET not in said(send.payload)
            if send.to == "wall":
                assert SECRET not in said(send.payload)

    def _to_a_calm_moment(self) -> None:
        """Nothing comes by itself within some seconds: looking at a room takes it a little time."""
        for _ in range(20):
            self.play.settle()
            due_ms = exercises.wake_at_ms(self.play.state)
            if due_ms is None or due_ms > self.play.now_ms + 4_000.0:
                return
            self.play.now_ms = max(self.play.now_ms, due_ms)

    def teardown(self) -> None:
        """A restart knows the same; and from wherever it stands the class can finish."""
        if not hasattr(self, "play"):
            return
        self._to_a_calm_moment()
        assert self.play.replayed().durable_views() == self.play.durable_views()
        for order in ("stop", "reveal"):
            self.play.console(order)
        self.play.now_ms += 20_000.0
        self.play.settle()
        assert self.play.state.open_run is None
        for turn in self.state.turns:
            assert turn.part.cancelled or not turn.part.unread
            assert not turn.read or turn.part.text == turn.read.text


AnyTurns.TestCase.settings = settings(
    max_examples=12, stateful_step_count=22, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyTurns = AnyTurns.TestCase
