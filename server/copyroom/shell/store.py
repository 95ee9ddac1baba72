"""The journal on disk. Rooms are only added to, or erased, and people who were taken out are struck out.

Durable means: committed, with SQLite's write-ahead log and synchronous=FULL. One writer owns one
connection; it logs nothing, because it works in a real thread beside cooperative ones.
"""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from copyroom.shell.claims import Claims, LostRoomsError
from copyroom.shell.database import connected
from copyroom.shell.schema import EVENTS, ROOMS

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


_LAST_ROOM_MS = sa.func.coalesce(
    sa.select(sa.cast(EVENTS.c.at_room_ms, sa.Float))  # SQLite keeps any type in any column
    .where(EVENTS.c.code == ROOMS.c.code)
    .order_by(EVENTS.c.number.desc())
    .limit(1)
    .scalar_subquery(),
    ROOMS.c.opened_room_ms,
)
"""When the last record of a room was made; by the index, however long its journal is."""


@dataclass(frozen=True, slots=True)
class KeptRoom:
    """A room on disk.

    last_room_ms : its last event's time, or when somebody said that it is to be kept.
    stood_s : for how long of running time it has stood as due, once somebody was told; None: not yet.
    """

    code: str
    opened_room_ms: float
    last_room_ms: float
    seats: int = 0
    stood_s: float | None = None


@dataclass(frozen=True, slots=True)
class DueRoom:
    """A room that somebody was told is due; the fields are KeptRoom's."""

    code: str
    last_room_ms: float
    stood_s: float


