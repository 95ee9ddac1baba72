"""The journal on disk: durable, in order, brought up to date, and really gone when erased."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.config import Config

from copyroom import wire
from copyroom.room import events as ev
from copyroom.shell.clock import RoomClock
from copyroom.shell.migrations import HEAD
from copyroom.shell.outbox import Outbox, Outgoing
from copyroom.shell.rooms import Hooks, Rooms
from copyroom.shell.store import KeptRoom, Record, Store
from scripted_room import ScriptedRoom

SERVER_URL = os.environ.get("COPYROOM_TEST_POSTGRESQL", "")
"""A PostgreSQL database that these tests may empty, "postgresql+psycopg://..."."""


def in_place(function: Callable[..., Any], *arguments: Any) -> Any:
    return function(*arguments)


def url_of(path: Path) -> str:
    return f"sqlite:///{path}"


def empty_server() -> str:
    if not SERVER_URL:
        pytest.skip("no PostgreSQL to test with: COPYROOM_TEST_POSTGRESQL names none")
    engine = sa.create_engine(SERVER_URL)
    with engine.begin() as connection:
        for table in ("events", "rooms", "alembic_version"):
            connection.exec_driver_sql(f"drop table if exists {table}")
    engine.dispose()
    return SERVER_URL


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return url_of(tmp_path / "room.sqlite3") if request.param == "sqlite" else empty_server()


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = Store(url, in_place)
    yield opened
    opened.close()


def record(k: int, code: str = "HERON-0417", at_room_ms: float = 1000.0) -> Record:
    return Record(code, at_room_ms + k, *wire.to_record(ev.SetTitle(f"title {k}")))


# ------------------------------------------------------------------ durable


def test_sqlite_is_really_set_to_be_durable(tmp_path: Path) -> None:
    """SQLite's documentation of PRAGMA: synchronous 2 is FULL, secure_delete 1 overwrites with zeros."""
    path = tmp_path / "room.sqlite3"
    opened: list[sqlite3.Connection] = []
    sa.event.listen(sa.Engine, "connect", remember := lambda connection, _record: opened.append(connection))
    try:
        store = Store(url_of(path), in_place)
        store.open_room("HERON-0417", 0.0)
        assert len(opened) == 1, "one writer owns one connection"
        read = {p: opened[0].execute(f"PRAGMA {p}").fetchone()[0] for p in ("journal_mode", "synchronous")}
        assert read == {"journal_mode": "wal", "synchronous": 2}
        assert opened[0].execute("PRAGMA secure_delete").fetchone()[0] == 1
        assert not opened[0].in_transaction
        store.close()
    finally:
        sa.event.remove(sa.Engine, "connect", remember)


def test_what_was_appended_is_seen_by_others_before_append_returns(tmp_path: Path) -> None:
    path = tmp_path / "room.sqlite3"
    store = Store(url_of(path), in_place)
    store.open_room("HERON-0417", 0.0)
    store.append([record(0), record(1)])
    with sqlite3.connect(path) as other:
        assert other.execute("select count(*) from events").fetchone() == (2,)
    other.close()
    store.close()


def test_the_journal_outlives_the_program_in_order(store: Store, url: str) -> None:
    store.open_room("HERON-0417", 5.0)
    store.open_room("WREN-0001", 6.0)
    for k in range(0, 30, 3):
        store.append([record(k), record(k + 1, "WREN-0001"), record(k + 2)])
    store.close()
    again = Store(url, in_place)
    bodies = [kept.body for kept in again.journal("HERON-0417")]
    assert bodies == [wire.to_record(ev.SetTitle(f"title {k}"))[1] for k in range(30) if k % 3 != 1]
    assert [kept.code for kept in again.journal("WREN-0001")] == ["WREN-0001"] * 10
    assert again.journal("LARK-0000") == []
    again.close()


def test_a_batch_is_kept_whole_or_not_at_all(store: Store) -> None:
    store.open_room("HERON-0417", 0.0)
    broken = Record("HERON-0417", 3.0, "SetTitle", None)  # type: ignore[arg-type]
    with pytest.raises(sa.exc.IntegrityError):
        store.append([record(0), broken])
    assert store.journal("HERON-0417") == []
    store.append([record(1)])
    assert len(store.journal("HERON-0417")) == 1


def test_any_name_comes_back_as_it_was(store: Store) -> None:
    store.open_room("HERON-0417", 0.0)
    joins = [
        ev.Join(name, "", "t")
        for name in ("Ünal", "李", "a\u0000b", "'; drop table events; --", '"token":"x')
    ]
    store.append([Record("HERON-0417", 1.0, *wire.to_record(join)) for join in joins])
    assert [wire.from_record(kept.name, kept.body) for kept in store.journal("HERON-0417")] == joins


