"""Backups: made while the database is in use, put back whole, reached by what is erased."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from copyroom.__main__ import main
from copyroom.room import events as ev
from copyroom.shell.backups import KEPT_DAYS, Backups, copy
from copyroom.shell.lock import lock
from copyroom.shell.store import Store
from kept_rooms import in_place, journal_of, kept, record, some_rooms, url_of

CODE = "HERON-0417"


@pytest.fixture
def database(tmp_path: Path) -> Path:
    return tmp_path / "copyroom.sqlite3"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_a_backup_of_a_running_server_holds_what_was_acknowledged_by_then(database: Path) -> None:
    store = Store(url_of(database), in_place)
    journal_of(store, CODE, ev.OpenMeeting(20_000), ev.SetTitle("Wednesday"))
    file = database.with_name("wednesday.sqlite3")
    ran = run("backup", file, "--data", database.parent)
    assert ran.exit_code == 0, ran.output
    store.append([record(2)])
    assert not list(database.parent.glob("wednesday.sqlite3?*")), "one file holds all"
    assert file.stat().st_mode & 0o077 == 0
    backup = Store(url_of(file), in_place)
    assert backup.journal(CODE) == store.journal(CODE)[:2]
    backup.close()
    store.close()


def test_a_backup_is_put_in_place_and_what_was_there_is_kept(database: Path) -> None:
    store = Store(url_of(database), in_place)
    journal_of(store, CODE, ev.SetTitle("Wednesday"))
    file = database.with_name("wednesday.sqlite3")
    copy(database, file)
    store.open_room("WREN-0001", 1.0)
    store._connection.close()  # as when it is killed: its log is left beside it
    ran = run("restore", file, "--data", database.parent)
    assert f"1 room is in place of what was there, from {file}." in ran.output, ran.output
    restored = Store(url_of(database), in_place)
    assert restored.codes() == [CODE]
    restored.close()
    (before,) = Backups(database).files()
    replaced = Store(url_of(before), in_place)
    assert set(replaced.codes()) == {CODE, "WREN-0001"}
    replaced.close()


def test_rooms_of_a_backup_can_be_added_to_those_that_are_there(database: Path) -> None:
    store = Store(url_of(database), in_place)
    journal_of(store, CODE, ev.SetTitle("Wednesday"))
    file = database.with_name("wednesday.sqlite3")
    file.write_bytes(store.alone(CODE))
    store.erase([CODE])
    journal_of(store, "WREN-0001", ev.SetTitle("Tuesday"))
    store.close()
    for added in ("1 room is added.", "0 rooms are added."):
        ran = run("restore", "--add", file, "--data", database.parent)
        assert ran.output == f"{added}\n"
    again = Store(url_of(database), in_place)
    assert set(again.codes()) == {CODE, "WREN-0001"}
    assert len(again.journal(CODE)) == 1
    again.close()


def test_nothing_is_restored_under_a_running_server_or_from_what_is_no_backup(database: Path) -> None:
    Store(url_of(database), in_place).close()
    before = database.read_bytes()
    good, bad = database.with_name("good.sqlite3"), database.with_name("bad.sqlite3")
    copy(database, good)
    bad.write_bytes(b"notes on last Wednesday\n" * 200)
    ran = run("restore", bad, "--data", database.parent)
    assert (ran.exit_code, "is no backup of Copyroom" in ran.output) == (2, True)
    with lock(database.with_name("copyroom.sqlite3.lock"), "http://127.0.0.1:8000"):
        ran = run("restore", good, "--data", database.parent)
    assert (ran.exit_code, "already runs" in ran.output, "127.0.0.1:8000" in ran.output) == (2, True, True)
    assert database.read_bytes() == before


def test_another_databases_own_tools_are_named(tmp_path: Path) -> None:
    url = "postgresql://club@localhost/copyroom"
    said = run("backup", "--database", url).output
    assert f"pg_dump --format=custom --file=copyroom.dump '{url}'" in said
    assert "pg_restore" in run("restore", __file__, "--database", url).output


def test_a_backup_a_day_is_made_and_a_few_are_kept(database: Path) -> None:
    Store(url_of(database), in_place).close()
    backups = Backups(database)
    for day in range(1, 10):
        assert backups.of_today(f"2026-11-{day:02}") is not None
        assert backups.of_today(f"2026-11-{day:02}") is None, "one a day"
    assert [path.stem[-2:] for path in backups.files()] == [f"{day:02}" for day in range(10 - KEPT_DAYS, 10)]


def test_a_database_of_an_older_version_is_copied_before_it_is_raised(database: Path) -> None:
    Store(url_of(database), in_place).close()
    with sqlite3.connect(database) as older:
        older.executescript(
            "update schema_version set number = 3; alter table rooms drop column due_s;"
            "alter table rooms drop column kept_room_ms;"
        )
    older.close()
    backups = Backups(database)
    Store(url_of(database), in_place, "", lambda version: backups.before(version, "2026-11-28")).close()
    (made,) = backups.files()
    with sqlite3.connect(made) as copied:
        assert copied.execute("select number from schema_version").fetchone() == (3,)
    copied.close()
    Store(url_of(database), in_place, "", lambda version: pytest.fail("once")).close()


def bytes_of(files: list[Path]) -> bytes:
    return b"".join(path.read_bytes() for path in files)


def test_who_is_erased_is_erased_in_the_backups_too(database: Path) -> None:
    store = Store(url_of(database), in_place)
    rooms, _ = some_rooms(store)
    backups = Backups(database)
    rooms.note_erased = backups.note
    code = rooms.open("Wednesday")
    for name in ("Amberlotte", "Birchibald"):
        rooms.receive(code, ev.Join(name, "", f"secret-{name}"))
    store.append([kept(code, 90 + k, ev.Rename(1, f"Cedarella {k}")) for k in range(3)])
    rooms.let_out()  # type: ignore[attr-defined]
    backups.of_today("2026-11-27")
    backups.of_today("2026-11-28")
    assert b"Amberlotte" in bytes_of(backups.files())
    rooms, _ = some_rooms(store)
    rooms.note_erased = backups.note
    rooms.find(code)
    rooms.receive(code, ev.RemoveSeats((1,)))
    rooms.let_out()  # type: ignore[attr-defined]
    rooms.forget_now()
    assert backups.unfinished() == {code}
    backups.reach(code, store.journal(code))
    assert backups.unfinished() == set()
    left = bytes_of(backups.files())
    assert [trace for trace in (b"Amberlotte", b"Cedarella", b"secret-A") if trace in left] == []
    assert left.count(b"secret-Birchibald") == 2
    rooms.erase(code)
    backups.reach(code, None)
    assert b"Birchibald" not in bytes_of(backups.files())
    store.close()
