"""Whatever happens while circles copy: nobody is in two, or told another's text, and all end together."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.room import events as ev
from copyroom.room.exercises import of
from copyroom.room.keyed import ByHand
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, refusal

WINDOW = {"name": "By the window", "sign": "window", "symbols": "KM", "wpm": 20.0, "overall_wpm": 15.0}
DOOR = {"name": "By the door", "sign": "door", "symbols": "AT", "wpm": 25.0, "overall_wpm": 20.0}
NAMED = DOOR | {"kind": "named", "setup": {"symbols": "AT"}}
RELAY = DOOR | {"kind": "relay", "setup": {"what": "own", "text": "AT", "by_hand": True}}
KEY = DOOR | {"kind": "key", "setup": {"text": "given", "given": "TA", "turn_s": 20.0}}
NET = DOOR | {"kind": "net", "setup": {"symbols": "ATKM", "groups": 2, "chance": 0.0}}
OTHERS = [DOOR, NAMED, RELAY, KEY, NET]
seats = st.integers(1, 5)


class AnyCircles(RuleBasedStateMachine):
    """Instructor, learners, time and power cuts do what they like."""

    @initialize(other=st.sampled_from(OTHERS), seed=st.integers(0, 1000))
    def begin(self, other: dict[str, Any], seed: int) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()
        self.play.console("set_symbols", symbols="KMAT")
        for name in ("Dahlia", "Erle"):
            self.play.join(name)
        self.checked = 0
        self.start(other, seed)

    @rule(other=st.sampled_from(OTHERS), seed=st.integers(0, 1000))
    def start(self, other: dict[str, Any], seed: int) -> None:
        setup = {"circles": [WINDOW, other], "lasts_s": 20.0}
        self.play.console("start_exercise", kind="circles", setup=setup, seed=seed)

    @property
    def family(self) -> list[Run]:
        return self.play.state.at_hand

    # -------------------------------------------------------- time and power

    @rule(ms=st.sampled_from([0.0, 400.0, 3_000.0, 25_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.tick()

    @rule()
    def power_cut(self) -> None:
        again = self.play.replayed()
        assert repr([run.state for run in again.state.runs]) == repr(
            [run.state for run in self.play.state.runs]
        )
        assert [run.seats for run in again.state.runs] == [run.seats for run in self.play.state.runs]
        assert {seat.id: seat.circle for seat in again.state.seats.values()} == {
            seat.id: seat.circle for seat in self.play.state.seats.values()
        }
        self.play, self.checked = again, 0

    # -------------------------------------------------------- the instructor

    @rule(order=st.sampled_from(["pause", "go_on", "stop", "close", "reveal", "repeat"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(seat=seats, circle=st.integers(1, 3))
    def move(self, seat: int, circle: int) -> None:
        before = [run.seats for run in self.family]
        self.play.console("move_to_circle", seat=seat, circle=circle)
        assert [run.seats for run in self.family] == before, "what sounds goes on as it is"

    @rule(leaving=st.lists(seats, min_size=1, max_size=2))
    def remove_seats(self, leaving: list[int]) -> None:
        self.play.console("remove_seats", seats=leaving)

    # -------------------------------------------------------- learners

    @rule(name=st.sampled_from(["Wren", "Otter"]))
    def join(self, name: str) -> None:
        if len(self.play.state.seats) < 7:
            self.play.join(name)

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats, hands_in=st.booleans())
    def key(self, seat: int, hands_in: bool) -> None:
        """A tone, where this seat is at a key; and it says that it was all."""
        for run in self.family:
            kind = of(run)
            for stretch in kind.stretches(run) if isinstance(kind, ByHand) else ():
                if stretch.seat != seat or stretch.over or seat not in self.play.state.seats:
                    continue
                on_ms = max(self.play.now_ms - stretch.start_room_ms, (stretch.off_ms or [0.0])[-1]) + 50.0
                self.play.now_ms = stretch.start_room_ms + on_ms + 300.0
                edges, first = [on_ms, on_ms + 240.0], len(stretch.on_ms)
                self.play.learner(seat, "key_edges", turn=stretch.number, first=first, edges=edges)
                self.play.learner(seat, "sent_all", turn=stretch.number)
        if hands_in and (own := [run for run in self.family if seat in run.copies and not run.closed]):
            self.play.learner(seat, "hand_in", push=own[-1].id)

    @rule(seat=seats, signs=st.text("KMAT_", min_size=1, max_size=3))
    def write(self, seat: int, signs: str) -> None:
        own = next((run for run in self.family if seat in run.copies and run.kind == "copying"), None)
        if own is None or seat not in self.play.state.seats:
            return
        first = own.copies[seat].strokes
        at_ms = self.play.now_ms - own.start_room_ms
        keys = [{"at_ms": max(-60_000.0, at_ms), "sign": sign} for sign in signs]
        effects = self.play.learner(seat, "write_keys", push=own.id, first=first, keys=keys)
        assert refusal(effects) or own.copies[seat].strokes == first + len(signs), "kept, or refused in words"

    # -------------------------------------------------------- what always holds

    @invariant()
    def nobody_is_in_two_circles(self) -> None:
        for top in (run for run in self.play.state.runs if run.kind == "circles"):
            parts = [self.play.state.run_of(number) for number in top.state.runs]
            members = [seat for part in parts for seat in part.seats or ()]
            assert len(members) == len(set(members))
            for part in parts:
                assert part.copies.keys() <= (part.seats or set()), "only who is in it has a sheet of it"

    @invariant()
    def nobody_is_told_of_another_circle(self) -> None:
        for send in self.play.sent[self.checked :]:
            if send.name not in ("push", "sound") or not isinstance(send.to, int):
                continue
            run = self.play.state.runs[send.payload["push"] - 1]
            assert send.to not in self.play.state.seats or run.has(send.to), f"{send.to} got {run.heading}"
        self.checked = len(self.play.sent)

    @invariant()
    def all_that_sounds_ends_together(self) -> None:
        ends = {
            round(run.start_room_ms + (run.tidy_end_ms if run.placed else run.last_end_ms))
            for run in self.family[1:]
            if run.text
            and self.play.state.around(run).kind == "circles"
            and not run.stopped
            and run.halted_room_ms is None
            and not run.shifts
            and not run.closed
        }
        assert not ends or max(ends) - min(ends) <= 2

    def teardown(self) -> None:
        """From wherever it is, it can be brought to its end."""
        if not hasattr(self, "play") or not self.family:
            return
        self.play.console("reveal")
        self.play.settle()
        assert all(run.closed for run in self.family)
        assert not any(run.unread and not run.cancelled for run in self.play.state.runs), (
            "read, or nothing keyed"
        )


AnyCircles.TestCase.settings = settings(
    max_examples=15, stateful_step_count=20, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
test_any_order_of_events_leaves_circles_legal_and_finishable = AnyCircles.TestCase
