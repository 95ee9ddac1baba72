"""The two servers under load, each in a process of its own on a core of its own."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

BARE = Path(__file__).with_name("bare.py")
START_S = 60.0
PROC = Path("/proc")


@dataclass(frozen=True)
class Served:
    """A server that runs. `cookie` is what its console sends, `code` the room's."""

    name: str
    url: str
    pid: int
    cookie: str

    def cpu_s(self) -> float:
        """Processor time of the process so far, all threads; 0 where there is no /proc."""
        if not PROC.exists():
            return 0.0
        fields = (PROC / str(self.pid) / "stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def memory_kb(self) -> int:
        """Resident memory; 0 where there is no /proc."""
        if not PROC.exists():
            return 0
        lines = (PROC / str(self.pid) / "status").read_text().splitlines()
        return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS"))


def keep_to_core(core: int) -> None:
    """The calling process uses this core only, where the system can say so."""
    if hasattr(os, "sched_setaffinity") and core in os.sched_getaffinity(0):
        os.sched_setaffinity(0, {core})


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    deadline_s = time.monotonic() + START_S
    while time.monotonic() < deadline_s:
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with {process.returncode}")
        with suppress(OSError):
            socket.create_connection(("127.0.0.1", int(url.rpartition(":")[2])), 1.0).close()
            return
        time.sleep(0.1)
    raise RuntimeError("the server did not start")


@contextmanager
def _running(
    command: list[str], url: str, on_core: Callable[[], None], log: Path | None = None
) -> Iterator[subprocess.Popen[bytes]]:
    said = open(log, "wb") if log else None  # noqa: SIM115
    process = subprocess.Popen(command, stdout=said or subprocess.DEVNULL, stderr=said, preexec_fn=on_core)
    try:
        _wait_for(url, process)
        yield process
    finally:
        process.kill()
        process.wait()


@contextmanager
def served_by(program: list[str], data: Path, core: int, log: Path | None = None) -> Iterator[Served]:
    """A program that takes the arguments of `copyroom`, its journal in `data`, what it says in `log`."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    serve = [*program, "serve", "--local-only", "--port", str(port), "--data", str(data)]
    with _running(serve, url, lambda: keep_to_core(core), log) as process:
        secret = (data / "console-secret").read_text("ascii").strip()
        body = f'{{"secret": "{secret}"}}'.encode()
        request = urllib.request.Request(f"{url}/enter", body, {"Content-Type": "application/json"})
        with urllib.request.urlopen(request) as answer:
            cookie = answer.headers["Set-Cookie"].partition(";")[0]
        yield Served("real", url, process.pid, cookie)


def real(data: Path, core: int, log: Path | None = None) -> AbstractContextManager[Served]:
    """`copyroom serve` with its journal in `data`."""
    return served_by([sys.executable, "-m", "copyroom"], data, core, log)


@contextmanager
def bare(data: Path, core: int) -> Iterator[Served]:
    """The library's plain server; it keeps nothing, so `data` stays empty."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-W", "ignore", str(BARE), str(port)]
    with _running(command, url, lambda: keep_to_core(core)) as process:
        yield Served("bare", url, process.pid, "")


SERVERS = {"real": real, "bare": bare}
