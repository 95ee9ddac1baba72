"""Before the reveal no learner and no wall is told what is being sent, in any field but the tones themselves.

A class does what it likes; every message to a seat or to the wall is searched, whatever its name, for
the text of the run at hand and for any stretch of it that cannot be there by chance. Learners write another
text than the one that is sent, so that their own copies hold nothing of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, SENDER
from scripted_room import ScriptedRoom, Send, refusal

SECRET = "TKSAMRNKTAS"
"""What is sent: no stretch of it is in the alphabet's order, as keys are. Learners write OTHER signs."""
OTHER = "EIHVB"
STRETCH = 3
"""So many signs of the text in a row are no chance."""
TONES = {"edges", "shifts"}


def strings(value: Any) -> Iterator[str]:
    """Every string in a payload, and every list of strings as one, whatever the fields are called."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for field, inner in value.items():
            if field not in TONES:
                yield str(field)
                yield from strings(inner)
    elif isinstance(value, list):
        yield "".join(inner for inner in value if isinstance(inner, str))
        for inner in value:
            yield from strings(inner)


def leak(payload: Any) -> str:
    """The stretch of the secret that stands somewhere in a payload, "" when there is none."""
    stretches = {SECRET[i : i + STRETCH] for i in range(len(SECRET) - STRETCH + 1)}
    for text in strings(payload):
        plain = "".join(sign for sign in text if sign.isalnum())
        if found := next((stretch for stretch in stretches if stretch in plain), ""):
            return found
    return ""


def check(play: ScriptedRoom, told: list[Send], asked_by_console: bool) -> None:
    """Nothing of an unrevealed run is in what seats and the wall are told."""
    run = play.state.run
    if run is None or run.revealed or run.name_shown:
        return
    for send in told:
        to_console = send.to == CONSOLE or (send.to == SENDER and asked_by_console)
        if not to_console:
            assert leak(send.payload) == "", f"{send.name} tells {send.to}: {send.payload}"


class AnyClass(RuleBasedStateMachine):
    """Instructor and learners do what they like."""

    @initialize(known=st.booleans())
    def begin(self, known: bool) -> None:
        self.play = ScriptedRoom()
        self.play.seat_three()
        if known:
            self.play.console("set_symbols", symbols="EIHVB")

    def _checked(self, act: Any, *, console: bool) -> None:
        first = len(self.play.sent)
        act()
        check(self.play, self.play.sent[first:], console)

    @rule(purpose=st.sampled_from(["own", "mix", "words", "apart"]), counted=st.booleans())
    def send(self, purpose: str, counted: bool) -> None:
        self.play.settle()
        text = " ".join(SECRET[i : i + 5] for i in range(0, len(SECRET), 5))
        payload = {"purpose": purpose, "symbols": "AKMNRST", "count": 5, "group": 5, "text": text}
        self._checked(
            lambda: self.play.console("send_text", **payload, name_shown=False, counted=counted), console=True
        )

    @rule(order=st.sampled_from(["pause", "go_on", "stop", "close", "reveal", "repeat", "open_meeting"]))
    def order(self, order: str) -> None:
        self._checked(lambda: self.play.console(order), console=True)

    @rule(ms=st.sampled_from([0.0, 700.0, 5_000.0, 60_000.0]))
    def time_passes(self, ms: float) -> None:
        self.play.now_ms += ms
        self._checked(self.play.settle, console=False)

    @rule(name=st.sampled_from(["Wren", "Otter"]))
    def join(self, name: str) -> None:
        self._checked(lambda: self.play.join(name), console=False)

    @rule(seat=st.integers(1, 3))
    def come_back(self, seat: int) -> None:
        self._checked(lambda: self.play.join("", self.play.state.seats[seat].token), console=False)

    @rule(seat=st.integers(1, 3), signs=st.text(OTHER, min_size=1, max_size=6))
    def write(self, seat: int, signs: str) -> None:
        run = self.play.state.run
        if run is None or seat not in run.copies:
            return
        first = run.copies[seat].strokes
        at_ms = self.play.now_ms - run.start_room_ms
        keys = [{"at_ms": max(0.0, min(at_ms, 1e7)), "sign": sign} for sign in signs]
        self._checked(
            lambda: self.play.learner(seat, "write_keys", push=run.id, first=first, keys=keys), console=False
        )

    @rule(seat=st.integers(1, 3))
    def hand_in(self, seat: int) -> None:
        run = max(1, len(self.play.state.runs))
        self._checked(lambda: self.play.learner(seat, "hand_in", push=run), console=False)

    @rule()
    def look_at_the_wall(self) -> None:
        self._checked(lambda: self.play.receive(ev.Watch("wall")), console=False)

    @rule(days=st.sampled_from([1, 7]))
    def give_review(self, days: int) -> None:
        self._checked(lambda: self.play.console("give_review", days=days), console=True)


AnyClass.TestCase.settings = settings(
    max_examples=20, stateful_step_count=25, suppress_health_check=list(HealthCheck), deadline=None
)
TestAnyClass = AnyClass.TestCase


@pytest.mark.parametrize("to", ["seats", "wall", 1])
@pytest.mark.parametrize("field", ["text", "symbols", "anything at all"])
def test_a_text_sent_along_by_mistake_is_found(to: str | int, field: str) -> None:
    """The check can fail: the push, with the text in some field of it."""
    play = ScriptedRoom()
    play.seat_three()
    effects = play.console(
        "send_text", purpose="own", symbols="", count=1, group=5, text=SECRET, name_shown=False, counted=True
    )
    assert not refusal(effects)
    push = next(send for send in effects if isinstance(send, Send) and send.name == "push")
    check(play, [push._replace(to=to)], asked_by_console=False)
    for hidden in (SECRET, " ".join(SECRET), list(SECRET), {"deep": [{"er": SECRET[4:8]}]}):
        told = push._replace(to=to, payload=push.payload | {field: hidden})
        with pytest.raises(AssertionError, match="tells"):
            check(play, [told], asked_by_console=False)


def test_after_the_reveal_the_text_may_be_told() -> None:
    play = ScriptedRoom()
    play.seat_three()
    play.send(SECRET)
    play.to_tidying()
    play.console("reveal")
    assert any(leak(send.payload) for send in play.sent if send.name in ("reveal", "wall"))
    check(play, play.sent, asked_by_console=False)