def test_all_disk_work_goes_through_run_blocking(tmp_path: Path) -> None:
    calls: list[str] = []

    def run_blocking(function: Callable[..., Any], *arguments: Any) -> Any:
        calls.append(function.__name__)
        return function(*arguments)

    store = Store(url_of(tmp_path / "room.sqlite3"), run_blocking)
    store.open_room("HERON-0417", 0.0)
    store.append([record(0)])
    store.rooms()
    store.journal("HERON-0417")
    store.erase(["HERON-0417"])
    assert len(calls) == 5
    store.close()


# ------------------------------------------------------------------ which rooms there are


def test_rooms_are_listed_newest_first_with_their_seats(store: Store) -> None:
    store.open_room("HERON-0417", 5.0)
    store.open_room("WREN-0001", 60_000.0)
    play = ScriptedRoom()
    play.seat_three()
    play.join("", play.state.seats[1].token)  # back again: no new seat
    play.console("add_seat", name="Dahlia")
    store.append([Record("HERON-0417", at, name, body) for name, body, at in play.journal])
    assert store.rooms() == [
        KeptRoom("WREN-0001", 60_000.0, 60_000.0, 0),
        KeptRoom("HERON-0417", 5.0, play.journal[-1][2], 4),
    ]


# ------------------------------------------------------------------ erased


def bytes_on_disk(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.iterdir())


