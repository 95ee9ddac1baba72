"""The journal on disk: durable, in order, brought up to date, and really gone when erased."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from copyroom.room import events as ev
from copyroom.room.journal import FORM, from_record, to_record
from copyroom.shell.clock import RoomClock
from copyroom.shell.outbox import Outbox, Outgoing
from copyroom.shell.rooms import Hooks, Rooms, SetAsideError
from copyroom.shell.schema import VERSION, UnusableDatabaseError
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
        for table in ("events", "rooms", "schema_version"):
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
    return kept(code, k, ev.SetTitle(f"title {k}"), at_room_ms + k)


def kept(code: str, number: int, event: ev.Event, at_room_ms: float = 1000.0) -> Record:
    return Record(code, number, FORM, at_room_ms, *to_record(event))


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
    bodies = [record.body for record in again.journal("HERON-0417")]
    assert bodies == [to_record(ev.SetTitle(f"title {k}"))[1] for k in range(30) if k % 3 != 1]
    assert [record.code for record in again.journal("WREN-0001")] == ["WREN-0001"] * 10
    assert again.journal("LARK-0000") == []
    again.close()


def test_a_batch_is_kept_whole_or_not_at_all(store: Store) -> None:
    store.open_room("HERON-0417", 0.0)
    broken = Record("HERON-0417", 3, FORM, 3.0, "SetTitle", None)  # type: ignore[arg-type]
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
    store.append([kept("HERON-0417", k, join) for k, join in enumerate(joins)])
    assert [from_record(record.name, record.body) for record in store.journal("HERON-0417")] == joins


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
    records = enumerate(play.journal)
    store.append([Record("HERON-0417", k, FORM, at, name, body) for k, (name, body, at) in records])
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
            store.append([kept(code, k, join)])
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
    rooms = Rooms(store, RoomClock(), outbox, (), lambda _s: None)
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
    rooms.receive(code, ev.RemoveSeats((1,)))
    rooms.let_out()  # type: ignore[attr-defined]
    left = bytes_on_disk(tmp_path)
    assert [trace for trace in (b"Amberlotte", b"Cedarella", b"secret-A") if trace in left] == []
    assert b"Birchibald" in left
    again, _ = some_rooms(store)
    room = again.find(code)
    assert room is not None
    assert [(seat.id, seat.name) for seat in room.classroom.seats.values()] == [(2, "Birchibald")]
    assert store.rooms()[0].seats == 1
    store.close()


def test_a_server_that_ended_before_it_struck_somebody_out_does_so_at_the_next_start(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    store.open_room("HERON-0417", 0.0)
    events = [ev.OpenMeeting(20_000), ev.Join("Amberlotte", "", "t", 1), ev.RemoveSeats((1,))]
    store.append([kept("HERON-0417", k, event) for k, event in enumerate(events)])
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
    assert (room.classroom.title, [seat.name for seat in room.classroom.seats.values()]) == (
        "Wednesday",
        ["Amber"],
    )
    assert again.find(code.replace("-", " ").lower()) is room, "as it is typed on a phone"
    assert again.latest() == code
    assert again.find("LARK-0000") is None
    store.close()


def journal_of(store: Store, code: str, *events: ev.Event) -> None:
    store.open_room(code, 0.0)
    store.append([kept(code, k, event) for k, event in enumerate(events)])


def insert_raw(path: Path, code: str, name: str, body: str) -> None:
    """As another hand would; surrogates stand for bytes that are no text."""
    with sqlite3.connect(path) as database:
        database.execute(
            "insert into events (code, number, form, at_room_ms, name, body)"
            " values (?, 99, ?, 2.0, ?, cast(? as text))",
            (code, FORM, name, body.encode("utf-8", "surrogateescape")),
        )
    database.close()


BAD_RECORDS = {
    "broken": ("SetTitle", '{"title":'),
    "unknown": ("FromTheFuture", "{}"),
    "no text": ("SetTitle", '{"title": "\udcff"}'),
    "of another type": ("SetTitle", '{"title": 7}'),
    "impossible": to_record(ev.SendText("own", "E", 1, 5, "#", False, True, 0, 1000.0)),
}


@pytest.mark.parametrize("bad", BAD_RECORDS)
def test_a_bad_record_sets_its_room_aside_and_leaves_the_others_open(tmp_path: Path, bad: str) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    journal_of(store, "WREN-0001", ev.OpenMeeting(20_000), ev.SetTitle("Tuesday"))
    journal_of(store, "HERON-0417", ev.OpenMeeting(20_000), ev.SetTitle("Wednesday"))
    insert_raw(tmp_path / "room.sqlite3", "HERON-0417", *BAD_RECORDS[bad])
    before = store.journal("HERON-0417")
    rooms, _ = some_rooms(store)
    for _ in range(2):
        with pytest.raises(SetAsideError, match=r"HERON-0417 is set aside: .*\. Nothing of it is erased"):
            rooms.find("heron-0417")
    assert rooms.latest() == "WREN-0001"
    assert rooms.titles()["WREN-0001"] == "Tuesday"
    assert rooms.set_aside() == {"HERON-0417"}
    assert store.journal("HERON-0417") == before
    store.close()


@pytest.mark.parametrize(
    ("column", "value", "is_aside"),
    [("form", "soon", True), ("name", b"SetTitle", True), ("at_room_ms", "soon", False)],
)
def test_another_type_in_a_column_keeps_no_room_from_being_listed(
    tmp_path: Path, column: str, value: object, is_aside: bool
) -> None:
    """SQLite keeps it. A room that can be read all the same stays open."""
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    journal_of(store, "WREN-0001", ev.OpenMeeting(20_000))
    journal_of(store, "HERON-0417", ev.OpenMeeting(20_000), ev.SetTitle("Wednesday"))
    with sqlite3.connect(tmp_path / "room.sqlite3") as database:
        database.execute(f"update events set {column} = ? where name = 'SetTitle'", (value,))
    database.close()
    rooms, _ = some_rooms(store)
    assert rooms.set_aside() == ({"HERON-0417"} if is_aside else set())
    listed = {kept.code for kept in store.rooms() if rooms.untouched_days(kept) >= 0}
    assert listed == {"WREN-0001", "HERON-0417"}
    assert rooms.latest() in listed - rooms.set_aside()
    store.close()


def test_a_room_that_cannot_be_read_is_known_before_anybody_opens_it(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    journal_of(store, "WREN-0001", ev.OpenMeeting(20_000))
    journal_of(store, "HERON-0417", ev.OpenMeeting(20_000))
    store.append([Record("HERON-0417", 2, FORM, 2.0, "FromTheFuture", "{}")])
    rooms, _ = some_rooms(store)
    assert rooms.set_aside() == {"HERON-0417"}
    assert rooms.running() == frozenset()
    store.close()


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
