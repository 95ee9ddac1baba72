"""A real server in a process of its own, and people at real sockets, for the socket tests."""

from __future__ import annotations

import contextlib
import os
import resource
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import requests
import socketio

PATIENCE_S = 40.0
"""How long anything may take on a busy machine before it counts as not happening."""
SYMBOLS = "ADEGHIKMNORSTUW"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Server:
    """`copyroom serve` on a free port of this machine, with a data folder that outlives a kill."""

    def __init__(self, data: Path, *flags: str) -> None:
        self.data, self.port, self._flags = data, free_port(), flags
        self.url = f"http://127.0.0.1:{self.port}"
        self.people: list[Person] = []
        self._output = (data.parent / f"{data.name}.log").open("ab")
        self.start()

    def command(self) -> list[str]:
        serve = [sys.executable, "-X", "faulthandler", "-m", "copyroom", "serve", "--local-only", "--verbose"]
        return [*serve, "--port", str(self.port), "--data", str(self.data), *self._flags]

    def start(self) -> None:
        self._process = subprocess.Popen(self.command(), stdout=self._output, stderr=subprocess.STDOUT)
        deadline_s = time.monotonic() + PATIENCE_S
        while True:
            try:
                requests.get(f"{self.url}/api/about", timeout=PATIENCE_S)
                return
            except requests.ConnectionError:
                assert self._process.poll() is None, self.log()
                assert time.monotonic() < deadline_s, self.log()
                time.sleep(0.05)

    def send_home(self) -> None:
        """Close everybody's connection."""
        while self.people:
            self.people.pop().leave()

    def kill(self) -> None:
        """As a power cut would: SIGKILL, nothing is put in order."""
        self._process.kill()
        self._process.wait()

    def interrupt(self) -> int | None:
        """As Ctrl-C does; its exit code, or None when it has to be killed."""
        self._process.send_signal(signal.SIGINT)
        try:
            return self._process.wait(timeout=PATIENCE_S / 2)
        except subprocess.TimeoutExpired:
            self._process.send_signal(signal.SIGABRT)  # the log then says where each thread stood
            self._process.wait()
            print(self.log()[-20_000:])
            return None

    def stop(self) -> None:
        self.send_home()
        self.interrupt()
        self._output.close()

    def log(self) -> str:
        return Path(self._output.name).read_text("utf-8", "replace")

    def descriptors(self, spare: int) -> int:
        """Leave the server so many descriptors to spare; how many it had."""
        pid = self._process.pid
        used = len(os.listdir(f"/proc/{pid}/fd"))
        limit, hard = resource.prlimit(pid, resource.RLIMIT_NOFILE)
        resource.prlimit(pid, resource.RLIMIT_NOFILE, (min(hard, used + spare), hard))
        return limit - used

    @property
    def secret(self) -> str:
        return (self.data / "console-secret").read_text("ascii").strip()

    def instructor_session(self) -> requests.Session:
        session = requests.Session()
        assert session.post(f"{self.url}/enter", json={"secret": self.secret}).ok
        return session

    def open_room(self) -> str:
        """A room of its own for one test; its code."""
        with self.instructor_session() as session:
            return str(session.post(f"{self.url}/api/rooms", json={}).json()["code"])

    def wall_url(self, code: str) -> str:
        """The link of a room's wall, with its own key."""
        with self.instructor_session() as session:
            answer = session.get(f"{self.url}/api/places", params={"code": code})
            return str(answer.json()["urls"][0]["wall"])


