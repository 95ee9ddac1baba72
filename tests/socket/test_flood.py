"""One phone that sends as fast as it can, without code or seat, and a learner beside it."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Callable, Iterator

import pytest
import requests

from classroom import PATIENCE_S, Learner, Server

TEXT, BINARY, PING = 0x81, 0x82, 0x89
CLOSING = b"\x88"
FLOOD_S = 1.5
AT_ONCE = 400
FREEZE_S = 1.0
"""Without turns the others wait for as long as the flood lasts, and for what it has left behind."""

FLOODS = {
    "clock questions": (TEXT, b'427["clock",{"page_ms":1.0}]'),
    "unknown events": (TEXT, b'42["sudo",{"seat":1}]'),
    "refused events": (TEXT, b'42["join",{"code":"NONE-0000","name":"","token":1}]'),
    "pings": (PING, b"x" * 100),
    "long frames": (TEXT, b'42["clock",{"page_ms":"' + b"x" * 15_000 + b'"}]'),
}
MALFORMED = {
    "no Engine.IO": (TEXT, b"x"),
    "no JSON": (TEXT, b'42["clock",{'),
    "no event": (TEXT, b"42[[]]"),
    "reserved": (TEXT, b'42["disconnect",{}]'),
    "binary": (BINARY, b"\x00\xff"),
    "attachments": (TEXT, b'451-["join",{"_placeholder":true,"num":0}]'),
}


HANDSHAKE = (
    b"GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nUpgrade: websocket\r\n"
    b"Connection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==\r\n\r\n"
)


def frame(opcode: int, payload: bytes) -> bytes:
    """A client's frame, RFC 6455 section 5.2; the mask 0 leaves the payload as it is."""
    length = len(payload)
    head = (
        bytes([opcode, 0x80 | length]) if length < 126 else bytes([opcode, 0xFE]) + length.to_bytes(2, "big")
    )
    return head + b"\0\0\0\0" + payload


def stranger(server: Server) -> socket.socket:
    """A websocket that has greeted the server, and nothing else."""
    wire = socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE_S)
    wire.sendall(HANDSHAKE % server.port)
    hear(wire, b"\r\n\r\n")
    wire.sendall(frame(TEXT, b"40"))
    hear(wire, b'40{"sid"')
    return wire


@pytest.fixture(scope="module", autouse=True)
def silent(server: Server) -> list[socket.socket]:
    """Connections that never say all; made before the other tests, so that their time passes meanwhile."""
    wires = [socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE_S) for _ in range(3)]
    wires[1].sendall(b"GET / HTTP/1.1\r\nHost: x\r\n")
    wires[2].sendall(b"POST /enter HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\n{")
    return wires


def hear(wire: socket.socket, wanted: bytes) -> None:
    heard = b""
    while wanted not in heard:
        came = wire.recv(4096)
        assert came, heard
        heard += came


def ended(wire: socket.socket) -> bool:
    """Whether the server ends the connection, by a closing frame (RFC 6455 section 5.5.1) or at once."""
    with contextlib.suppress(ConnectionError):
        while came := wire.recv(65536):
            if CLOSING in came:
                return True
    return True


@contextlib.contextmanager
def flood(server: Server, opcode: int, payload: bytes) -> Iterator[None]:
    """Send without a pause until the end of the block, and read whatever comes back."""
    wire, over = stranger(server), threading.Event()
    many = frame(opcode, payload) * AT_ONCE

    def until_over(act: Callable[[], object]) -> Callable[[], None]:
        def loop() -> None:
            with contextlib.suppress(OSError):
                while not over.is_set():
                    act()

        return loop

    threads = [
        threading.Thread(target=until_over(act))
        for act in (lambda: wire.sendall(many), lambda: wire.recv(65536))
    ]
    for thread in threads:
        thread.start()
    try:
        yield
    finally:
        over.set()
        wire.shutdown(socket.SHUT_RDWR)
        for thread in threads:
            thread.join()
        wire.close()


def answers_s(learner: Learner, for_s: float) -> list[float]:
    """How long each clock question took to be answered, one after the other for so long."""
    took_s: list[float] = []
    begun_s = time.monotonic()
    while time.monotonic() - begun_s < for_s:
        asked_s = time.monotonic()
        learner.clock()
        took_s.append(time.monotonic() - asked_s)
        time.sleep(0.05)
    return took_s


@pytest.mark.parametrize("kind", FLOODS)
def test_a_flood_from_one_connection_does_not_keep_the_others_waiting(server: Server, code: str, kind: str):
    learner = Learner(server, code, "Wren")
    quiet_s = answers_s(learner, 0.3)
    with flood(server, *FLOODS[kind]):
        loud_s = answers_s(learner, FLOOD_S)
    print(f"{kind}: quiet {max(quiet_s):.4f} s at most, loud {max(loud_s):.4f} s")
    assert max(loud_s) < FREEZE_S
    assert len(loud_s) >= 5


@pytest.mark.parametrize("kind", MALFORMED)
def test_a_malformed_frame_ends_its_connection_with_one_line_a_second(server: Server, code: str, kind: str):
    learner, wire, before = Learner(server, code, "Wren"), stranger(server), len(server.log())
    with wire:
        wire.sendall(frame(*MALFORMED[kind]) * 3)
        assert ended(wire)
    learner.clock()
    logged = server.log()[before:]
    assert logged.count("connection=ended frame=malformed") <= 1
    assert server.log().count("connection=ended frame=malformed") >= 1
    assert "Traceback" not in logged
    assert learner.all("refused") == []


def test_a_message_longer_than_any_page_sends_ends_its_connection(server: Server, code: str):
    learner, wire = Learner(server, code, "Wren"), stranger(server)
    with wire:
        wire.sendall(frame(TEXT, b'42["clock",{"page_ms":"' + b"x" * 20_000 + b'"}]'))
        assert ended(wire)
    learner.clock()


def test_the_end_of_descriptors_sends_strangers_away_and_no_learner(server: Server, code: str):
    learner, before = Learner(server, code, "Wren"), len(server.log())
    usual = server.descriptors(64)
    strangers = [socket.create_connection(("127.0.0.1", server.port)) for _ in range(100)]
    try:
        assert Learner(server, code, "Otter").seat != learner.seat
        learner.clock()
    finally:
        server.descriptors(usual)
        for wire in strangers:
            wire.close()
    assert 1 <= server.log()[before:].count("accept=failed") <= 10


def test_who_says_nothing_is_sent_away(server: Server, silent: list[socket.socket]):
    for wire in silent:
        with wire:
            assert ended(wire)


def test_the_sockets_own_errors_have_the_pages_headers(server: Server, code: str):
    refused = requests.get(f"{server.url}/socket.io/?EIO=3&transport=polling", timeout=PATIENCE_S)
    page = requests.get(f"{server.url}/r/{code}", timeout=PATIENCE_S)
    assert (refused.status_code, page.status_code) == (400, 200)
    for name in ("Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy"):
        assert refused.headers[name] == page.headers[name]


@pytest.mark.parametrize(
    ("origin", "answer"), [("http://127.0.0.1:1", "400"), ("http://127.0.0.1:%d", "101")]
)
def test_a_socket_is_for_pages_of_this_server(server: Server, origin: str, answer: str):
    named = origin.replace("%d", str(server.port)).encode()
    with socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE_S) as wire:
        wire.sendall((HANDSHAKE % server.port)[:-2] + b"Origin: " + named + b"\r\n\r\n")
        hear(wire, f" {answer} ".encode())
