"""What a running server does by itself: rooms long due go, late, seen and undoably; backups follow."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from copyroom.room import events as ev
from copyroom.shell.backups import Backups
from copyroom.shell.housekeeping import NOTICE_S, Housekeeping
from copyroom.shell.rooms import DAY_MS
from copyroom.shell.store import Store
from kept_rooms import in_place, journal_of, some_rooms, url_of

OLD, NEW, KEEP_DAYS = "HERON-0417", "WREN-0001", 60


class Hut:
    """A server whose own time and whose wall clock a test moves."""

    def __init__(self, folder: Path) -> None:
        database = folder / "copyroom.sqlite3"
        self.store = Store(url_of(database), in_place)
        self.rooms, _ = some_rooms(self.store)
        self.backups = Backups(database)
        self.now_s = 0.0
        self.start()

    def start(self) -> None:
        """The server, or the server again."""
        self.house = Housekeeping(
            self.store, self.rooms, self.backups, in_place, self.rooms.erase, KEEP_DAYS, lambda: self.now_s
        )
        self.rooms.note_erased = self.house.note_erased

    def run_for(self, hours: float) -> None:
        for _ in range(int(hours * 2)):
            self.now_s += 1800.0
            self.house.look()

    def jump(self, days: float) -> None:
        self.rooms._clock._offset_ms += days * DAY_MS


@pytest.fixture
def hut(tmp_path: Path) -> Iterator[Hut]:
    hut = Hut(tmp_path)
    now_ms = hut.rooms._clock.now_ms()
    for code, age_days in ((OLD, 61), (NEW, 1)):
        hut.store.open_room(code, now_ms - age_days * DAY_MS)
    yield hut
    hut.store.close()


def test_nothing_goes_that_nobody_was_told_of(hut: Hut) -> None:
    """A summer: the server runs for weeks, and nobody looks at the console."""
    hut.run_for(24 * 14)
    assert set(hut.store.codes()) == {OLD, NEW}


def test_a_room_that_is_due_goes_when_the_server_has_run_for_a_day_after_it_was_shown_as_such(
    hut: Hut,
) -> None:
    hut.rooms.told_due(OLD)
    hut.run_for(12)
    hut.rooms.told_due(OLD)  # looked at again: its time goes on
    hut.start()
    hut.run_for(NOTICE_S / 3600 - 12.5)
    assert set(hut.store.codes()) == {OLD, NEW}
    hut.run_for(1)
    assert hut.store.codes() == [NEW]


def test_time_in_which_the_server_did_not_run_erases_nothing(hut: Hut) -> None:
    hut.rooms.told_due(OLD)
    hut.now_s += 1e6  # until it was started again
    hut.start()
    hut.run_for(1)
    assert set(hut.store.codes()) == {OLD, NEW}


def test_a_room_that_was_kept_is_as_if_it_had_been_used(hut: Hut) -> None:
    hut.rooms.told_due(OLD)
    hut.run_for(1)
    hut.rooms.keep(OLD)
    hut.run_for(100)
    assert set(hut.store.codes()) == {OLD, NEW}
    kept = next(kept for kept in hut.store.rooms() if kept.code == OLD)
    assert (hut.rooms.untouched_days(kept), kept.stood_s) == (0, None)


def test_a_clock_that_jumped_and_came_back_has_decided_nothing(hut: Hut) -> None:
    hut.jump(days=61)
    for code in (OLD, NEW):
        hut.rooms.told_due(code)
    hut.run_for(23)
    hut.jump(days=-61)
    hut.run_for(0.5)
    assert {kept.code: kept.stood_s is None for kept in hut.store.rooms()} == {OLD: False, NEW: True}
    hut.run_for(100)
    assert hut.store.codes() == [NEW]


def test_a_room_that_somebody_is_in_stays(hut: Hut) -> None:
    assert hut.rooms.hooks is not None
    hut.rooms.hooks.is_anybody_in = lambda code: code == OLD
    hut.rooms.told_due(OLD)
    hut.run_for(50)
    assert set(hut.store.codes()) == {OLD, NEW}


def test_a_backup_is_made_in_the_running_server_and_follows_what_is_erased(hut: Hut) -> None:
    journal_of(hut.store, "LARK-0000", ev.Join("Amberlotte", "", "secret"))
    hut.house.look()
    (backup,) = hut.backups.files()
    assert b"Amberlotte" in backup.read_bytes()
    hut.rooms.erase("LARK-0000")
    assert hut.backups.unfinished() == {"LARK-0000"}
    hut.start()  # killed before it came to that
    hut.house.look()
    assert b"Amberlotte" not in backup.read_bytes()


def test_a_job_that_fails_keeps_no_other_from_being_done(hut: Hut, caplog: pytest.LogCaptureFixture) -> None:
    hut.backups.folder.write_text("no folder")
    hut.rooms.told_due(OLD)
    hut.run_for(26)
    assert hut.store.codes() == [NEW]
    assert "housekeeping=_make_backup failed" in caplog.text
