"""Running the server: open or resume the room, greet, listen, and end cleanly."""

from __future__ import annotations

import atexit
import errno
import gc
import logging
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import click

from copyroom.app import Server, create
from copyroom.cli.greeting import greet
from copyroom.settings import Settings

Listen = Callable[[str, int, Any], None]


def run(
    settings: Settings,
    run_blocking: Callable[..., Any],
    listen: Listen | None,
    with_learners: int,
    verbose: bool,
) -> None:
    """Serve until interrupted; `listen` None is Socket.IO's threaded server."""
    logging.basicConfig(
        level=logging.INFO if verbose else logging.WARNING, format="%(levelname)s %(name)s %(message)s"
    )
    logging.getLogger("alembic").setLevel(logging.WARNING)
    _raise_descriptor_limit()
    server = create(settings, run_blocking, "eventlet" if listen else "threading")
    code = server.rooms.latest()
    greet(settings, code, server.console_secret)
    if with_learners:
        _start_class(settings, code, with_learners)
    # What lives since the start need not be looked through again; a full collection stalls every stroke.
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)
    try:
        _listen(settings, server, listen)
    except KeyboardInterrupt:
        click.echo("\nThe server has ended. What the class wrote is kept.")
    except OSError as error:
        if error.errno not in (errno.EADDRINUSE, errno.EACCES, errno.EADDRNOTAVAIL):
            raise
        click.echo(f"Cannot listen on port {settings.port}: {error.strerror}. Try --port.", err=True)
        sys.exit(2)


def _listen(settings: Settings, server: Server, listen: Listen | None) -> None:
    if listen:
        listen(settings.listen_host, settings.port, server.flask)
    else:
        server.socketio.run(
            server.flask, settings.listen_host, settings.port, allow_unsafe_werkzeug=True, log_output=False
        )


def _start_class(settings: Settings, code: str, learners: int) -> None:
    """A simulated class in a process of its own, over real websockets; it waits for the server."""
    url = f"http://127.0.0.1:{settings.port}"
    command = [sys.executable, "-m", "copyroom", "rehearse", "--url", url, "--code", code]
    process = subprocess.Popen([*command, "--learners", str(learners)])
    atexit.register(process.terminate)


def _raise_descriptor_limit() -> None:
    """A connection is a descriptor; running out of them would end the server."""
    try:
        import resource
    except ImportError:  # Windows has no such limit
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = 65_536 if hard == resource.RLIM_INFINITY else min(hard, 65_536)
    if soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
