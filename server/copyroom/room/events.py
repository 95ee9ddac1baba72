"""What can happen in a room. A room's state is a fold over these, in the order they happened.

Chance and time come in as fields or arguments: a fresh token, a seed. So replaying the journal of a
room's durable events gives the same room, live, in tests and after a restart.

Events that `DURABLE` lists are journaled before anything they cause leaves the room; the others
(presence, sound reports, ticks) say how things stand now and are told anew after a restart.
"""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.core.steps import Step
from copyroom.room.orders import ANY as ANY
from copyroom.room.orders import Close as Close
from copyroom.room.orders import GoOn as GoOn
from copyroom.room.orders import Order as Order
from copyroom.room.orders import Pause as Pause
from copyroom.room.orders import Repeat as Repeat
from copyroom.room.orders import Reveal as Reveal
from copyroom.room.orders import Stop as Stop

CONSOLE = 0
"""The seat number that stands for the instructor's console as a sender or a source of sound."""


@dataclass(frozen=True, slots=True)
class Key:
    """One stroke of a learner's copy, `at_ms` after its push's start.

    A plain stroke writes `sign` at the end. In the tidy-up time, and on paper copies, a stroke may
    also change the mark at place `change`, insert before place `before`, or erase place `erase`.
    """

    at_ms: float
    sign: str = ""
    change: int | None = None
    before: int | None = None
    erase: int | None = None


# ------------------------------------------------------------------ from a learner's browser


@dataclass(frozen=True, slots=True)
class Join:
    """Take a seat, or take it again with its token. `fresh_token` is used for a new seat."""

    name: str
    token: str
    fresh_token: str


@dataclass(frozen=True, slots=True)
class Leave:
    """A seat's last connection is gone."""

    seat: int


@dataclass(frozen=True, slots=True)
class ChooseWay:
    """Type while listening, or write on paper and key the sheet in afterwards."""

    seat: int
    way: str


@dataclass(frozen=True, slots=True)
class ReportDevice:
    """How a browser stands: its sound, how sure its clock is, how much lead it needs."""

    seat: int
    sound: str
    uncertainty_ms: float
    lead_ms: float
    visible: bool


@dataclass(frozen=True, slots=True)
class WriteKeys:
    """Strokes `first`, `first + 1`, ... of this seat's copy; numbers already known change nothing."""

    seat: int
    push: int
    first: int
    keys: tuple[Key, ...]
    by: int


@dataclass(frozen=True, slots=True)
class ReportSounded:
    """Symbols [start, stop) that this seat's browser sounded (or passed in silence, on purpose)."""

    seat: int
    push: int
    spans: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class HandIn:
    """The copy is finished: nothing more will be tidied or keyed in."""

    seat: int
    push: int
    by: int


@dataclass(frozen=True, slots=True)
class HandInCount:
    """Who wrote on paper has compared the own sheet with what was shown: so many right of so many."""

    seat: int
    push: int
    right: int
    of: int


@dataclass(frozen=True, slots=True)
class CannotHear:
    """A learner asks for help with the sound."""

    seat: int


@dataclass(frozen=True, slots=True)
class HearNow:
    """A learner who asked for help with the sound hears it now."""

    seat: int


# ------------------------------------------------------------------ from the instructor's console


@dataclass(frozen=True, slots=True)
class OpenMeeting:
    """A new evening of the course begins: its runs make a table of their own. `day` counts local days."""

    day: int


@dataclass(frozen=True, slots=True)
class SetTitle:
    """What the class is called."""

    title: str


@dataclass(frozen=True, slots=True)
class SetSound:
    """Sound settings of the class, from the next push on."""

    wpm: float
    overall_wpm: float
    pitch_hz: float
    lead_in_s: float
    tidy_s: float


@dataclass(frozen=True, slots=True)
class SetHearing:
    """How the class hears: "every" browser, one "loudspeaker" (`source`), "headphones", or at "home"."""

    way: str
    source: int


@dataclass(frozen=True, slots=True)
class SetSymbols:
    """The symbols in play, so far introduced."""

    symbols: str


@dataclass(frozen=True, slots=True)
class HoldAtDoor:
    """Whether newcomers wait at the door until they are let in."""

    on: bool


@dataclass(frozen=True, slots=True)
class Compose:
    """Ask for a text to look at before it is sent. Changes nothing."""

    purpose: str
    symbols: str
    count: int
    group: int
    text: str
    seed: int


@dataclass(frozen=True, slots=True)
class SendText:
    """Send a run. With an empty `text` one is composed from the seed; the room sets the start.

    The journal keeps both as they were settled. `after`: the run at hand as the console showed it.
    """

    purpose: str
    symbols: str
    count: int
    group: int
    text: str
    name_shown: bool
    counted: bool
    seed: int
    start_room_ms: float = 0.0
    step: int = 0
    title: str = ""
    after: int = ANY


@dataclass(frozen=True, slots=True)
class LetIn:
    """Let a newcomer in who waits at the door."""

    seat: int


