"""The rooms of this process: loaded from their journals, fed with events, their effects carried out."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TypeVar

from copyroom.room import events as ev
from copyroom.room.effects import Effect, Forget, Listening, Save, Seated, Send, Unseat, WakeAt
from copyroom.room.forgetting import still_to_strike, without_the_removed
from copyroom.room.journal import FORM, Reader, RecordError, to_record
from copyroom.room.room import Room
from copyroom.shell.clock import RoomClock
from copyroom.shell.outbox import Outbox, Outgoing
from copyroom.shell.secret import room_code
from copyroom.shell.store import DueRoom, KeptRoom, Record, Store

log = logging.getLogger(__name__)

TICK_SID = ""
HEARD_ON_MS = 8_000.0
"""Pages have so much of the sound in hand when their server ends."""
CLAIM_TRIES, CLAIM_AGAIN_S = 10, 0.1
RECORDS_A_TURN = 20
"""Read and folded between two looks at the event loop."""
T = TypeVar("T")
FORGET_AFTER_S = 3.0
REHEARSAL_SIZE = 200
"""A simulated class, and whoever comes to see it."""
DAY_MS = 86_400_000.0


class SetAsideError(Exception):
    """A room that cannot be opened and stays on disk as it is; the sentence is for whoever asks for it."""


class OpenElsewhereError(SetAsideError):
    """Another server has the room."""


def as_kept(code: str) -> str:
    """A code as it is kept, however it is spelled: "heron maple 417" is HERON-MAPLE-417."""
    return "-".join(code.upper().replace("-", " ").split())


@dataclass(slots=True)
class _Running:
    room: Room
    lock: threading.RLock = field(default_factory=threading.RLock)


@dataclass(slots=True)
class Hooks:
    """What the sockets do for a room: bind a connection to a seat, open its ears, let it go; run later.

    dismiss : end all connections that are in a room, so that they come again; is_anybody_in : whether there
    are any.
    """

    seated: Callable[[str, str, int], None]
    listening: Callable[[str, int], None]
    unseat: Callable[[str, int, bool], None]
    later: Callable[[float, Callable[[], None]], None]
    dismiss: Callable[[str], None] = lambda code: None
    is_anybody_in: Callable[[str], bool] = lambda code: False


class Rooms:
    """All rooms by their code.

    Parameters
    ----------
    pause : waits some seconds, 0 too, while the others have their turn.
    """

    def __init__(
        self,
        store: Store,
        clock: RoomClock,
        outbox: Outbox,
        words: tuple[str, ...],
        pause: Callable[[float], None],
    ) -> None:
        self._pause = pause
        self._store, self._clock, self._outbox, self._words = store, clock, outbox, words
        self._running: dict[str, _Running] = {}
        self._aside: dict[str, SetAsideError] = {}
        self._to_forget: set[str] = set()
        self._readable: set[str] = set()
        self._idle: set[str] = set()
        self._loading = threading.RLock()
        self.hooks: Hooks | None = None
        self.note_erased: Callable[[str], None] = lambda code: None

    # -------------------------------------------------------------- which rooms there are

    def open(self, title: str = "", *, rehearsal: bool = False) -> str:
        """Open a new room; its code. A rehearsal is erased when it is over."""
        code = room_code()
        while self._store.has_room(code):
            code = room_code()
        now_ms, room = self._clock.now_ms(), Room(code, self._words)
        first: list[ev.Event] = [ev.OpenMeeting(self._clock.day())]
        if title.strip():
            first.append(ev.SetTitle(title))
        if rehearsal:
            first.append(ev.SetClassSize(REHEARSAL_SIZE))
        effects = [effect for event in first for effect in room.receive(event, now_ms)]
        self._store.open_room(code, now_ms, _records(code, effects), rehearsal=rehearsal)
        if self._store.shared:
            self._store.let_go(code)  # it is that server's which somebody comes to first
        else:
            self.find(code)
        return code

    def find(self, code: str) -> Room | None:
        """The running room of that code (as somebody spells it), loaded from disk if it is there.

        Raises SetAsideError for one that cannot be read, or that another server has.
        """
        code = as_kept(code)
        if code not in self._running:  # who is in a running room does not wait for another that is opened
            with self._loading:
                if code not in self._running and self._store.has_room(code):
                    self._load(code)
        running = self._running.get(code)
        return running.room if running else None

    def running(self) -> frozenset[str]:
        """The codes of the rooms in memory."""
        return frozenset(self._running)

    def latest(self) -> str:
        """The code of the newest room that can be opened; opens the first one."""
        for code in self._store.codes():
            if self._store.shared and code not in self.set_aside():
                return code  # whichever server has it or will have it
            with suppress(SetAsideError):
                if self.find(code):
                    return code
        return self.open()

    def titles(self) -> dict[str, str]:
        """Code -> title of the rooms that were given one, read off the disk without loading any."""
        last = self._store.last_of(ev.SetTitle.__name__)
        titles: dict[str, str] = {}
        for record in last:
            with suppress(RecordError):
                event = Reader().read(record.form, record.name, record.body)
                if isinstance(event, ev.SetTitle):
                    titles[record.code] = event.title
        return titles

    def set_aside(self) -> frozenset[str]:
        """The codes of the rooms that cannot be opened, as far as their records tell; each is read once."""
        for code in self._store.codes():
            if not any(code in known for known in (self._running, self._aside, self._readable)):
                try:
                    self._store.check(code, Reader().read)
                    self._readable.add(code)
                except RecordError as fault:
                    self._put_aside(code, str(fault))
        return frozenset(self._aside)

    def _put_aside(self, code: str, reason: str) -> SetAsideError:
        log.warning("room=%s set_aside=%s", code, reason)
        self._aside[code] = SetAsideError(
            f"Room {code} is set aside: {reason}. Nothing of it is erased, and the other rooms open."
            " A newer Copyroom or a backup may hold it whole."
        )
        return self._aside[code]

    def _load(self, code: str) -> None:
        if code in self._aside:
            raise self._aside[code]
        if not self._claim(code):
            where = self._store.holder(code)
            raise OpenElsewhereError(f"Room {code} is open in another server{where and f', {where}'}.")
        records = self._store.journal(code)  # what the disk cannot give now is another matter
        try:
            room = self._replayed(code, records)
        except RecordError as fault:
            raise self._put_aside(code, str(fault)) from None
        except Exception as fault:  # a record that reads well and cannot have happened
            raise self._put_aside(code, f"its records do not fit together ({fault!r})") from None
        self._running[code] = _Running(room)
        if records:
            self._pause_what_sounded(code, records[-1].at_room_ms)

    def _pause_what_sounded(self, code: str, last_room_ms: float) -> None:
        """What sounded when the server before ended comes back paused, at the last that pages may have heard.

        A halt may have left before its record; and nobody knows what each page sounded meanwhile.
        """
        halted_ms = min(self._clock.now_ms(), last_room_ms + HEARD_ON_MS)
        if self._running[code].room.sounds_at(halted_ms):
            self.receive(code, ev.Pause(), at_room_ms=halted_ms)

    def _claim(self, code: str) -> bool:
        """Take the room for this server. One that was killed a moment ago may seem to have it still."""
        for _ in range(CLAIM_TRIES):
            if self._store.take(code):
                return True
            self._pause(CLAIM_AGAIN_S)
        return self._store.take(code)

    def _replayed(self, code: str, records: list[Record]) -> Room:
        """The room that these records tell of; between some of them the others have their turn."""
        room, reader, events = Room(code, self._words), Reader(), []
        for record in self._in_turns(records):
            event = reader.read(record.form, record.name, record.body)
            room.fold(record.number, event, record.at_room_ms)
            events.append(event)
        room.begin(records[-1].at_room_ms if records else 0.0)
        if any(left != event for event, left in self._in_turns(still_to_strike(events))):
            self._forget(code)  # the server ended before it came to that
        log.info("room=loaded records=%d", len(records))
        return room

    def _in_turns(self, items: Iterable[T]) -> Iterator[T]:
        for count, item in enumerate(items):
            if count % RECORDS_A_TURN == 0:
                self._pause(0.0)
            yield item

    def _forget_soon(self, code: str) -> None:
        """Some are often taken out one after the other: the journal is gone through once for all of them."""
        if code not in self._to_forget:
            self._to_forget.add(code)
            self._hooks.later(FORGET_AFTER_S, lambda: self._forget(code))

    def forget_now(self) -> None:
        """Do not wait for more of them: the server ends."""
        for code in tuple(self._to_forget):
            self._forget(code)

    def _forget(self, code: str) -> None:
        """Strike those who were taken out of the room out of its journal."""
        self._to_forget.discard(code)
        self._store.rewrite(code, _without_the_removed)
        self.note_erased(code)

    def erase(self, code: str) -> None:
        """Erase a room from memory and disk."""
        with self._loading:  # nobody finds it on disk while it goes
            if not self._claim(code):
                raise OpenElsewhereError(f"Room {code} is open in another server, which alone can erase it.")
            self._running.pop(code, None)
            self._aside.pop(code, None)
            self._store.erase([code])
            self.note_erased(code)
            self._store.let_go(code)

    def lose(self, code: str) -> None:
        """Another server has the room by now: nobody is served here from what it was."""
        with self._loading:
            self._running.pop(code, None)
        log.warning("room=%s lost to another server", code)
        self._hooks.dismiss(code)

    def erase_rehearsals(self) -> int:
        """Erase the rooms that were opened as rehearsals, and no other; how many there were."""
        count = 0
        for code in self._store.rehearsals():
            with suppress(OpenElsewhereError):
                self.erase(code)
                count += 1
        return count

    def is_idle(self, code: str) -> bool:
        """Whether no connection is in a room here."""
        return not self._hooks.is_anybody_in(code)

    def leave_idle(self) -> None:
        """Leave rooms that nobody was in at the last look, nor is now, to other servers on the database."""
        if not self._store.shared:
            return
        idle = {code for code in tuple(self._running) if self.is_idle(code)}
        for code in idle & self._idle:
            with self._loading:
                if self.is_idle(code) and not self._outbox.is_waiting():
                    self._running.pop(code, None)
                    self._store.let_go(code)
        self._idle = idle

    def wall_ms(self, room_ms: float) -> float:
        """The time of day at that room time."""
        return self._clock.wall_ms(room_ms)

    def keep(self, code: str) -> None:
        """Somebody says that a room is not to be erased: as if it had been used now."""
        self._store.keep(code, self._clock.now_ms())

    def told_due(self, code: str) -> None:
        """Somebody was told that a room is due."""
        if not any(due.code == code for due in self._store.due()):
            self._store.note_due(code, 0.0)

    def untouched_days(self, kept: KeptRoom | DueRoom) -> int:
        """For how many days nothing has happened in a room, by this computer's clock: it may be wrong."""
        return max(0, int(self._clock.ago_ms(kept.last_room_ms) / DAY_MS))

    # -------------------------------------------------------------- events in, effects out

    def is_behind(self) -> bool:
        """Whether the disk does not keep up with what the rooms let out."""
        return self._outbox.is_behind()

    def receive(
        self, code: str, event: ev.Event, sid: str = TICK_SID, at_room_ms: float | None = None
    ) -> None:
        """Give an event from connection `sid` to a room, and carry out what it asks for.

        at_room_ms : when it happened; None: now.
        """
        running = self._running.get(code)
        if running is None:
            return
        with running.lock:  # also keeps the order of what rooms let out
            if self._running.get(code) is not running:
                return  # it went while this waited
            now_ms = self._clock.now_ms() if at_room_ms is None else at_room_ms
            effects = running.room.receive(event, now_ms)
            records = _records(code, effects)
            sends: list[Send] = []
            afterwards: Callable[[], None] | None = None
            for effect in effects:
                match effect:
                    case Send():
                        sends.append(effect)
                    case WakeAt(room_ms):
                        self._wake(code, room_ms)
                    case Seated(seat):
                        self._hooks.seated(code, sid, seat)
                    case Listening(seat):
                        self._hooks.listening(code, seat)
                    case Unseat(seat, comes_again):
                        self._hooks.unseat(code, seat, comes_again)
                    case Forget():
                        afterwards = partial(self._forget_soon, code)
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


def _records(code: str, effects: Iterable[Effect]) -> list[Record]:
    saves = (effect for effect in effects if isinstance(effect, Save))
    return [Record(code, save.number, FORM, save.at_room_ms, *to_record(save.event)) for save in saves]


def _read(journal: list[Record]) -> list[ev.Event]:
    reader = Reader()
    return [reader.read(record.form, record.name, record.body) for record in journal]


def _without_the_removed(journal: list[Record]) -> list[Record | None]:
    """What may stay of it; a record that changes is written in today's form."""
    events = _read(journal)
    return [
        record if left == event else _rewritten(record, left)
        for record, event, left in zip(journal, events, without_the_removed(events), strict=True)
    ]


def _rewritten(record: Record, event: ev.Event | None) -> Record | None:
    if event is None:
        return None
    name, body = to_record(event)
    return replace(record, form=FORM, name=name, body=body)
