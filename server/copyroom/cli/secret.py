"""`copyroom secret`: the console's link is a secret; this makes another."""

from __future__ import annotations

from pathlib import Path

import click

from copyroom.shell.secret import new_secret


@click.command()
@click.option("--data", type=click.Path(file_okay=False), help="Folder for database and secret.")
@click.option("--new", "make", is_flag=True, required=True, help="Make a new secret.")
def secret(data: str | None, make: bool) -> None:
    """Make a new secret for the console: its old link, every console's session and every QR code end.

    A running server takes it at once. Learners who have a seat keep it.
    """
    folder = Path(data) if data else Path.home() / ".copyroom"
    if not folder.is_dir():
        raise click.ClickException(f"There is no folder {folder}: no server has run there.")
    click.echo(f"The console's link ends in this from now on:\n  /console#{new_secret(folder)}")
