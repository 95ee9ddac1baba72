"""The journal on disk. Rooms are only added to, or erased, and people who were taken out are struck out.

Durable means: committed, with SQLite's write-ahead log and synchronous=FULL. One writer owns one
connection; it logs nothing, because it works in a real thread beside cooperative ones.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from copyroom.shell.migrations import HEAD

RunBlocking = Callable[..., Any]
"""Calls a function where it may block: a real thread under eventlet, in place otherwise."""

_META = sa.MetaData()
ROOMS = sa.Table(
    "rooms",
    _META,
    sa.Column("code", sa.String(24), primary_key=True),
    sa.Column("opened_room_ms", sa.Float, nullable=False),
)
EVENTS = sa.Table(
    "events",
    _META,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("code", sa.String(24), nullable=False),
    sa.Column("at_room_ms", sa.Float, nullable=False),
    sa.Column("name", sa.String(40), nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Index("events_by_room", "code", "id"),
)
_VERSION = sa.Table(
    "alembic_version", _META, sa.Column("version_num", sa.String(32), primary_key=True, nullable=False)
)
"""Where the migrations note how far they came."""


@dataclass(frozen=True, slots=True)
class Record:
    """One durable event of one room."""

    code: str
    at_room_ms: float
    name: str
    body: str


@dataclass(frozen=True, slots=True)
class KeptRoom:
    """A room on disk; `last_room_ms` is its last event's time."""

    code: str
    opened_room_ms: float
    last_room_ms: float
    seats: int


def _sqlite_pragmas(connection: Any, _record: Any) -> None:
    if isinstance(connection, sqlite3.Connection):
        cursor = connection.cursor()
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "secure_delete=ON", "busy_timeout=5000"):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()


class NewerDatabaseError(Exception):
    """The database's schema is from a later version of this program."""


