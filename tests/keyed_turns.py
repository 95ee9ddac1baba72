"""A hand at the key, played from a script: tones by the recommendation's lengths, scaled as a test wants.

Lengths: dot 1, dash 3, between elements 1, between characters 3, between words 7 (Recommendation ITU-R
M.1677-1 (10/2009), Annex 1, clause 2); a dot lasts 1.2 s over the words a minute by PARIS (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from copyroom.core.alphabet import symbol
from copyroom.rehearsal.participant import CLOCK_EXCHANGES, Emit, Participant
from copyroom.room import events as ev
from copyroom.room.effects import Effect
from copyroom.room.exercises.key.turns import Turn
from scripted_room import ScriptedRoom, refusal, sends

DOT_MS = 80.0
"""Fifteen words a minute."""
BATCH = 4
"""Tones that go out together."""


def tones_of(text: str, *, inside: float = 1.0, at_ms: float = 500.0) -> list[list[float]]:
    """[on, off] of each tone in ms; `inside`: gaps inside characters in dots, ideally 1."""
    tones: list[list[float]] = []
    for word in text.split(" "):
        for sign in word:
            for element in symbol(sign).elements:
                length_ms = DOT_MS * (3 if element == "-" else 1)
                tones.append([at_ms, at_ms + length_ms])
                at_ms += length_ms + inside * DOT_MS
            at_ms += (3 - inside) * DOT_MS
        at_ms += 4 * DOT_MS
    return tones


class Keyed:
    """A scripted room with turns at the key."""

    def __init__(self, play: ScriptedRoom, **setup: Any) -> None:
        self.play = play
        first = {"senders": [1, 2], "text": "given", "given": "TEA"}
        begun = play.console("start_exercise", kind="key", setup=first | setup)
        assert not refusal(begun), refusal(begun)

    @property
    def turn(self) -> Turn:
        turn: Turn = self.play.push.state.turn
        return turn

    def key(
        self, tones: list[list[float]], *, lag_ms: float = 100.0, first: int | None = None
    ) -> list[Effect]:
        """The sender's page sends these tones, so long after the last of them."""
        turn = self.turn
        self.play.now_ms = max(self.play.now_ms, turn.start_room_ms + tones[-1][1] + lag_ms)
        edges = [edge for tone in tones for edge in tone]
        number = len(turn.on_ms) if first is None else first
        return self.play.learner(turn.seat, "key_edges", turn=turn.number, first=number, edges=edges)

    def send(self, text: str, **how: Any) -> list[Effect]:
        """The whole text in batches; what the last one led to."""
        tones, found = tones_of(text, **how), []
        for first in range(0, len(tones), BATCH):
            found = self.key(tones[first : first + BATCH])
            assert not refusal(found), refusal(found)
        return found

    def sent_all(self) -> list[Effect]:
        return self.play.learner(self.turn.seat, "sent_all", turn=self.turn.number)

    def copy(self, seat: int, signs: str, text: str) -> None:
        """The seat's page sounds every tone, and its learner writes these signs, each after its symbol."""
        part = self.turn.part
        self.play.learner(seat, "report_sounded", push=part.id, spans=[[0, len(self.turn.on_ms)]])
        ends, at = [], 0
        for sign in text.replace(" ", ""):
            at += len(symbol(sign).elements)
            ends.append(self.turn.off_ms[at - 1])
        keys = [{"at_ms": end + 700.0, "sign": sign} for end, sign in zip(ends, signs, strict=False)]
        found = self.play.learner(seat, "write_keys", push=part.id, first=0, keys=keys)
        assert not refusal(found), refusal(found)

    def to_the_end(self) -> None:
        """The turn's time to finish copies passes, and the next turn is announced."""
        number = self.turn.number
        for _ in range(60):
            if self.turn.number != number or self.turn.done:
                break
            self.play.now_ms += 1000.0
            self.play.settle()
        self.play.settle()

    def table(self, run: int) -> list[list[Any]]:
        """The class table of one run, as the console gets it."""
        self.play.settle()
        told = self.play.receive(ev.Watch("console"))
        return next(sorted(s.payload["cells"]) for s in sends(told, "table") if s.payload["push"] == run)

    def shown(self, to: int | str) -> Any:
        """What a page was shown last."""
        told = [send for send in self.play.sent if send.name == "exercise" and send.to == to]
        return told[-1].payload["shown"]


class SimulatedClass:
    """Simulated learners in a scripted room: what the room tells goes to them, what they send to the room."""

    def __init__(self, play: ScriptedRoom, learners: Sequence[Participant]) -> None:
        self.play, self.seats = play, dict(enumerate(learners, start=1))
        self.refused: list[str] = []
        for seat, learner in self.seats.items():
            learner.connected(play.now_ms)
            for _ in range(CLOCK_EXCHANGES):
                learner.clock(play.now_ms, {"received_room_ms": play.now_ms}, play.now_ms)
            learner.take()
            self._tell(play.join(learner.name), seat)
        self._listen()

    def until(self, room_ms: float) -> None:
        """Time passes, from one thing to the next that anybody does or that comes by itself."""
        while True:
            wakes = [learner.wake_page_ms for learner in self.seats.values()]
            due_ms = min([*wakes, self.play.room.wake_at_ms or math.inf])
            if due_ms > room_ms:
                return
            self.play.now_ms = max(self.play.now_ms, due_ms)
            self._tell(self.play.receive(ev.Tick()))
            for learner in self.seats.values():
                learner.wake(self.play.now_ms)
            self._listen()

    def begin(self, **setup: Any) -> None:
        self._tell(self.play.console("start_exercise", kind="key", setup=setup))
        self._listen()

    def _listen(self) -> None:
        """What they have to say now, until nobody says any more."""
        said = [(seat, out) for seat, learner in self.seats.items() for out in learner.take()]
        while said:
            for seat, out in said:
                if isinstance(out, Emit):
                    found = self.play.learner(seat, out.event, **out.payload)
                    self.refused += [refusal(found)] if refusal(found) else []
                    self._tell(found, seat)
            said = [(seat, out) for seat, learner in self.seats.items() for out in learner.take()]

    def _tell(self, effects: list[Any], sender: int = 0) -> None:
        for send in sends(effects):
            to = [sender] if send.to == "sender" else [*self.seats] if send.to == "seats" else [send.to]
            for seat in to:
                if seat in self.seats:
                    self.seats[seat].receive(send.name, send.payload, self.play.now_ms)
