"""What `serve` prints: where to look."""

from __future__ import annotations

import sys

import click

from copyroom.settings import Settings
from copyroom.shell.database import sqlite_path
from copyroom.shell.places import join_url, places, qr_terminal


def _can_print_blocks() -> bool:
    try:
        "▀▄█".encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True


def greet(settings: Settings, code: str, secret: str, key: str, simulated: int = 0) -> None:
    """Print the console's link and the join addresses with their QR codes."""
    base = settings.public_url.rstrip("/") or f"{settings.scheme}://127.0.0.1:{settings.port}"
    # Where several servers share the database, the address leads to the one that has the room.
    room = "" if sqlite_path(settings.database) else f"?room={code}"
    click.echo(f"\nInstructor's console (keep this link to yourself):\n  {base}/console{room}#{secret}\n")
    if simulated:
        click.echo(
            f"Room {code} is a rehearsal with {simulated} simulated learners, erased when the server ends."
            " Your class's own rooms are as they were.\n"
        )
    click.echo(f"Learners join room {code} at:")
    for place in places(settings):
        click.echo(f"  {join_url(place, code)}  ({place.interface})")
        if _can_print_blocks():
            click.echo(qr_terminal(join_url(place, code, key)))
    if not _can_print_blocks():
        click.echo("The console page shows the QR code; this terminal cannot print it.")
    click.echo("Start quietly: check the loudness at a low level first, and lower still with headphones.")
    kept = (
        "the rehearsal is erased, every other room is kept" if simulated else "what the class wrote is kept"
    )
    click.echo(f"Ctrl+C ends the server; {kept}.\n")
    sys.stdout.flush()