class Store:
    """Rooms and their journals in one database.

    Parameters
    ----------
    url : SQLAlchemy URL.
    run_blocking : how to call what may block.
    """

    def __init__(self, url: str, run_blocking: RunBlocking) -> None:
        arguments = {"check_same_thread": False} if url.startswith("sqlite") else {}
        self._engine = sa.create_engine(url, connect_args=arguments, poolclass=sa.pool.StaticPool)
        sa.event.listen(self._engine, "connect", _sqlite_pragmas)
        self._connection = self._engine.connect()
        self._migrate()
        self._run_blocking = run_blocking
        self._one_at_a_time = threading.Lock()

    def _migrate(self) -> None:
        """Bring an older file up to date. A new one is made as the migrations would, without loading them."""
        with self._connection.begin():
            tables = sa.inspect(self._connection).get_table_names()
            if not tables:
                _META.create_all(self._connection)
                self._connection.execute(_VERSION.insert(), {"version_num": HEAD})
                return
            if _VERSION.name in tables:
                found = self._connection.execute(sa.select(_VERSION.c.version_num)).scalar()
                if found == HEAD:
                    return
                if found is not None and found > HEAD:
                    raise NewerDatabaseError(
                        "This database was written by a newer Copyroom. Update this one first."
                    )
        from alembic import command
        from alembic.config import Config

        config = Config()
        config.set_main_option("script_location", "copyroom.shell:migrations")
        config.attributes["connection"] = self._connection
        with self._connection.begin():
            command.upgrade(config, HEAD)

    def close(self) -> None:
        self._connection.close()
        self._engine.dispose()

    def _call(self, function: Callable[..., Any], *arguments: Any) -> Any:
        with self._one_at_a_time:
            return self._run_blocking(function, *arguments)

    def append(self, records: Sequence[Record]) -> None:
        """Make these records durable, all or none."""
        self._call(self._append, records)

    def _append(self, records: Sequence[Record]) -> None:
        codes = sa.select(ROOMS.c.code).where(ROOMS.c.code.in_({record.code for record in records}))
        with self._connection.begin():
            kept = set(self._connection.scalars(codes))  # a room erased meanwhile stays erased
            rows = [
                {"code": r.code, "at_room_ms": r.at_room_ms, "name": r.name, "body": r.body}
                for r in records
                if r.code in kept
            ]
            if rows:
                self._connection.execute(EVENTS.insert(), rows)

    def open_room(self, code: str, opened_room_ms: float) -> None:
        self._call(self._open_room, code, opened_room_ms)

    def _open_room(self, code: str, opened_room_ms: float) -> None:
        with self._connection.begin():
            self._connection.execute(ROOMS.insert(), {"code": code, "opened_room_ms": opened_room_ms})

    def rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        """Put another record, or none, in the place of each record of a room, as `change` says."""
        self._call(self._rewrite, code, change)

    def _rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        query = sa.select(EVENTS.c.id, EVENTS.c.code, EVENTS.c.at_room_ms, EVENTS.c.name, EVENTS.c.body)
        this = EVENTS.c.id == sa.bindparam("this")
        with self._connection.begin():
            rows = self._connection.execute(query.where(EVENTS.c.code == code).order_by(EVENTS.c.id)).all()
            before = [Record(*row[1:]) for row in rows]
            changed = [
                (row.id, new)
                for row, old, new in zip(rows, before, change(before), strict=True)
                if new != old
            ]
            if gone := [{"this": number} for number, new in changed if new is None]:
                self._connection.execute(EVENTS.delete().where(this), gone)
            if other := [{"this": number, "body": new.body} for number, new in changed if new is not None]:
                self._connection.execute(EVENTS.update().where(this).values(body=sa.bindparam("body")), other)
        if changed:
            self._fold_back()

    def erase(self, codes: Iterable[str]) -> None:
        """Take these rooms and all they hold off the disk."""
        self._call(self._erase, list(codes))

    def _erase(self, codes: list[str]) -> None:
        with self._connection.begin():
            self._connection.execute(EVENTS.delete().where(EVENTS.c.code.in_(codes)))
            self._connection.execute(ROOMS.delete().where(ROOMS.c.code.in_(codes)))
        self._fold_back()

    def _fold_back(self) -> None:
        """Leave nothing of what is gone in SQLite's write-ahead log."""
        if self._engine.dialect.name == "sqlite":
            self._connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
            self._connection.rollback()

    def rooms(self) -> list[KeptRoom]:
        """All rooms, the newest first."""
        kept: list[KeptRoom] = self._call(self._rooms)
        return kept

    def _rooms(self) -> list[KeptRoom]:
        join_without_token = sa.and_(EVENTS.c.name == "Join", EVENTS.c.body.like('%"token":"",%'))
        new_seat = sa.or_(EVENTS.c.name == "AddSeat", join_without_token)
        query = (
            sa.select(
                ROOMS.c.code,
                ROOMS.c.opened_room_ms,
                sa.func.coalesce(sa.func.max(EVENTS.c.at_room_ms), ROOMS.c.opened_room_ms),
                sa.func.count(sa.case((new_seat, 1)))
                - sa.func.count(sa.case((EVENTS.c.name == "RemoveSeat", 1))),
            )
            .outerjoin_from(ROOMS, EVENTS, ROOMS.c.code == EVENTS.c.code)
            .group_by(ROOMS.c.code, ROOMS.c.opened_room_ms)
            .order_by(ROOMS.c.opened_room_ms.desc())
        )
        with self._connection.begin():
            return [KeptRoom(*row) for row in self._connection.execute(query)]

    def newest_room(self) -> str | None:
        """The code of the room opened last."""
        code: str | None = self._call(self._newest_room)
        return code

    def _newest_room(self) -> str | None:
        query = sa.select(ROOMS.c.code).order_by(ROOMS.c.opened_room_ms.desc()).limit(1)
        with self._connection.begin():
            return self._connection.scalar(query)

    def last_of(self, name: str) -> list[Record]:
        """Each room's last record of that name, where it has one."""
        records: list[Record] = self._call(self._last_of, name)
        return records

    def _last_of(self, name: str) -> list[Record]:
        last = sa.select(sa.func.max(EVENTS.c.id)).where(EVENTS.c.name == name).group_by(EVENTS.c.code)
        query = sa.select(EVENTS.c.code, EVENTS.c.at_room_ms, EVENTS.c.name, EVENTS.c.body)
        with self._connection.begin():
            return [Record(*row) for row in self._connection.execute(query.where(EVENTS.c.id.in_(last)))]

    def has_room(self, code: str) -> bool:
        """Whether there is a room of that code."""
        return bool(self._call(self._has_room, code))

    def _has_room(self, code: str) -> bool:
        with self._connection.begin():
            return (
                self._connection.execute(sa.select(ROOMS.c.code).where(ROOMS.c.code == code)).first()
                is not None
            )

    def journal(self, code: str) -> list[Record]:
        """A room's records in the order they were made."""
        records: list[Record] = self._call(self._journal, code)
        return records

    def _journal(self, code: str) -> list[Record]:
        query = (
            sa.select(EVENTS.c.code, EVENTS.c.at_room_ms, EVENTS.c.name, EVENTS.c.body)
            .where(EVENTS.c.code == code)
            .order_by(EVENTS.c.id)
        )
        with self._connection.begin():
            return [Record(*row) for row in self._connection.execute(query)]
