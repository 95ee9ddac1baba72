"""`copyroom restore`: a backup in the place of all rooms, or its rooms beside those that are there."""

from __future__ import annotations

import datetime
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NoReturn

import click

from copyroom.cli.places import data_option, database_option, settings_of
from copyroom.shell.backups import Backups, copy
from copyroom.shell.database import sqlite_path
from copyroom.shell.lock import AlreadyRunningError, lock
from copyroom.shell.schema import UnusableDatabaseError
from copyroom.shell.store import Store


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--add", is_flag=True, help="Add the rooms that are not there; leave the others as they are.")
@data_option
@database_option
def restore(file: Path, add: bool, data: str | None, database: str) -> None:
    """Put the rooms of FILE in the place of those that are there; the server must have ended."""
    settings = settings_of(data, database)
    target = sqlite_path(settings.database)
    if target is None and not add:
        _refuse(
            "PostgreSQL restores its own backups: pg_restore --clean --if-exists --dbname=URL copyroom.dump"
        )
    try:
        if target is None:
            click.echo(f"{_added(file, settings.database)} added.")
            return
        with lock(target.with_name(f"{target.name}.lock"), "copyroom restore"):
            if add:
                click.echo(f"{_added(file, settings.database)} added.")
            else:
                _replace(file, target)
    except (AlreadyRunningError, UnusableDatabaseError) as fault:
        _refuse(str(fault))
    except sqlite3.Error as fault:
        _refuse(f"{file} is no backup of Copyroom, or is damaged ({fault}). Nothing was changed.")
    except OSError as fault:
        _refuse(f"Nothing can be written there: {fault.strerror}. Nothing was changed.")


def _replace(file: Path, target: Path) -> None:
    fresh = target.with_name(f"{target.name}.fresh")
    try:
        copy(file, fresh)
        store = Store(f"sqlite:///{fresh}", _in_place)  # found whole, and brought up to date
        rooms = len(store.codes())
        store.close()
        moment = datetime.datetime.now().strftime("%Y-%m-%d-%H%M%S")
        before = Backups(target).aside(moment) if target.is_file() else None
        for path in (target, *(target.with_name(target.name + more) for more in ("-wal", "-shm"))):
            path.unlink(missing_ok=True)
        fresh.replace(target)
    finally:
        fresh.unlink(missing_ok=True)
    click.echo(f"{_words(rooms)} in place of what was there, from {file}.")
    if before is not None:
        click.echo(f"What was there is in {before}.")


def _added(file: Path, url: str) -> str:
    backup = Store(f"sqlite:///{file}", _in_place)
    store = Store(url, _in_place, "copyroom restore")
    try:
        new = [kept for kept in backup.rooms() if not store.has_room(kept.code)]
        for kept in new:
            store.open_room(kept.code, kept.opened_room_ms, backup.journal(kept.code))
        return _words(len(new))
    finally:
        store.close()
        backup.close()


def _words(rooms: int) -> str:
    return "1 room is" if rooms == 1 else f"{rooms} rooms are"


def _in_place(function: Callable[..., Any], *arguments: Any) -> Any:
    return function(*arguments)


def _refuse(sentence: str) -> NoReturn:
    click.echo(sentence, err=True)
    sys.exit(2)
