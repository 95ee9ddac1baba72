"""Connections that send a server what no page sends, as fast as it takes it. A program:
URL CODE SECONDS ADDRESSES.

Prints, as JSON, how many of each kind were sent.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import random
import socket
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from urllib.parse import urlsplit

TEXT, BINARY, PING = 0x81, 0x82, 0x89
HANDSHAKE = (
    "GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: {host}\r\nUpgrade: websocket\r\n"
    "Connection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==\r\n\r\n"
)
PATIENCE_S = 10.0

FRAMES: dict[str, tuple[int, Callable[[str], str]]] = {
    "clock question": (TEXT, lambda _code: '427["clock",{"page_ms":1.0}]'),
    "unknown event": (TEXT, lambda _code: '42["sudo",{"seat":1}]'),
    "foreign strokes": (TEXT, lambda _code: '42["write_keys",{"push":1,"first":0,"keys":[],"seat":1}]'),
    "instructor's order": (TEXT, lambda _code: '42["stop",{}]'),
    "wrong code": (
        TEXT,
        lambda _code: f'42["join",{{"code":"WRONG-{random.randrange(999)}","name":"x","token":""}}]',
    ),
    "ill-typed join": (TEXT, lambda code: f'42["join",{{"code":"{code}","name":7,"token":[]}}]'),
    "nobody's answer": (TEXT, lambda _code: '42["write_keys",{"push":99999999}]'),
    "long text": (TEXT, lambda _code: '42["clock",{"page_ms":"' + "x" * 15_000 + '"}]'),
    "ping": (PING, lambda _code: "x" * 100),
}
ENDING: dict[str, tuple[int, str]] = {
    "no Engine.IO": (TEXT, "x"),
    "no JSON": (TEXT, '42["clock",{'),
    "binary": (BINARY, "abc"),
    "attachment": (TEXT, '451-["join",{"_placeholder":true,"num":0}]'),
    "too long": (TEXT, "42" + "x" * 60_000),
    "nested": (TEXT, "42" + "[" * 10_000),
}
REQUESTS = (
    "GET / HTTP/1.1\r\nHost: x\r\n\r\n",
    "GET /static/js/learner.js HTTP/1.1\r\nHost: x\r\n\r\n",
    "GET /api/rooms HTTP/1.1\r\nHost: x\r\n\r\n",
    "GET /r/%00%ff HTTP/1.1\r\nHost: x\r\n\r\n",
    "POST /enter HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 16\r\n\r\n"
    '{"secret": "no"}',
    "POST /api/rooms HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\n\r\n[]",
    "POST /socket.io/?EIO=4&transport=polling HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\n\r\nx",
    "DELETE /api/rooms HTTP/1.1\r\nHost: x\r\n\r\n",
)


def frame(opcode: int, payload: str) -> bytes:
    """A client's frame, RFC 6455 section 5.2."""
    data, mask = payload.encode(), os.urandom(4)
    length = len(data)
    head = (
        bytes([opcode, 0x80 | length]) if length < 126 else bytes([opcode, 0xFE]) + length.to_bytes(2, "big")
    )
    masked = bytes(octet ^ mask[i % 4] for i, octet in enumerate(data))
    return head + mask + masked


class Attack:
    """Twenty connections and what they have sent."""

    def __init__(self, url: str, code: str, seconds: float, addresses: int) -> None:
        parts = urlsplit(url)
        self._at, self._code = (parts.hostname or "", parts.port or 0), code
        self._ends_s = time.monotonic() + seconds
        self.sent: Counter[str] = Counter()
        self._own = itertools.cycle([f"127.9.0.{n + 1}" for n in range(addresses)])

    def goes_on(self) -> bool:
        return time.monotonic() < self._ends_s

    def _wire(self) -> socket.socket:
        return socket.create_connection(self._at, timeout=PATIENCE_S, source_address=(next(self._own), 0))

    def _websocket(self) -> socket.socket:
        wire = self._wire()
        wire.sendall(HANDSHAKE.format(host=f"{self._at[0]}:{self._at[1]}").encode() + frame(TEXT, "40"))
        threading.Thread(target=self._drain, args=(wire,), daemon=True).start()
        return wire

    def _drain(self, wire: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while wire.recv(65536):
                pass

    def flood(self) -> None:
        """Frames that a server can read, without a pause."""
        ready = {
            kind: [frame(opcode, make(self._code)) for _ in range(8)]
            for kind, (opcode, make) in FRAMES.items()
        }
        for turn in itertools.count():
            with contextlib.suppress(OSError), self._websocket() as wire:
                for kind in itertools.islice(itertools.cycle(ready), 100_000):
                    if not self.goes_on():
                        return
                    wire.sendall(ready[kind][turn % 8])
                    self.sent[kind] += 1
            if not self.goes_on():
                return

    def stumble(self) -> None:
        """Connections, each of which ends with a frame that nobody can read."""
        for kind in itertools.cycle(ENDING):
            if not self.goes_on():
                return
            with contextlib.suppress(OSError), self._websocket() as wire:
                wire.sendall(frame(*ENDING[kind]) * 3)
                self.sent[kind] += 1

    def ask(self) -> None:
        """Requests, one after the other on one connection, and on a new one when it is closed."""
        while self.goes_on():
            with contextlib.suppress(OSError), self._wire() as wire:
                for request in itertools.cycle(REQUESTS):
                    if not self.goes_on():
                        return
                    wire.sendall(request.encode("latin-1"))
                    if not wire.recv(65536):
                        break
                    self.sent["request"] += 1

    def say_nothing(self) -> None:
        """Connections that never say all."""
        kept: list[socket.socket] = []
        while self.goes_on():
            with contextlib.suppress(OSError):
                kept.append(self._wire())
                kept[-1].sendall(b"GET / HT")
                self.sent["silence"] += 1
            time.sleep(0.05)

    def run(self) -> None:
        ways = [*[self.flood] * 12, *[self.stumble] * 3, *[self.ask] * 4, self.say_nothing]
        threads = [threading.Thread(target=way) for way in ways]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


if __name__ == "__main__":
    attack = Attack(sys.argv[1], sys.argv[2], float(sys.argv[3]), int(sys.argv[4]))
    attack.run()
    print(json.dumps(attack.sent))
