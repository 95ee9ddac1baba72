"""The journal on disk: durable, in order, brought up to date, and really gone when erased."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

import postgresql
from copyroom.room import events as ev
from copyroom.room.journal import FORM, from_record, to_record
from copyroom.shell.claims import LostRoomsError
from copyroom.shell.rooms import SetAsideError
from copyroom.shell.store import KeptRoom, Record, Store
from kept_rooms import in_place, journal_of, kept, record, some_rooms, url_of
from scripted_room import ScriptedRoom


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return url_of(tmp_path / "room.sqlite3") if request.param == "sqlite" else postgresql.new_database()


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = Store(url, in_place)
    yield opened
    opened.close()


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


def test_what_is_said_twice_is_kept_once(store: Store) -> None:
    """As after a commit whose answer was lost: the same records, and what came in meanwhile."""
    store.open_room("HERON-0417", 0.0)
    store.append([record(0), record(1)])
    store.append([record(0), record(1), record(2)])
    store.append([record(2)])
    assert [kept.number for kept in store.journal("HERON-0417")] == [0, 1, 2]


def test_another_record_of_the_same_number_is_kept_out(store: Store) -> None:
    store.open_room("HERON-0417", 0.0)
    store.append([record(0)])
    with pytest.raises(LostRoomsError):
        store.append([kept("HERON-0417", 0, ev.SetTitle("another")), record(1)])
    assert store.journal("HERON-0417") == [record(0)]


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


def test_who_is_taken_out_of_a_room_is_nowhere_on_the_disk(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    rooms, _ = some_rooms(store)
    code = rooms.open("Wednesday")
    for name in ("Amberlotte", "Birchibald"):
        rooms.receive(code, ev.Join(name, "", f"secret-{name}"))
    rooms.receive(code, ev.Rename(1, "Cedarella"))
    rooms.receive(code, ev.RemoveSeats((1,)))
    rooms.let_out()  # type: ignore[attr-defined]
    rooms.forget_now()
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
    rooms.forget_now()
    store.close()
    assert b"Amberlotte" not in bytes_on_disk(tmp_path)


def test_rooms_come_back_from_their_journals(tmp_path: Path) -> None:
    store = Store(url_of(tmp_path / "room.sqlite3"), in_place)
    rooms, emitted = some_rooms(store)
    code = rooms.open("Wednesday")
    rooms.receive(code, ev.Join("Amber", "", "t"), sid="s1")
    rooms.let_out()  # type: ignore[attr-defined]
    rooms.forget_now()
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
