"""Named rounds, whatever happens in whatever order: first answers stand, no name is told in its gap."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.core.alphabet import BLANK
from copyroom.room import events as ev
from copyroom.room.exercises.named.state import SAY_MS, Rounds
from copyroom.room.room import EARLY_MS
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, Send, refusal

IN_PLAY = "AEKMNRST"
ALWAYS = "E"
"""What learners answer, beside blanks: no stretch of the sounds sent is three times the same."""
STRETCH = 3
TONES = {"edges", "shifts"}
seats = st.integers(1, 5)


def words(value: Any) -> list[str]:
    """Every string in a payload, whatever the fields are called, and lists of signs as one."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [word for field, inner in value.items() if field not in TONES for word in words(inner)]
    if isinstance(value, list):
        joined = "".join(inner for inner in value if isinstance(inner, str))
        return [joined, *(word for inner in value for word in words(inner))]
    return []


def leak(run: Run, send: Send, now_ms: float) -> str:
    """What of the sounds a message gives away before its time; "" for nothing."""
    stretches = {run.sent[i : i + STRETCH] for i in range(len(run.sent) - STRETCH + 1)}
    hidden = {stretch for stretch in stretches if stretch not in IN_PLAY}
    shown = send.payload.get("shown") if send.name == "exercise" else None
    if isinstance(shown, dict) and shown.get("name"):
        state: Rounds = run.state
        place = shown["round"] - 1
        over_ms = state.over_ms[place] if place < len(state.over_ms) else float("inf")
        due_ms = run.start_room_ms + over_ms + (SAY_MS if state.voice else 0.0)
        if now_ms < due_ms - EARLY_MS:
            return str(shown["name"])
    for word in words(send.payload):
        if found := next((stretch for stretch in hidden if stretch in word), ""):
            return found
    return ""


