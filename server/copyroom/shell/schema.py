"""The database's tables, and what brings an older database up to date.

A version is one number, noted in the database. A new database is made as the tables below say; `_STEPS`
raises an older one, a version a step. Version 1 noted itself where a migration tool keeps its numbers.
"""

from __future__ import annotations

import logging
from collections.abc import Callable

import sqlalchemy as sa

log = logging.getLogger(__name__)

VERSION = 4

META = sa.MetaData()
ROOMS = sa.Table(
    "rooms",
    META,
    sa.Column("code", sa.String(24), primary_key=True),
    sa.Column("opened_room_ms", sa.Float, nullable=False),
    sa.Column("rehearsal", sa.Boolean, nullable=False, server_default=sa.false()),
    # For how long of running time it has stood as due, once somebody was told; until when it was kept.
    sa.Column("due_s", sa.Float),
    sa.Column("kept_room_ms", sa.Float, nullable=False, server_default="0"),
)
EVENTS = sa.Table(
    "events",
    META,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("code", sa.String(24), nullable=False),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("form", sa.Integer, nullable=False),
    sa.Column("at_room_ms", sa.Float, nullable=False),
    sa.Column("name", sa.String(40), nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Index("events_by_number", "code", "number", unique=True),
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


def _number_records(connection: sa.Connection) -> None:
    """Version 3: every record has a number of its own in its room, and says which form it is in."""
    for column in ("number INTEGER DEFAULT 0 NOT NULL", "form INTEGER DEFAULT 1 NOT NULL"):
        connection.exec_driver_sql(f"ALTER TABLE events ADD COLUMN {column}")
    connection.exec_driver_sql(
        "UPDATE events SET number = counted.number FROM"
        " (SELECT id, row_number() OVER (PARTITION BY code ORDER BY id) AS number FROM events) AS counted"
        " WHERE counted.id = events.id"
    )
    connection.exec_driver_sql("DROP INDEX events_by_room")
    connection.exec_driver_sql("CREATE UNIQUE INDEX events_by_number ON events (code, number)")


def _note_what_is_due(connection: sa.Connection) -> None:
    """Version 4: how long a room has stood as due, and when somebody said that it is to be kept."""
    for column in ("due_s FLOAT", "kept_room_ms FLOAT DEFAULT 0 NOT NULL"):
        connection.exec_driver_sql(f"ALTER TABLE rooms ADD COLUMN {column}")


_STEPS: dict[int, Callable[[sa.Connection], None]] = {
    1: _mark_rehearsals,
    2: _number_records,
    3: _note_what_is_due,
}
"""Version -> what brings it to the next one."""


def older_version(connection: sa.Connection) -> int | None:
    """The version of a database of ours that is older than this program's; None for any other."""
    tables = set(sa.inspect(connection).get_table_names())
    if not {ROOMS.name, EVENTS.name} <= tables:
        return None
    noted = _noted_version(connection, tables)
    version = _version_by_columns(connection) if noted is None else noted
    return version if version < VERSION else None


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
    numbered, due = {"number", "form"}, {"due_s", "kept_room_ms"}
    known = {
        VERSION: (set(ROOMS.c.keys()), set(EVENTS.c.keys())),
        3: (set(ROOMS.c.keys()) - due, set(EVENTS.c.keys())),
        2: (set(ROOMS.c.keys()) - due, set(EVENTS.c.keys()) - numbered),
        1: (set(ROOMS.c.keys()) - due - {"rehearsal"}, set(EVENTS.c.keys()) - numbered),
    }
    for version, columns in known.items():
        if columns == (rooms, events):
            return version
    raise UnusableDatabaseError(
        "The database does not say which version wrote it, and its tables are none that Copyroom knows."
        " Put a backup in its place, or start with another --data FOLDER."
    )
