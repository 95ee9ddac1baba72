"""A simulated learner's side of the wire, without a socket or a clock: events in, messages out.

It does what the learner's page does: compares clocks, takes a seat, reports its sound and what
sounded, numbers its strokes and keeps them until they are acknowledged. Times are page time
(`_page_ms`, any steady clock of the caller) and, inside a push, milliseconds after its start.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from copyroom.core.alphabet import BLANK
from copyroom.rehearsal.learner import BOUNCE_MS, Learner
from copyroom.rehearsal.run import LETTER_GAP_MS, Run
from copyroom.room.exercises import EXERCISES, Act, Heard, load

Role = Literal["", "late", "drops", "paper", "mute"]
"""Not ordinary: joins in the middle of a run, loses the network, writes on paper, hears nothing at first."""

CLOCK_EXCHANGES = 4
LONG_RUN_MS = 12_000.0
"""In runs shorter than this nothing special happens to anybody."""
OFFLINE_S = 4.0
MUTE_MS = 15_000.0
REPORT_EVERY = 5
"""Symbols between two reports of what sounded."""
BATCH = 200
"""Strokes that the wire takes at once."""
KEYING_MS = 600.0
"""For each mark of a paper sheet, keyed in after the sound."""

load()  # where the learners run by themselves no room has done it


@dataclass(frozen=True, slots=True)
class Emit:
    """Send this to the server."""

    event: str
    payload: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Offline:
    """Lose the network for so long."""

    seconds: float


class Participant:
    """One simulated learner in a room.

    The caller sends what `take` returns, and calls `connected`, `receive` and, at `wake_page_ms`, `wake`.
    """

    def __init__(self, name: str, code: str, learner: Learner, role: Role = "") -> None:
        self.name, self.code, self.role = name, code, role
        self.learner = learner
        self.token, self.seat, self.wpm = "", 0, 18.0
        self.sound = "off" if role == "mute" else "on"
        self.run: Run | None = None
        self.gone = False
        self._copies = True
        self._exercise: dict[str, Any] = {"kind": "", "shown": None}
        self._heard: list[Heard] = []
        self._offset_ms, self._round_trip_ms, self._exchanges = 0.0, math.inf, 0
        self._outbox: list[Emit | Offline] = []
        self._timers: list[tuple[float, int, Callable[[float], None]]] = []
        self._count = itertools.count()
        self._plan = 0

    # -------------------------------------------------------------- the caller's side

    @property
    def wake_page_ms(self) -> float:
        return self._timers[0][0] if self._timers else math.inf

    def wake(self, page_ms: float) -> None:
        while self._timers and self._timers[0][0] <= page_ms:
            _, _, act = heapq.heappop(self._timers)
            act(page_ms)

    def take(self) -> list[Emit | Offline]:
        """What is to be sent now, in order."""
        outbox, self._outbox = self._outbox, []
        return outbox

    def connected(self, page_ms: float) -> None:
        """A connection stands, for the first time or again: compare clocks, then take the seat."""
        self._round_trip_ms, self._exchanges = math.inf, 0
        self._emit("clock", page_ms=page_ms)

    def clock(self, sent_page_ms: float, answer: dict[str, Any], page_ms: float) -> None:
        """One clock exchange came back; the quickest one is believed."""
        if (round_trip_ms := page_ms - sent_page_ms) < self._round_trip_ms:
            self._round_trip_ms = round_trip_ms
            self._offset_ms = answer["received_room_ms"] - (sent_page_ms + page_ms) / 2.0
        self._exchanges += 1
        if self._exchanges < CLOCK_EXCHANGES:
            self._emit("clock", page_ms=page_ms)
        elif self._exchanges == CLOCK_EXCHANGES:
            self._emit("join", code=self.code, name=self.name, token=self.token)

    def receive(self, event: str, payload: dict[str, Any], page_ms: float) -> None:
        """Take an event of the wire; those that a simulated learner has no use for are passed over."""
        handler = getattr(self, f"_on_{event}", None)
        if handler is not None:
            handler(payload, page_ms)

    # -------------------------------------------------------------- events

    def _on_welcome(self, welcome: dict[str, Any], page_ms: float) -> None:
        self.token, self.seat = welcome["token"], welcome["seat"]
        self._on_class(welcome["class"], page_ms)
        if not welcome["inside"]:
            return
        if self.role == "paper" and welcome["way"] != "paper":
            self._emit("choose_way", way="paper")
        self._report_device()
        if self.sound == "off":
            self._at(page_ms + MUTE_MS, self._unmute)
        if welcome["push"] is not None:
            self._resume(welcome, page_ms)
        if welcome.get("exercise"):
            self._on_exercise(welcome["exercise"], page_ms)

    def _on_exercise(self, told: dict[str, Any], page_ms: float) -> None:
        """Another exercise than copying: its own file says what a learner does."""
        self._exercise, kind = told, EXERCISES.get(told["kind"])
        if kind and told["shown"] is not None:
            self._do(kind.play(told["shown"], self.learner.chance), page_ms)

    def _do(self, acts: Sequence[Act], page_ms: float) -> None:
        for act in acts:
            self._at(page_ms + act.after_s * 1000.0, partial(self._act, act))

    def _act(self, act: Act, _page_ms: float) -> None:
        self._emit(act.name, **act.fields)

    def _on_class(self, settings: dict[str, Any], page_ms: float) -> None:
        self.wpm = settings["wpm"]

    def _on_push(self, push: dict[str, Any], page_ms: float) -> None:
        if self.run is None or self.run.push != push["push"]:
            self.run = Run.of(push, self.wpm)
            self._heard = []
            if self.sound == "off":
                self._emit("cannot_hear")
        self.run.start_room_ms = push["start_room_ms"]
        self._copies = (
            push["counted"] and push["kind"] == "copying"
        )  # a sound to be met, or a sound check, is only listened to
        self.run.shift(push["shifts"])
        self._schedule(page_ms)

    def _on_more(self, more: dict[str, Any], page_ms: float) -> None:
        if self.run is not None and self.run.push == more["push"] and more["first"] <= len(self.run.signs):
            self.run.goes_on(more["edges"], more["first"], self.wpm)
            self.run.shift(self.run.shifts)
            self._schedule(page_ms)

    def _on_sound(self, sound: dict[str, Any], page_ms: float) -> None:
        """Tones of a hand; a symbol is heard when none follows soon."""
        run = self.run
        if run is None or run.push != sound["push"] or not run.in_parts:
            return
        for number, (on_ms, off_ms) in enumerate(sound["edges"], start=sound["first"]):
            run.tones[number] = [on_ms, off_ms]
            self._at(self._page_ms(off_ms + LETTER_GAP_MS), partial(self._hear_tone, run, number))

    def _on_shift(self, shift: dict[str, Any], page_ms: float) -> None:
        if self.run is not None and self.run.push == shift["push"]:
            self.run.shift(shift["shifts"])
            self._schedule(page_ms)

    def _on_halt(self, halt: dict[str, Any], page_ms: float) -> None:
        if self.run is None or self.run.push != halt["push"]:
            return
        self._plan += 1
        self._report_sounded()
        if halt["for_good"]:
            self._finish_at(page_ms + 2000.0)

    def _on_kept(self, kept: dict[str, Any], page_ms: float) -> None:
        if self.run is not None and self.run.push == kept["push"] and self.seat == kept["seat"]:
            self.run.kept = max(self.run.kept, kept["kept"])

    def _on_handed_in(self, handed: dict[str, Any], page_ms: float) -> None:
        if self.run is not None and self.run.push == handed["push"]:
            self.run.handed_in = True

    def _on_closed(self, closed: dict[str, Any], page_ms: float) -> None:
        if self.run is not None and self.run.push == closed["push"]:
            self._plan += 1

    def _on_removed(self, reason: dict[str, Any], page_ms: float) -> None:
        self.gone = True

    def _resume(self, welcome: dict[str, Any], page_ms: float) -> None:
        """Go on with the room's run after a break: re-send what was not acknowledged, hear the rest."""
        self._on_push(welcome["push"], page_ms)
        run, copy = self.run, welcome["copy"]
        assert run is not None
        if copy is not None:
            run.kept, run.handed_in = copy["kept"], copy["handed_in"]
        push = welcome["push"]
        if push["phase"] in ("closed", "revealed"):
            self._plan += 1
        elif push["halted_room_ms"] is not None:
            for_good = push["phase"] != "paused"
            self._on_halt({"push": push["push"], "for_good": for_good}, page_ms)
        self._send_strokes()
        self._report_sounded()
        if run.done and not run.handed_in:
            self._emit("hand_in", push=run.push)

    # -------------------------------------------------------------- hearing and writing

    def _schedule(self, page_ms: float) -> None:
        """Hear what is still to sound, symbol by symbol, under a new plan; the plan before is void."""
        run, plan = self.run, self._plan + 1
        assert run is not None
        self._plan = plan
        for i, end_ms in enumerate(run.end_ms):
            at_page_ms = self._page_ms(end_ms)
            if at_page_ms > page_ms and i not in run.heard:
                self._at(at_page_ms, partial(self._hear, i), plan)
        if run.in_parts:
            return
        last_ms = self._page_ms(run.last_ms)
        if last_ms <= page_ms:
            return
        self._finish_at(last_ms + min(6000.0, run.tidy_ms / 3.0))
        drop_page_ms = self._page_ms(0.4 * run.last_ms)
        if self.role == "drops" and run.last_ms >= LONG_RUN_MS and drop_page_ms > page_ms:
            self._at(drop_page_ms, self._drop, plan)

    def _hear_tone(self, run: Run, number: int, page_ms: float) -> None:
        letter = run.letter_at(number)
        if letter is None or run is not self.run:
            return
        sign, end_ms, tones = letter
        run.signs += sign
        run.end_ms.append(end_ms)
        self._hear(len(run.signs) - 1, page_ms)
        if self.sound == "on":
            self._emit("report_sounded", push=run.push, spans=[tones])

    def _hear(self, i: int, _: float) -> None:
        run = self.run
        assert run is not None
        if self.sound != "on":
            return
        run.heard.add(i)
        if self._copies:
            self._write_down(run, i)
        elif self._exercise["shown"] is not None and self._exercise["kind"] in EXERCISES:
            self._listen(run, i)
        else:
            return
        if len(run.heard) % REPORT_EVERY == 0 or i == len(run.signs) - 1:
            self._report_sounded()

    def _write_down(self, run: Run, i: int) -> None:
        for stroke in self.learner.hear(run.signs[i], run.in_play, run.spacing_ms(i)):
            if self.role == "paper":
                run.sheet.append(stroke.sign)
                continue
            at_ms = max(run.end_ms[i] + stroke.lag_ms, run.last_at_ms + BOUNCE_MS)
            run.last_at_ms = at_ms
            key = {"at_ms": round(at_ms, 1), "sign": stroke.sign}
            self._at(self._page_ms(at_ms), partial(self._write, run, [key]))

    def _listen(self, run: Run, i: int) -> None:
        """Within another exercise: what its file makes of what the ear took the sound for."""
        strokes = self.learner.hear(
            run.signs[i], run.in_play or "".join(sorted(set(run.signs))), run.spacing_ms(i)
        )
        sign, lag_ms = (strokes[0].sign, strokes[0].lag_ms) if strokes else (BLANK, 0.0)
        self._heard.append(Heard(run.push, i, sign, run.end_ms[i], lag_ms / 1000.0))
        kind = EXERCISES[self._exercise["kind"]]
        acts = kind.hears(self._exercise["shown"], self._heard, self.learner.chance)
        self._do(acts, self._page_ms(run.end_ms[i]))

    def _write(self, run: Run, keys: list[dict[str, Any]], _: float) -> None:
        run.strokes.extend(keys)
        if run is self.run:
            self._send_strokes()

    def _send_strokes(self) -> None:
        """Everything not acknowledged yet: the room knows strokes by their numbers."""
        run = self.run
        assert run is not None
        for first in range(run.kept, len(run.strokes), BATCH):
            self._emit("write_keys", push=run.push, first=first, keys=run.strokes[first : first + BATCH])

    def _finish_at(self, page_ms: float) -> None:
        run = self.run
        assert run is not None
        if self.role == "paper":
            page_ms += min(KEYING_MS * len(run.signs), 0.6 * run.tidy_ms)
        self._at(max(page_ms, self._page_ms(run.last_at_ms) + 1.0), self._finish, self._plan)

    def _finish(self, page_ms: float) -> None:
        run = self.run
        assert run is not None
        if run.sheet:
            at_ms = page_ms + self._offset_ms - run.start_room_ms
            self._write(run, [{"at_ms": round(at_ms, 1), "sign": sign} for sign in run.sheet], page_ms)
            run.sheet = []
        run.done = True
        if run.heard:
            self._report_sounded()
            self._emit("hand_in", push=run.push)

    # -------------------------------------------------------------- small things

    def _unmute(self, page_ms: float) -> None:
        self.sound = "on"
        self._report_device()

    def _drop(self, page_ms: float) -> None:
        self._outbox.append(Offline(OFFLINE_S))

    def _report_device(self) -> None:
        self._emit("report_device", sound=self.sound, uncertainty_ms=1.0, lead_ms=300.0, visible=True)

    def _report_sounded(self) -> None:
        run = self.run
        if run is not None and run.heard and not run.in_parts:
            self._emit("report_sounded", push=run.push, spans=run.spans()[-100:])

    def _page_ms(self, in_push_ms: float) -> float:
        assert self.run is not None
        return self.run.start_room_ms + in_push_ms - self._offset_ms

    def _at(self, page_ms: float, act: Callable[[float], None], plan: int | None = None) -> None:
        """Do it then; under a plan, only while that plan still holds."""

        def due(now_ms: float) -> None:
            if plan is None or plan == self._plan:
                act(now_ms)

        heapq.heappush(self._timers, (page_ms, next(self._count), due))

    def _emit(self, event: str, **payload: Any) -> None:
        self._outbox.append(Emit(event, payload))
