"""The database's tables, and what brings an older database up to date.

A version is one number, noted in the database. A new database is made as the tables below say; `_STEPS`
raises an older one, a version a step. Version 1 noted itself where a migration tool keeps its numbers.
"""

from __future__ import annotations

import logging
from collections.abc import Callable

import sqlalchemy as sa

log = logging.getLogger(__name__)

VERSION = 2

META = sa.MetaData()
ROOMS = sa.Table(
    "rooms",
    META,
    sa.Column("code", sa.String(24), primary_key=True),
    sa.Column("opened_room_ms", sa.Float, nullable=False),
    sa.Column("rehearsal", sa.Boolean, nullable=False, server_default=sa.false()),
)
EVENTS = sa.Table(
    "events",
    META,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("code", sa.String(24), nullable=False),
    sa.Column("at_room_ms", sa.Float, nullable=False),
    sa.Column("name", sa.String(40), nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Index("events_by_room", "code", "id"),
)
_NOTED = sa.Table(
    "schema_version", META, sa.Column("number", sa.Integer, primary_key=True, autoincrement=False)
)
_NOTED_BY_1 = sa.Table("alembic_version", sa.MetaData(), sa.Column("version_num", sa.String(32)))


class UnusableDatabaseError(Exception):
    """The database cannot be used as it is; one sentence says what to do."""


def _mark_rehearsals(connection: sa.Connection) -> None:
    """Version 2: which rooms are rehearsals; the version is noted in a table of our own."""
    connection.exec_driver_sql("ALTER TABLE rooms ADD COLUMN rehearsal BOOLEAN DEFAULT false NOT NULL")
    _NOTED_BY_1.drop(connection, checkfirst=True)


_STEPS: dict[int, Callable[[sa.Connection], None]] = {1: _mark_rehearsals}
"""Version -> what brings it to the next one."""


def bring_up_to_date(connection: sa.Connection) -> None:
    """Make the tables, or raise them to this program's version; all of it or nothing."""
    with connection.begin():
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("BEGIN IMMEDIATE")  # its driver opens none for a change of tables
        tables = set(sa.inspect(connection).get_table_names())
        if not tables:
            META.create_all(connection)
            connection.execute(_NOTED.insert(), {"number": VERSION})
            return
        if not {ROOMS.name, EVENTS.name} <= tables:
            raise UnusableDatabaseError(
                "The database is another program's, and was left as it is. Start with another --data FOLDER."
            )
        noted = _noted_version(connection, tables)
        if noted != VERSION:
            _raise(connection, noted)


def _raise(connection: sa.Connection, noted: int | None) -> None:
    version = _version_by_columns(connection) if noted is None else noted
    if noted is None:
        log.warning("The database had lost its version; by its tables it is %d, and that is noted.", version)
    if version > VERSION:
        raise UnusableDatabaseError("The database was written by a newer Copyroom. Update this one first.")
    for step in range(version, VERSION):
        _STEPS[step](connection)
    _NOTED.create(connection, checkfirst=True)
    connection.execute(_NOTED.delete())
    connection.execute(_NOTED.insert(), {"number": VERSION})


def _noted_version(connection: sa.Connection, tables: set[str]) -> int | None:
    noted = [
        connection.scalar(sa.select(table.c[0])) for table in (_NOTED, _NOTED_BY_1) if table.name in tables
    ]
    return next((int(number) for number in noted if number is not None), None)


def _version_by_columns(connection: sa.Connection) -> int:
    """Which version has exactly these columns."""
    inspector = sa.inspect(connection)
    rooms, events = (
        {column["name"] for column in inspector.get_columns(table.name)} for table in (ROOMS, EVENTS)
    )
    if events == set(EVENTS.c.keys()):
        if rooms == set(ROOMS.c.keys()):
            return VERSION
        if rooms == set(ROOMS.c.keys()) - {"rehearsal"}:
            return 1
    raise UnusableDatabaseError(
        "The database does not say which version wrote it, and its tables are none that Copyroom knows."
        " Put a backup in its place, or start with another --data FOLDER."
    )
