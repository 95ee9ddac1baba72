"""A copy check, whatever happens in whatever order: nothing is told ahead, nothing handed in is lost."""

from __future__ import annotations

from typing import Any

import msgspec
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.core.checks import FORMS
from copyroom.room import events as ev
from copyroom.room.exercises.check.setup import shown_form
from copyroom.room.exercises.check.state import AHEAD_MS, Check
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, refusal, sends

FORM: dict[str, Any] = {
    **msgspec.to_builtins(shown_form(FORMS["nz-5"])),
    "counted": 12, "figures": 0, "speeds_wpm": [12.0], "character_wpm": 0.0, "tidy_s": 10.0, "edited": True,
}  # fmt: skip
WORDS = ("CAT", "TEA", "EAT", "ACT", "TACT", "ROW", "SNOW", "INK")
seats = st.integers(1, 5)


class AnyCheck(RuleBasedStateMachine):
    """Examiner, candidates, time and power cuts do what they like."""

    @initialize(warm_up_s=st.sampled_from([0.0, 12.0]), lamp=st.booleans())
    def begin(self, warm_up_s: float, lamp: bool) -> None:
        self.play = ScriptedRoom()
        self.play.room.classroom.words = WORDS
        self.play.seat_three()
        self.checked, self.taken = 0, dict[int, str]()
        arranged = [{"seat": 1, "character_wpm": 25.0}]
        arranged += [{"seat": 2, "by": "lamp"}] if lamp else []
        form, wpm = FORM | {"warm_up_s": warm_up_s}, 4.0 if lamp else 12.0
        setup = {"form": form | {"speeds_wpm": [wpm]}, "wpm": wpm, "arranged": arranged}
        assert not refusal(self.play.console("start_exercise", kind="check", setup=setup))

    @property
    def run(self) -> Run:
        return self.play.state.runs[0]

    @property
    def check(self) -> Check:
        state: Check = self.run.state
        return state

    # -------------------------------------------------------- time and power

    @rule(ms=st.sampled_from([40.0, 2_000.0, 6_000.0, 40_000.0]), late=st.booleans())
    def time_passes(self, ms: float, late: bool) -> None:
        """Mostly the room is woken as it asked; on a busy machine it is not."""
        until_ms = self.play.now_ms + ms
        while not late and (at_ms := self.play.room.wake_at_ms) is not None and at_ms <= until_ms:
            self.play.now_ms = max(self.play.now_ms, at_ms)
            self.play.tick()
        self.play.now_ms = until_ms
        self.play.tick()

    @rule()
    def power_cut(self) -> None:
        again = self.play.replayed()
        again.room.classroom.words = WORDS
        assert [run.state for run in again.state.runs] == [run.state for run in self.play.state.runs]
        self.play, self.checked = again, 0

    # -------------------------------------------------------- the examiner

    @rule(order=st.sampled_from(["pause", "go_on", "go_on", "stop", "close", "reveal"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule()
    def begin_text(self) -> None:
        self.play.console("begin_check", push=1)

    @rule(leaving=seats)
    def remove_seat(self, leaving: int) -> None:
        if len(self.play.state.seats) > 1:
            self.play.console("remove_seats", seats=[leaving])

    @rule(seat=seats, number=st.integers(0, 14), right=st.booleans(), undo=st.booleans())
    def overrule(self, seat: int, number: int, right: bool, undo: bool) -> None:
        said = {"push": 1, "seat": seat, "number": number, "right": right, "reason": "Read back."}
        self.play.console("overrule_check", **said, of_question=False, undo=undo)

    # -------------------------------------------------------- candidates

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule()
    def come_late(self) -> None:
        if len(self.play.state.seats) < 5:
            self.play.join("Wren")

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats, part=st.integers(0, 14), hand_in=st.booleans())
    def write(self, seat: int, part: int, hand_in: bool) -> None:
        copy = self.check.setup.text[:part]
        name, more = ("hand_in_check", {"answers": []}) if hand_in else ("write_check", {})
        refused = refusal(self.play.learner(seat, name, push=1, copy=copy, **more))
        if hand_in and not refused:
            assert seat not in self.taken, "a copy is handed in once"
            self.taken[seat] = self.check.candidates[seat].copy

    # -------------------------------------------------------- what always holds

    @invariant()
    def what_was_handed_in_stays(self) -> None:
        for seat, copy in self.taken.items():
            one = self.check.candidates.get(seat)
            assert one is None or (one.handed_in and one.copy == copy)

    @invariant()
    def marks_are_of_the_text(self) -> None:
        for seat, one in self.check.candidates.items():
            if one.handed_in:
                marked = self.check.marked(seat)
                assert "".join(d.sent for d in marked.decisions) == self.check.setup.text.replace(" ", "")
                assert marked.passed == any(way.met for way in marked.ways)

    @invariant()
    def nothing_is_told_ahead(self) -> None:
        text = self.check.setup.text
        for send in self.play.sent[self.checked :]:
            if send.name == "exercise" and send.payload["shown"] and not self.run.closed:
                shown = send.payload["shown"]
                is_told = text in str(shown)
                assert not is_told or shown.get("stage") in ("tidying", "over"), send
        for part in sends(self.play.sent[self.checked :], "sound"):
            first_ms = part.payload["start_room_ms"] + part.payload["edges"][0][0]
            assert first_ms < self.play.now_ms + AHEAD_MS + 1.0
        self.checked = len(self.play.sent)

    def teardown(self) -> None:
        """Whatever happened, it can be closed and shown."""
        if not hasattr(self, "play") or not self.check.candidates:
            return
        self.play.console("close")
        if not self.run.cancelled:
            self.play.console("reveal")
            assert self.run.closed
            assert all(one.handed_in for one in self.check.candidates.values())


AnyCheck.TestCase.settings = settings(
    max_examples=10, stateful_step_count=18, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TestAnyCheck = AnyCheck.TestCase
