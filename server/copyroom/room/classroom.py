"""What is durable of a room: its settings, seats, course, plan, meetings and runs.

The fold over a journal ends in this and needs nothing else: no alignment, no figure. What is derived from it
stands in `figures`, and may be thrown away at any moment.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from copyroom.core.course import plan_order, signs_of
from copyroom.core.purpose import Change
from copyroom.core.usage import EXAMINED_SIGNS
from copyroom.room.copies import Copy
from copyroom.room.effects import Refused
from copyroom.room.events import CONSOLE, Pin, PlanStep
from copyroom.room.limits import Emphasis, Hearing, SoundState, Way
from copyroom.room.run import Run

NEW_TITLE = "Morse class"
MAX_SEATS = 1200
DoorShut = Literal["", "by hand", "full"]
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
    met : the sounds that it has heard in runs that are over. circle : the one that it is in, 0 none.
    asked : the nickname that it came with, before it was told apart. joined_in : the last meeting it came to.
    was_without : the browser had no sound at some time since it asked for help.
    """

    id: int
    name: str
    token: str
    way: Way = "typing"
    device: bool = True
    meeting: int = 0
    listed: bool = True
    inside: bool = True
    here: bool = False
    sound: SoundState = "off"
    uncertainty_ms: float = 0.0
    lead_ms: float = SHORTEST_LEAD_MS
    visible: bool = True
    asks_help: bool = False
    met: str = ""
    circle: int = 0
    asked: str = ""
    joined_in: int = 0
    was_without: bool = False


@dataclass(frozen=True, slots=True)
class Meeting:
    """One evening of the course; its runs begin with push number `first_push`."""

    day: int
    first_push: int


@dataclass(frozen=True, slots=True)
class PlanThen:
    """Plan and known symbols at one moment; `edits` of the plan until then."""

    edits: int
    steps: tuple[PlanStep, ...]
    changes: tuple[Change, ...]
    symbols: str


@dataclass(frozen=True, slots=True)
class Aside:
    """Symbols of a run from `first` on that do not count, for one seat or for all (0), and why.

    before : how the plan stood, to be brought back as it was.
    """

    id: int
    run: int
    seat: int
    first: int
    reason: str
    before: PlanThen


@cache
def _usual_order(words: tuple[str, ...]) -> str:
    """The order of a course that nobody has chosen yet."""
    return signs_of(plan_order(EXAMINED_SIGNS, "words", words))


@dataclass(frozen=True, slots=True)
class Joined:
    """A seat that was made one with another, and what it takes to make them two again.

    copies : per run that its copy was moved in, the other's own copy before, or None. asides : moved ones.
    met : what the other had met before.
    """

    seat: Seat
    into: int
    copies: dict[int, Copy | None]
    asides: tuple[int, ...]
    met: str