class Store:
    """Rooms and their journals in one database.

    Parameters
    ----------
    url : SQLAlchemy URL.
    run_blocking : how to call what may block.
    name : what this server is called where several share the database.
    before_raising : told of an older database's version before it is brought up to date.
    """

    def __init__(
        self,
        url: str,
        run_blocking: RunBlocking,
        name: str = "",
        before_raising: Callable[[int], object] = lambda version: None,
    ) -> None:
        self._connection = connected(url, name, before_raising)
        self._claims = Claims(shared=self._connection.dialect.name != "sqlite")
        self._run_blocking = run_blocking
        self._one_at_a_time = threading.Lock()

    @property
    def shared(self) -> bool:
        """Whether other servers may use the same database."""
        return self._claims.shared

    def close(self) -> None:
        """Close the database; after that SQLite's one file holds everything, and may be copied."""
        with self._one_at_a_time:
            if not self._connection.closed:
                self._fold_back()
            self._connection.close()
            self._connection.engine.dispose()

    def _call(self, function: Callable[..., Any], *arguments: Any) -> Any:
        with self._one_at_a_time:
            return self._run_blocking(function, *arguments)

    @contextmanager
    def _transaction(self) -> Iterator[sa.Connection]:
        """All of what is done with it or nothing; a broken connection is made anew first."""
        anew = self._connection.invalidated
        with self._connection.begin():
            if anew:
                self._claims.renew(self._connection)
            yield self._connection

    # -------------------------------------------------------------- who writes a room

    def take(self, code: str) -> bool:
        """Claim a room; False when another server has it. Only what is claimed can be written."""
        return bool(self._call(self._take, code))

    def _take(self, code: str) -> bool:
        with self._transaction() as connection:
            return self._claims.take(connection, code)

    def let_go(self, code: str) -> None:
        """Leave a room to other servers."""
        self._call(self._let_go, code)

    def _let_go(self, code: str) -> None:
        with self._transaction() as connection:
            self._claims.let_go(connection, code)

    def holder(self, code: str) -> str:
        """What the server that has a room calls itself; "" where that is not known."""
        return str(self._call(self._holder, code))

    def _holder(self, code: str) -> str:
        with self._transaction() as connection:
            return self._claims.holder(connection, code)

    # -------------------------------------------------------------- records

    def append(self, records: Sequence[Record]) -> None:
        """Make these records durable, all or none. What is there already is passed over.

        So it may be said again after a commit whose answer was lost. Raises LostRoomsError when a room is
        another server's by now: then nothing of all this is kept.
        """
        self._call(self._append, records)

    def _append(self, records: Sequence[Record]) -> None:
        try:
            self._insert(records)
        except sa.exc.IntegrityError:
            left = self._not_there_yet(records)
            if len(left) == len(records):
                raise
            self._insert(left)

    def _insert(self, records: Sequence[Record]) -> None:
        codes = sa.select(ROOMS.c.code).where(ROOMS.c.code.in_({record.code for record in records}))
        with self._transaction() as connection:
            kept = set(connection.scalars(codes))  # a room erased meanwhile stays erased
            self._claims.check(kept)
            rows = [asdict(record) for record in records if record.code in kept]
            if rows:
                connection.execute(EVENTS.insert(), rows)

    def _not_there_yet(self, records: Sequence[Record]) -> list[Record]:
        """Those that are not on disk. Raises LostRoomsError where another record has one's number."""
        numbers = sa.tuple_(EVENTS.c.code, EVENTS.c.number)
        wanted = numbers.in_([(record.code, record.number) for record in records])
        with self._transaction() as connection:
            rows = connection.execute(sa.select(*_RECORD).where(wanted))
            there = {(found.code, found.number): found for found in (Record(*row) for row in rows)}
        left = [record for record in records if (record.code, record.number) not in there]
        if not_ours := {
            record.code for record in records if there.get((record.code, record.number), record) != record
        }:
            raise LostRoomsError(not_ours)
        return left

    def open_room(
        self, code: str, opened_room_ms: float, records: Sequence[Record] = (), *, rehearsal: bool = False
    ) -> None:
        """Claim a room and begin its journal, with its first records."""
        self._call(self._open_room, code, opened_room_ms, records, rehearsal)

    def _open_room(
        self, code: str, opened_room_ms: float, records: Sequence[Record], rehearsal: bool
    ) -> None:
        row = {"code": code, "opened_room_ms": opened_room_ms, "rehearsal": rehearsal}
        with self._transaction() as connection:
            connection.execute(ROOMS.insert(), row)
            self._claims.take(connection, code)
            if records:
                connection.execute(EVENTS.insert(), [asdict(record) for record in records])

    def rehearsals(self) -> list[str]:
        """The codes of the rooms that were opened as rehearsals."""
        codes: list[str] = self._call(self._rehearsals)
        return codes

    def _rehearsals(self) -> list[str]:
        with self._transaction():
            return list(self._connection.scalars(sa.select(ROOMS.c.code).where(ROOMS.c.rehearsal)))

    def rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        """Put another record, or none, in the place of each record of a room, as `change` says."""
        self._call(self._rewrite, code, change)

    def _rewrite(self, code: str, change: Callable[[list[Record]], list[Record | None]]) -> None:
        this = sa.and_(EVENTS.c.code == code, EVENTS.c.number == sa.bindparam("this"))
        changes = ("form", "name", "body")
        with self._transaction():
            self._claims.check({code})
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
        with self._transaction() as connection:
            connection.execute(EVENTS.delete().where(EVENTS.c.code.in_(codes)))
            self._connection.execute(ROOMS.delete().where(ROOMS.c.code.in_(codes)))
        self._fold_back()

    def _fold_back(self) -> None:
        """Leave nothing of what is gone in SQLite's write-ahead log."""
        if self._connection.dialect.name == "sqlite":
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
        made_one = sa.func.coalesce(
            sa.func.sum(sa.case((EVENTS.c.name == "MakeOne", 1), (EVENTS.c.name == "MakeTwo", -1))), 0
        )
        query = (
            sa.select(
                ROOMS.c.code,
                ROOMS.c.opened_room_ms,
                sa.func.coalesce(sa.func.max(at_room_ms), ROOMS.c.opened_room_ms),
                ROOMS.c.kept_room_ms,
                sa.func.count(sa.case((new_seat, 1))) - sa.func.coalesce(sa.func.sum(removed), 0) - made_one,
                ROOMS.c.due_s,
            )
            .outerjoin_from(ROOMS, EVENTS, ROOMS.c.code == EVENTS.c.code)
            .group_by(ROOMS.c.code, ROOMS.c.opened_room_ms, ROOMS.c.kept_room_ms, ROOMS.c.due_s)
            .order_by(ROOMS.c.opened_room_ms.desc())
        )
        with self._transaction():
            return [
                KeptRoom(code, opened, max(last, kept), seats, stood)
                for code, opened, last, kept, seats, stood in self._connection.execute(query)
            ]

    def due(self) -> list[DueRoom]:
        """The rooms that somebody was told are due."""
        found: list[DueRoom] = self._call(self._due)
        return found

    def _due(self) -> list[DueRoom]:
        query = sa.select(ROOMS.c.code, _LAST_ROOM_MS, ROOMS.c.kept_room_ms, ROOMS.c.due_s)
        with self._transaction():
            rows = self._connection.execute(query.where(ROOMS.c.due_s.is_not(None)))
            return [DueRoom(code, max(last, kept), stood) for code, last, kept, stood in rows]

    def last_room_ms(self) -> float:
        """The latest time that anything was kept at; 0 where there is nothing."""
        return float(self._call(self._last_room_ms))

    def _last_room_ms(self) -> float:
        with self._transaction() as connection:
            return max(connection.scalars(sa.select(_LAST_ROOM_MS)), default=0.0)

    def note_due(self, code: str, stood_s: float | None) -> None:
        """Note for how long a room has stood as due; None: it does not."""
        self._call(self._set, code, {"due_s": stood_s})

    def keep(self, code: str, now_room_ms: float) -> None:
        """A room is to be kept as if it had been used now."""
        self._call(self._set, code, {"due_s": None, "kept_room_ms": now_room_ms})

    def _set(self, code: str, values: dict[str, Any]) -> None:
        with self._transaction():
            self._connection.execute(ROOMS.update().where(ROOMS.c.code == code).values(values))

    def codes(self) -> list[str]:
        """The codes of all rooms, the newest first; nothing of what they hold is looked at."""
        codes: list[str] = self._call(self._codes)
        return codes

    def _codes(self) -> list[str]:
        with self._transaction():
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
        with self._transaction():
            return [Record(*row) for row in self._connection.execute(query)]

    def has_room(self, code: str) -> bool:
        """Whether there is a room of that code."""
        return bool(self._call(self._has_room, code))

    def _has_room(self, code: str) -> bool:
        with self._transaction():
            return (
                self._connection.execute(sa.select(ROOMS.c.code).where(ROOMS.c.code == code)).first()
                is not None
            )

    def journal(self, code: str) -> list[Record]:
        """A room's records in the order they were made."""
        records: list[Record] = self._call(self._journal, code)
        return records

    def _journal(self, code: str) -> list[Record]:
        with self._transaction():
            return self._in_order(code)

    def _in_order(self, code: str) -> list[Record]:
        query = sa.select(*_RECORD).where(EVENTS.c.code == code).order_by(EVENTS.c.number)
        return [Record(*row) for row in self._connection.execute(query)]

    def alone(self, code: str) -> bytes:
        """A database of this room alone, as a file's bytes."""
        content: bytes = self._call(self._alone, code)
        return content

    def _alone(self, code: str) -> bytes:
        with self._transaction() as connection:
            opened = connection.scalar(sa.select(ROOMS.c.opened_room_ms).where(ROOMS.c.code == code))
            records = self._in_order(code)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "room.sqlite3"
            alone = Store(f"sqlite:///{path}", lambda function, *arguments: function(*arguments))
            alone.open_room(code, opened or 0.0, records)
            alone.close()
            return path.read_bytes()

    def check(self, code: str, read: Callable[[int, str, str], object]) -> None:
        """Try `read` on form, name and body of each record of a room, in order; raises what it raises."""
        self._call(self._check, code, read)

    def _check(self, code: str, read: Callable[[int, str, str], object]) -> None:
        query = sa.select(EVENTS.c.form, EVENTS.c.name, EVENTS.c.body).where(EVENTS.c.code == code)
        with self._transaction():
            for form, name, body in self._connection.execute(query.order_by(EVENTS.c.number)):
                read(form, name, body)
