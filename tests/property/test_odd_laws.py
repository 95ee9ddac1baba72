"""The odd one, whatever happens in whatever order: each hand once, at one sound; nothing told too soon."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE
from copyroom.room.exercises.odd import KIND
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, Send, refusal

SETUP = {"pairs": ["FL", "LF"], "rows": 1, "sounds": 6, "gap_s": 0.5}
seats = st.integers(1, 5)


def for_console(send: Send) -> bool:
    """Also where a console that has come back asked for it."""
    return send.to == CONSOLE or "listened" in (send.payload["shown"] or {})


def strings(value: Any) -> Iterator[str]:
    """Every string in a payload, but for the fields' names."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, (dict, list)):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from strings(inner)


class AnyRow(RuleBasedStateMachine):
    """Instructor, learners, time and power cuts do what they like."""

    @initialize(seed=st.integers(0, 1000))
    def begin(self, seed: int) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()
        self.checked = 0
        self.start(seed)

    @property
    def run(self) -> Run:
        return self.play.state.runs[-1]

    @rule(seed=st.integers(0, 1000))
    def start(self, seed: int) -> None:
        self.play.console("start_exercise", kind=KIND, setup=SETUP, seed=seed)

    # -------------------------------------------------------- time and power

    @rule(ms=st.sampled_from([0.0, 40.0, 700.0, 3_000.0, 20_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.tick()

    @rule()
    def power_cut(self) -> None:
        again = self.play.replayed()
        assert [run.state for run in again.state.runs] == [run.state for run in self.play.state.runs]
        assert again.durable_views() == self.play.durable_views()
        self.play, self.checked = again, 0

    # -------------------------------------------------------- the instructor

    @rule(order=st.sampled_from(["pause", "go_on", "stop", "close", "reveal", "repeat"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(leaving=st.lists(seats, min_size=1, max_size=2))
    def remove_seats(self, leaving: list[int]) -> None:
        self.play.console("remove_seats", seats=leaving)

    @rule(seat=st.integers(0, 3), first=st.integers(0, 11))
    def set_aside(self, seat: int, first: int) -> None:
        self.play.console("set_aside", push=self.run.id, seat=seat, first=first, reason="Fire alarm")

    # -------------------------------------------------------- learners

    @rule(name=st.sampled_from(["Wren", "Otter"]))
    def join(self, name: str) -> None:
        if len(self.play.state.seats) < 6:
            self.play.join(name)

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats, start=st.integers(0, 11), length=st.integers(1, 12))
    def hear(self, seat: int, start: int, length: int) -> None:
        self.play.learner(seat, "report_sounded", push=self.run.id, spans=[[start, min(12, start + length)]])

    @rule(seat=seats, ago_ms=st.sampled_from([0.0, 90.0, 1_500.0, 9_000.0]))
    def raise_hand(self, seat: int, ago_ms: float) -> None:
        at_ms = round(max(-60_000.0, min(8e7, self.play.now_ms - self.run.start_room_ms - ago_ms)), 1)
        hands = dict(self.run.state.hands.get(seat, {}))
        refused = refusal(self.play.learner(seat, "raise_hand", push=self.run.id, at_ms=at_ms))
        now = self.run.state.hands.get(seat, {})
        assert now.items() >= hands.items(), "a hand that was held is held as it was"
        assert (at_ms in now) != bool(refused)
        if at_ms in hands:
            assert now == hands, "a hand sent again changes nothing"

    # -------------------------------------------------------- what always holds

    @invariant()
    def hands_are_counted_once(self) -> None:
        for run in self.play.state.runs:
            places = [place for seat in run.state.hands for place in run.state.raised(seat)]
            assert run.state.at == [Counter(places)[k] for k in range(len(run.sent))]
            assert run.state.hands.keys() <= self.play.state.seats.keys()
            for seat, hands in run.state.hands.items():
                held = [hand.place for hand in hands.values() if hand.place is not None]
                assert len(held) == len(set(held)) == len(run.state.raised(seat))

    @invariant()
    def figures_fit_what_was_heard(self) -> None:
        for part in self.told(CONSOLE):
            for line in part["lines"]:
                assert 0 <= line["hits"] <= line["of_odd"]
                assert 0 <= line["alarms"] <= line["of_same"]
                assert line["low"] <= line["d"] <= line["high"]
                assert len(line["reactions_s"]) <= line["hits"]

    @invariant()
    def no_symbol_is_told_before_it_is_shown(self) -> None:
        shown = {run.id for run in self.play.state.runs if run.revealed}
        for send in self.play.sent[self.checked :]:
            if send.name == "push":
                assert (send.payload["symbols"], send.payload["shown"]) == ("", "")
            if send.name != "exercise" or send.payload["run"] in shown or for_console(send):
                continue
            signs = [value for value in strings(send.payload) if value in ("F", "L", "FL", "LF")]
            assert signs == [], f"{send.to} is told {send.payload}"
        self.checked = len(self.play.sent)

    def told(self, to: int | str) -> list[dict[str, Any]]:
        said = [s.payload["shown"] for s in self.play.sent if s.name == "exercise" and s.to == to]
        return [part for part in said[-1:] if part is not None]

    def teardown(self) -> None:
        """From wherever it is, it can be brought to its end."""
        if not hasattr(self, "play"):
            return
        if not self.run.cancelled:
            self.play.console("reveal")
            assert self.run.revealed or self.run.cancelled
        self.hands_are_counted_once()


AnyRow.TestCase.settings = settings(
    max_examples=12, stateful_step_count=20, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyRow = AnyRow.TestCase