class Person:
    """One connection that remembers, in order, what it was told."""

    def __init__(self, server: Server, cookie: str = "") -> None:
        self.told: list[tuple[str, Any]] = []
        self._news = threading.Condition()
        self._socket = socketio.Client(reconnection=False, handle_sigint=False)
        self._socket.on("*", self._hear)
        headers = {"Cookie": cookie} if cookie else {}
        self._socket.connect(server.url, headers, transports=["websocket"], wait_timeout=PATIENCE_S)
        server.people.append(self)
        self._websocket, self._reading = self._socket.eio.ws, self._socket.eio.read_loop_task

    def _hear(self, event: str, payload: Any = None) -> None:
        with self._news:
            self.told.append((event, payload))
            self._news.notify_all()

    def emit(self, event: str, *payload: Any) -> None:
        self._socket.emit(event, *(payload or ({},)))

    def clock(self) -> dict[str, Any]:
        """One clock exchange. It is answered after everything this connection sent before it was taken in."""
        answer: dict[str, Any] = self._socket.call("clock", {"page_ms": 0.0}, timeout=PATIENCE_S)
        return answer

    def all(self, event: str) -> list[Any]:
        with self._news:
            return [payload for name, payload in self.told if name == event]

    def wait(self, event: str, wanted: Callable[[Any], bool] = lambda _: True) -> Any:
        """The first such event that is wanted, among what has come and what will."""

        def found() -> list[Any]:
            return [payload for name, payload in self.told if name == event and wanted(payload)]

        with self._news:
            came = self._news.wait_for(found, PATIENCE_S)
            last = [(name, str(payload)[:200]) for name, payload in self.told[-5:]]
            assert came, f"no such {event!r}; {len(self.told)} events came, the last ones: {last}"
            return found()[0]

    def ask(self, event: str, payload: Any, answer: str) -> Any:
        """Emit, then the next event of that name."""
        with self._news:
            known = len(self.told)
        self.emit(event, payload)

        def found() -> list[Any]:
            return [told for name, told in self.told[known:] if name == answer]

        with self._news:
            assert self._news.wait_for(found, PATIENCE_S), f"{event}: {self.told[known:]}"
            return found()[0]

    def forget(self) -> None:
        with self._news:
            self.told.clear()

    def leave(self) -> None:
        """As when a phone's battery is empty: no goodbye."""
        with contextlib.suppress(OSError):
            self._websocket.abort()
        self._reading.join(PATIENCE_S)
        self._websocket.shutdown()


class Learner(Person):
    """A connection with a seat."""

    def __init__(self, server: Server, code: str, name: str, token: str = "") -> None:
        super().__init__(server)
        self.emit("join", {"code": code, "name": name, "token": token})
        self.welcome = self.wait("welcome")
        self.seat, self.token = self.welcome["seat"], self.welcome["token"]

    def sound_on(self) -> None:
        self.emit("report_device", {"sound": "on", "uncertainty_ms": 1.0, "lead_ms": 300.0, "visible": True})

    def write(self, push: int, keys: list[dict[str, Any]], first: int = 0) -> None:
        self.emit("write_keys", {"push": push, "first": first, "keys": keys})

    def kept(self, push: int, strokes: int) -> None:
        """Wait until the server says that it holds so many strokes."""
        self.wait("kept", lambda kept: kept["push"] == push and kept["kept"] >= strokes)

    def sounded(self, push: int, count: int) -> None:
        self.emit("report_sounded", {"push": push, "spans": [[0, count]]})


class Instructor(Person):
    """A connection with the console's cookie, watching one room."""

    def __init__(self, server: Server, code: str) -> None:
        with server.instructor_session() as session:
            cookie = "; ".join(f"{c.name}={c.value}" for c in session.cookies)
        super().__init__(server, cookie)
        self.code = code
        self.emit("watch", {"code": code, "view": "console"})
        self.wait("table")

    def set_sound(self, overall_wpm: float = 60.0) -> None:
        """At 60 wpm a test need not wait for the sound: ten symbols take two seconds."""
        sound = {"wpm": 60.0, "overall_wpm": overall_wpm, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 30.0}
        self.emit("set_sound", sound)
        self.wait("room", lambda room: room["sound"] == sound)

    def send(self, text: str) -> dict[str, Any]:
        """Send this text as a counted run; the push."""
        fields = {"purpose": "own", "symbols": SYMBOLS, "count": 1, "group": 5, "text": text}
        sent = fields | {"name_shown": False, "counted": True, "seed": 0}
        push: dict[str, Any] = self.ask("send_text", sent, "push")
        return push

    def view(self, part: str) -> Any:
        """A part of the console's page as it is now."""
        return self.ask("watch", {"code": self.code, "view": "console"}, part)

    def sounded_out(self, push: dict[str, Any], count: int | None = None) -> None:
        """Wait until the last tone has ended, by the server's clock; or that of the first `count` symbols."""
        end_room_ms = push["start_room_ms"] + push["edges"][:count][-1][-1] + 20.0
        while (left_ms := end_room_ms - self.clock()["sent_room_ms"]) > 0.0:
            time.sleep(left_ms / 1000.0)


def keys_for(push: dict[str, Any], signs: str) -> list[dict[str, Any]]:
    """One stroke for each symbol, half a second after its sound."""
    ends = (own[-1] for own in push["edges"])
    return [{"at_ms": round(end + 500.0, 1), "sign": sign} for end, sign in zip(ends, signs, strict=True)]


def cells(table: list[list[Any]]) -> dict[tuple[str, str], int]:
    return {(sent, written): count for sent, written, count in table}
