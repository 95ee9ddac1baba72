"""Opening a database: found whole, brought up to date, made durable, or refused in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from copyroom.shell.schema import ROOMS, UnusableDatabaseError, bring_up_to_date, older_version

SOON_DEAD = {"connect_timeout": 10, "keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3}
"""A server that has vanished is noticed within half a minute, here and there, and its rooms are free."""


def sqlite_path(url: str) -> Path | None:
    """The file of an SQLite database; None for another kind."""
    if not url.startswith("sqlite:"):
        return None
    parts = sa.make_url(url)
    return Path(parts.database) if parts.database else None


def connected(
    url: str, name: str = "", before_raising: Callable[[int], object] = lambda version: None
) -> sa.Connection:
    """The one connection to a database of ours. What is not ours stays as it is.

    Raises UnusableDatabaseError.

    Parameters
    ----------
    url : SQLAlchemy URL.
    name : what this server is called where several share the database.
    before_raising : told of an older database's version before it is brought up to date.
    """
    arguments: dict[str, Any] = {}
    if url.startswith("sqlite"):
        arguments = {"check_same_thread": False}
    elif url.startswith("postgresql"):
        arguments = SOON_DEAD | {"application_name": name[:63]}
    try:
        # What learners wrote is not for the log.
        engine = sa.create_engine(
            url, connect_args=arguments, poolclass=sa.pool.StaticPool, hide_parameters=True
        )
        return _opened(engine, before_raising)
    except (sa.exc.SQLAlchemyError, ImportError) as fault:  # ImportError: a database without its driver
        raise UnusableDatabaseError(_sentence(url, fault)) from None


def _opened(engine: sa.Engine, before_raising: Callable[[int], object]) -> sa.Connection:
    connection = engine.connect()
    try:
        _look_through(connection)
        with connection.begin():
            version = older_version(connection)
        if version is not None:
            before_raising(version)
        bring_up_to_date(connection)
        _make_durable(connection)
    except BaseException:
        connection.close()
        engine.dispose()
        raise
    return connection


def reason(fault: BaseException) -> str:
    """What the database says of a fault, without what was to be written."""
    return (str(getattr(fault, "orig", None) or fault).splitlines() or [type(fault).__name__])[0]


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
    why = reason(fault)
    path = sqlite_path(url)
    if isinstance(fault, ImportError) and path is None:
        return (
            f"The database's driver is missing ({why}). Start with scripts/start.py, which installs it,"
            " or install copyroom[postgresql]."
        )
    if path is None:
        return f"The database cannot be used: {why}. Look at --database URL."
    if path.is_dir():
        return (
            f"There is a folder in the database's place, {path}."
            " Move it away, or start with another --data FOLDER."
        )
    if "not a database" in why or "malformed" in why:
        return (
            f"The database {path} is damaged or is no database, and was left as it is."
            " Put a backup in its place, or move it away and start with an empty one."
        )
    return (
        f"The database {path} cannot be used: {why}."
        " Look at who may write there, or start with another --data FOLDER."
    )