@dataclass
class Classroom:
    """A room's durable state.

    class_size : how many are expected; shut : newcomers are turned away, and why.
    emphasis, pins, order, course_meetings : the course, and over how many evenings it is meant to go.
    most_new : new sounds an evening as the instructor wants them; 0: as the course needs.
    plan, plan_minutes, plan_begun_ms, plan_changes : the evening's steps, and what the last copies changed.
    plan_freed_s : what the instructor dropped; it is not filled up again.
    plan_edits : how often the plan was changed otherwise than by fitting it to copies.
    asides : what was set aside, by its number.
    additions : signs outside the recommendation may be sent.
    joined : the seats that were made one with others, by their numbers.
    own_words : a list of the class's own, for texts of words.
    review_days : until which day after the meeting the learners were given a review; 0: none.
    """

    code: str
    words: tuple[str, ...] = ()
    title: str = NEW_TITLE
    sound: Sound = field(default_factory=Sound)
    hearing: Hearing = "every"
    source: int = CONSOLE
    symbols: str = ""
    hold_at_door: bool = False
    class_size: int = 60
    shut: DoorShut = ""
    meetings: list[Meeting] = field(default_factory=list)
    seats: dict[int, Seat] = field(default_factory=dict)
    joined: dict[int, Joined] = field(default_factory=dict)
    next_seat: int = 1
    runs: list[Run] = field(default_factory=list)
    emphasis: Emphasis = "words"
    pins: tuple[Pin, ...] = ()
    order: str = ""
    course_meetings: int = 10
    most_new: int = 0
    plan: list[PlanStep] = field(default_factory=list)
    plan_minutes: float = 45.0
    plan_begun_ms: float | None = None
    plan_changes: tuple[Change, ...] = ()
    plan_freed_s: float = 0.0
    plan_edits: int = 0
    asides: dict[int, Aside] = field(default_factory=dict)
    next_aside: int = 1
    review_days: int = 0
    additions: bool = False
    own_words: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.order = self.order or _usual_order(self.words)

    @property
    def run(self) -> Run | None:
        """The last run sent in this meeting, closed or not; a cancelled one was none.

        Not one within another: that is a part of the one that it is within.
        """
        first = self.meetings[-1].first_push if self.meetings else 1
        for run in reversed(self.runs):
            if run.id < first:
                break
            if not run.within and not run.cancelled:
                return run
        return None

    def parts_of(self, run: Run) -> list[Run]:
        """The run, and the runs within it or within these, in the order in which they began."""
        found, numbers = [run], {run.id}
        for part in self.runs[run.id :]:
            if part.within in numbers and not part.cancelled:
                found.append(part)
                numbers.add(part.id)
        return found

    @property
    def at_hand(self) -> list[Run]:
        """The run at hand with those within it: several may sound at once, each for some seats."""
        return self.parts_of(self.run) if self.run else []

    def around(self, run: Run) -> Run:
        """The run that this one is a part of; the run itself where it stands for itself."""
        return self.runs[run.within - 1] if run.within else run

    def top(self, run: Run) -> Run:
        """The outermost run that this one is within; the run itself where it stands for itself."""
        while run.within:
            run = self.runs[run.within - 1]
        return run

    def run_for(self, seat: int) -> Run | None:
        """What a learner has a part in: the last run within the one at hand, or that one."""
        return next((run for run in reversed(self.at_hand) if run.has(seat)), None)

    def meeting_runs(self, number: int | None = None) -> list[Run]:
        """The runs of one meeting, 1 = the first; None is the one at hand. Without those cancelled."""
        if not self.meetings:
            return [run for run in self.runs if not run.cancelled]
        at = len(self.meetings) - 1 if number is None else number - 1
        last = self.meetings[at + 1].first_push - 1 if at + 1 < len(self.meetings) else len(self.runs)
        return [run for run in self.runs[self.meetings[at].first_push - 1 : last] if not run.cancelled]

    @property
    def open_run(self) -> Run | None:
        """The run at hand while copies in it are still being written; a meeting ends with it closed."""
        run = self.run
        return run if run and not run.closed else None

    @property
    def crowd(self) -> int:
        """How many have come with a device this evening."""
        return sum(seat.device and seat.meeting == len(self.meetings) for seat in self.seats.values())

    def seat(self, number: int) -> Seat:
        """The seat of that number; Refused when there is none (any more)."""
        try:
            return self.seats[number]
        except KeyError:
            raise Refused("That seat is not in this room any more.") from None

    def run_of(self, number: int) -> Run:
        """The run of that number; Refused when there is none."""
        if not 1 <= number <= len(self.runs):
            raise Refused("There is no such run in this room.")
        return self.runs[number - 1]

    def copy(self, run: Run, seat: Seat) -> Copy:
        """The seat's copy of this run, begun when first needed."""
        if seat.id not in run.copies:
            # Without a device nobody reports what sounded: such a learner sits in the room and hears.
            heard = bytearray(len(run.sent)) if seat.device else bytearray(b"\x01" * len(run.sent))
            way: Way = seat.way if seat.device else "paper"
            run.copies[seat.id] = Copy(way, heard, aside_from=run.aside_from)
        return run.copies[seat.id]

    def note_met(self, run: Run) -> None:
        """What each seat heard of a closed run it has met."""
        for number, copy in run.copies.items():
            if (seat := self.seats.get(number)) is not None:
                heard = (
                    sign for sign, was_heard in zip(run.sent, copy.counted(run), strict=True) if was_heard
                )
                seat.met = "".join(dict.fromkeys((*seat.met, *heard)))

    def long_away(self, seat: Seat) -> bool:
        """Whether nobody has seen this learner since an earlier meeting."""
        return seat.device and not seat.here and seat.meeting < len(self.meetings)

    def same_as(self, seat: Seat) -> int:
        """Somebody away whose nickname this newcomer asked for: perhaps the same learner; 0 for nobody."""
        if not seat.asked or seat.name == seat.asked:
            return 0
        others = (other for other in self.seats.values() if other.id < seat.id and other.device)
        away = (o.id for o in others if not o.here and o.name.casefold() == seat.asked.casefold())
        return next(away, 0)

    def plan_now(self) -> PlanThen:
        """How the plan stands."""
        return PlanThen(self.plan_edits, tuple(self.plan), self.plan_changes, self.symbols)

    def lead_ms(self) -> float:
        """As short as the slowest browser here allows."""
        sounding = [s for s in self.seats.values() if s.here and s.inside and s.sound == "on"]
        return min(max([SHORTEST_LEAD_MS, *(seat.lead_ms for seat in sounding)]), LONGEST_LEAD_MS)
