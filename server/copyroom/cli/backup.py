"""`copyroom backup`: a copy of all rooms, made while the server runs."""

from __future__ import annotations

import datetime
import sqlite3
import sys
from pathlib import Path
from typing import NoReturn

import click

from copyroom.cli.places import data_option, database_option, settings_of
from copyroom.shell.backups import copy, dump_command
from copyroom.shell.database import sqlite_path


@click.command()
@click.argument("file", required=False, type=click.Path(dir_okay=False))
@data_option
@database_option
def backup(file: str | None, data: str | None, database: str) -> None:
    """Copy all rooms into FILE, whether the server runs or not."""
    settings = settings_of(data, database)
    source = sqlite_path(settings.database)
    if source is None:
        click.echo("PostgreSQL makes its own backups, while the server runs:")
        click.echo(f"  {dump_command(settings.database)}")
        return
    moment = datetime.datetime.now().strftime("%Y-%m-%d-%H%M%S")
    target = Path(file or f"copyroom-{moment}.sqlite3")
    if target.exists():
        _refuse(f"{target} is there already, and was left as it is. Choose another name.")
    if not source.is_file():
        _refuse(f"There is no database {source}. Name its folder with --data FOLDER.")
    try:
        copy(source, target)
    except sqlite3.Error as fault:
        _refuse(f"The database {source} cannot be copied: {fault}.")
    except OSError as fault:
        _refuse(f"Nothing can be written to {target}: {fault.strerror}. Choose another place.")
    click.echo(f"All rooms are in {target}. Keep it safe: it holds names and copies.")
    click.echo(f"To go back to it, end the server, then: copyroom restore {target}")


def _refuse(sentence: str) -> NoReturn:
    click.echo(sentence, err=True)
    sys.exit(2)
