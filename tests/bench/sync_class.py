"""The class of the synchrony bench: the real server in test mode, its console, learners' pages."""

from __future__ import annotations

import contextlib
import json
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import socketio
from playwright.async_api import Page

from bench.sync_rig import with_precedence

START_S = 60.0
PATIENCE_MS = 60_000


@dataclass(frozen=True)
class Served:
    """A running server. `cookie` is what its console sends."""

    port: int
    cookie: str

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"


@contextlib.contextmanager
def served() -> Iterator[Served]:
    """`copyroom serve --test-mode` on a free port, with a data folder of its own."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    with tempfile.TemporaryDirectory(prefix="copyroom-sync-") as folder:
        log_path, data = Path(folder) / "log", Path(folder) / "data"
        serve = [sys.executable, "-m", "copyroom", "serve", "--local-only", "--test-mode"]
        with log_path.open("wb") as log:
            process = subprocess.Popen(
                with_precedence([*serve, "--port", str(port), "--data", str(data)]),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        try:
            _wait_until_answering(port, process, log_path)
            yield Served(port, _cookie(port, (data / "console-secret").read_text("ascii").strip()))
        finally:
            process.kill()
            process.wait()


def _wait_until_answering(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    deadline_s = time.monotonic() + START_S
    while time.monotonic() < deadline_s and process.poll() is None:
        with contextlib.suppress(OSError):
            socket.create_connection(("127.0.0.1", port), 1.0).close()
            return
        time.sleep(0.1)
    raise RuntimeError(log.read_text("utf-8") or "the server did not start")


def _cookie(port: int, secret: str) -> str:
    body = json.dumps({"secret": secret}).encode()
    headers = {"Content-Type": "application/json"}
    request = urllib.request.Request(f"http://127.0.0.1:{port}/enter", body, headers)
    with urllib.request.urlopen(request) as answer:
        return str(answer.headers["Set-Cookie"]).partition(";")[0]


class Console:
    """An instructor with a room of their own."""

    def __init__(self, server: Served) -> None:
        request = urllib.request.Request(
            f"{server.url}/api/rooms", b"{}", {"Content-Type": "application/json", "Cookie": server.cookie}
        )
        with urllib.request.urlopen(request) as answer:
            self.code = str(json.load(answer)["code"])
        self._socket = socketio.Client(reconnection=False, handle_sigint=False)
        self._socket.connect(server.url, {"Cookie": server.cookie}, transports=["websocket"])
        self._emit("watch", code=self.code, view="console")

    def _emit(self, event: str, **payload: Any) -> None:
        self._socket.emit(event, payload)

    def send(self, text: str, wpm: float, overall_wpm: float) -> None:
        self._emit("set_sound", wpm=wpm, overall_wpm=overall_wpm, pitch_hz=600.0, lead_in_s=1.0, tidy_s=0.0)
        composed = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "text": text}
        self._emit("send_text", **composed, name_shown=False, counted=False)

    def leave(self) -> None:
        self._socket.disconnect()


async def take_seat(page: Page, port: int, code: str, name: str, pitch_hz: float) -> None:
    """Join as a learner does: name, tap for sound, "I hear it", how to write."""
    page.set_default_timeout(PATIENCE_MS)
    await page.goto(f"http://127.0.0.1:{port}/r/{code}?test_pitch_hz={pitch_hz:g}")
    await page.fill("#name", name)
    await page.click("button[data-kind=primary]")
    await page.click("button.big-tap")
    await page.get_by_role("button", name="I hear it").click()
    await page.locator("button.way").first.click()
