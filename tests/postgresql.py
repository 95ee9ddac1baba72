"""A PostgreSQL server for the tests, from the system's packages; thrown away at the end."""

from __future__ import annotations

import atexit
import os
import pwd
import shutil
import subprocess
import tempfile
import urllib.parse
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

DEBIANS = Path("/usr/lib/postgresql")
"""Where Debian puts it, a folder for each version, outside the search path."""
OTHER_USERS = ("postgres", "nobody")


def _binaries() -> Path | None:
    if found := shutil.which("initdb"):
        return Path(found).resolve().parent
    found_by_version = [path.parent for path in DEBIANS.glob("*/bin/initdb")]
    return max(found_by_version, key=lambda path: int(path.parent.name), default=None)


def _as_another() -> dict[str, Any]:
    """PostgreSQL refuses to run as root: who it runs as instead, as subprocess takes it."""
    if os.getuid() != 0:
        return {}
    known = {user.pw_name: user for user in pwd.getpwall()}
    user = next(known[name] for name in OTHER_USERS if name in known)
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


@cache
def _folder() -> Path:
    """The folder of a running server; it ends with this process."""
    binaries, other = _binaries(), _as_another()
    if binaries is None:
        missing = "no PostgreSQL is installed: scripts/test.py installs it on Debian"
        (pytest.fail if os.environ.get("CI") else pytest.skip)(missing)
    folder = Path(tempfile.mkdtemp(prefix="copyroom-pg-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    if other:
        os.chown(folder, other["user"], other["group"])
    quiet: dict[str, Any] = {"check": True, "stdout": subprocess.DEVNULL, "stderr": subprocess.STDOUT} | other
    data = ["--pgdata", folder / "data"]
    make = [binaries / "initdb", *data, "--auth=trust", "--username=copyroom", "--no-sync"]
    subprocess.run(make, cwd="/", **quiet)
    control = [binaries / "pg_ctl", *data, "-w"]
    # Nothing of it outlives the tests, so it need not wait for the disk.
    settings = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off -c shared_buffers=16MB"
    subprocess.run([*control, "-o", settings, "start"], cwd="/", **quiet)
    atexit.register(subprocess.run, [*control, "-m", "immediate", "stop"], cwd="/", **quiet)
    return folder


def address(name: str = "postgres") -> str:
    """The URL of a database in it."""
    return f"postgresql+psycopg://copyroom@/{name}?host={urllib.parse.quote(str(_folder()))}"


_count = 0


def new_database() -> str:
    """The URL of an empty database."""
    global _count
    _count += 1
    engine = sa.create_engine(address(), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(f"create database test_{os.getpid()}_{_count} template template0")
    engine.dispose()
    return address(f"test_{os.getpid()}_{_count}")


def end_connections(url: str) -> None:
    """End every other connection to a database, as a restart of its server would."""
    engine = sa.create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(
            "select pg_terminate_backend(pid) from pg_stat_activity"
            " where datname = current_database() and pid <> pg_backend_pid()"
        )
    engine.dispose()
