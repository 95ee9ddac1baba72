"""What the stack underneath lacks: a turn for every frame, and an end for frames that are none of ours.

A cooperative server goes on with one connection for as long as its next frame is there already, so whoever
sends fast enough has the server alone. Here each frame costs a part of its connection's budget, before it is
looked into, and who has spent the budget waits. The wait holds up that connection's own reading alone.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

from socketio.packet import CONNECT, DISCONNECT, EVENT
from socketio.packet import Packet as AnyPacket

log = logging.getLogger(__name__)

FRAMES_A_S = 50.0
"""One connection's frames in the long run; a page sends some five messages a second."""
FRAMES_AT_ONCE = 200.0
"""After a break a page sends what has gathered."""
FRAME_BYTES = 1000.0
"""A longer frame counts as several: unmasking it is slow."""


class Turns:
    """One connection's budget of frames.

    Parameters
    ----------
    now_s : a clock that only goes forward.
    pause : waits some seconds, 0 too, while the others have their turn.
    """

    def __init__(self, now_s: Callable[[], float], pause: Callable[[float], None]) -> None:
        self._now_s, self._pause = now_s, pause
        self._left, self._counted_s = FRAMES_AT_ONCE, now_s()

    def take(self, length: int) -> None:
        """Pay for a frame of so many bytes, and wait when there is nothing left; nothing of it is lost."""
        now_s = self._now_s()
        regained = (now_s - self._counted_s) * FRAMES_A_S
        self._left = min(FRAMES_AT_ONCE, self._left + regained) - max(1.0, length / FRAME_BYTES)
        self._counted_s = now_s
        if self._left < FRAMES_AT_ONCE / 2:
            self._pause(max(0.0, -self._left / FRAMES_A_S))


class MalformedError(Exception):
    """Bytes that no page of ours sends."""


class Packet(AnyPacket):  # type: ignore[misc]
    """A Socket.IO packet from a page: a greeting, a goodbye, or an event that may have that name."""

    uses_binary_events = False

    def decode(self, encoded_packet: str | bytes) -> int:
        try:
            attachments: int = super().decode(encoded_packet)
        except Exception as fault:  # whatever a parser can stumble over
            raise MalformedError(type(fault).__name__) from None
        if self.packet_type == EVENT:
            named = isinstance(self.data, list) and self.data and isinstance(self.data[0], str)
            known = named and self.data[0] not in ("connect", "disconnect")
        else:
            known = self.packet_type in (CONNECT, DISCONNECT)
        if attachments or not known or self.namespace not in (None, "/"):
            raise MalformedError("no event of a page")
        return 0


def guard(server: Any, now_s: Callable[[], float]) -> None:
    """Give every connection of a socketio.Server its turns, and end those that send what nobody can read."""
    stack, take_in = server.eio._async, server.eio.handlers["message"]
    websocket = stack["websocket"]

    def guarded(handler: Callable[[Any], Any], eio: Any) -> Any:
        return websocket(lambda wire: handler(_paced(wire, Turns(now_s, server.sleep))), eio)

    def take_in_or_end(eio_sid: str, frame: str | bytes) -> None:
        connection = server.eio.sockets.get(eio_sid)
        if connection is None or connection.closed:
            return  # what was on its way when it ended
        try:
            take_in(eio_sid, frame)
        except MalformedError as fault:
            log.warning("connection=ended frame=malformed reason=%s", fault)
            connection.close(wait=False)

    server.eio._async = stack | {"websocket": guarded}
    server.eio.on("message", take_in_or_end)


def _paced(wire: Any, turns: Turns) -> Any:
    """The websocket with a price for each frame."""
    receive: Any = getattr(wire, "_recv_frame", None)
    wait = wire.wait

    def receive_in_turn(*given: Any, **named: Any) -> Any:
        message = receive(*given, **named)
        turns.take(sum(map(len, message.data)))
        return message

    def wait_in_turn() -> str | bytes | None:
        frame: str | bytes | None = wait()
        if receive is None:
            turns.take(len(frame or ""))
        if frame is None or _is_ours(frame):
            return frame
        log.warning("connection=ended frame=malformed reason=%s", "no frame of a page")
        return None  # as if the other side had closed it

    if receive is not None:  # eventlet's: pings are answered and parts gathered in there, unseen by `wait`
        wire._recv_frame = receive_in_turn
    wire.wait = wait_in_turn
    return wire


def _is_ours(frame: str | bytes) -> bool:
    """Whether it is Engine.IO's close, pong, or message with a Socket.IO packet; the rest a server sends."""
    return isinstance(frame, str) and (frame in ("1", "3") or (frame[:1] == "4" and frame[1:2].isdecimal()))
