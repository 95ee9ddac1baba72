"""The command line: `copyroom serve`, `copyroom tone` and the rest.

The only module that may name eventlet. `serve` makes the standard library cooperative before anything
else is imported, so this module imports nothing of ours at its top, and subcommands load when called.
"""

from __future__ import annotations

import importlib
import os
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    import ssl

    from copyroom.shell.lobby import Lobby

COMMANDS = {
    "advise": "plan what to send next, one JSON request a line",
    "align": "say which sent symbol each written one answers",
    "backup": "copy all rooms into a file, while the server runs or not",
    "evidence": "say what a class knows, one JSON request a line",
    "read": "say what was sent by hand, from its tones' times or a sound",
    "rehearse": "fill a room with simulated learners",
    "secret": "make a new secret for the console",
    "restore": "put a backup's rooms in place",
    "symbols": "list the symbols of the code",
    "tone": "render a text as a sound file",
}
"""Subcommand -> its line of help; the body is `copyroom.cli.<name>`."""
LAST_WORDS_S = 2.0
"""How long the end waits for what connections are just doing."""
MOST_GREEN_THREADS = 5000
ANSWER_S = 30.0
"""For a client to take or give the next bytes of a request."""


class _LazyGroup(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted([*super().list_commands(ctx), *COMMANDS])

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return super().get_command(ctx, name)
        command: click.Command = getattr(importlib.import_module(f"copyroom.cli.{name}"), name)
        return command


@click.group(cls=_LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="copyroom")
def main() -> None:
    """Copyroom: teach International Morse code by ear to a group."""


@main.command()
@click.option(
    "--port", default=8000, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on."
)
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to listen on.")
@click.option("--local-only", is_flag=True, help="Serve this machine alone.")
@click.option(
    "--public-url", default="", metavar="URL", help="Where learners reach a proxy before this server."
)
@click.option(
    "--trusted-proxy",
    multiple=True,
    metavar="ADDRESS",
    help="A proxy that is believed when it says whom it speaks for; may be given again.",
)
@click.option(
    "--certificate", type=click.Path(exists=True, dir_okay=False), help="Serve by TLS with this one."
)
@click.option("--certificate-key", type=click.Path(exists=True, dir_okay=False), help="Its private key.")
@click.option("--data", type=click.Path(file_okay=False), help="Folder for database and secret.")
@click.option("--database", default="", metavar="URL", help="Another database, such as postgresql://...")
@click.option(
    "--keep-days",
    default=60,
    show_default=True,
    type=click.IntRange(1),
    help="Rooms untouched so long are due: the console says so, a day before they are erased.",
)
@click.option(
    "--with-learners",
    default=0,
    type=click.IntRange(0, 60),
    help="Rehearse with a simulated class of this size, in a room of its own that is erased at the end.",
)
@click.option("--threading", is_flag=True, help="Real threads instead of eventlet (slower; for tests).")
@click.option(
    "--exercises",
    type=click.Path(exists=True, file_okay=False),
    hidden=True,
    help="More exercises; for tests.",
)
@click.option("--test-mode", is_flag=True, help="Allow measuring aids on learners' pages. Never in a class.")
@click.option("--verbose", is_flag=True, help="Log what happens.")
def serve(
    port: int,
    host: str,
    local_only: bool,
    public_url: str,
    trusted_proxy: tuple[str, ...],
    certificate: str | None,
    certificate_key: str | None,
    data: str | None,
    database: str,
    keep_days: int,
    with_learners: int,
    threading: bool,
    exercises: str | None,
    test_mode: bool,
    verbose: bool,
) -> None:
    """Run the classroom server."""
    run_blocking: Callable[..., Any] = _call
    if not threading:
        # Maintained for bug fixes only, and it says so at every start: see DEVELOPERS.md on leaving it.
        warnings.filterwarnings("ignore", message=r"\s*Eventlet is deprecated")
        # The server asks no name server; loading a cooperative resolver costs a fifth of the start.
        os.environ.setdefault("EVENTLET_NO_GREENDNS", "yes")
        import eventlet
        import eventlet.tpool

        eventlet.monkey_patch()
        run_blocking = eventlet.tpool.execute
    from pathlib import Path

    from copyroom.cli.serving import run
    from copyroom.settings import Settings

    settings = Settings(
        data=Path(data) if data else Path.home() / ".copyroom",
        database_url=database,
        host=host,
        port=port,
        local_only=local_only,
        public_url=public_url,
        proxies=frozenset(trusted_proxy),
        certificate=Path(certificate) if certificate else None,
        certificate_key=Path(certificate_key) if certificate_key else None,
        keep_days=keep_days,
        test_mode=test_mode,
        exercises=Path(exercises) if exercises else None,
        threading=threading,
    )
    run(settings, run_blocking, None if threading else _bind_eventlet, with_learners, verbose)


def _call(function: Callable[..., Any], *arguments: Any) -> Any:
    return function(*arguments)


def _interrupt_the_main_thread() -> None:
    """Raise KeyboardInterrupt where the server runs.

    By itself it comes up in whichever green thread is running, and a handler there would swallow it. The byte
    that the system writes at a signal also wakes a server that nobody is connected to.
    """
    import signal
    import socket

    import eventlet
    import greenlet
    from eventlet import hubs

    main_thread = greenlet.getcurrent()
    ear, mouth = socket.socketpair()
    mouth.setblocking(False)
    signal.set_wakeup_fd(mouth.fileno())
    ending = (signal.SIGINT, signal.SIGTERM)
    for name in ending:
        signal.signal(name, lambda *_: None)

    def listen(_mouth: socket.socket) -> None:  # which stays open for as long as somebody listens
        while told := ear.recv(1):
            if told[0] in ending:
                hubs.get_hub().schedule_call_global(0, main_thread.throw, KeyboardInterrupt)

    eventlet.spawn(listen, mouth)


def _bind_eventlet(host: str, port: int, certificate: ssl.SSLContext | None) -> Callable[[Any, Lobby], None]:
    """Take the port; the function that serves an app on it until interrupted.

    Without `reuse_port` a second server on the port is refused instead of taking half the class.
    """
    import socket

    import eventlet
    import eventlet.green.ssl
    import eventlet.wsgi

    from copyroom.shell.lobby import Door
    from copyroom.shell.transport import SaysLittle

    _interrupt_the_main_thread()
    listener = eventlet.listen((host, port), backlog=2048, reuse_port=False)
    listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)  # accepted sockets inherit it
    if certificate is not None:  # hands are shaken when a connection is first read, not while the others wait
        listener = eventlet.green.ssl.GreenSSLSocket(
            listener, server_side=True, do_handshake_on_connect=False, _context=certificate
        )

    class Pool(eventlet.GreenPool):  # type: ignore[misc]
        def waitall(self) -> None:
            # What a flood has left in its buffers is read no faster at the end, and nobody waits for it.
            with eventlet.Timeout(LAST_WORDS_S, False):
                super().waitall()

    class Protocol(SaysLittle, eventlet.wsgi.HttpProtocol):  # type: ignore[misc]
        pass

    def serve_app(app: Any, lobby: Lobby) -> None:
        # With a smaller pool newcomers would hang; the lobby has no more than that.
        pool, door = Pool(MOST_GREEN_THREADS), Door(listener, lobby)
        eventlet.wsgi.server(
            door,
            app,
            protocol=Protocol,
            custom_pool=pool,
            log_output=False,
            debug=False,
            socket_timeout=ANSWER_S,
        )

    return serve_app


if __name__ == "__main__":
    main()
