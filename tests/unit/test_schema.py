"""Older files are raised to today's tables; what is no database of ours is refused and left as it is."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa

from copyroom.room import events as ev
from copyroom.room.journal import from_record
from copyroom.shell.schema import VERSION, UnusableDatabaseError
from copyroom.shell.store import Store
from kept_rooms import in_place, journal_of, record, url_of

# ------------------------------------------------------------------ older files

VERSION_1 = """
create table rooms (code varchar(24) not null primary key, opened_room_ms float not null);
create table events (id integer not null primary key, code varchar(24) not null, at_room_ms float not null,
    name varchar(40) not null, body text not null);
create index events_by_room on events (code, id);
create table alembic_version (version_num varchar(32) not null primary key);
insert into alembic_version values ('0001');
insert into rooms values ('HERON-0417', 5.0);
insert into events values (1, 'HERON-0417', 6.0, 'SetTitle', '{"title":"Wednesday"}');
"""
"""What the first version left behind."""


def scripted(path: Path, *scripts: str) -> Path:
    with sqlite3.connect(path) as connection:
        for script in scripts:
            connection.executescript(script)
    connection.close()
    return path


def noted(path: Path) -> list[tuple[int]]:
    with sqlite3.connect(path) as connection:
        found = connection.execute("select number from schema_version").fetchall()
    connection.close()
    return found


def test_an_empty_file_becomes_a_journal(tmp_path: Path) -> None:
    path = tmp_path / "room.sqlite3"
    path.touch()
    store = Store(url_of(path), in_place)
    store.open_room("HERON-0417", 0.0)
    store.append([record(0)])
    store.close()
    assert noted(path) == [(VERSION,)]


LOST = "delete from {};"


@pytest.mark.parametrize("lost", ["", LOST.format("alembic_version"), "drop table alembic_version;"])
def test_a_file_of_the_first_version_opens_with_all_it_holds(tmp_path: Path, lost: str) -> None:
    """Also when it has lost the note of its version: its tables tell."""
    path = scripted(tmp_path / "room.sqlite3", VERSION_1, lost)
    for _ in range(2):
        store = Store(url_of(path), in_place)
        (kept,) = store.journal("HERON-0417")
        assert from_record(kept.name, kept.body) == ev.SetTitle("Wednesday")
        assert [room.code for room in store.rooms()] == ["HERON-0417"]
        store.close()
        assert noted(path) == [(VERSION,)]


@pytest.mark.parametrize("lost", [LOST.format("schema_version"), "drop table schema_version;"])
def test_a_file_that_lost_its_version_opens_with_all_it_holds(tmp_path: Path, lost: str) -> None:
    path = tmp_path / "room.sqlite3"
    store = Store(url_of(path), in_place)
    journal_of(store, "HERON-0417", ev.SetTitle("Wednesday"))
    store.close()
    scripted(path, lost)
    store = Store(url_of(path), in_place)
    assert len(store.journal("HERON-0417")) == 1
    store.close()
    assert noted(path) == [(VERSION,)]


def schema(engine: sa.Engine) -> dict[str, object]:
    inspector = sa.inspect(engine)
    return {
        table: (
            {c["name"]: (str(c["type"]), c["nullable"]) for c in inspector.get_columns(table)},
            inspector.get_pk_constraint(table)["constrained_columns"],
            [(index["name"], index["column_names"]) for index in inspector.get_indexes(table)],
        )
        for table in sorted(inspector.get_table_names())
    }


def test_a_file_that_grew_has_the_tables_of_a_new_one(tmp_path: Path) -> None:
    old = scripted(tmp_path / "old.sqlite3", VERSION_1)
    for path in (tmp_path / "new.sqlite3", old):
        Store(url_of(path), in_place).close()
    new, grown = (sa.create_engine(url_of(path)) for path in (tmp_path / "new.sqlite3", old))
    assert schema(new) == schema(grown)
    assert {"rooms", "events", "schema_version"} == schema(new).keys()
    new.dispose()
    grown.dispose()


# ------------------------------------------------------------------ files that are none


def filled(path: Path) -> Path:
    store = Store(url_of(path), in_place)
    journal_of(store, "HERON-0417", *(ev.SetTitle(f"a title that takes some room {k}") for k in range(500)))
    store.close()
    return path


def overwrite(path: Path, at: int) -> None:
    with path.open("r+b") as file:
        file.seek(at)
        file.write(b"\xa5" * 4096)


def newer(path: Path) -> None:
    scripted(filled(path), f"update schema_version set number = {VERSION + 1};")


UNUSABLE: dict[str, tuple[Callable[[Path], object], str]] = {
    "a folder": (lambda path: path.mkdir(), "a folder in the database's place"),
    "no database": (
        lambda path: path.write_bytes(b"notes on last Wednesday\n" * 200),
        "damaged or is no database",
    ),
    "truncated": (lambda path: os.truncate(filled(path), 20_000), "damaged or is no database"),
    "damaged in the middle": (lambda path: overwrite(filled(path), 8192), "damaged or is no database"),
    "damaged at its head": (lambda path: overwrite(filled(path), 0), "damaged or is no database"),
    "another program's": (
        lambda path: scripted(path, "create table songs (title text);"),
        "another program's",
    ),
    "of unknown tables": (
        lambda path: scripted(path, "create table rooms (code text); create table events (id int);"),
        "its tables are none that Copyroom knows",
    ),
    "a newer program's": (newer, "a newer Copyroom. Update this one"),
}


@pytest.mark.parametrize("kind", UNUSABLE)
def test_what_is_no_database_of_ours_is_refused_in_one_sentence_and_left_as_it_is(
    tmp_path: Path, kind: str
) -> None:
    path = tmp_path / "copyroom.sqlite3"
    make, says = UNUSABLE[kind]
    make(path)
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(UnusableDatabaseError, match=says) as refused:
        Store(url_of(path), in_place)
    assert "\n" not in str(refused.value)
    assert (path.read_bytes() if path.is_file() else None) == before


def test_a_database_that_nobody_can_reach_is_refused_in_one_sentence(tmp_path: Path) -> None:
    for url in (url_of(tmp_path / "nowhere" / "room.sqlite3"), "nonsense://", "no URL at all"):
        with pytest.raises(UnusableDatabaseError, match="cannot be used"):
            Store(url, in_place)
