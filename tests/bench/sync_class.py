"""The class of the synchrony bench: the real server in test mode, its console, learners' pages, recorder."""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import AsyncIterator, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import socketio
from numpy.typing import NDArray
from playwright.async_api import Page, async_playwright

from bench import sync_rig
from copyroom.core.bursts import Speed, bursts

CONTROLS = Path(__file__).parent / "controls"
LEAD_IN_S = 1.0
BEFORE_S = 1.0
AFTER_S = 2.0
"""Recorded before and after a text: a recorder takes its time to begin, and outputs hold sound back."""
START_S = 60.0
PATIENCE_MS = 60_000


@dataclass(frozen=True)
class Setting:
    """A class. `control`: a file of the page's core that a naive one replaces, and the naive one."""

    browsers: int
    jitter_ms: tuple[float, float] | None = None
    latency_ms: float = 0.0
    warm_up_s: float = 6.0
    control: tuple[str, str] | None = None


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
                sync_rig.with_precedence([*serve, "--port", str(port), "--data", str(data)]),
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
        self._run_room_ms = 0.0
        self._socket = socketio.Client(reconnection=False, handle_sigint=False)
        self._socket.on("run", self._note)
        self._socket.connect(server.url, {"Cookie": server.cookie}, transports=["websocket"])
        self._emit("watch", code=self.code, view="console")

    def _note(self, news: dict[str, Any]) -> None:
        if news["run"] is not None:
            self._run_room_ms = float(news["run"]["start_room_ms"])

    def _emit(self, event: str, **payload: Any) -> None:
        self._socket.emit(event, payload)

    def send(self, text: str, speed: Speed) -> None:
        paces = {"wpm": speed.wpm, "overall_wpm": speed.overall_wpm}
        self._emit("set_sound", **paces, pitch_hz=600.0, lead_in_s=LEAD_IN_S, tidy_s=0.0)
        composed = {"purpose": "own", "symbols": "", "count": 1, "group": 5, "text": text}
        self._emit("send_text", **composed, name_shown=False, counted=False)

    def stop(self) -> float:
        """Stop the run. Returns the seconds since its start, by the room's time, just before."""
        now_room_ms = float(self._socket.call("clock", {"page_ms": 0.0})["sent_room_ms"])
        self._emit("stop")
        return (now_room_ms - self._run_room_ms) / 1000.0

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


def pitch_of(browser: int) -> float:
    return 1000.0 * (browser + 1)


class Assembled:
    """A class in its seats, with a recorder of what its browsers play."""

    def __init__(
        self, console: Console, sound: sync_rig.SoundServer, pages: list[Page], folder: Path
    ) -> None:
        self.console, self.pages = console, pages
        self._sound, self._folder = sound, folder

    async def recorded(self, text: str, speed: Speed) -> NDArray[np.float32]:
        """What was played when a text was sent, to its end."""
        async with self._recording() as path:
            self.console.send(text, speed)
            await asyncio.sleep(bursts(text, speed).duration_s + 2 * LEAD_IN_S + AFTER_S)
        return sync_rig.recorded(path)

    async def stopped(self, text: str, speed: Speed, after_s: float) -> tuple[NDArray[np.float32], float]:
        """What was played when a text was sent and stopped so long after; when that was, by the run."""
        async with self._recording() as path:
            self.console.send(text, speed)
            await asyncio.sleep(after_s)
            stop_s = self.console.stop()
            await asyncio.sleep(AFTER_S)
        return sync_rig.recorded(path), stop_s

    @contextlib.asynccontextmanager
    async def _recording(self) -> AsyncIterator[Path]:
        path = self._folder / "recording"
        with self._sound.recording(path):
            await asyncio.sleep(BEFORE_S)
            yield path


@contextlib.asynccontextmanager
async def assembled(setting: Setting) -> AsyncIterator[Assembled]:
    """Sound server, server, console, and as many learners' pages, warmed up."""
    async with contextlib.AsyncExitStack() as stack:
        sound = stack.enter_context(sync_rig.sound_server())
        server = stack.enter_context(served())
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="copyroom-sync-")))
        console = Console(server)
        stack.callback(console.leave)
        playwright = await stack.enter_async_context(async_playwright())
        # All browsers before any sound: in a class none starts up beside another's sounding.
        ports, pages = [], []
        for i in range(setting.browsers):
            port = server.port
            if setting.jitter_ms is not None:
                port = await stack.enter_async_context(
                    sync_rig.delaying_proxy(port, *setting.jitter_ms, seed=i)
                )
            latency_ms = setting.latency_ms if i == 0 else 0.0
            page = await stack.enter_async_context(sync_rig.browser_page(playwright, sound, latency_ms))
            if setting.control is not None:
                await _replace(page, *setting.control)
            ports.append(port)
            pages.append(page)
        for i, (port, page) in enumerate(zip(ports, pages, strict=True)):
            await take_seat(page, port, console.code, f"Browser {i + 1}", pitch_of(i))
            sound.hurry_audio_threads()
        await asyncio.sleep(setting.warm_up_s)
        yield Assembled(console, sound, pages, folder)


async def _replace(page: Page, module: str, control: str) -> None:
    await page.route(f"**/js/core/{module}", lambda route: route.fulfill(path=CONTROLS / control))
