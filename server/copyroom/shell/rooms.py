"""The rooms of this process: loaded from their journals, fed with events, their effects carried out."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from copyroom import wire
from copyroom.room import events as ev
from copyroom.room.effects import Forget, Listening, Save, Seated, Send, Unseat, WakeAt
from copyroom.room.forgetting import without_the_removed
from copyroom.room.room import Room
from copyroom.shell.clock import RoomClock
from copyroom.shell.outbox import Outbox, Outgoing
from copyroom.shell.secret import room_code
from copyroom.shell.store import Record, Store

log = logging.getLogger(__name__)

TICK_SID = ""


@dataclass(slots=True)
class _Running:
    room: Room
    lock: threading.RLock = field(default_factory=threading.RLock)


@dataclass(slots=True)
class Hooks:
    """What the sockets do for a room: bind a connection to a seat, open its ears, let it go; run later."""

    seated: Callable[[str, str, int], None]
    listening: Callable[[str, int], None]
    unseat: Callable[[str, int], None]
    later: Callable[[float, Callable[[], None]], None]


class Rooms:
    """All rooms by their code."""

    def __init__(self, store: Store, clock: RoomClock, outbox: Outbox, words: tuple[str, ...]) -> None:
        self._store, self._clock, self._outbox, self._words = store, clock, outbox, words
        self._running: dict[str, _Running] = {}
        self._loading = threading.RLock()
        self.hooks: Hooks | None = None

    # -------------------------------------------------------------- which rooms there are

    def open(self, title: str = "") -> str:
        """Open a new room; its code."""
        code = room_code()
        while self.find(code):
            code = room_code()
        self._store.open_room(code, self._clock.now_ms())
        self._running[code] = _Running(Room(code, self._words))
        self.receive(code, ev.OpenMeeting(self._clock.day()))
        if title.strip():
            self.receive(code, ev.SetTitle(title))
        return code

    def find(self, code: str) -> Room | None:
        """The running room of that code (spelled with any case), loaded from disk if it is there."""
        code = code.strip().upper()
        with self._loading:
            if code not in self._running and self._store.has_room(code):
                self._load(code)
        running = self._running.get(code)
        return running.room if running else None

    def running(self) -> frozenset[str]:
        """The codes of the rooms in memory."""
        return frozenset(self._running)

    def latest(self) -> str:
        """The code of the newest room; opens the first one."""
        newest = self._store.newest_room()
        return newest if newest and self.find(newest) else self.open()

    def titles(self) -> dict[str, str]:
        """Code -> title of the rooms that were given one, read off the disk without loading any."""
        last = self._store.last_of(ev.SetTitle.__name__)
        told = {record.code: wire.from_record(record.name, record.body) for record in last}
        return {code: event.title for code, event in told.items() if isinstance(event, ev.SetTitle)}

    def _load(self, code: str) -> None:
        room = Room(code, self._words)
        records = self._store.journal(code)
        events = [wire.from_record(record.name, record.body) for record in records]
        if without_the_removed(events) != events:  # the server ended before it came to that
            self._forget(code)
        room.replay((event, record.at_room_ms) for event, record in zip(events, records, strict=True))
        self._running[code] = _Running(room)
        log.info("room=loaded records=%d", len(records))

    def _forget(self, code: str) -> None:
        """Strike those who were taken out of the room out of its journal."""
        self._store.rewrite(code, _without_the_removed)

    def erase(self, code: str) -> None:
        """Erase a room from memory and disk."""
        with self._loading:  # nobody finds it on disk while it goes
            self._running.pop(code, None)
            self._store.erase([code])

    def erase_untouched(self, keep_days: int) -> int:
        """Erase the rooms that nothing has happened in for so many days; how many there were."""
        oldest_ms = self._clock.now_ms() - keep_days * 86_400_000.0
        old = [kept.code for kept in self._store.rooms() if kept.last_room_ms < oldest_ms]
        if old:
            self._store.erase(old)
        return len(old)

    # -------------------------------------------------------------- events in, effects out

    def is_behind(self) -> bool:
        """Whether the disk does not keep up with what the rooms let out."""
        return self._outbox.is_behind()

    def receive(self, code: str, event: ev.Event, sid: str = TICK_SID) -> None:
        """Give an event from connection `sid` to a room, and carry out what it asks for."""
        running = self._running.get(code)
        if running is None:
            return
        with running.lock:  # also keeps the order of what rooms let out
            effects = running.room.receive(event, self._clock.now_ms())
            records: list[Record] = []
            sends: list[Send] = []
            afterwards: Callable[[], None] | None = None
            for effect in effects:
                match effect:
                    case Save(saved, at_room_ms):
                        records.append(Record(code, at_room_ms, *wire.to_record(saved)))
                    case Send():
                        sends.append(effect)
                    case WakeAt(room_ms):
                        self._wake(code, room_ms)
                    case Seated(seat):
                        self._hooks.seated(code, sid, seat)
                    case Listening(seat):
                        self._hooks.listening(code, seat)
                    case Unseat(seat):
                        self._hooks.unseat(code, seat)
                    case Forget():
                        afterwards = partial(self._forget, code)
            if records or sends:
                self._outbox.put(Outgoing(code, sid, records, sends, afterwards))

    @property
    def _hooks(self) -> Hooks:
        if self.hooks is None:
            raise RuntimeError("rooms are not tied to sockets yet")
        return self.hooks

    def _wake(self, code: str, room_ms: float) -> None:
        delay_s = max(0.0, (room_ms - self._clock.now_ms()) / 1000.0)
        self._hooks.later(delay_s, lambda: self.receive(code, ev.Tick()))


def _without_the_removed(journal: list[Record]) -> list[Record | None]:
    left = without_the_removed([wire.from_record(record.name, record.body) for record in journal])
    return [
        None if event is None else Record(record.code, record.at_room_ms, *wire.to_record(event))
        for record, event in zip(journal, left, strict=True)
    ]
