"""A run: one push (the tones of one text with a start in room time), its copies, and what became of it.

Times inside a run are milliseconds after its start. A pause shifts the symbols after it: `shifts`
holds (index of the first shifted symbol, its shift), the later entry overriding the earlier. So the
time axis never runs backwards, and a learner's stroke keeps its meaning whatever was paused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from copyroom.core import phrases
from copyroom.core.bursts import Bursts, Speed, bursts, edges_ms
from copyroom.core.purpose import Sounding
from copyroom.room.copies import Copy

SILENCE = Bursts("", (), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(1, np.intp))
"""What is sent of a run without a text."""
UNDO_MS = 5000.0
"""For so long a stop can be taken back."""
AHEAD_MS = 15_000.0
"""Pages are told of sounds that begin within so long: a text is not on the wire before it is heard."""
SURELY_AHEAD_MS = 8000.0
"""And always of those that begin within so long: a page sounds on through a break in the Wi-Fi."""
GRACE_MS = 2000.0
"""A stroke made as the tidy-up time ends may be stamped a little late by an unsure clock."""


@dataclass(slots=True)
class Run:
    """One text on its way to every browser, and the copies of it.

    id : 1, 2, ... within the room.
    kind : of exercise; `state` is what that kind keeps of the run beside the copies.
    setup : what it was begun with, so that it can be begun again.
    within : the exercise at hand that this run is a part of, by its number; 0: it stands for itself.
    seats : who has a part in it; None: everybody in the room.
    purpose : what it was sent for.
    symbols : the symbols in play, in table order: a learner's keys.
    text : signs, with a space between groups; "" where it is not known before: it goes on until it is ended.
    name_shown : learners may see which symbol sounds (a first meeting); never with `counted`.
    counted : the copies enter the class table.
    unshown : who was away when its copies were shown, and has not been shown theirs since.
    heading : what somebody called it; "" says that its purpose and its symbols name it.
    aside_from : the first symbol that was set aside for all; what follows it was, too.
    introduced : the signs that joined the known ones with it.
    copies : what each seat wrote for it.
    lasts_ms : how long it goes on where it has no text of its own; 0: until it is ended. Where something is
        to come after the last sound: when that is over.
    begins_ms : when each symbol begins, where an exercise times them; else the speed does.
    in_parts : it is sent by hand, and sounds in parts as it comes.
    unread : its text is not read from them yet.
    paused_ms : for how long it stood still in all, where it has no text whose symbols are shifted.
    halts : its pauses that are over: when each began, and when it went on, in room time.
    named : the name of each sound follows its answer.
    placed : each answer says which sound it is for, so that nothing is to be aligned.
    edges_ms : per symbol [on, off, on, off, ...] as sent, before any shift.
    """

    id: int
    purpose: Sounding
    symbols: str
    text: str
    speed: Speed
    pitch_hz: float
    start_room_ms: float
    tidy_ms: float
    name_shown: bool
    counted: bool
    shifts: list[tuple[int, float]] = field(default_factory=list)
    halted_room_ms: float | None = None
    stopped_room_ms: float | None = None
    closed: bool = False
    revealed: bool = False
    unshown: set[int] = field(default_factory=set)
    heading: str = ""
    introduced: str = ""
    aside_from: int | None = None
    copies: dict[int, Copy] = field(default_factory=dict)
    kind: str = "copying"
    state: Any = None
    setup: Mapping[str, Any] = field(default_factory=dict)
    within: int = 0
    seats: frozenset[int] | None = None
    lasts_ms: float = 0.0
    begins_ms: Sequence[float] = ()
    halts: list[tuple[float, float]] = field(default_factory=list)
    named: bool = False
    placed: bool = False
    in_parts: bool = False
    unread: bool = False
    paused_ms: float = 0.0
    bursts: Bursts = field(init=False)
    start_ms: NDArray[np.float64] = field(init=False)
    end_ms: NDArray[np.float64] = field(init=False)
    edges_ms: list[list[float]] = field(init=False)

    def __post_init__(self) -> None:
        self.take(bursts(self.text, self.speed) if self.text else SILENCE)

    def take(self, sent: Bursts) -> None:
        """What is sent, and when: by the speed, or where each symbol is to begin."""
        self.bursts = sent
        moved_ms = (
            np.asarray(self.begins_ms) - sent.start_s * 1000.0 if self.begins_ms else np.zeros(len(self.sent))
        )
        self.start_ms = sent.start_s * 1000.0 + moved_ms
        self.end_ms = sent.end_s * 1000.0 + moved_ms
        self.edges_ms = edges_ms(sent)
        if self.begins_ms:
            moved = zip(self.edges_ms, moved_ms.tolist(), strict=True)
            self.edges_ms = [[round(edge + by, 3) for edge in edges] for edges, by in moved]

    def has(self, seat: int) -> bool:
        """Whether this seat has a part in it."""
        return self.seats is None or seat in self.seats

    @property
    def is_copied(self) -> bool:
        """Whether it has sheets: there is a text, or there will be one."""
        return bool(self.text) or self.unread

    @property
    def sent(self) -> str:
        """The symbols in order, without spaces."""
        return self.bursts.symbols

    @property
    def counts(self) -> bool:
        """Whether something of it is in figures: it was sent to be counted, and not set aside as a whole."""
        return self.counted and self.aside_from != 0

    @property
    def sent_text(self) -> str:
        """The text as far as it was sent, with its spaces."""
        place = 0
        for count, word in enumerate(self.text.split(" ")):
            place += len(word)
            if place >= self.sent_count:
                return self.text[: self.sent_count + count]
        return self.text

    @property
    def stopped(self) -> bool:
        """Halted for good."""
        return self.stopped_room_ms is not None

    @property
    def cancelled(self) -> bool:
        """Stopped before its first sound had come to its end: as if it had not been sent."""
        if self.text:
            return self.stopped and self.sent_count == 0
        return self.stopped_room_ms is not None and self.stopped_room_ms < self.start_room_ms

    @property
    def sent_count(self) -> int:
        """How many symbols belong to the run: all, or those complete when it was stopped."""
        return self.complete_at(self.halted_room_ms) if self.stopped else len(self.sent)

    def complete_at(self, room_ms: float | None) -> int:
        """How many symbols have sounded to their end at this room time (None: a time without end)."""
        if room_ms is None:
            return len(self.sent)
        return int(np.searchsorted(self.end_ms, room_ms - self.start_room_ms + 1e-6, side="right"))

    def let_out(self, now_ms: float) -> int:
        """How many of its sounds pages are to know of by now; none more while it is halted."""
        at_ms = min(now_ms, np.inf if self.halted_room_ms is None else self.halted_room_ms)
        soon = np.searchsorted(self.start_ms, at_ms + AHEAD_MS - self.start_room_ms, side="right")
        return min(len(self.sent), max(1, int(soon)))

    def more_due_ms(self, known: int) -> float | None:
        """When pages that know so many of its sounds are to be told of more; None: they are not."""
        if known >= len(self.sent) or self.closed or self.halted_room_ms is not None:
            return None
        return self.start_room_ms + float(self.start_ms[known]) - SURELY_AHEAD_MS

    @property
    def last_end_ms(self) -> float:
        """When the run's last symbol ends, after the push's start."""
        if self.sent_count == 0:
            return 0.0 if self.text else self.lasts_ms
        return float(self.end_ms[self.sent_count - 1])

    @property
    def over_ms(self) -> float:
        """When it is over, after the push's start: with its last sound, or what is to come after that."""
        return self.last_end_ms if self.stopped else max(self.last_end_ms, self.lasts_ms)

    @property
    def open_ended(self) -> bool:
        """Whether it goes on until somebody ends it."""
        return not self.text and not self.lasts_ms

    @property
    def first_room_ms(self) -> float:
        """When it begins to be heard."""
        return self.start_room_ms + (float(self.start_ms[0]) if self.sent else 0.0)

    @property
    def tidy_end_ms(self) -> float:
        """When the tidy-up time ends, after the push's start. It begins with the last sound or the stop."""
        if self.stopped_room_ms is None:
            return max(self.last_end_ms + self.tidy_ms, self.over_ms)
        return max(self.last_end_ms, self.stopped_room_ms - self.start_room_ms) + self.tidy_ms

    @property
    def rest_ms(self) -> float:
        """What was left of the silence before the next sound at its halt, where an exercise times it."""
        if self.halted_room_ms is None or not self.begins_ms:
            return 0.0
        first = self.complete_at(self.halted_room_ms)
        if first == len(self.sent):
            return 0.0
        return max(0.0, self.start_room_ms + float(self.start_ms[first]) - self.halted_room_ms)

    def phase(self, now_ms: float) -> str:
        """One of "counting in", "sounding", "paused", "stopped", "tidying", "closed" and "revealed".

        For some seconds a stop can be taken back: "stopped"; then it is for good, and "tidying".
        """
        if self.revealed:
            return "revealed"
        if self.closed:
            return "closed"
        if self.stopped_room_ms is not None:
            return "stopped" if now_ms < self.stopped_room_ms + UNDO_MS else "tidying"
        if self.halted_room_ms is not None:
            return "paused"
        if now_ms < self.first_room_ms:
            return "counting in"
        return "sounding" if self.open_ended or now_ms < self.start_room_ms + self.over_ms else "tidying"

    def go_on(self, at_room_ms: float) -> None:
        """Shift what is left so that the symbol cut off by the pause or stop starts at this room time."""
        first = self.complete_at(self.halted_room_ms)
        if self.halted_room_ms is not None:
            self.halts.append((self.halted_room_ms, at_room_ms))
        if not self.text and self.halted_room_ms is not None:
            if self.halted_room_ms < self.start_room_ms and not self.in_parts:
                self.start_room_ms = at_room_ms  # it had not begun, and does so then
            stood_ms = at_room_ms - max(self.halted_room_ms, self.start_room_ms)
            self.paused_ms += stood_ms
            self.lasts_ms += stood_ms if self.lasts_ms else 0.0
        halted_room_ms, self.halted_room_ms, self.stopped_room_ms = self.halted_room_ms, None, None
        if first == len(self.sent):
            if self.text and self.lasts_ms and halted_room_ms is not None:
                self.lasts_ms += at_room_ms - halted_room_ms
            return
        more_ms = at_room_ms - self.start_room_ms - float(self.start_ms[first])
        shifted_ms = more_ms + (self.shifts[-1][1] if self.shifts else 0.0)
        self.shifts.append((first, shifted_ms))
        self.lasts_ms += more_ms if self.text and self.lasts_ms else 0.0
        self.start_ms[first:] += more_ms
        self.end_ms[first:] += more_ms

    def takes_stroke_at(self, at_ms: float) -> bool:
        """Whether a typed stroke of this time lies inside the push."""
        if self.open_ended and not self.stopped:
            return at_ms >= -GRACE_MS
        if self.halted_room_ms is not None and not self.stopped:
            return at_ms >= -GRACE_MS
        return -GRACE_MS <= at_ms <= self.tidy_end_ms + GRACE_MS

    def takes_edit_at(self, at_ms: float) -> bool:
        """Going back is for the tidy-up time: while the sound runs learners only go on."""
        if not self.stopped and (self.halted_room_ms is not None or self.open_ended):
            return False
        return self.last_end_ms <= at_ms and self.takes_stroke_at(at_ms)

    def title(self) -> str:
        """What the instructor and the wall call it; names the symbols, so it is not for learners."""
        if self.heading:
            return self.heading
        if self.purpose in ("meet", "one"):
            hidden = self.purpose == "one" and not self.name_shown
            return phrases.title(self.purpose, "" if hidden else self.sent[0])
        return phrases.title(self.purpose, self.symbols)
