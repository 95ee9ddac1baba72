"""`copyroom rehearse`: fill a room with simulated learners."""

from __future__ import annotations

import logging
import signal
from typing import Any
from urllib.parse import urlsplit

import click

from copyroom.rehearsal.client import Class, participants


class _Trouble(click.ClickException):
    """The user's error, in one line."""

    exit_code = 2


def _parts(url: str, code: str) -> tuple[str, str]:
    """The server's address and the room's code, from a join address or from the option."""
    parts = urlsplit(url)
    if parts.scheme not in ("http", "https") or not parts.netloc:
        raise click.UsageError(f"{url!r} is not an address like http://127.0.0.1:8000.")
    server, (_, _, in_path) = f"{parts.scheme}://{parts.netloc}", parts.path.rpartition("/r/")
    code = code or in_path
    if not code:
        raise click.UsageError("Say which room: --code CODE, or the join address.")
    return server, code


def _hang_up(*_: Any) -> None:
    raise KeyboardInterrupt


@click.command()
@click.argument("join_address", required=False)
@click.option(
    "--url", default="http://127.0.0.1:8000", show_default=True, help="The server, without a join address."
)
@click.option("--code", default="", help="The room's code.")
@click.option("--learners", type=click.IntRange(1, 60), default=12, show_default=True, help="How many.")
@click.option(
    "--skill",
    type=click.FloatRange(0.05, 0.99),
    default=0.8,
    show_default=True,
    help="Share of sounds that the class knows.",
)
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="The same seed, the same class."
)
@click.option("-v", "--verbose", is_flag=True, help="More lines.")
def rehearse(
    join_address: str | None, url: str, code: str, learners: int, skill: float, seed: int, verbose: bool
) -> None:
    """Fill a room with simulated learners, over real connections.

    JOIN_ADDRESS is what learners open, http://HOST:PORT/r/CODE. In a class of eight or more one learner joins
    in the middle of a run, one loses the network for some seconds, one writes on paper, one hears nothing at
    first. Ctrl-C ends it.
    """
    server, code = _parts(join_address or url, code)
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(message)s", datefmt="%H:%M:%S")
    logging.getLogger("copyroom").setLevel(logging.DEBUG if verbose else logging.INFO)
    signal.signal(signal.SIGTERM, _hang_up)
    try:
        Class(server, participants(code, learners, skill, seed)).run()
    except ConnectionError as fault:
        raise _Trouble(str(fault)) from None
    except KeyboardInterrupt:
        click.echo("The simulated learners have left.", err=True)