class AnyRounds(RuleBasedStateMachine):
    """Instructor, learners and time do what they like."""

    @initialize(meets=st.booleans(), voice=st.booleans(), by_turns=st.booleans(), seed=st.integers(0, 99))
    def begin(self, meets: bool, voice: bool, by_turns: bool, seed: int) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()
        self.play.console("set_symbols", symbols=IN_PLAY)
        if meets:  # a new sound, with known ones now and then
            fields = {"purpose": "meet", "symbols": "W", "count": 12, "group": 5, "text": "", "seed": seed}
            begun = self.play.console("send_text", **fields, name_shown=True, counted=False)
        else:
            setup = {"rounds": 8, "gap_s": 2.0, "voice": voice, "by_turns": by_turns}
            begun = self.play.console("start_exercise", kind="named", setup=setup, seed=seed)
        assert not refusal(begun)
        self.run_of = self.play.push
        self.first: dict[tuple[int, int], str] = {}
        self.told = 0

    # -------------------------------------------------------- time, and the instructor

    @rule(ms=st.sampled_from([5.0, 400.0, 1_500.0, 4_000.0, 20_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.settle()

    @rule(order=st.sampled_from(["pause", "go_on", "stop", "skip_turn"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(order=st.sampled_from(["close", "reveal", "nothing", "nothing", "nothing"]))
    def end(self, order: str) -> None:
        if order != "nothing":
            self.play.console(order)

    @rule(seat=seats, to=seats)
    def hand_over(self, seat: int, to: int) -> None:
        self.play.console("hand_over", seat=seat, to=to)

    @rule(seat=st.integers(3, 5))
    def remove(self, seat: int) -> None:
        self.play.console("remove_seats", seats=[seat])
        self.first = {(who, place): sign for (who, place), sign in self.first.items() if who != seat}

    # -------------------------------------------------------- learners

    @rule(name=st.sampled_from(["Dune", "Elm"]))
    def join(self, name: str) -> None:
        self.play.join(name)

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(
        seat=seats, back=st.integers(0, 2), sign=st.sampled_from([ALWAYS, BLANK]), lag_ms=st.floats(-50, 4e3)
    )
    def answer(self, seat: int, back: int, sign: str, lag_ms: float) -> None:
        run, place = self.run_of, max(0, self.run_of.state.at - back)
        at_ms = float(run.end_ms[place]) + lag_ms
        held = self._held(seat, place)
        said = self.play.learner(seat, "answer_sound", push=run.id, place=place, sign=sign, at_ms=at_ms)
        if not refusal(said):
            self.first.setdefault((seat, place), sign)
            assert self._held(seat, place) == held or held == ""

    @rule(seat=seats, place=st.integers(0, 7), sign=st.sampled_from(IN_PLAY))
    def put_right(self, seat: int, place: int, sign: str) -> None:
        before = {seat: copy.written for seat, copy in self.run_of.copies.items()}
        given = self.run_of.state.given
        said = self.play.learner(seat, "put_right", push=self.run_of.id, place=place, sign=sign)
        assert refusal(said) or place < given
        assert before == {seat: copy.written for seat, copy in self.run_of.copies.items()}

    @rule(seat=seats, start=st.integers(0, 7), length=st.integers(1, 8))
    def sounded(self, seat: int, start: int, length: int) -> None:
        spans = [[start, start + length]]
        self.play.learner(seat, "report_sounded", push=self.run_of.id, spans=spans)

    def _held(self, seat: int, place: int) -> str:
        copy = self.run_of.copies.get(seat)
        return "" if copy is None else "".join(mark.sign for mark in copy.marks if mark.place == place)

    # -------------------------------------------------------- what always holds

    @invariant()
    def first_answers_are_what_was_written_first_and_nothing_else(self) -> None:
        held = {
            (seat, mark.place): mark.sign for seat, copy in self.run_of.copies.items() for mark in copy.marks
        }
        assert held == self.first
        assert sum(len(copy.marks) for copy in self.run_of.copies.values()) == len(held)

    @invariant()
    def rounds_go_forward_and_turns_are_of_those_in_the_room(self) -> None:
        state: Rounds = self.run_of.state
        assert -1 <= state.at < len(self.run_of.sent)
        assert state.given <= state.over <= len(state.over_ms)
        assert state.by_turns or state.turns == []
        assert set(state.turns) <= set(self.play.state.seats)

    @invariant()
    def nobody_is_told_a_name_before_its_time(self) -> None:
        told, self.told = self.play.sent[self.told :], len(self.play.sent)
        if self.run_of.closed:
            return
        for send in told:
            if send.to in ("wall", "seats") or isinstance(send.to, int):
                assert leak(self.run_of, send, self.play.now_ms) == "", f"{send.name} tells {send.to}"

    def teardown(self) -> None:
        """It can be ended from anywhere; a restarted server has the same room, before and after."""
        if not hasattr(self, "play"):
            return
        again = self.play.replayed().state.runs[0]
        assert (again.state, again.copies) == (self.run_of.state, self.run_of.copies)
        self.play.now_ms += 300_000.0  # looking takes some time of its own: nothing must come up meanwhile
        self.play.settle()
        assert self.play.replayed().durable_views() == self.play.durable_views()
        if not self.run_of.cancelled:
            assert self.run_of.revealed or not refusal(self.play.console("reveal"))
            self.play.settle()
            assert self.play.replayed().durable_views() == self.play.durable_views()
            heard = sum(sum(copy.counted(self.run_of)) for copy in self.run_of.copies.values() if copy.marks)
            assert sum(self.play.cells().values()) == heard


AnyRounds.TestCase.settings = settings(
    max_examples=15, stateful_step_count=20, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyRounds = AnyRounds.TestCase


def test_a_name_that_is_told_too_soon_is_found() -> None:
    """The check can fail: the names in any field, and one name as such."""
    play = ScriptedRoom()
    play.seat_three()
    play.console("set_symbols", symbols=IN_PLAY)
    play.console("start_exercise", kind="named", setup={"rounds": 8}, seed=1)
    run = play.push
    (told,) = [send for send in play.sent if send.name == "exercise" and send.to == 1]
    assert leak(run, told, play.now_ms) == ""
    for hidden in (run.sent, list(run.sent), {"deep": [{"er": run.sent[2:6]}]}):
        payload = told.payload | {"shown": told.payload["shown"] | {"anything": hidden}}
        assert leak(run, told._replace(payload=payload), play.now_ms)
    payload = told.payload | {"shown": told.payload["shown"] | {"round": 1, "name": run.sent[0]}}
    assert leak(run, told._replace(payload=payload), play.now_ms) == run.sent[0]


@pytest.mark.parametrize("voice", [False, True])
def test_rounds_left_alone_come_to_their_end(voice: bool) -> None:
    play = ScriptedRoom()
    play.seat_three()
    play.console("set_symbols", symbols=IN_PLAY)
    play.console("start_exercise", kind="named", setup={"rounds": 8, "voice": voice}, seed=1)
    play.now_ms += 120_000.0
    play.settle()
    assert (play.push.state.at, play.push.state.step) == (7, "name")
    assert not refusal(play.console("reveal"))
