"""Nothing leaves a room before what it says is on disk.

Every receive of a room puts its records and its messages here, in order. One task takes all that has
gathered, commits the records together (a group commit: the busier the room, the fewer the commits a
stroke costs), then sends the messages. An acknowledgement is just a message behind its record.
"""

from __future__ import annotations

import logging
import queue
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from copyroom.room.effects import CONSOLE, Send
from copyroom.room.messages.learner import RefusedOut
from copyroom.shell.claims import LostRoomsError
from copyroom.shell.database import reason
from copyroom.shell.store import Record

log = logging.getLogger(__name__)

BATCHES_AT_ONCE = 500
MOST_WAITING = 10_000
"""With so much to be let out the disk does not keep up, and nothing new should be taken in."""
RETRY_S = 1.0
DISK_FAILS = (
    "The disk cannot be written. Nothing is lost, browsers keep what is written, but it does not arrive here."
    " Make room on the disk; the server keeps trying."
)


@dataclass(frozen=True, slots=True)
class Outgoing:
    """What one receive of a room lets out: records first, then messages from the connection `sid`."""

    code: str
    sid: str
    records: Sequence[Record]
    sends: Sequence[Send]
    afterwards: Callable[[], None] | None = None
    """What to do once the records are durable."""


class Outbox:
    """The one way out of all rooms.

    Parameters
    ----------
    append : makes records durable, or raises.
    emit : sends the messages of one Outgoing.
    pause : waits some seconds without stopping the others.
    lost : told of each room that another server writes by now.
    """

    def __init__(
        self,
        append: Callable[[list[Record]], None],
        emit: Callable[[Outgoing], None],
        pause: Callable[[float], None],
        lost: Callable[[str], None] = lambda code: None,
    ) -> None:
        self._append, self._emit, self._pause, self._lost = append, emit, pause, lost
        self._queue: queue.Queue[Outgoing | None] = queue.Queue()
        self._stopped = self._is_busy = False
        self._ended = threading.Event()

    def put(self, outgoing: Outgoing) -> None:
        """Let this out when it is on disk. That sound is to end is said at once, and again in its place.

        A disk may take its time, and the class would hear on. Said before what it ends it is passed over.
        """
        if halts := [send for send in outgoing.sends if send.name == "halt"]:
            self._send(Outgoing(outgoing.code, outgoing.sid, [], halts))
        self._queue.put(outgoing)

    def is_behind(self) -> bool:
        """Whether more is waiting than can be caught up with soon."""
        return self._queue.qsize() >= MOST_WAITING

    def is_waiting(self) -> bool:
        """Whether something is still to be let out."""
        return self._is_busy or not self._queue.empty()

    def stop(self) -> None:
        """End `run` after what has been put."""
        self._queue.put(None)

    def finish(self, patience_s: float) -> bool:
        """Stop, and wait until all is let out; False when the disk would not take it in that time."""
        self.stop()
        return self._ended.wait(patience_s)

    def run(self) -> None:
        """Serve until stopped."""
        while not self._stopped:
            first = self._queue.get()
            self._is_busy = True
            batch = self._gather([], first)
            self._save(batch)
            for outgoing in batch:
                self._send(outgoing)
                if outgoing.afterwards is not None:
                    self._try("afterwards", outgoing.afterwards)
            self._is_busy = False
        self._ended.set()

    def _gather(self, batch: list[Outgoing], first: Outgoing | None) -> list[Outgoing]:
        """Take `first` and whatever else waits into the batch."""
        waiting = [first]
        while len(batch) + len(waiting) < BATCHES_AT_ONCE and not self._queue.empty():
            waiting.append(self._queue.get())
        self._stopped = self._stopped or None in waiting
        batch += [outgoing for outgoing in waiting if outgoing is not None]
        return batch

    def _save(self, batch: list[Outgoing]) -> None:
        """Make the batch's records durable, however long it takes."""
        warned = False
        while records := [record for outgoing in batch for record in outgoing.records]:
            try:
                self._append(records)
                return
            except LostRoomsError as taken:
                self._drop(batch, taken.codes)
                continue
            except Exception as fault:
                # A full or lost disk. Nothing was acknowledged, so browsers keep their strokes; try on.
                log.error("journal write=failed records=%d reason=%s", len(records), reason(fault))
            if not warned:
                self._warn(batch)
            warned = True
            self._pause(RETRY_S)
            if not self._queue.empty():
                self._gather(batch, self._queue.get())

    def _drop(self, batch: list[Outgoing], codes: frozenset[str]) -> None:
        """Nothing of these rooms leaves: another server has them, and browsers keep what it has not got."""
        batch[:] = [outgoing for outgoing in batch if outgoing.code not in codes]
        for code in codes:
            self._try("lost", partial(self._lost, code))

    def _warn(self, batch: list[Outgoing]) -> None:
        """Tell the consoles. Halts have left already: sound must end when somebody says so."""
        for code in sorted({outgoing.code for outgoing in batch}):
            self._send(Outgoing(code, "", [], [Send(CONSOLE, RefusedOut(sentence=DISK_FAILS))]))

    def _send(self, outgoing: Outgoing) -> None:
        self._try("messages", lambda: self._emit(outgoing))

    @staticmethod
    def _try(what: str, work: Callable[[], None]) -> None:
        try:
            work()
        except Exception:
            log.exception("%s=failed", what)  # the other rooms go on
