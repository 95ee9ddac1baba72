"""Simulated learners on real connections: one loop, one socket a learner.

The sockets' threads only put what they hear into one queue, so everything else happens in the one
thread that runs `Class.run`, and a learner needs no lock.
"""

from __future__ import annotations

import logging
import math
import queue
import time
from dataclasses import dataclass
from typing import Any

import numpy as np
import socketio

from copyroom.rehearsal.learner import Learner, Manner
from copyroom.rehearsal.participant import LONG_RUN_MS, Emit, Participant, Role

LATE_S = 6.0
LATEST_S = 90.0
"""The late one joins so long after the sending of the first long run, or after the start."""
RETRY_S = 1.0
GIVE_UP_S = 60.0
"""Without a connection for so long, a learner goes home."""

_ROLES: tuple[Role, ...] = ("late", "drops", "paper", "mute")
_NAMES = (
    *("Wren", "Otter", "Maple", "Comet", "Badger", "Fern", "Heron", "Pebble", "Willow", "Marten", "Cricket"),
    *("Juniper", "Plover", "Ember", "Thistle", "Lynx", "Clover", "Sparrow", "Hazel", "Newt", "Rowan"),
)

log = logging.getLogger(__name__)


def is_long(push: dict[str, Any]) -> bool:
    """Whether somebody may come in while it sounds; one that is sent by hand has no edges yet."""
    return bool(push["end_ms"] >= LONG_RUN_MS)


def _page_ms() -> float:
    return time.monotonic() * 1000.0


