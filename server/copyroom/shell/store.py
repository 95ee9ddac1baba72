"""The journal on disk. Rooms are only added to, or erased, and people who were taken out are struck out.

Durable means: committed, with SQLite's write-ahead log and synchronous=FULL. One writer owns one
connection; it logs nothing, because it works in a real thread beside cooperative ones.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from copyroom.shell.schema import EVENTS, ROOMS, UnusableDatabaseError, bring_up_to_date

RunBlocking = Callable[..., Any]
"""Calls a function where it may block: a real thread under eventlet, in place otherwise."""


@dataclass(frozen=True, slots=True)
class Record:
    """One durable event of one room: its number there, and the version of the form that it is in."""

    code: str
    number: int
    form: int
    at_room_ms: float
    name: str
    body: str


_RECORD = [EVENTS.c[column] for column in ("code", "number", "form", "at_room_ms", "name", "body")]


@dataclass(frozen=True, slots=True)
class KeptRoom:
    """A room on disk; `last_room_ms` is its last event's time."""

    code: str
    opened_room_ms: float
    last_room_ms: float
    seats: int


def _look_through(connection: sa.Connection) -> None:
    """Find damage before anybody's evening does; a tenth of a second for a hundred megabytes."""
    if connection.dialect.name == "sqlite":
        # Bytes that are no text must not be lost on the way to whoever sets their room aside.
        driver: Any = connection.connection.driver_connection
        driver.text_factory = lambda found: found.decode("utf-8", "surrogateescape")
        if connection.exec_driver_sql("PRAGMA quick_check(1)").scalar() != "ok":
            raise sa.exc.DatabaseError(None, None, Exception("database disk image is malformed"))
        connection.rollback()


def _make_durable(connection: sa.Connection) -> None:
    if connection.dialect.name == "sqlite":
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "secure_delete=ON", "busy_timeout=5000"):
            connection.exec_driver_sql(f"PRAGMA {pragma}")
        # The change of journals is complete with the first reading: before that nothing can be folded back.
        connection.execute(sa.select(sa.func.count()).select_from(ROOMS)).close()
        connection.rollback()


def _sentence(url: str, fault: BaseException) -> str:
    """What is wrong with the database, and what to do."""
    reason = str(getattr(fault, "orig", None) or fault).splitlines()[0]
    path = sqlite_path(url)
    if path is None:
        return f"The database cannot be used: {reason}. Look at --database URL."
    if path.is_dir():
        return (
            f"There is a folder in the database's place, {path}."
            " Move it away, or start with another --data FOLDER."
        )
    if "not a database" in reason or "malformed" in reason:
        return (
            f"The database {path} is damaged or is no database, and was left as it is."
            " Put a backup in its place, or move it away and start with an empty one."
        )
    return (
        f"The database {path} cannot be used: {reason}."
        " Look at who may write there, or start with another --data FOLDER."
    )


def sqlite_path(url: str) -> Path | None:
    """The file of an SQLite database; None for another kind."""
    if not url.startswith("sqlite:"):
        return None
    parts = sa.make_url(url)
    return Path(parts.database) if parts.database else None


