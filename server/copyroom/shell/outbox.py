"""Nothing leaves a room before what it says is on disk.

Every receive of a room puts its records and its messages here, in order. One task takes all that has
gathered, commits the records together (a group commit: the busier the room, the fewer the commits a
stroke costs), then sends the messages. An acknowledgement is just a message behind its record.
"""

from __future__ import annotations

import logging
import queue
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from copyroom.room.effects import Send
from copyroom.shell.store import Record

log = logging.getLogger(__name__)

BATCHES_AT_ONCE = 500
MOST_WAITING = 10_000
"""With so much to be let out the disk does not keep up, and nothing new should be taken in."""
RETRY_S = 1.0


@dataclass(frozen=True, slots=True)
class Outgoing:
    """What one receive of a room lets out: records first, then messages from the connection `sid`."""

    code: str
    sid: str
    records: Sequence[Record]
    sends: Sequence[Send]


class Outbox:
    """The one way out of all rooms.

    Parameters
    ----------
    append : makes records durable, or raises.
    emit : sends the messages of one Outgoing.
    pause : waits some seconds without stopping the others.
    """

    def __init__(
        self,
        append: Callable[[list[Record]], None],
        emit: Callable[[Outgoing], None],
        pause: Callable[[float], None],
    ) -> None:
        self._append, self._emit, self._pause = append, emit, pause
        self._queue: queue.Queue[Outgoing | None] = queue.Queue()

    def put(self, outgoing: Outgoing) -> None:
        self._queue.put(outgoing)

    def is_behind(self) -> bool:
        """Whether more is waiting than can be caught up with soon."""
        return self._queue.qsize() >= MOST_WAITING

    def stop(self) -> None:
        """End `run` after what has been put."""
        self._queue.put(None)

    def run(self) -> None:
        """Serve until stopped."""
        stopped = False
        while not stopped:
            batch = [self._queue.get()]
            while len(batch) < BATCHES_AT_ONCE and not self._queue.empty():
                batch.append(self._queue.get())
            stopped = None in batch
            self._let_out([outgoing for outgoing in batch if outgoing is not None])

    def _let_out(self, batch: list[Outgoing]) -> None:
        records = [record for outgoing in batch for record in outgoing.records]
        while records:
            try:
                self._append(records)
                break
            except Exception:
                # A full or lost disk. Nothing was acknowledged, so browsers keep their strokes; try on.
                log.exception("journal write=failed records=%d", len(records))
                self._pause(RETRY_S)
        for outgoing in batch:
            try:
                self._emit(outgoing)
            except Exception:
                log.exception("messages=unsent")  # the other rooms go on
