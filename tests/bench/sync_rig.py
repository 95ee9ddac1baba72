"""The rig of the synchrony bench: a sound server, real browsers that play into it, delays between them and
the server.

A PulseAudio of its own runs in a temporary folder with one null sink at 48 kHz: what the browsers play is
summed there and recorded from the sink's monitor. Without 48 kHz as default rate Chromium would run at 44.1
kHz and be resampled.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import random
import shlex
import shutil
import subprocess
import tempfile
import time
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from playwright.async_api import Page, Playwright

from chromium_flags import LEAN

RATE_HZ = 48_000
SINK = "room"
NEEDED = ("pulseaudio", "pactl", "parec")
CHROMIUM = "/usr/bin/chromium"
AUDIO_THREADS = ("pulseaudio", "null-sink", "threaded-ml", "parec")
REAL_TIME = 7
AHEAD = -15
"""Niceness of a session: -20 is the most."""


def with_precedence(command: list[str]) -> list[str]:
    """The command for a session of its own, ahead of whatever else this machine does, where that is allowed.

    In a class each browser has a machine to itself. Linux weighs sessions against each other (autogroups);
    the threads of a browser keep their own order, which real-time scheduling of the whole would upset.
    """
    script = f'echo {AHEAD} 2>/dev/null >/proc/self/autogroup; exec "$@"'
    return ["sh", "-c", script, "sh", *command]


def missing() -> list[str]:
    """Programs that the rig needs and this machine lacks."""
    return [name for name in NEEDED if shutil.which(name) is None] + (
        [] if Path(CHROMIUM).exists() else ["chromium"]
    )


class SoundServer:
    """A PulseAudio of our own, its environment for clients, and a recorder."""

    def __init__(self, folder: Path) -> None:
        (folder / "run").mkdir(mode=0o700)
        config = folder / "daemon.conf"
        config.write_text(f"default-sample-rate = {RATE_HZ}\ndefault-sample-format = float32le\n")
        self.folder = folder
        self.env = os.environ | {
            "PULSE_CONFIG": str(config),
            "XDG_CONFIG_HOME": str(folder),
            "XDG_RUNTIME_DIR": str(folder / "run"),
            "PULSE_SERVER": f"unix:{folder / 'run' / 'native'}",
        }
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        null_sink = f"module-null-sink sink_name={SINK} rate={RATE_HZ} format=float32le channels=2"
        protocol = f"module-native-protocol-unix auth-anonymous=1 socket={self.folder / 'run' / 'native'}"
        command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disallow-exit"]
        env = {name: value for name, value in self.env.items() if name != "PULSE_SERVER"}
        with open(self.folder / "pulseaudio.log", "wb") as log:
            self.process = subprocess.Popen(
                [*command, "-L", protocol, "-L", null_sink], env=env, stdout=log, stderr=log
            )
        self._wait_until_answering()

    def _wait_until_answering(self) -> None:
        for _ in range(100):
            if subprocess.run(["pactl", "info"], env=self.env, capture_output=True).returncode == 0:
                return
            time.sleep(0.1)
        raise RuntimeError((self.folder / "pulseaudio.log").read_text() or "pulseaudio does not answer")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(10)

    def hurry_audio_threads(self) -> None:
        """Give the sound server and the browsers' ends of it real time, as a desktop's rtkit does.

        Where real time is not allowed nothing changes, and a busy machine is heard.
        """
        for process in self._processes():
            with contextlib.suppress(OSError):  # ended meanwhile, or not allowed
                for thread in (process / "task").iterdir():
                    if (thread / "comm").read_text().strip() in AUDIO_THREADS:
                        os.sched_setscheduler(int(thread.name), os.SCHED_RR, os.sched_param(REAL_TIME))

    def _processes(self) -> list[Path]:
        """The sound server, its clients, and all in their sessions: browsers hide their environment."""
        sessions: set[int] = set()
        every: list[tuple[Path, int]] = []
        for process in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                every.append((process, os.getsid(int(process.name))))
                if str(self.folder).encode() in (process / "environ").read_bytes():
                    sessions.add(every[-1][1])
        return [process for process, session in every if session in sessions]

    @contextlib.contextmanager
    def recording(self, path: Path) -> Iterator[None]:
        """Record the sink's monitor, mono float32, into `path` for as long as the block lasts."""
        command = [
            "parec",
            "-d",
            f"{SINK}.monitor",
            "--format=float32le",
            f"--rate={RATE_HZ}",
            "--channels=1",
        ]
        with open(path, "wb") as sink:
            recorder = subprocess.Popen(command, env=self.env, stdout=sink)
            try:
                yield
            finally:
                recorder.terminate()
                recorder.wait(10)