class Store:
    """Rooms and their journals in one database.

    Parameters
    ----------
    url : SQLAlchemy URL.
    run_blocking : how to call what may block.
    """

    def __init__(self, url: str, run_blocking: RunBlocking) -> None:
        arguments = {"check_same_thread": False} if url.startswith("sqlite") else {}
        try:
            self._engine = sa.create_engine(url, connect_args=arguments, poolclass=sa.pool.StaticPool)
            self._connection = self._open()
        except (sa.exc.SQLAlchemyError, ImportError) as fault:  # ImportError: a database without its driver
            raise UnusableDatabaseError(_sentence(url, fault)) from None
        self._run_blocking = run_blocking
        self._one_at_a_time = threading.Lock()

    def _open(self) -> sa.Connection:
        """Connect; what is not ours is left as it is."""
        connection = self._engine.connect()
        try:
            _look_through(connection)
            bring_up_to_date(connection)
            _make_durable(connection)
        except BaseException:
            connection.close()
            self._engine.dispose()
            raise
        return connection

    def close(self) -> None:
        """Close the database; after that SQLite's one file holds everything, and may be copied."""
        with self._one_at_a_time:
            if not self._connection.closed:
                self._fold_back()
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
            rows = [asdict(record) for record in records if record.code in kept]
            if rows:
                self._connection.execute(EVENTS.insert(), rows)

    def open_room(self, code: str, opened_room_ms: float, *, rehearsal: bool = False) -> None:
        self._call(self._open_room, code, opened_room_ms, rehearsal)

    def _open_room(self, code: str, opened_room_ms: float, rehearsal: bool) -> None:
        row = {"code": code, "opened_room_ms": opened_room_ms, "rehearsal": rehearsal}
        with self._connection.begin():
            self._connection.execute(ROOMS.insert(), row)

    def rehearsals(self) -> list[str]:
        """The codes of the rooms that were opened as rehearsals."""
        codes: list[str] = self._call(self._rehearsals)
        return codes

    def _rehearsals(self) -> list[str]:
        with self._connection.begin():
            return list(self._connection.scalars(sa.select(ROOMS.c.code).where(ROOMS.c.rehearsal)))

    def rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        """Put another record, or none, in the place of each record of a room, as `change` says."""
        self._call(self._rewrite, code, change)

    def _rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        this = sa.and_(EVENTS.c.code == code, EVENTS.c.number == sa.bindparam("this"))
        changes = ("form", "name", "body")
        with self._connection.begin():
            before = self._in_order(code)
            changed = [(old, new) for old, new in zip(before, change(before), strict=True) if new != old]
            if gone := [{"this": old.number} for old, new in changed if new is None]:
                self._connection.execute(EVENTS.delete().where(this), gone)
            other = [
                {"this": old.number} | {f"new_{name}": getattr(new, name) for name in changes}
                for old, new in changed
                if new is not None
            ]
            if other:
                update = EVENTS.update().where(this)
                values: dict[str, Any] = {name: sa.bindparam(f"new_{name}") for name in changes}
                self._connection.execute(update.values(values), other)
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
            self._connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").close()
            self._connection.rollback()

    def rooms(self) -> list[KeptRoom]:
        """All rooms, the newest first."""
        kept: list[KeptRoom] = self._call(self._rooms)
        return kept

    def _rooms(self) -> list[KeptRoom]:
        join_without_token = sa.and_(EVENTS.c.name == "Join", EVENTS.c.body.like('%"token":"",%'))
        new_seat = sa.or_(EVENTS.c.name == "AddSeat", join_without_token)
        # A list of numbers is one longer than its commas.
        commas = sa.func.length(EVENTS.c.body) - sa.func.length(sa.func.replace(EVENTS.c.body, ",", ""))
        at_room_ms = sa.cast(EVENTS.c.at_room_ms, sa.Float)  # SQLite keeps any type in any column
        removed = sa.case((EVENTS.c.name.in_(("RemoveSeat", "RemoveSeats")), commas + 1))
        query = (
            sa.select(
                ROOMS.c.code,
                ROOMS.c.opened_room_ms,
                sa.func.coalesce(sa.func.max(at_room_ms), ROOMS.c.opened_room_ms),
                sa.func.count(sa.case((new_seat, 1))) - sa.func.coalesce(sa.func.sum(removed), 0),
            )
            .outerjoin_from(ROOMS, EVENTS, ROOMS.c.code == EVENTS.c.code)
            .group_by(ROOMS.c.code, ROOMS.c.opened_room_ms)
            .order_by(ROOMS.c.opened_room_ms.desc())
        )
        with self._connection.begin():
            return [KeptRoom(*row) for row in self._connection.execute(query)]

    def codes(self) -> list[str]:
        """The codes of all rooms, the newest first; nothing of what they hold is looked at."""
        codes: list[str] = self._call(self._codes)
        return codes

    def _codes(self) -> list[str]:
        with self._connection.begin():
            return list(
                self._connection.scalars(sa.select(ROOMS.c.code).order_by(ROOMS.c.opened_room_ms.desc()))
            )

    def last_of(self, name: str) -> list[Record]:
        """Each room's last record of that name, where it has one."""
        records: list[Record] = self._call(self._last_of, name)
        return records

    def _last_of(self, name: str) -> list[Record]:
        last = sa.select(sa.func.max(EVENTS.c.id)).where(EVENTS.c.name == name).group_by(EVENTS.c.code)
        query = sa.select(*_RECORD).where(EVENTS.c.id.in_(last))
        with self._connection.begin():
            return [Record(*row) for row in self._connection.execute(query)]

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
        with self._connection.begin():
            return self._in_order(code)

    def _in_order(self, code: str) -> list[Record]:
        query = sa.select(*_RECORD).where(EVENTS.c.code == code).order_by(EVENTS.c.number)
        return [Record(*row) for row in self._connection.execute(query)]

    def check(self, code: str, read: Callable[[int, str, str], object]) -> None:
        """Try `read` on form, name and body of each record of a room, in order; raises what it raises."""
        self._call(self._check, code, read)

    def _check(self, code: str, read: Callable[[int, str, str], object]) -> None:
        query = sa.select(EVENTS.c.form, EVENTS.c.name, EVENTS.c.body).where(EVENTS.c.code == code)
        with self._connection.begin():
            for form, name, body in self._connection.execute(query.order_by(EVENTS.c.number)):
                read(form, name, body)
