"""Who may write a room: one server, where several share a database.

PostgreSQL has locks that belong to a connection and go with it, however it ends. SQLite's file has one server
at a time (`lock`), which has every room in it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

import sqlalchemy as sa

_HOLDER = sa.text(
    "SELECT application_name FROM pg_stat_activity JOIN pg_locks USING (pid)"
    " WHERE locktype = 'advisory' AND granted AND objsubid = 1 AND pg_locks.database ="
    " (SELECT oid FROM pg_database WHERE datname = current_database())"
    " AND (classid::bigint << 32) | objid::bigint = :key"
)


class LostRoomsError(Exception):
    """Another server writes these rooms now; what was to be added to them was not."""

    def __init__(self, codes: Iterable[str]) -> None:
        super().__init__(f"another server writes {', '.join(sorted(codes))}")
        self.codes = frozenset(codes)


class Claims:
    """The rooms that this server may write.

    Parameters
    ----------
    shared : several servers may use the database.
    """

    def __init__(self, *, shared: bool) -> None:
        self.shared = shared
        self._held: set[str] = set()

    def take(self, connection: sa.Connection, code: str) -> bool:
        """Claim a room for as long as the connection lasts; False when another server has it."""
        if self.shared and code not in self._held:
            if not connection.scalar(sa.select(sa.func.pg_try_advisory_lock(_key(code)))):
                return False
            self._held.add(code)
        return True

    def let_go(self, connection: sa.Connection, code: str) -> None:
        """Leave a room to others."""
        if code in self._held:
            connection.execute(sa.select(sa.func.pg_advisory_unlock(_key(code))))
            self._held.discard(code)

    def renew(self, connection: sa.Connection) -> None:
        """The connection had broken, and the claims with it: what another server took meanwhile is lost."""
        before, self._held = self._held, set()
        for code in before:
            self.take(connection, code)

    def check(self, codes: set[str]) -> None:
        """Raise LostRoomsError for those that are not held."""
        if self.shared and codes - self._held:
            raise LostRoomsError(codes - self._held)

    def holder(self, connection: sa.Connection, code: str) -> str:
        """What the server that has a room calls itself."""
        return str(connection.scalar(_HOLDER, {"key": _key(code)}) or "")


def _key(code: str) -> int:
    """A lock's number: 64 bits of the code's digest, as PostgreSQL takes them."""
    digest = hashlib.sha256(f"copyroom {code}".encode()).digest()
    return int.from_bytes(digest[:8], "big", signed=True)
