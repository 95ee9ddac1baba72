"""Laws of the room: whatever happens, in whatever order, it stays a legal room and its journal tells it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from copyroom.core.alphabet import INDEX
from copyroom.room import events as ev
from copyroom.room.classroom import LONGEST_LEAD_MS, SHORTEST_LEAD_MS
from copyroom.room.messages.learner import reveal_view
from copyroom.room.scoring import run_table
from scripted_room import ScriptedRoom, refusal, sends

IN_PLAY = "AEKMNT"
texts = st.text(IN_PLAY, min_size=1, max_size=12)
signs = st.sampled_from([*IN_PLAY, "_"])
names = st.sampled_from(["Amber", "amber", "Birch", "7", "  ", "Cedar\u200b"])
seats = st.integers(1, 5)
places = st.integers(0, 13)
ways = st.sampled_from(["typing", "paper"])


class AnyEvening(RuleBasedStateMachine):
    """Instructor, learners and time do what they like; most of it makes no sense."""

    @initialize()
    def begin(self) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()

    def _push(self) -> int:
        return max(1, len(self.play.state.runs))

    # -------------------------------------------------------- time

    @rule(ms=st.sampled_from([0.0, 40.0, 700.0, 5_000.0, 40_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms

    @rule()
    def tick(self) -> None:
        self.play.tick()

    # -------------------------------------------------------- the instructor

    @rule(text=texts, counted=st.booleans(), shown=st.booleans())
    def send(self, text: str, counted: bool, shown: bool) -> None:
        self.play.settle()
        payload = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "text": text}
        self.play.console("send_text", **payload, name_shown=shown, counted=counted)

    @rule(order=st.sampled_from(["pause", "go_on", "stop", "close", "reveal", "repeat", "open_meeting"]))
    def order(self, order: str) -> None:
        self.play.console(order)

    @rule(
        order=st.sampled_from(["pause", "go_on", "stop", "close", "reveal", "repeat"]),
        push=st.integers(0, 3),
        seen=st.sampled_from(["counting in", "sounding", "paused", "tidying", "waiting", "closed"]),
    )
    def order_as_seen(self, order: str, push: int, seen: str) -> None:
        self.play.console(order, push=push, seen=seen)

    @rule()
    def clear_away(self) -> None:
        self.play.console("clear_away")

    @rule(days=st.sampled_from([1, 7]))
    def give_review(self, days: int) -> None:
        self.play.console("give_review", days=days)

    @rule(order=st.sampled_from(["let_in", "seen_help", "show_sheet"]), seat=seats)
    def seat_order(self, order: str, seat: int) -> None:
        self.play.console(order, seat=seat)

    @rule(leaving=st.lists(st.integers(3, 5), min_size=1, max_size=3))
    def remove_seats(self, leaving: list[int]) -> None:
        self.play.console("remove_seats", seats=leaving)

    @rule(on=st.booleans())
    def hold_at_door(self, on: bool) -> None:
        self.play.console("hold_at_door", on=on)

    @rule(way=st.sampled_from(["every", "loudspeaker"]), source=st.integers(0, 5))
    def hearing(self, way: str, source: int) -> None:
        self.play.console("set_hearing", way=way, source=source)

    @rule(name=names)
    def add_seat(self, name: str) -> None:
        self.play.console("add_seat", name=name)

    @rule(seat=seats, name=names)
    def rename(self, seat: int, name: str) -> None:
        self.play.console("rename", seat=seat, name=name)

    @rule(sent=signs, written=signs, scope=st.sampled_from(["run", "evening", "course"]))
    def show_cell(self, sent: str, written: str, scope: str) -> None:
        self.play.console("show_cell", sent=sent, written=written, scope=scope)

    @rule(minutes=st.sampled_from([5.0, 60.0]))
    def plan(self, minutes: float) -> None:
        self.play.console("set_symbols", symbols=IN_PLAY)
        self.play.console("plan_evening", minutes=minutes)

    @rule(order=st.sampled_from(["send_step", "mark_step"]), step=st.integers(1, 12))
    def step(self, order: str, step: int) -> None:
        self.play.settle()
        self.play.console(order, step=step)

    @rule(push=st.integers(1, 3), choice=st.integers(0, 3), send=st.booleans())
    def take_choice(self, push: int, choice: int, send: bool) -> None:
        self.play.console("take_choice", push=push, choice=choice, send=send)

    # -------------------------------------------------------- learners

    @rule(name=names)
    def join(self, name: str) -> None:
        self.play.join(name)

    @rule(seat=seats)
    def come_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule(seat=seats)
    def leave(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats, way=ways)
    def choose_way(self, seat: int, way: str) -> None:
        self.play.learner(seat, "choose_way", way=way)

    @rule(seat=seats, sound=st.sampled_from(["on", "off"]), lead_ms=st.sampled_from([0.0, 900.0, 60_000.0]))
    def report_device(self, seat: int, sound: str, lead_ms: float) -> None:
        self.play.learner(
            seat, "report_device", sound=sound, uncertainty_ms=1.0, lead_ms=lead_ms, visible=True
        )

    @precondition(lambda self: self.play.state.runs)
    @rule(seat=seats, start=places, length=places, back=st.integers(0, 1))
    def sounded(self, seat: int, start: int, length: int, back: int) -> None:
        push = max(1, self._push() - back)
        self.play.learner(seat, "report_sounded", push=push, spans=[[start, start + length]])

    @precondition(lambda self: self.play.state.runs)
    @rule(seat=seats, written=st.lists(signs, min_size=1, max_size=8), start=places)
    def copies_in_time(self, seat: int, written: list[str], start: int) -> None:
        """What a learner usually does: answer the next sounds, some of them wrongly."""
        copy = self.play.copies.get((self._push(), seat))
        ends = self.play.state.runs[-1].end_ms[start : start + len(written)]  # of this meeting or the last
        keys = [{"at_ms": float(end) + 700.0, "sign": sign} for end, sign in zip(ends, written, strict=False)]
        if copy and keys:
            self.play.learner(seat, "write_keys", push=self._push(), first=copy.strokes, keys=keys)

    @precondition(lambda self: self.play.state.runs)
    @rule(
        seat=seats,
        first=places,
        back=st.integers(0, 1),
        by_console=st.booleans(),
        keys=st.lists(
            st.fixed_dictionaries({"at_ms": st.sampled_from([-3_000.0, 0.0, 2_000.0, 9_000.0, 1e6])}).flatmap(
                lambda key: st.sampled_from(
                    [
                        {},
                        {"sign": "A"},
                        {"sign": "_"},
                        {"erase": 0},
                        {"change": 1, "sign": "T"},
                        {"before": 0, "sign": "E"},
                    ]
                ).map(lambda more: key | more)
            ),
            min_size=1,
            max_size=4,
        ),
    )
    def any_strokes(
        self, seat: int, first: int, back: int, by_console: bool, keys: list[dict[str, Any]]
    ) -> None:
        push = max(1, self._push() - back)
        if by_console:
            self.play.console("write_keys", push=push, first=first, keys=keys, seat=seat)
        else:
            self.play.learner(seat, "write_keys", push=push, first=first, keys=keys)

    @precondition(lambda self: self.play.said.get("write_keys"))
    @rule(data=st.data())
    def an_old_batch_again(self, data: st.DataObject) -> None:
        """Known strokes change no copy."""
        batch = data.draw(st.sampled_from(self.play.said["write_keys"]))
        seat = batch.get("seat") or data.draw(seats)
        copy = self.play.copies.get((batch["push"], seat))
        if copy is None or batch["first"] + len(batch["keys"]) > copy.strokes:
            return
        before = (copy.written, copy.strokes, bytes(copy.heard))
        payload = {key: value for key, value in batch.items() if key != "seat"}
        self.play.learner(seat, "write_keys", **payload)
        assert (copy.written, copy.strokes, bytes(copy.heard)) == before

    @rule(push=st.integers(1, 3), seat=st.integers(0, 5), first=places)
    def set_aside(self, push: int, seat: int, first: int) -> None:
        self.play.console("set_aside", push=push, seat=seat, first=first, reason="Fire alarm")

    @rule(aside=st.integers(1, 4))
    def bring_back(self, aside: int) -> None:
        self.play.console("bring_back", aside=aside)

    @rule(seat=seats, right=st.integers(0, 13), of=st.integers(0, 13))
    def hand_in_count(self, seat: int, right: int, of: int) -> None:
        self.play.learner(seat, "hand_in_count", push=self._push(), right=right, of=of)

    @rule(seat=seats, order=st.sampled_from(["cannot_hear", "hear_now"]))
    def call_for_help(self, seat: int, order: str) -> None:
        self.play.learner(seat, order)

    @rule(seat=seats)
    def hand_in(self, seat: int) -> None:
        self.play.learner(seat, "hand_in", push=self._push())

    # -------------------------------------------------------- what always holds

    @invariant()
    def seats_are_told_apart(self) -> None:
        state = self.play.state
        shown = [seat.name.casefold() for seat in state.seats.values()]
        assert len(set(shown)) == len(shown)
        assert all(shown)
        assert all(number == seat.id < state.next_seat for number, seat in state.seats.items())
        assert state.source == 0 or state.source in state.seats

    @invariant()
    def only_the_last_run_is_open_and_times_go_forward(self) -> None:
        runs = self.play.state.runs
        assert [run.id for run in runs] == list(range(1, len(runs) + 1))
        assert all(run.closed for run in runs[:-1])
        for run in runs:
            assert (run.start_ms[1:] > run.end_ms[:-1]).all()
            assert 0 <= run.sent_count <= len(run.sent)
            assert run.closed or not run.revealed
            assert not (run.name_shown and run.counted)
            if run.closed:
                assert run.stopped or run.halted_room_ms is None
        assert SHORTEST_LEAD_MS <= self.play.state.lead_ms() <= LONGEST_LEAD_MS

    @invariant()
    def copies_belong_to_seats_and_runs(self) -> None:
        state = self.play.state
        for (push, seat), copy in self.play.copies.items():
            run = state.run_of(push)
            assert seat in state.seats
            assert len(copy.heard) == len(run.sent)
            assert all(len(mark.sign) == 1 for mark in copy.marks)
            if run.closed:
                shown = reveal_view(self.play.room.figures, run, seat)
                assert len(shown.answers) == len(shown.marks)

    @invariant()
    def whoever_waits_hears_of_it(self) -> None:
        """News is never left lying: a tick is on its way when there is something to tell."""
        room = self.play.room
        assert not room.figures.jobs or room.wake_at_ms is not None

    def teardown(self) -> None:
        """A restarted server has the same room; and the evening adds up."""
        if not hasattr(self, "play"):
            return
        self.play.settle()
        again = self.play.replayed()
        assert again.durable_views() == self.play.durable_views()
        state = self.play.state
        total = sum(
            (run_table(self.play.room.figures, run) for run in state.runs if run.counted),
            np.zeros(1, np.int64),
        )
        course = np.zeros(1, np.int64) + sum(self.play.cells("course").values())
        assert total.sum() == course.sum()


AnyEvening.TestCase.settings = settings(
    max_examples=25, stateful_step_count=30, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyEvening = AnyEvening.TestCase


# ------------------------------------------------------------------ laws of the table


def played(text: str, copies: list[str], starts: list[int], order: list[int]) -> ScriptedRoom:
    """One counted run: learner k hears symbols from starts[k] on, writes copies[k], is k-th in `order`."""
    play = ScriptedRoom()
    play.seat_three()
    play.send(text)
    play.to_tidying()
    for k in order:
        play.hears(k + 1, starts[k])
        if copies[k]:
            play.types(k + 1, copies[k], starts[k])
    play.console("reveal")
    return play


@st.composite
def lessons(draw: st.DrawFn) -> tuple[str, list[str], list[int]]:
    text = draw(st.text(IN_PLAY, min_size=3, max_size=14))
    starts = draw(st.lists(st.integers(0, len(text) - 1), min_size=3, max_size=3))
    copies = [draw(st.text([*IN_PLAY, "_"], max_size=len(text) - start)) for start in starts]
    return text, copies, starts


@settings(max_examples=25)
@given(lesson=lessons(), order=st.permutations([0, 1, 2]))
def test_the_order_of_learners_is_irrelevant_to_the_table(
    lesson: tuple[str, list[str], list[int]], order: list[int]
) -> None:
    assert played(*lesson, order).cells() == played(*lesson, [0, 1, 2]).cells()


@settings(max_examples=25)
@given(lesson=lessons())
def test_row_sums_are_the_symbols_heard_by_learners_with_a_copy(
    lesson: tuple[str, list[str], list[int]],
) -> None:
    text, copies, starts = lesson
    play = played(*lesson, [0, 1, 2])
    heard = "".join(text[start:] for start, copy in zip(starts, copies, strict=True) if copy)
    rows = run_table(play.room.figures, play.push).sum(axis=1)
    assert {sign: int(rows[INDEX[sign]]) for sign in IN_PLAY} == {sign: heard.count(sign) for sign in IN_PLAY}


@settings(max_examples=25)
@given(
    text=st.text(IN_PLAY, min_size=1, max_size=20),
    starts=st.lists(st.integers(0, 19), min_size=3, max_size=3),
)
def test_a_perfect_copy_has_nothing_off_the_diagonal(text: str, starts: list[int]) -> None:
    starts = [min(start, len(text) - 1) for start in starts]
    play = played(text, [text[start:] for start in starts], starts, [0, 1, 2])
    assert all(sent == written for sent, written in play.cells())
    assert sum(play.cells().values()) == sum(len(text) - start for start in starts)


@settings(max_examples=25)
@given(
    text=st.text(IN_PLAY, min_size=4, max_size=16),
    batches=st.lists(st.tuples(st.integers(0, 15), st.integers(1, 8)), max_size=12),
)
def test_batches_in_any_order_leave_each_stroke_once(text: str, batches: list[tuple[int, int]]) -> None:
    """The oracle is a list that a stroke of the next number is appended to, and no other."""
    play = ScriptedRoom()
    play.seat_three()
    play.send(text)
    play.to_tidying()
    keys = play.keys(text)
    held = 0
    for first, length in [*batches, (0, len(text))]:
        batch = keys[first : first + length]
        if batch:
            effects = play.learner(1, "write_keys", push=1, first=first, keys=batch)
            assert bool(refusal(effects)) == (first > held)
            held = held if first > held else max(held, first + len(batch))
            assert not sends(effects, "kept") or sends(effects, "kept")[0].payload["kept"] == held
        assert play.copies[1, 1].written == text[:held]
    assert play.copies[1, 1].written == text


@pytest.mark.parametrize("count", [1, 100])
def test_a_large_class_is_counted_a_portion_at_a_time_and_whole_in_the_end(count: int) -> None:
    play = ScriptedRoom()
    play.console("set_class_size", size=200)
    play.seat_three()
    for k in range(count):
        play.join(f"learner {k}")
    play.send("KMA")
    play.to_tidying()
    for seat in play.state.seats:
        play.copies_all(seat, "KMA")
    assert play.cells() == {(sign, sign): count + 3 for sign in "KMA"}
