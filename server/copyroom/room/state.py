"""What a room is at one moment: its settings, seats, runs and copies."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field

from copyroom.core.advice.history import Histories
from copyroom.core.advice.record import Exercise
from copyroom.core.advice.verdict import Advice
from copyroom.core.alignment import LiveAlignment
from copyroom.core.course import plan_order, signs_of
from copyroom.core.evidence import Interval, Pairs
from copyroom.core.tally import Counts
from copyroom.room.copies import Copy, Result
from copyroom.room.effects import Effect, Refused
from copyroom.room.events import CONSOLE, Pin, PlanStep
from copyroom.room.limits import Hearing
from copyroom.room.push import Push

NEW_TITLE = "Morse class"
MAX_SEATS = 1200
SHORTEST_LEAD_MS = 300.0
LONGEST_LEAD_MS = 3000.0


@dataclass(slots=True)
class Sound:
    """Sound settings of the class."""

    wpm: float = 18.0
    overall_wpm: float = 6.0
    pitch_hz: float = 600.0
    lead_in_s: float = 3.0
    tidy_s: float = 30.0


@dataclass(slots=True)
class Seat:
    """One learner's place. What is below `inside` says how its browser stands and is not journaled.

    meeting : the last one it was seen in, 1 = the first. listed : the instructor has not cleared it away.
    was_without : the browser had no sound at some time since it asked for help.
    """

    id: int
    name: str
    token: str
    way: str = "typing"
    device: bool = True
    meeting: int = 0
    listed: bool = True
    inside: bool = True
    here: bool = False
    sound: str = "off"
    uncertainty_ms: float = 0.0
    lead_ms: float = SHORTEST_LEAD_MS
    visible: bool = True
    asks_help: bool = False
    was_without: bool = False


@dataclass(frozen=True, slots=True)
class Findings:
    """What the copies of some runs say: recall per symbol of the table, and pairs worth teaching."""

    made_of: tuple[int, ...]
    recall: tuple[Interval, ...]
    pairs: Pairs


@dataclass(frozen=True, slots=True)
class Meeting:
    """One evening of the course; its runs begin with push number `first_push`."""

    day: int
    first_push: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """Plan, known symbols and advice at one moment; `edits` of the plan until then."""

    edits: int
    plan: tuple[PlanStep, ...]
    changes: tuple[str, ...]
    symbols: str
    advice: Advice | None
    advice_push: int
    is_concluded: bool


@dataclass(frozen=True, slots=True)
class Aside:
    """Symbols of a run from `first` on that do not count, for one seat or for all (0), and why.

    before : how the lesson stood, to be brought back as it was.
    """

    id: int
    push: int
    seat: int
    first: int
    reason: str
    before: Lesson


@dataclass
class State:
    """A room's whole state.

    live, live_results : per seat, the open run's alignment under way, and what it last came to.
    due : seats whose live copy has changed since it was counted, and when that was first so.
    marking : the closed runs whose copies are being aligned for good, a slice at each tick.
    tables : per closed run, the class table, until a copy changes.
    emphasis, pins, order, course_meetings : the course, and over how many evenings it is meant to go.
    plan, plan_minutes, plan_begun_ms, plan_changes : the evening's steps, and what the last copies changed.
    review_days : until which day after the meeting the learners were given a review; 0: none.
    plan_freed_s : what the instructor dropped; it is not filled up again.
    advice, advice_push : what is proposed after the last closed run.
    exercises, histories : the closed runs as the advice sees them, kept until a copy changes.
    findings : per scope, what its closed runs say, until a copy changes.
    concluding, concluded : the conclusions from the last closed run, a slice at each tick, and its number.
    asides : what was set aside, by its number.
    plan_edits : how often the plan was changed otherwise than by fitting it to copies.
    settled_anew : per closed run, how many marks the final alignment attributed otherwise than the live one.
    changed : the parts that console and wall have not been told of yet.
    """

    code: str
    words: tuple[str, ...]
    title: str = NEW_TITLE
    sound: Sound = field(default_factory=Sound)
    hearing: Hearing = "every"
    source: int = CONSOLE
    symbols: str = ""
    hold_at_door: bool = False
    meetings: list[Meeting] = field(default_factory=list)
    seats: dict[int, Seat] = field(default_factory=dict)
    next_seat: int = 1
    runs: list[Push] = field(default_factory=list)
    copies: dict[tuple[int, int], Copy] = field(default_factory=dict)
    live: dict[int, LiveAlignment] = field(default_factory=dict)
    live_results: dict[int, Result] = field(default_factory=dict)
    emphasis: str = "words"
    pins: tuple[Pin, ...] = ()
    order: str = field(default_factory=lambda: signs_of(plan_order()))
    course_meetings: int = 10
    plan: list[PlanStep] = field(default_factory=list)
    plan_minutes: float = 45.0
    plan_begun_ms: float | None = None
    plan_changes: tuple[str, ...] = ()
    plan_freed_s: float = 0.0
    plan_edits: int = 0
    asides: dict[int, Aside] = field(default_factory=dict)
    next_aside: int = 1
    review_days: int = 0
    advice: Advice | None = None
    advice_push: int = 0
    histories: Histories = field(default_factory=Histories)
    exercises: dict[int, list[Exercise]] = field(default_factory=dict)
    due: dict[int, float] = field(default_factory=dict)
    marking: list[Generator[None]] = field(default_factory=list)
    tables: dict[int, Counts] = field(default_factory=dict)
    findings: dict[str, Findings] = field(default_factory=dict)
    concluding: Generator[list[Effect]] | None = None
    concluded: int = 0
    settled_anew: dict[int, int] = field(default_factory=dict)
    changed: set[str] = field(default_factory=set)
    wake_at_ms: float | None = None

    @property
    def run(self) -> Push | None:
        """The last run sent in this meeting, closed or not; a cancelled one was none."""
        runs = self.meeting_runs()
        return runs[-1] if runs else None

    def meeting_runs(self, number: int | None = None) -> list[Push]:
        """The runs of one meeting, 1 = the first; None is the one at hand. Without those cancelled."""
        if not self.meetings:
            return [push for push in self.runs if not push.cancelled]
        at = len(self.meetings) - 1 if number is None else number - 1
        last = self.meetings[at + 1].first_push - 1 if at + 1 < len(self.meetings) else len(self.runs)
        return [push for push in self.runs[self.meetings[at].first_push - 1 : last] if not push.cancelled]

    @property
    def open_run(self) -> Push | None:
        """The run whose copies are still being written."""
        return (
            self.runs[-1] if self.runs and not self.runs[-1].closed else None
        )  # a meeting ends with it closed

    def seat(self, number: int) -> Seat:
        """The seat of that number; Refused when there is none (any more)."""
        try:
            return self.seats[number]
        except KeyError:
            raise Refused("That seat is not in this room any more.") from None

    def long_away(self, seat: Seat) -> bool:
        """Whether nobody has seen this learner since an earlier meeting."""
        return seat.device and not seat.here and seat.meeting < len(self.meetings)

    def push(self, number: int) -> Push:
        """The push of that number; Refused when there is none."""
        if not 1 <= number <= len(self.runs):
            raise Refused("There is no such run in this room.")
        return self.runs[number - 1]

    def copy(self, push: Push, seat: Seat) -> Copy:
        """The seat's copy of this push, begun when first needed."""
        key = (push.id, seat.id)
        if key not in self.copies:
            # Without a device nobody reports what sounded: such a learner sits in the room and hears.
            heard = bytearray(len(push.sent)) if seat.device else bytearray(b"\x01" * len(push.sent))
            way = seat.way if seat.device else "paper"
            self.copies[key] = Copy(way, heard, aside_from=push.aside_from)
        return self.copies[key]

    def forget_results(self, push: int | None = None) -> None:
        """Results of this run (None: of all) must be made anew: a copy has changed."""
        self.findings.clear()
        for kept in (self.tables, self.exercises):
            if push is None:
                kept.clear()
            else:
                kept.pop(push, None)

    def lesson(self) -> Lesson:
        """How plan and advice stand now."""
        is_concluded = self.concluding is None and self.run is not None and self.concluded == self.run.id
        return Lesson(
            self.plan_edits,
            tuple(self.plan),
            self.plan_changes,
            self.symbols,
            self.advice,
            self.advice_push,
            is_concluded,
        )

    def lead_ms(self) -> float:
        """As short as the slowest browser here allows."""
        sounding = [s for s in self.seats.values() if s.here and s.inside and s.sound == "on"]
        return min(max([SHORTEST_LEAD_MS, *(seat.lead_ms for seat in sounding)]), LONGEST_LEAD_MS)
