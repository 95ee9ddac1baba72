"""Several servers on one database: a room has one writer at a time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

import postgresql
from copyroom.shell.claims import LostRoomsError
from copyroom.shell.rooms import SetAsideError
from copyroom.shell.store import Store
from kept_rooms import in_place, record, some_rooms

# ------------------------------------------------------------------ several servers


@pytest.fixture
def two_stores() -> Iterator[tuple[Store, Store, str]]:
    url = postgresql.new_database()
    stores = Store(url, in_place, "the first"), Store(url, in_place, "the second")
    yield *stores, url
    for store in stores:
        store.close()


def test_a_room_is_written_by_one_server_at_a_time(two_stores: tuple[Store, Store, str]) -> None:
    first, second, _ = two_stores
    first.open_room("HERON-0417", 0.0)
    assert first.take("HERON-0417")
    assert not second.take("HERON-0417")
    assert second.holder("HERON-0417") == "the first"
    with pytest.raises(LostRoomsError):
        second.append([record(0)])
    with pytest.raises(LostRoomsError):
        second.rewrite("HERON-0417", lambda before: [None for _ in before])
    first.append([record(0)])
    first.let_go("HERON-0417")
    assert second.take("HERON-0417")
    second.append([record(1)])
    assert len(first.journal("HERON-0417")) == 2


def test_a_server_cut_off_from_its_database_goes_on_where_nobody_else_has(
    two_stores: tuple[Store, Store, str],
) -> None:
    first, second, url = two_stores
    for code in ("HERON-0417", "WREN-0001"):
        first.open_room(code, 0.0)
    first.append([record(0), record(0, "WREN-0001")])
    postgresql.end_connections(url)
    with pytest.raises(sa.exc.OperationalError):
        second.take("HERON-0417")  # it finds out
    assert second.take("HERON-0417")
    second.append([record(1)])
    late = [record(1, at_room_ms=5.0), record(1, "WREN-0001")]
    with pytest.raises(sa.exc.OperationalError):
        first.append(late)
    with pytest.raises(LostRoomsError) as lost:
        first.append(late)
    assert lost.value.codes == {"HERON-0417"}
    first.append(late[1:])
    assert second.journal("HERON-0417") == [record(0), record(1)]
    assert [kept.number for kept in second.journal("WREN-0001")] == [0, 1]


def test_a_room_that_is_open_elsewhere_is_named_with_its_server(
    two_stores: tuple[Store, Store, str],
) -> None:
    first, second, _ = two_stores
    here, _ = some_rooms(first)
    there, _ = some_rooms(second)
    code = here.open("Wednesday")
    assert there.latest() == code
    assert here.find(code) is not None
    with pytest.raises(SetAsideError, match=f"Room {code} is open in another server, the first."):
        there.find(code)
    with pytest.raises(SetAsideError, match="which alone can erase it"):
        there.erase(code)
    here.lose(code)
    first.let_go(code)
    assert there.find(code) is not None


@pytest.mark.parametrize(
    ("address", "room"),
    [
        ("/r/HERON-MAPLE-417", "HERON-MAPLE-417"),
        ("/r/HERON-MAPLE-417.a-key", "HERON-MAPLE-417"),
        ("/api/rooms/HERON-MAPLE-417/erase", "HERON-MAPLE-417"),
        ("/qr/0/HERON-MAPLE-417.svg", "HERON-MAPLE-417"),
        ("/socket.io/", None),
        ("/api/rooms", None),
    ],
)
def test_the_proxys_set_up_file_knows_a_room_by_its_address(address: str, room: str | None) -> None:
    text = (Path(__file__).parents[2] / "scripts" / "several" / "nginx.conf").read_text("utf-8")
    patterns = re.findall(r'^ +"~(\S+)" +\$\w+;', text, re.M)
    assert len(patterns) == 2
    found = [match for pattern in patterns if (match := re.search(pattern.replace("?<", "?P<"), address))]
    assert [match.group(match.lastindex or 0) for match in found] == ([room] if room else [])
