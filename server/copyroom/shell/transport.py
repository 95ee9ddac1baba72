"""What the stack underneath lacks: a turn for every frame, and an end for frames that are none of ours.

A cooperative server goes on with one connection for as long as its next frame is there already, so whoever
sends fast enough has the server alone. Here each frame costs a part of its connection's budget, before it is
looked into, and who has spent the budget waits. The wait holds up that connection's own reading alone. Each
frame and each request also costs a part of its address's budget, see `budget`.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Callable, Collection, Iterable
from contextlib import nullcontext
from typing import Any

from socketio.packet import CONNECT, DISCONNECT, EVENT
from socketio.packet import Packet as AnyPacket

from copyroom.shell.budget import REQUEST_FRAMES, Addresses, Bucket
from copyroom.shell.lobby import Lobby, Peer

log = logging.getLogger(__name__)

FRAMES_A_S = 50.0
"""One connection's frames in the long run; a page sends some five messages a second."""
FRAMES_AT_ONCE = 200.0
"""After a break a page sends what has gathered."""
FRAME_BYTES = 1000.0
"""A longer frame counts as several."""
LARGEST_BODY = 16_384
"""Bytes of a request's body."""
LONGEST_SAID = 120


class Turns:
    """One connection's budget of frames.

    Parameters
    ----------
    now_s : a clock that only goes forward.
    pause : waits some seconds, 0 too, while the others have their turn.
    """

    def __init__(self, now_s: Callable[[], float], pause: Callable[[float], None]) -> None:
        self._now_s, self._pause = now_s, pause
        self._budget = Bucket(FRAMES_A_S, FRAMES_AT_ONCE, now_s())

    def take(self, length: int) -> None:
        """Pay for a frame of so many bytes, and wait when there is nothing left; nothing of it is lost."""
        left = self._budget.take(price(length), self._now_s())
        if left < FRAMES_AT_ONCE / 2:
            self._pause(max(0.0, -left / FRAMES_A_S))


def price(length: int) -> float:
    """What a frame of so many bytes costs."""
    return max(1.0, length / FRAME_BYTES)


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


def guard(server: Any, now_s: Callable[[], float], addresses: Addresses, lobby: Lobby) -> None:
    """Give every connection of a socketio.Server its turns, and end those that send what nobody can read."""
    stack, take_in = server.eio._async, server.eio.handlers["message"]
    websocket = stack["websocket"]

    def guarded(handler: Callable[[Any], Any], eio: Any) -> Any:
        return websocket(lambda wire: handler(_paced(wire, Turns(now_s, server.sleep))), eio)

    def take_in_or_end(eio_sid: str, frame: str | bytes) -> None:
        connection = server.eio.sockets.get(eio_sid)
        if connection is None or connection.closed:
            return  # what was on its way when it ended
        said = server.environ.get(eio_sid, {})
        address, cost = said.get("REMOTE_ADDR", ""), price(len(frame))
        known = lobby.knows(said.get("copyroom.peer", ("", 0))) and addresses.pays(address, cost)
        try:
            with nullcontext() if known else addresses.turn(address, cost):
                take_in(eio_sid, frame)
        except MalformedError as fault:
            log.warning("connection=ended frame=malformed reason=%s", fault)
            connection.close(wait=False)

    server.eio._async = stack | {"websocket": guarded}
    server.eio.on("message", take_in_or_end)


def unmasked(data: bytes, mask: bytes | tuple[int, ...], length: int | None = None, offset: int = 0) -> bytes:
    """A client's payload without its mask (RFC 6455 section 5.3), all of it in one operation.

    mask : four bytes; `offset` is how many bytes of the payload came before these.
    """
    length = len(data) if length is None else length
    turned = bytes(mask[(offset + i) % 4] for i in range(4))
    key = (turned * (length // 4 + 1))[:length]
    plain = int.from_bytes(data[:length], "little") ^ int.from_bytes(key, "little")
    return plain.to_bytes(length, "little")


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
        wire._apply_mask = unmasked  # in place of a loop over its bytes
    wire.wait = wait_in_turn
    return wire


def _is_ours(frame: str | bytes) -> bool:
    """Whether it is Engine.IO's close, pong, or message with a Socket.IO packet; the rest a server sends."""
    return isinstance(frame, str) and (frame in ("1", "3") or (frame[:1] == "4" and frame[1:2].isdecimal()))


class SaysLittle:
    """For a request handler of the standard library's kind: what it says is one kind of line in the log."""

    def log_message(self, format: str, *args: Any) -> None:
        log.info("request said=%r", (format % args)[:LONGEST_SAID])

    def log(self, _kind: str, message: str, *args: Any) -> None:
        """As werkzeug's says it."""
        self.log_message(message, *args)


class Reception:
    """Where every request comes first: who it is from, whether it has come whole, and its address's budget.

    Parameters
    ----------
    app : takes the request when its turn has come.
    proxies : addresses of proxies that are believed when they say whom they speak for.
    """

    def __init__(self, app: Any, lobby: Lobby, addresses: Addresses, proxies: Collection[str]) -> None:
        self._app, self._lobby, self._addresses, self._proxies = app, lobby, addresses, proxies

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        peer = (environ.get("REMOTE_ADDR", ""), int(environ.get("REMOTE_PORT") or 0))
        environ["copyroom.peer"] = peer
        environ["REMOTE_ADDR"] = self._behind(environ, peer)
        # For messages this small compressed frames cost six times the CPU that they save in bytes.
        environ.pop("HTTP_SEC_WEBSOCKET_EXTENSIONS", None)
        try:
            environ["wsgi.input"] = io.BytesIO(_body(environ))
            self._lobby.busy(peer)
            turn = self._addresses.turn(environ["REMOTE_ADDR"], REQUEST_FRAMES)
            if "HTTP_UPGRADE" in environ:
                with turn:
                    pass  # the connection itself lasts, and pays by the frame
                return self._answer(environ, start_response)
            with turn:
                return self._answer(environ, start_response)
        finally:
            self._lobby.idle(peer)

    def _answer(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        answer: Iterable[bytes] = self._app(environ, start_response)
        return answer

    def _behind(self, environ: dict[str, Any], peer: Peer) -> str:
        """Whom the connection is for: the last one in the list that no proxy of ours wrote for itself."""
        if peer[0] not in self._proxies:
            return peer[0]
        named = [part.strip() for part in environ.get("HTTP_X_FORWARDED_FOR", "").split(",")]
        others = [address for address in named if address and address not in self._proxies]
        return others[-1] if others else peer[0]


def _body(environ: dict[str, Any]) -> bytes:
    """What came with a request, before it takes anybody's turn; nothing of what is too long, or in chunks."""
    length = environ.get("CONTENT_LENGTH") or "0"
    if not length.isdecimal() or int(length) > LARGEST_BODY:
        return b""
    body: bytes = environ["wsgi.input"].read(int(length)) if int(length) else b""
    return body