@contextlib.contextmanager
def sound_server() -> Iterator[SoundServer]:
    with tempfile.TemporaryDirectory(prefix="copyroom-sound-") as folder:
        server = SoundServer(Path(folder))
        server.start()
        try:
            yield server
        finally:
            server.stop()


def recorded(path: Path) -> NDArray[np.float32]:
    return np.fromfile(path, dtype="<f4")


@contextlib.asynccontextmanager
async def browser_page(
    playwright: Playwright, sound: SoundServer, added_latency_ms: float = 0
) -> AsyncIterator[Page]:
    """A page in a Chromium of its own that plays into the sound server, so much later than the others."""
    wrapper = sound.folder / "chromium"
    wrapper.write_text(f'#!/bin/sh\nexec {shlex.join(with_precedence([CHROMIUM]))} "$@"\n')
    wrapper.chmod(0o700)
    late = {"PULSE_LATENCY_MSEC": f"{added_latency_ms:g}"} if added_latency_ms else {}
    browser = await playwright.chromium.launch(
        executable_path=wrapper,
        env=sound.env | late,
        args=["--disable-gpu", "--disable-background-networking", "--disable-component-update", LEAN],
        ignore_default_args=["--mute-audio"],
    )
    try:
        yield await browser.new_page()
    finally:
        await browser.close()


@contextlib.asynccontextmanager
async def delaying_proxy(target_port: int, low_ms: float, high_ms: float, seed: int) -> AsyncIterator[int]:
    """A TCP proxy on a port of its own that delays every piece by a random time, each way, in order."""
    chance = random.Random(seed)
    tasks: set[asyncio.Task[None]] = set()

    async def pipe(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        queue: asyncio.Queue[tuple[float, bytes]] = asyncio.Queue()
        sender = asyncio.create_task(send_late(queue, writer))
        try:
            with contextlib.suppress(ConnectionError):
                while piece := await reader.read(65536):
                    queue.put_nowait((time.monotonic() + chance.uniform(low_ms, high_ms) / 1000, piece))
            queue.put_nowait((time.monotonic(), b""))
            await sender
        finally:
            sender.cancel()
            writer.close()

    async def send_late(queue: asyncio.Queue[tuple[float, bytes]], writer: asyncio.StreamWriter) -> None:
        with contextlib.suppress(ConnectionError):
            while True:
                due_s, piece = await queue.get()
                await asyncio.sleep(due_s - time.monotonic())
                if not piece:
                    break
                writer.write(piece)
                await writer.drain()

    async def accepted(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            far_reader, far_writer = await asyncio.open_connection("127.0.0.1", target_port)
        except OSError:  # the server has gone before
            writer.close()
            return
        for pair in ((reader, far_writer), (far_reader, writer)):
            task = asyncio.create_task(pipe(*pair))
            tasks.add(task)
            task.add_done_callback(tasks.discard)

    server = await asyncio.start_server(accepted, "127.0.0.1", 0)
    try:
        yield server.sockets[0].getsockname()[1]
    finally:
        server.close()
        for task in list(tasks):
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
