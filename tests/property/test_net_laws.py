"""Laws of a net: whoever comes, goes or asks, it stays legal, tells nobody too much, and can be ended."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from copyroom.core.procedure import FORMS, Question, question_text
from copyroom.room import events as ev
from copyroom.room.exercises.net.state import Net, Turn
from copyroom.room.run import Run
from keyed_turns import tones_of
from net_room import KNOWN
from scripted_room import ScriptedRoom, Send, refusal

seats = st.integers(1, 5)
NAMES = ("Amber", "Birch", "Cedar", "Dove")


class AnyNet(RuleBasedStateMachine):
    """Instructor, stations and time do what they like."""

    @initialize(
        chance=st.sampled_from([0.0, 0.5]),
        parts=st.sampled_from([0, 3]),
        copied=st.lists(st.sampled_from([0.0, 0.6, 1.0]), max_size=3),
    )
    def begin(self, chance: float, parts: int, copied: list[float]) -> None:
        """Often some parts, or all of them, have been sent before anything happens."""
        self.play = ScriptedRoom()
        self.play.seat_three()
        self.play.console("set_symbols", symbols=KNOWN)
        setup = {"stations": [1, 2], "parts": parts, "groups": 2, "chance": chance}
        assert not refusal(self.play.console("start_exercise", kind="net", setup=setup))
        self.rows: dict[int | str, Any] = {}
        for share in copied:
            for seat in (1, 2, 3):
                self.copies(seat, share)
            self.the_turn_or_part_ends()

    @property
    def net(self) -> Net:
        found: Net = self.play.state.runs[0].state
        return found

    @property
    def part(self) -> Run:
        """The part at hand, or the last one."""
        return self.play.state.run_of(self.net.stations[self.net.at].run)

    # -------------------------------------------------------- time, and a power cut

    @rule(ms=st.sampled_from([200.0, 3_000.0, 20_000.0, 70_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self.play.settle()

    @rule()
    def the_turn_or_part_ends(self) -> None:
        turn = self.net.turn
        if turn is not None:
            self.play.now_ms = max(self.play.now_ms, turn.sounded_ms)
        elif self.net.phase == "parts":
            part = self.part
            self.play.now_ms = max(self.play.now_ms, part.start_room_ms + part.tidy_end_ms)
        self.play.settle()

    @rule()
    def killed(self) -> None:
        """What was in the room before is there again; everybody comes back."""
        again = self.play.replayed()
        assert again.state.runs[0].state == self.net
        here = [seat for seat in self.play.state.seats.values() if seat.here]
        self.play = again
        for seat in here:
            self.play.join("", seat.token)

    # -------------------------------------------------------- learners

    @rule(seat=seats, share=st.sampled_from([0.4, 1.0]))
    def copies(self, seat: int, share: float) -> None:
        """Some of the part at hand, rightly, and hands it in."""
        run = self.part
        copy = run.copies.get(seat)
        if copy is None or copy.strokes or run.cancelled:
            return
        count = int(len(run.sent) * share)
        ends = zip(run.end_ms[:count], run.sent, strict=False)
        keys = [{"at_ms": float(end) + 700.0, "sign": sign} for end, sign in ends]
        if keys:
            self.play.learner(seat, "report_sounded", push=run.id, spans=[[0, count]])
            self.play.learner(seat, "write_keys", push=run.id, first=0, keys=keys)
        self.play.learner(seat, "hand_in", push=run.id)

    @rule(seat=seats, to=st.integers(0, 3), form=st.sampled_from(["", *FORMS, "AGN"]), at=st.integers(0, 1))
    def asks(self, seat: int, to: int, form: str, at: int) -> None:
        """Anything that a page could send: it names only what this learner has."""
        rows, held = self.rows.get(seat, ()), self.net.held_by(seat)
        if not rows or seat not in self.play.state.seats:
            return
        row = rows[to % len(rows)]
        own = self.net.stations[held[0]].call if held else "XX"
        named = [row["groups"][at] or "XX"] if form else []
        text = question_text(row["call"], own, Question(form=form, named=tuple(named)))
        self.play.learner(seat, "ask_fill", text=text)

    @rule(seat=st.integers(1, 2), to=st.integers(0, 2), waits_ms=st.sampled_from([0.0, 80_000.0]))
    def has_a_turn(self, seat: int, to: int, waits_ms: float) -> None:
        """All of a part is asked for, answered by who was asked or by the server, and heard."""
        self.asks(seat, to, "", 0)
        self.the_turn_or_part_ends()
        for other in self.play.state.seats:
            self.answers(other, 2)
        self.time_passes(waits_ms)
        self.the_turn_or_part_ends()

    @rule(seat=seats, leaves=st.booleans())
    def takes_the_key(self, seat: int, leaves: bool) -> None:
        self.play.learner(seat, "take_net_key")
        if leaves:
            self.play.learner(seat, "leave_net_key")

    @rule(text=st.sampled_from(["? K", "EE TT", "DE K"]), is_all=st.booleans())
    def keys(self, text: str, is_all: bool) -> None:
        """Who is at the key sends something, and perhaps says that it was all."""
        line = self.net.hand
        if line is None or line.over or self.play.state.runs[0].halted_room_ms is not None:
            return
        at_ms = max(self.play.now_ms - line.start_room_ms, (line.off_ms or [0.0])[-1]) + 50.0
        tones = tones_of(text, at_ms=at_ms)
        self.play.now_ms = line.start_room_ms + tones[-1][1] + 100.0
        edges, before = [edge for tone in tones for edge in tone], list(line.on_ms)
        found = self.play.learner(line.seat, "key_edges", turn=line.number, first=len(before), edges=edges)
        assert line.on_ms == before + ([] if refusal(found) else [on for on, _ in tones])
        if is_all:
            self.play.learner(line.seat, "sent_all", turn=line.number)

    @rule(seat=seats, count=st.integers(0, 2))
    def answers(self, seat: int, count: int) -> None:
        held = self.net.held_by(seat)
        if held:
            groups = self.net.stations[held[-1]].groups[:count]
            self.play.learner(seat, "answer_fill", text=" ".join(["DE", *groups, "K"]))

    @rule(seat=seats)
    def receipts(self, seat: int) -> None:
        self.play.learner(seat, "receipt_net")

    @rule(seat=seats)
    def leaves(self, seat: int) -> None:
        self.play.receive(ev.Leave(seat))

    @rule(seat=seats)
    def comes_back(self, seat: int) -> None:
        if seat in self.play.state.seats:
            self.play.join("", self.play.state.seats[seat].token)

    @rule()
    def comes_late(self) -> None:
        if len(self.play.state.seats) < 4:
            self.play.join("Dove")

    # -------------------------------------------------------- the instructor

    @rule(order=st.sampled_from(["pause", "skip_turn", "stop"]), ms=st.sampled_from([100.0, 4_000.0]))
    def orders(self, order: str, ms: float) -> None:
        """What is halted mostly goes on after a while; a stop that is older than that cannot."""
        self.play.console(order)
        self.play.now_ms += ms
        self.play.console("go_on")

    @rule(seat=st.integers(0, 4), to=seats)
    def hands_over(self, seat: int, to: int) -> None:
        self.play.console("hand_over", seat=seat, to=to)

    @rule(seat=st.integers(2, 4))
    def is_removed(self, seat: int) -> None:
        self.play.console("remove_seats", seats=[seat])

    @rule(seat=seats, first=st.integers(0, 5))
    def is_set_aside(self, seat: int, first: int) -> None:
        push = len(self.play.state.runs)
        self.play.console("set_aside", push=push, seat=seat, first=first, reason="Fire alarm")

    # -------------------------------------------------------- what always holds

    @invariant()
    def it_is_legal(self) -> None:
        if not hasattr(self, "play"):
            return
        net, room = self.net, self.play.state
        assert 0 <= net.at < len(net.stations)
        assert all(one.holder == 0 or one.holder in room.seats for one in net.stations)
        assert all(seat in room.seats for seat in net.receipted)
        assert all(exchange.seat in room.seats for exchange in net.exchanges)
        turn: Turn | None = net.turn
        assert net.hand is None or net.phase == "fills"
        assert net.hand is None or net.hand.seat in room.seats
        assert all(line.done for line in net.keyed[:-1])
        if turn is not None:
            assert net.phase == "fills"
            assert turn.exchange is net.exchanges[-1]
            assert turn.given is not None or turn.exchange.question.understood
        open_parts = [run for run in room.runs[1:] if not run.closed]
        assert len(open_parts) <= (1 if net.phase == "parts" else 0)

    @invariant()
    def nobody_is_told_too_much(self) -> None:
        """No page but the console's has a group that was not copied there; the wall none, and no name."""
        if not hasattr(self, "play"):
            return
        groups = {group for station in self.net.stations for group in station.groups}
        for send in self.play.sent:
            self._check(send, groups)
            if send.name == "exercise" and isinstance(send.to, int) and send.payload["shown"]:
                self.rows[send.to] = send.payload["shown"]["rows"]
        self.play.sent.clear()

    def _check(self, send: Send, groups: set[str]) -> None:
        if send.name != "exercise" or send.to == "console" or not send.payload["shown"]:
            return
        plain = str(send.payload)
        if send.to == "wall":
            assert not [word for word in (*groups, *NAMES) if word in plain], plain
            return
        counting = "l" in "".join(row["states"] for row in send.payload["shown"]["rows"])
        if counting and self.net.phase != "parts":
            return  # what was copied is not known again yet
        has = {group for row in send.payload["shown"]["rows"] for group in row["groups"]}
        assert not [group for group in groups - has if group in plain], plain

    def teardown(self) -> None:
        """It can always be ended, and what it came to is told by its journal."""
        if not hasattr(self, "play"):
            return
        self.play.settle()
        if self.play.state.run is not None:
            assert not refusal(self.play.console("reveal"))
            self.play.settle()
            assert self.play.state.open_run is None
            assert self.net.hand is None
        assert self.play.replayed().durable_views() == self.play.durable_views()


AnyNet.TestCase.settings = settings(
    max_examples=10, stateful_step_count=20, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyNet = AnyNet.TestCase
