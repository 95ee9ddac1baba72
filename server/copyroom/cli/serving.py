"""Running the server: open or resume the room, greet, listen, and end cleanly."""

from __future__ import annotations

import atexit
import errno
import gc
import logging
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, BinaryIO, NoReturn

import click
import numpy.ma
import numpy.random  # noqa: F401  numpy loads both when first used, which would be in the midst of a class
from werkzeug.serving import WSGIRequestHandler, make_server

from copyroom.app import Server, create
from copyroom.cli.greeting import greet
from copyroom.settings import MOST_CONNECTIONS, Settings
from copyroom.shell.database import sqlite_path
from copyroom.shell.lobby import Door, Lobby
from copyroom.shell.lock import AlreadyRunningError, lock
from copyroom.shell.log_lines import OneASecond
from copyroom.shell.schema import UnusableDatabaseError
from copyroom.shell.transport import SaysLittle

Bind = Callable[[str, int, ssl.SSLContext | None], Callable[[Any, Lobby], None]]
"""Takes a port and a certificate, or raises OSError; gives what serves an app there, behind a lobby."""

REHEARSAL = "Rehearsal, simulated"
SPARE_DESCRIPTORS = 200
"""Kept for the database, pages and files."""
PATIENCE_S = 10.0
"""How long the end waits for a disk that fails."""


def run(
    settings: Settings,
    run_blocking: Callable[..., Any],
    bind: Bind | None,
    with_learners: int,
    verbose: bool,
) -> None:
    """Serve until interrupted; `bind` None is Socket.IO's threaded server."""
    logging.basicConfig(
        level=logging.INFO if verbose else logging.WARNING, format="%(levelname)s %(name)s %(message)s"
    )
    for handler in logging.getLogger().handlers:
        handler.addFilter(OneASecond(time.monotonic))
    settings = replace(settings, max_connections=_descriptors() - SPARE_DESCRIPTORS)
    held = _lock_database(settings)
    serve_app = _take_port(settings, bind)
    server = _create(settings, run_blocking, "eventlet" if bind else "threading")
    server.rooms.erase_rehearsals()  # of a server that was killed
    code = server.rooms.open(REHEARSAL, rehearsal=True) if with_learners else server.rooms.latest()
    greet(settings, code, server.console_secret, server.keys.key("door", code), with_learners)
    if with_learners:
        _start_class(settings, code, with_learners)
    # What lives since the start need not be looked through again; a full collection stalls every stroke.
    gc.collect()
    gc.freeze()
    # A collection looks through what came since the one before: seldom and much at a time is a stall, too.
    gc.set_threshold(2_000, 2, 20_000)
    try:
        if serve_app:
            serve_app(server.flask, server.lobby)
        else:
            _serve_threads(settings, server)
    except KeyboardInterrupt:
        pass
    finally:
        _end(server)
        if held:
            held.close()


def _end(server: Server) -> None:
    """Bring to the disk what is on its way there, and close the database."""
    everything = False
    with suppress(KeyboardInterrupt):  # once more: no patience with a disk that fails
        everything = server.outbox.finish(PATIENCE_S)
    rehearsed = server.rooms.erase_rehearsals()
    server.rooms.forget_now()
    server.store.close()
    if everything:
        kept = (
            "The rehearsal is erased, every other room is kept."
            if rehearsed
            else "What the class wrote is kept."
        )
        click.echo(f"\nThe server has ended. {kept}")
    else:
        click.echo(
            "\nThe server has ended, and the disk did not take all. Browsers keep what is not here.", err=True
        )


def _refuse(sentence: str) -> NoReturn:
    click.echo(sentence, err=True)
    sys.exit(2)


def _lock_database(settings: Settings) -> BinaryIO | None:
    """One server to an SQLite file, however it was started; another database is locked room by room."""
    database = sqlite_path(settings.database)
    if database is None:
        return None
    path = database.with_name(f"{database.name}.lock")
    host = "127.0.0.1" if settings.listen_host == "0.0.0.0" else settings.listen_host
    try:
        return lock(path, f"http://{host}:{settings.port}")
    except AlreadyRunningError as error:
        _refuse(str(error))
    except OSError as error:
        _refuse(_no_folder(path.parent, error))


def _create(settings: Settings, run_blocking: Callable[..., Any], async_mode: str) -> Server:
    try:
        return create(settings, run_blocking, async_mode)
    except UnusableDatabaseError as error:
        _refuse(str(error))
    except OSError as error:
        _refuse(_no_folder(settings.data, error))


def _no_folder(folder: Path, error: OSError) -> str:
    return f"Nothing can be kept in the folder {folder}: {error.strerror}. Start with another --data FOLDER."


def _take_port(settings: Settings, bind: Bind | None) -> Callable[[Any, Lobby], None] | None:
    """Take the port before anything is opened or printed; one clear line when it is taken already."""
    try:
        if bind:
            return bind(settings.listen_host, settings.port, _certificate(settings))
        socket.create_server((settings.listen_host, settings.port)).close()
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            _refuse(
                f"Another program listens on port {settings.port}. End it, or choose another with --port;"
                " learners' addresses change with it."
            )
        _refuse(f"Cannot listen on port {settings.port} of {settings.listen_host}: {error.strerror}.")
    return None


def _certificate(settings: Settings) -> ssl.SSLContext | None:
    if settings.certificate is None:
        return None
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(settings.certificate, settings.certificate_key)
    except (ssl.SSLError, OSError) as error:
        _refuse(
            f"The certificate cannot be used: {error.strerror or error}. Is its key in --certificate-key?"
        )
    return context


class _Handler(SaysLittle, WSGIRequestHandler):
    """One request on a real thread."""


def _serve_threads(settings: Settings, server: Server) -> None:
    for name in (signal.SIGINT, signal.SIGTERM):  # also where a script's `&` had them ignored
        signal.signal(name, signal.default_int_handler)
    served = make_server(
        settings.listen_host, settings.port, server.flask, threaded=True, request_handler=_Handler
    )
    listener: Any = served.socket
    if certificate := _certificate(settings):
        listener = certificate.wrap_socket(listener, server_side=True, do_handshake_on_connect=False)
        served.ssl_context = certificate
    vars(served)["socket"] = Door(listener, server.lobby)
    served.serve_forever()


def _start_class(settings: Settings, code: str, learners: int) -> None:
    """A simulated class in a process of its own, over real websockets; it waits for the server."""
    url = f"http://127.0.0.1:{settings.port}"
    command = [sys.executable, "-m", "copyroom", "rehearse", "--url", url, "--code", code]
    process = subprocess.Popen([*command, "--learners", str(learners)])
    atexit.register(process.terminate)


def _descriptors() -> int:
    """Raise the limit of open descriptors as far as it goes; the limit. A connection takes one of them."""
    try:
        import resource
    except ImportError:  # Windows sets none that a class would reach
        return MOST_CONNECTIONS + SPARE_DESCRIPTORS
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_CONNECTIONS + SPARE_DESCRIPTORS
    allowed = wanted if hard == resource.RLIM_INFINITY else min(hard, wanted)
    resource.setrlimit(resource.RLIMIT_NOFILE, (allowed, hard))
    return allowed
