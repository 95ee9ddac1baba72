"""What a running server sees to by itself: a backup a day, backups of what was erased, rooms due, idle rooms.

Nothing of it happens at the start, when a clock may be wrong and a class is waiting.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import date
from typing import Any

from copyroom.shell.backups import Backups
from copyroom.shell.rooms import Rooms
from copyroom.shell.store import Store

log = logging.getLogger(__name__)

LOOK_EVERY_S = 60.0
FIRST_LOOK_S = 5.0
"""When the learners' pages have come back after a new start."""
NOTICE_S = 24 * 3600.0
"""For so long of the server's own running time a room stands as due on a console that somebody has looked at.
A clock that jumps makes rooms due and erases none: whoever looks keeps them, and the time counts anew."""


class Housekeeping:
    """The jobs of one server.

    Parameters
    ----------
    backups : of an SQLite file; None for another database.
    erase : erases a room, and tells whoever is in it.
    keep_days : how long a room may be untouched.
    now_s : a clock that only goes forward.
    """

    def __init__(
        self,
        store: Store,
        rooms: Rooms,
        backups: Backups | None,
        run_blocking: Callable[..., Any],
        erase: Callable[[str], None],
        keep_days: int,
        now_s: Callable[[], float],
    ) -> None:
        self._store, self._rooms, self._backups = store, rooms, backups
        self._run_blocking, self._erase, self._keep_days = run_blocking, erase, keep_days
        self._now_s, self._looked_s = now_s, now_s()

    def run(self, pause: Callable[[float], None]) -> None:
        """Look after everything for as long as the server runs."""
        pause(FIRST_LOOK_S)
        while True:
            self.look()
            pause(LOOK_EVERY_S)

    def look(self) -> None:
        """Do what is to be done by now; what fails is tried again next time."""
        for work in (self._reach_backups, self._make_backup, self._look_at_due, self._rooms.leave_idle):
            try:
                work()
            except Exception as fault:
                log.error("housekeeping=%s failed=%r", work.__name__, fault)

    def note_erased(self, code: str) -> None:
        """Something of a room is gone: its copies are to follow."""
        if self._backups is not None:
            self._run_blocking(self._backups.note, code)

    def _reach_backups(self) -> None:
        if self._backups is None:
            return
        for code in self._run_blocking(self._backups.unfinished):
            records = self._store.journal(code) if self._store.has_room(code) else None
            self._run_blocking(self._backups.reach, code, records)

    def _make_backup(self) -> None:
        if self._backups is not None:
            self._run_blocking(self._backups.of_today, date.today().isoformat())

    def _look_at_due(self) -> None:
        """Count how long rooms have stood as due; erase those whose time has come."""
        now_s = self._now_s()
        passed_s, self._looked_s = now_s - self._looked_s, now_s
        for due in self._store.due():
            if self._rooms.untouched_days(due) < self._keep_days or due.code in self._rooms.set_aside():
                self._store.note_due(due.code, None)
            elif due.stood_s + passed_s < NOTICE_S:
                self._store.note_due(due.code, due.stood_s + passed_s)
            elif self._rooms.is_idle(due.code):
                log.warning("room=%s erased=due", due.code)
                self._erase(due.code)