def invented_names(size: int) -> list[str]:
    """Names of nobody, and plainly so."""
    rounds = ["", *(f" {n}" for n in range(2, 2 + size // len(_NAMES)))]
    return [f"sim {name}{again}" for again in rounds for name in _NAMES][:size]


def participants(code: str, size: int, skill: float, seed: int) -> list[Participant]:
    """A class of this size; up to half of it, the last ones, have something special happen to them."""
    special = _ROLES[: size // 2]
    ordinary: list[Role] = [""] * (size - len(special))
    rngs = np.random.default_rng(seed).spawn(size)
    return [
        Participant(name, code, Learner(Manner.draw(rng, skill), rng), role)
        for name, rng, role in zip(invented_names(size), rngs, [*ordinary, *special], strict=True)
    ]


@dataclass
class _Line:
    """One learner's connection. `connect_at_s`, `lost_at_s`: infinite while it stands."""

    learner: Participant
    socket: socketio.Client
    connect_at_s: float
    lost_at_s: float = math.inf

    def lose(self, for_s: float) -> None:
        """Be without a connection for so long."""
        self.lost_at_s = time.monotonic()
        self.connect_at_s = self.lost_at_s + for_s
        self.hang_up()

    def hang_up(self) -> None:
        """Without a goodbye, as a network goes away."""
        if self.socket.eio.ws is not None:
            self.socket.eio.ws.abort()


class Class:
    """All simulated learners of one room."""

    def __init__(self, url: str, learners: list[Participant]) -> None:
        self._url = url
        self._inbox: queue.SimpleQueue[tuple[_Line, str, Any]] = queue.SimpleQueue()
        self._lines = [self._line(learner) for learner in learners]

    def _line(self, learner: Participant) -> _Line:
        socket = socketio.Client(reconnection=False, handle_sigint=False)
        line = _Line(learner, socket, time.monotonic() + LATEST_S * (learner.role == "late"))
        socket.on("*", lambda event, payload=None: self._inbox.put((line, event, payload)))
        socket.on("connect", lambda: self._inbox.put((line, "connect", None)))
        socket.on("disconnect", lambda *_: self._inbox.put((line, "disconnect", None)))
        return line

    def run(self) -> None:
        """Take part until everybody has gone home. Raises ConnectionError when nobody ever gets in."""
        try:
            while self._lines:
                self._connect_due()
                self._listen(self._wait_s())
                for line in self._lines:
                    line.learner.wake(_page_ms())
                    self._send(line)
                self._lines = [line for line in self._lines if not self._has_left(line)]
        finally:
            for line in self._lines:
                line.hang_up()

    def _wait_s(self) -> float:
        now_s = time.monotonic()
        wake_s = min(line.learner.wake_page_ms for line in self._lines) / 1000.0
        connect_s = min(line.connect_at_s for line in self._lines)
        return max(0.0, min(wake_s - now_s, connect_s - now_s, 0.5))

    def _connect_due(self) -> None:
        for line in self._lines:
            if line.connect_at_s <= time.monotonic():
                line.connect_at_s = math.inf
                try:
                    line.socket.connect(self._url, transports=["websocket"], wait_timeout=5)
                except (socketio.exceptions.ConnectionError, OSError) as fault:
                    if not line.learner.token:
                        raise ConnectionError(f"{self._url} does not answer: {fault}") from None
                    line.connect_at_s = time.monotonic() + RETRY_S

    def _listen(self, wait_s: float) -> None:
        """Pass on what the sockets heard, once something has come or the time is over."""
        try:
            item = self._inbox.get(timeout=wait_s) if wait_s else self._inbox.get_nowait()
            while True:
                self._pass_on(*item)
                item = self._inbox.get_nowait()
        except queue.Empty:
            pass

    def _pass_on(self, line: _Line, event: str, payload: Any) -> None:
        learner = line.learner
        if event == "connect":
            line.lost_at_s = math.inf
            learner.connected(_page_ms())
        elif event == "disconnect":
            if line.lost_at_s == math.inf:
                log.info("event=connection_lost seat=%d", learner.seat)
                line.lose(RETRY_S)
        elif event == "clock_answer":
            learner.clock(*payload)
        else:
            learner.receive(event, payload, _page_ms())
            _tell(learner, event, payload)
            if event == "push" and is_long(payload):
                self._call_latecomers()
        self._send(line)

    def _call_latecomers(self) -> None:
        for line in self._lines:
            if not line.learner.token:
                line.connect_at_s = min(line.connect_at_s, time.monotonic() + LATE_S)

    def _send(self, line: _Line) -> None:
        for message in line.learner.take():
            if not isinstance(message, Emit):
                log.info("event=network_lost seat=%d seconds=%g", line.learner.seat, message.seconds)
                line.lose(message.seconds)
            elif line.socket.connected:
                self._emit(line, message)

    def _emit(self, line: _Line, message: Emit) -> None:
        """What gets lost with the connection is sent again after the next welcome."""
        sent_page_ms = _page_ms()

        def answered(answer: Any) -> None:
            self._inbox.put((line, "clock_answer", (sent_page_ms, answer, _page_ms())))

        try:
            line.socket.emit(
                message.event, message.payload, callback=answered if message.event == "clock" else None
            )
        except socketio.exceptions.SocketIOError:
            log.debug("event=not_sent seat=%d name=%s", line.learner.seat, message.event)

    def _has_left(self, line: _Line) -> bool:
        given_up = time.monotonic() - line.lost_at_s > GIVE_UP_S
        if line.learner.gone or given_up:
            log.info(
                "event=left seat=%d reason=%s",
                line.learner.seat,
                "removed" if line.learner.gone else "no_server",
            )
            line.hang_up()
        return line.learner.gone or given_up


def _tell(learner: Participant, event: str, payload: Any) -> None:
    """One line for what a bystander would want to know."""
    match event:
        case "welcome":
            log.info("event=joined seat=%d role=%s", learner.seat, learner.role or "ordinary")
        case "push":
            log.debug(
                "event=push seat=%d push=%d sounds=%d", learner.seat, payload["push"], len(payload["edges"])
            )
        case "handed_in":
            written = len(learner.run.strokes) if learner.run else 0
            log.info("event=handed_in seat=%d push=%d strokes=%d", learner.seat, payload["push"], written)
        case "reveal":
            log.info(
                "event=result seat=%d push=%d right=%d of=%d",
                learner.seat,
                payload["push"],
                payload["right"],
                payload["of"],
            )
        case "refused" | "removed":
            log.warning("event=%s seat=%d sentence=%r", event, learner.seat, payload["sentence"])