@dataclass(frozen=True, slots=True)
class Rename:
    """Give a seat another nickname."""

    seat: int
    name: str


@dataclass(frozen=True, slots=True)
class RemoveSeat:
    """Take a seat out. Its copies leave every figure with it."""

    seat: int


@dataclass(frozen=True, slots=True)
class AddSeat:
    """A seat without a device: its paper sheets are keyed in at the console."""

    name: str
    fresh_token: str


@dataclass(frozen=True, slots=True)
class SeenHelp:
    """The instructor has seen to a learner who could not hear."""

    seat: int


@dataclass(frozen=True, slots=True)
class ShowCell:
    """Ask for the sendings behind one cell of the table. `written` is a sign, "_" or "" (missed)."""

    sent: str
    written: str
    scope: str


@dataclass(frozen=True, slots=True)
class ShowSheet:
    """Ask for one learner's sheets of this evening."""

    seat: int


@dataclass(frozen=True, slots=True)
class ShowProgress:
    """Ask for the course so far, meeting by meeting."""


@dataclass(frozen=True, slots=True)
class Pin:
    """The instructor wants this symbol at that place of the course, from 0."""

    sign: str
    place: int


@dataclass(frozen=True, slots=True)
class ShowCourse:
    """Ask for an order with its reasons. `signs` "" are all that an examination asks for."""

    emphasis: str
    signs: str
    pins: tuple[Pin, ...]


@dataclass(frozen=True, slots=True)
class SetCourse:
    """Choose the course: an emphasis, or an own order ("own"). The journal keeps the order it led to."""

    emphasis: str
    signs: str
    pins: tuple[Pin, ...]
    meetings: int
    order: str = ""


@dataclass(frozen=True, slots=True)
class PlanEvening:
    """Ask for a plan of so many minutes. Kept as the SetPlan that it becomes."""

    minutes: float
    seed: int


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A numbered step of the evening; `push`: 0 not done, -1 done without sound, else the run it became.

    What the instructor chose or put in stays when the rest is fitted anew.
    """

    id: int
    step: Step
    push: int
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class SetPlan:
    """The evening's plan from now on, and what changed and why."""

    minutes: float
    steps: tuple[PlanStep, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EditPlan:
    """The steps still wanted, by number, in their new order."""

    steps: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class AddStep:
    """A step of the instructor's own, next in the plan."""

    kind: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class SendStep:
    """Send a step of the plan. Kept as the SendText that it becomes."""

    step: int
    after: int = ANY


@dataclass(frozen=True, slots=True)
class MarkStep:
    """A step is done without sending."""

    step: int


@dataclass(frozen=True, slots=True)
class TakeChoice:
    """Put a choice of the advice after run `push` next in the plan; 0 is the one proposed.

    Kept as the SetPlan that it becomes.
    """

    push: int
    choice: int


@dataclass(frozen=True, slots=True)
class ShowReview:
    """Ask what to review until the next meeting in so many days; for one seat, or 0 for the class."""

    days: int
    seat: int


@dataclass(frozen=True, slots=True)
class GiveReview:
    """Show each learner what to review until the next meeting, in so many days."""

    days: int


# ------------------------------------------------------------------ from the shell


@dataclass(frozen=True, slots=True)
class Watch:
    """A console or a wall wants to see the room."""

    view: str


@dataclass(frozen=True, slots=True)
class Tick:
    """The time asked for by WakeAt has come."""


Event = (
    Join
    | Leave
    | ChooseWay
    | ReportDevice
    | WriteKeys
    | ReportSounded
    | HandIn
    | HandInCount
    | CannotHear
    | HearNow
    | OpenMeeting
    | SetTitle
    | SetSound
    | SetHearing
    | SetSymbols
    | HoldAtDoor
    | Compose
    | SendText
    | Pause
    | GoOn
    | Stop
    | Repeat
    | Close
    | Reveal
    | LetIn
    | Rename
    | RemoveSeat
    | AddSeat
    | SeenHelp
    | ShowCell
    | ShowSheet
    | ShowProgress
    | ShowCourse
    | SetCourse
    | PlanEvening
    | SetPlan
    | EditPlan
    | AddStep
    | SendStep
    | MarkStep
    | TakeChoice
    | ShowReview
    | GiveReview
    | Watch
    | Tick
)

DURABLE = (
    Join,
    ChooseWay,
    WriteKeys,
    ReportSounded,
    HandIn,
    HandInCount,
    OpenMeeting,
    SetTitle,
    SetSound,
    SetHearing,
    SetSymbols,
    HoldAtDoor,
    SendText,
    Pause,
    GoOn,
    Stop,
    Close,
    Reveal,
    LetIn,
    Rename,
    RemoveSeat,
    AddSeat,
    SetCourse,
    SetPlan,
    EditPlan,
    AddStep,
    MarkStep,
    GiveReview,
)
"""Events that the journal keeps. Repeat and SendStep are kept as the SendText that they become."""
