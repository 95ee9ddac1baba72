"""A light Socket.IO client for many connections in one process: frames by a library, the rest by hand.

Only what a browser with the websocket transport sends: Engine.IO 4 packets ("0" open, "2" ping, "4"
message) around Socket.IO 5 packets ("0" connect, "2" event, "3" acknowledgement).
"""

from __future__ import annotations

import asyncio
import itertools
import json
import sys
import time
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from websockets.client import ClientProtocol
from websockets.extensions.permessage_deflate import ClientPerMessageDeflateFactory
from websockets.frames import Frame, Opcode
from websockets.http11 import Response
from websockets.uri import parse_uri

Hear = Callable[[str, bytes, float], None]
"""Called with an event's name, the whole packet and when it came (s)."""


class Client(asyncio.Protocol):
    """One connection. `hear` is called for each event; it may be exchanged at any time."""

    def __init__(self, url: str, deflate: bool, cookie: str) -> None:
        offered = [ClientPerMessageDeflateFactory(client_max_window_bits=True)] if deflate else None
        address = url.replace("http", "ws", 1) + "/socket.io/?EIO=4&transport=websocket"
        self._protocol = ClientProtocol(parse_uri(address), extensions=offered)
        self._cookie = cookie
        self._acks: dict[int, asyncio.Future[Any]] = {}
        self._next_ack = 0
        self._transport: asyncio.Transport | None = None
        loop = asyncio.get_running_loop()
        self.connected: asyncio.Future[None] = loop.create_future()
        self.lost = False
        self.hear: Hear = lambda _name, _packet, _at_s: None
        self.heard: dict[str, asyncio.Future[Any]] = {}

    @property
    def compressed(self) -> bool:
        return bool(self._protocol.extensions)

    # -------------------------------------------------------------- asyncio's side

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport
        request = self._protocol.connect()
        if self._cookie:
            request.headers["Cookie"] = self._cookie
        self._protocol.send_request(request)
        self._flush()

    def data_received(self, data: bytes) -> None:
        at_s = time.perf_counter()
        self._protocol.receive_data(data)
        for event in self._protocol.events_received():
            if isinstance(event, Frame) and event.opcode is Opcode.TEXT:
                self._packet(bytes(event.data), at_s)
            elif isinstance(event, Response) and event.status_code != 101:
                self._fail(ConnectionError(f"status {event.status_code}"))
        self._flush()

    def connection_lost(self, fault: Exception | None) -> None:
        self.lost = True
        self._fail(fault or ConnectionError("closed"))

    def _fail(self, fault: Exception) -> None:
        for waiting in (self.connected, *self._acks.values(), *self.heard.values()):
            if not waiting.done():
                waiting.set_exception(fault)
                waiting.exception()  # whoever waits sees it; nobody need

    def _flush(self) -> None:
        assert self._transport is not None
        for data in self._protocol.data_to_send():
            self._transport.write(data)

    # -------------------------------------------------------------- Socket.IO

    def _packet(self, packet: bytes, at_s: float) -> None:
        kind = packet[:2]
        if kind == b"42":
            name = packet[4 : packet.index(b'"', 4)].decode()
            self.hear(name, packet, at_s)
            waiting = self.heard.pop(name, None)
            if waiting is not None and not waiting.done():
                waiting.set_result(json.loads(packet[2:])[1])
        elif kind == b"43":
            start = packet.index(b"[")
            waiting = self._acks.pop(int(packet[2:start]), None)
            if waiting is not None and not waiting.done():
                waiting.set_result(json.loads(packet[start:])[0])
        elif packet[:1] == b"0":
            self._send("40")
        elif kind == b"40" and not self.connected.done():
            self.connected.set_result(None)
        elif packet == b"2":
            self._send("3")

    def _send(self, packet: str) -> None:
        self._protocol.send_text(packet.encode())
        self._flush()

    def emit(self, name: str, payload: dict[str, Any]) -> None:
        self._send("42" + json.dumps([name, payload], separators=(",", ":")))

    def call(self, name: str, payload: dict[str, Any]) -> asyncio.Future[Any]:
        """Emit and get a future of the acknowledgement."""
        number, self._next_ack = self._next_ack, self._next_ack + 1
        answer = self._acks[number] = asyncio.get_running_loop().create_future()
        self._send(f"42{number}" + json.dumps([name, payload], separators=(",", ":")))
        return answer

    def next(self, name: str) -> asyncio.Future[Any]:
        """A future of the payload of the next event of that name."""
        waiting = self.heard[name] = asyncio.get_running_loop().create_future()
        return waiting

    def close(self) -> None:
        if self._transport is not None:
            self._transport.abort()


_devices = itertools.count(2)


def address_of_its_own() -> tuple[str, int] | None:
    """Another of this machine's own addresses for each client: a server has limits for each address.

    Where there is but one, None.
    """
    number = next(_devices) % 60_000
    return (f"127.1.{number // 250}.{number % 250 + 1}", 0) if sys.platform == "linux" else None


async def connect(url: str, deflate: bool, cookie: str = "", timeout_s: float = 30.0) -> Client:
    """A connection that is ready to emit, from an address of its own."""
    parts = urlsplit(url)
    loop = asyncio.get_running_loop()
    _, client = await loop.create_connection(
        lambda: Client(url, deflate, cookie), parts.hostname, parts.port, local_addr=address_of_its_own()
    )
    await asyncio.wait_for(client.connected, timeout_s)
    return client