def test_erasing_a_room_leaves_no_nickname_on_the_disk(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    for code, name in (("HERON-0417", "Amberlotte"), ("WREN-0001", "Birchibald")):
        store.open_room(code, 0.0)
        for k in range(300):  # enough for many pages, freed ones among them
            join = ev.Join(f"{name} {k}", "", f"secret-{code}-{k}")
            store.append([Record(code, float(k), *wire.to_record(join))])
    assert b"Amberlotte" in bytes_on_disk(tmp_path)
    store.erase(["HERON-0417"])
    left = bytes_on_disk(tmp_path)
    for trace in (b"Amberlotte", b"HERON-0417"):
        assert trace not in left
    assert [kept.code for kept in store.rooms()] == ["WREN-0001"]
    assert len(store.journal("WREN-0001")) == 300
    store.close()
    assert b"Amberlotte" not in bytes_on_disk(tmp_path)


def test_erasing_nothing_and_unknown_rooms_is_no_fault(store: Store) -> None:
    store.open_room("HERON-0417", 0.0)
    store.erase([])
    store.erase(["LARK-0000"])
    assert len(store.rooms()) == 1


def some_rooms(store: Store) -> tuple[Rooms, list[Outgoing]]:
    """Rooms whose outbox is emptied by hand, by `let_out`."""
    emitted: list[Outgoing] = []
    outbox = Outbox(store.append, emitted.append, lambda _s: None)
    rooms = Rooms(store, RoomClock(), outbox, ())
    rooms.hooks = Hooks(lambda *_: None, lambda *_: None, lambda *_: None, lambda *_: None)
    rooms.let_out = lambda: (outbox.stop(), outbox.run())  # type: ignore[attr-defined]
    return rooms, emitted


def test_who_is_taken_out_of_a_room_is_nowhere_on_the_disk(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    rooms, _ = some_rooms(store)
    code = rooms.open("Wednesday")
    for name in ("Amberlotte", "Birchibald"):
        rooms.receive(code, ev.Join(name, "", f"secret-{name}"))
    rooms.receive(code, ev.Rename(1, "Cedarella"))
    rooms.receive(code, ev.RemoveSeat(1))
    rooms.let_out()  # type: ignore[attr-defined]
    left = bytes_on_disk(tmp_path)
    assert [trace for trace in (b"Amberlotte", b"Cedarella", b"secret-A") if trace in left] == []
    assert b"Birchibald" in left
    again, _ = some_rooms(store)
    room = again.find(code)
    assert room is not None
    assert [(seat.id, seat.name) for seat in room.state.seats.values()] == [(2, "Birchibald")]
    assert store.rooms()[0].seats == 1
    store.close()


def test_a_server_that_ended_before_it_struck_somebody_out_does_so_at_the_next_start(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    store.open_room("HERON-0417", 0.0)
    events = [ev.OpenMeeting(20_000), ev.Join("Amberlotte", "", "t"), ev.RemoveSeat(1)]
    store.append([Record("HERON-0417", 1.0, *wire.to_record(event)) for event in events])
    rooms, _ = some_rooms(store)
    assert rooms.find("HERON-0417") is not None
    assert b"Amberlotte" not in bytes_on_disk(tmp_path)
    store.close()


def test_what_was_under_way_when_a_room_was_erased_does_not_come_back(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    rooms, _ = some_rooms(store)
    code = rooms.open("Wednesday")
    rooms.receive(code, ev.Join("Amberlotte", "", "t"))
    rooms.erase(code)
    rooms.let_out()  # type: ignore[attr-defined]
    store.close()
    assert b"Amberlotte" not in bytes_on_disk(tmp_path)


def test_rooms_come_back_from_their_journals(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    rooms, emitted = some_rooms(store)
    code = rooms.open("Wednesday")
    rooms.receive(code, ev.Join("Amber", "", "t"), sid="s1")
    rooms.let_out()  # type: ignore[attr-defined]
    assert "welcome" in [send.name for outgoing in emitted for send in outgoing.sends if outgoing.sid == "s1"]
    again, _ = some_rooms(store)
    room = again.find(code.lower())
    assert room is not None
    assert (room.state.title, [seat.name for seat in room.state.seats.values()]) == ("Wednesday", ["Amber"])
    assert again.latest() == code
    assert again.find("LARK-0000") is None
    store.close()


def test_rooms_long_untouched_are_erased(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    now_ms = RoomClock().now_ms()
    day_ms = 86_400_000.0
    for code, opened_ms, touched_ms in [
        ("HERON-0417", now_ms - 70 * day_ms, now_ms - 59 * day_ms),
        ("WREN-0001", now_ms - 70 * day_ms, now_ms - 61 * day_ms),
        ("LARK-0002", now_ms - 61 * day_ms, None),
    ]:
        store.open_room(code, opened_ms)
        if touched_ms is not None:
            store.append([Record(code, touched_ms, *wire.to_record(ev.SetTitle("x")))])
    rooms, _ = some_rooms(store)
    assert rooms.erase_untouched(60) == 2
    assert [kept.code for kept in store.rooms()] == ["HERON-0417"]
    store.close()


# ------------------------------------------------------------------ older files


def revision(path: Path) -> str:
    with sqlite3.connect(path) as connection:
        found = str(connection.execute("select version_num from alembic_version").fetchone()[0])
    connection.close()
    return found


def test_an_empty_file_becomes_a_journal(tmp_path: Path) -> None:
    path = tmp_path / "room.sqlite3"
    path.touch()
    store = Store(url_of(path), in_place)
    store.open_room("HERON-0417", 0.0)
    store.append([record(0)])
    store.close()
    assert revision(path) == HEAD


def test_a_file_of_the_first_revision_is_brought_up_to_date_with_all_it_holds(tmp_path: Path) -> None:
    path = tmp_path / "room.sqlite3"
    engine = sa.create_engine(url_of(path))
    config = Config()
    config.set_main_option("script_location", "copyroom.shell:migrations")
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.exec_driver_sql("insert into rooms (code, opened_room_ms) values ('HERON-0417', 5.0)")
        connection.exec_driver_sql(
            "insert into events (code, at_room_ms, name, body)"
            """ values ('HERON-0417', 6.0, 'SetTitle', '{"title":"Wednesday"}')"""
        )
    engine.dispose()
    store = Store(url_of(path), in_place)
    (kept,) = store.journal("HERON-0417")
    assert wire.from_record(kept.name, kept.body) == ev.SetTitle("Wednesday")
    assert [room.code for room in store.rooms()] == ["HERON-0417"]
    store.close()
    assert revision(path) == HEAD


def test_head_is_the_last_revision() -> None:
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", "copyroom.shell:migrations")
    assert ScriptDirectory.from_config(config).get_current_head() == HEAD


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


def test_a_new_file_has_the_tables_that_the_migrations_make(tmp_path: Path) -> None:
    """A new file is made without the migrations; it cannot drift from them."""
    Store(url_of(tmp_path / "new.sqlite3"), in_place).close()
    new, migrated = (sa.create_engine(url_of(tmp_path / f"{name}.sqlite3")) for name in ("new", "migrated"))
    config = Config()
    config.set_main_option("script_location", "copyroom.shell:migrations")
    with migrated.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
    assert schema(new) == schema(migrated)
    assert {"rooms", "events", "alembic_version"} == schema(new).keys()
    new.dispose()
    migrated.dispose()
