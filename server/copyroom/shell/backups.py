"""Copies of an SQLite database: dated ones in a folder beside it, and what is asked for by hand.

They are made while the server runs, by the database's own online method. Another database has a tool of its
own for that. What is erased is erased in the dated ones, too.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from pathlib import Path

from copyroom.shell.schema import UnusableDatabaseError
from copyroom.shell.store import Record, Store

KEPT_DAYS, KEPT_OLDER = 5, 2
"""The newest ones of days, and of versions before this one."""


def copy(source: Path, target: Path) -> None:
    """Copy a database that may be in use, into one file that its owner alone can read.

    Raises sqlite3.Error when it is none, OSError where nothing can be written.
    """
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        with (
            closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as there,
            closing(sqlite3.connect(part)) as here,
        ):
            there.backup(here)
            here.execute("PRAGMA journal_mode=DELETE")
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


class Backups:
    """The dated copies of one database.

    Parameters
    ----------
    database : its file.
    """

    def __init__(self, database: Path) -> None:
        self._database = database
        self.folder = database.parent / "backups"
        self._unfinished = self.folder / "unfinished"

    def of_today(self, day: str) -> Path | None:
        """The copy of a day, such as "2026-11-28", unless there is one; keeps a few."""
        return self._made(f"{self._database.stem}-{day}.sqlite3")

    def before(self, version: int, day: str) -> Path | None:
        """The copy of a database of an older version, before it is brought up to date."""
        return self._made(f"{self._database.stem}-{day}-of-version-{version}.sqlite3")

    def aside(self, moment: str) -> Path | None:
        """The copy of what another one is about to replace."""
        return self._made(f"{self._database.stem}-{moment}-replaced.sqlite3")

    def files(self) -> list[Path]:
        """All copies, the oldest first."""
        return sorted(self.folder.glob("*.sqlite3"))

    def _made(self, name: str) -> Path | None:
        target = self.folder / name
        if target.exists():
            return None
        copy(self._database, target)
        other = [path for path in self.files() if "-of-version-" in path.name or "-replaced" in path.name]
        for some, count in ((other, KEPT_OLDER), ([p for p in self.files() if p not in other], KEPT_DAYS)):
            for path in some[:-count]:
                path.unlink(missing_ok=True)
        return target

    # -------------------------------------------------------------- what is erased

    def unfinished(self) -> set[str]:
        """Rooms of which something was erased that the copies may still hold."""
        try:
            return set(self._unfinished.read_text("utf-8").split())
        except FileNotFoundError:
            return set()

    def note(self, code: str) -> None:
        """Something of a room is erased: the copies are to follow, if not now then after the next start."""
        if self.files():
            self._write(self.unfinished() | {code})

    def reach(self, code: str, records: Sequence[Record] | None) -> None:
        """Bring a room in all copies to what is left of it; None: nothing is."""
        left = {record.number: record for record in records or ()}
        for path in self.files():
            try:
                _bring(path, code, left, gone=records is None)
            except UnusableDatabaseError:
                path.unlink(missing_ok=True)  # it is no copy of anything, and might hold who is to go
        self._write(self.unfinished() - {code})

    def _write(self, codes: set[str]) -> None:
        if codes:
            self._unfinished.write_text("\n".join(sorted(codes)), "utf-8")
        else:
            self._unfinished.unlink(missing_ok=True)


def _bring(path: Path, code: str, left: dict[int, Record], *, gone: bool) -> None:
    store = Store(f"sqlite:///{path}", lambda function, *arguments: function(*arguments))
    try:
        if gone:
            store.erase([code])
        elif store.has_room(code):
            store.rewrite(code, lambda before: [left.get(record.number) for record in before])
    finally:
        store.close()
        with suppress(OSError):
            path.chmod(0o600)


def dump_command(url: str) -> str:
    """What makes a backup of a PostgreSQL database, for a shell."""
    return f"pg_dump --format=custom --file=copyroom.dump '{url.replace('+psycopg', '')}'"
