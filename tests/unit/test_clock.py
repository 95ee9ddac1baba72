"""Room time goes forward from one server to the next, whatever the wall clock does."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from copyroom.room import events as ev
from copyroom.shell.clock import RoomClock
from copyroom.shell.rooms import HEARD_ON_MS
from copyroom.shell.store import Store
from kept_rooms import in_place, kept, some_rooms, url_of

HOUR_MS = 3_600_000.0
CODE = "HERON-0417"


def wall_ms() -> float:
    return time.time() * 1000.0


def test_room_time_goes_on_from_the_last_that_was_kept() -> None:
    last_ms = wall_ms() + 2 * HOUR_MS
    clock = RoomClock(last_ms)
    assert last_ms <= clock.now_ms() < last_ms + HOUR_MS
    assert abs(RoomClock(wall_ms() - 2 * HOUR_MS).now_ms() - wall_ms()) < HOUR_MS


def test_times_of_day_are_never_later_than_now() -> None:
    clock = RoomClock(wall_ms() + 100 * 24 * HOUR_MS)
    assert abs(clock.ago_ms(clock.now_ms() - HOUR_MS) - HOUR_MS) < 60_000.0
    assert abs(clock.ago_ms(wall_ms() - HOUR_MS) - HOUR_MS) < 60_000.0
    assert clock.wall_ms(clock.now_ms()) <= wall_ms()


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(url_of(tmp_path / "room.sqlite3"), in_place)


def sent(store: Store, start_room_ms: float) -> None:
    """A run of a minute, and who writes one stroke a second after its start."""
    symbols = ev.SetSound(20.0, 5.0, 600.0, 0.0, 30.0)
    text = ev.SendText("own", "KMRES", 1, 5, " ".join(["KMRES"] * 6), False, True, 0, start_room_ms, push=1)
    stroke = ev.WriteKeys(1, 1, 0, (ev.Key(1000.0, "K"),), 1)
    events = (symbols, ev.Join("Amber", "", "t", 1), text, stroke)
    store.open_room(CODE, 0.0)
    times = (0.0, 0.0, start_room_ms, start_room_ms + 1000.0)
    store.append(
        [kept(CODE, n, event, at) for n, (event, at) in enumerate(zip(events, times, strict=True), 1)]
    )


def test_a_class_does_not_wait_for_a_clock_that_went_back(store: Store) -> None:
    sent(store, wall_ms() + 2 * HOUR_MS)
    clock = RoomClock(store.last_room_ms())
    rooms, _ = some_rooms(store, clock)
    room = rooms.find(CODE)
    assert room is not None
    (run,) = room.classroom.runs
    assert run.phase(clock.now_ms()) == "paused"
    rooms.receive(CODE, ev.Close())
    assert (run.closed, run.cancelled, run.copies[1].written) == (True, False, "K")
    store.close()


@pytest.mark.parametrize("ago_ms", [3000.0, HOUR_MS])
def test_what_sounded_when_the_server_died_comes_back_paused(store: Store, ago_ms: float) -> None:
    start_ms = wall_ms() - ago_ms
    sent(store, start_ms)
    rooms, _ = some_rooms(store)
    room = rooms.find(CODE)
    assert room is not None
    (run,) = room.classroom.runs
    halted_ms = run.halted_room_ms
    assert (run.phase(wall_ms()), halted_ms is not None) == ("paused", True)
    assert start_ms + 1000.0 <= halted_ms <= start_ms + 1000.0 + HEARD_ON_MS
    store.close()
