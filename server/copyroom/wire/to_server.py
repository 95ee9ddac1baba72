"""What a browser may send: one TypedDict an event."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired, TypedDict

from msgspec import Meta

from copyroom.wire.limits import (
    Code,
    Count,
    Emphasis,
    Group,
    Hearing,
    InPushMs,
    LeadInS,
    Name,
    PageMs,
    Phase,
    PitchHz,
    Place,
    Purpose,
    PushNumber,
    RawText,
    Right,
    RunAtHand,
    Scope,
    SeatNumber,
    Seed,
    ShortMs,
    Sign,
    SoundState,
    Span,
    StepNumber,
    StrokeNumber,
    Symbols,
    TidyS,
    Token,
    View,
    Way,
    Wpm,
)


class ClockIn(TypedDict):
    """One clock exchange; answered at once by the acknowledgement `ClockOut`."""

    page_ms: PageMs


class JoinIn(TypedDict):
    """Take a seat in the room of that code, or take it again with its token."""

    code: Code
    name: Name
    token: Token


class WatchIn(TypedDict):
    """A console or a wall (by the instructor's cookie) follows a room; "" is the latest one."""

    code: Annotated[str, Meta(max_length=24)]
    view: View


class ChooseWayIn(TypedDict):
    way: Way


class ReportDeviceIn(TypedDict):
    """sound: "off" before the tap, "on", "lost" (suspended), "silent" (no sound by choice)."""

    sound: SoundState
    uncertainty_ms: ShortMs
    lead_ms: ShortMs
    visible: bool


class KeyIn(TypedDict):
    at_ms: InPushMs
    sign: NotRequired[Sign]
    change: NotRequired[Place]
    before: NotRequired[Place]
    erase: NotRequired[Place]


class WriteKeysIn(TypedDict):
    """Strokes numbered from `first`; acknowledged by `kept`. `seat` only from the console (0 = own)."""

    push: PushNumber
    first: StrokeNumber
    keys: Annotated[list[KeyIn], Meta(min_length=1, max_length=200)]
    seat: NotRequired[SeatNumber]


class ReportSoundedIn(TypedDict):
    """Symbols [start, stop) of a push that sounded here."""

    push: PushNumber
    spans: Annotated[list[Span], Meta(min_length=1, max_length=100)]


class HandInIn(TypedDict):
    push: PushNumber
    seat: NotRequired[SeatNumber]


class HandInCountIn(TypedDict):
    """Of a sheet that stays on paper: how many are right, of how many. After the reveal."""

    push: PushNumber
    right: Right
    of: Right


class NothingIn(TypedDict):
    """An event without fields."""


class SetTitleIn(TypedDict):
    title: Annotated[str, Meta(max_length=60)]


class SetSoundIn(TypedDict):
    wpm: Wpm
    overall_wpm: Wpm
    pitch_hz: PitchHz
    lead_in_s: LeadInS
    tidy_s: TidyS


class SetHearingIn(TypedDict):
    """`source`: with one loudspeaker, the seat whose browser sounds; 0 is the console."""

    way: Hearing
    source: SeatNumber


class SetSymbolsIn(TypedDict):
    symbols: Symbols


class HoldAtDoorIn(TypedDict):
    on: bool


class ComposeIn(TypedDict):
    """Answered by `proposal`; nothing is sent to learners."""

    purpose: Purpose
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    seed: NotRequired[Seed]


class SendTextIn(TypedDict):
    """An empty text is composed from purpose, symbols, count, group and seed.

    `after` is the run at hand as shown; where the room has another by then, nothing is sent.
    """

    purpose: Purpose
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    name_shown: bool
    counted: bool
    seed: NotRequired[Seed]
    after: NotRequired[RunAtHand]


class OrderIn(TypedDict):
    """What is to be done to the run at hand; `push` and `seen` are its number and phase as shown.

    Where the room has another by then, nothing is done.
    """

    push: NotRequired[RunAtHand]
    seen: NotRequired[Phase]


class PinIn(TypedDict):
    sign: Sign
    place: Annotated[int, Meta(ge=0, lt=64)]


class ShowCourseIn(TypedDict):
    """Answered by `course`; nothing changes. `signs` "" are all that an examination asks for."""

    emphasis: Emphasis
    signs: Symbols
    pins: Annotated[list[PinIn], Meta(max_length=64)]


class SetCourseIn(ShowCourseIn):
    meetings: Annotated[int, Meta(ge=1, le=200)]


class PlanEveningIn(TypedDict):
    minutes: Annotated[float, Meta(ge=5.0, le=240.0)]


class EditPlanIn(TypedDict):
    """The steps still wanted, by number, in their new order."""

    steps: Annotated[list[StepNumber], Meta(max_length=200)]


class AddStepIn(TypedDict):
    kind: Literal["introduce", "mix"]
    title: Annotated[str, Meta(min_length=1, max_length=60)]
    text: RawText


class StepIn(TypedDict):
    step: StepNumber


class SendStepIn(StepIn):
    after: NotRequired[RunAtHand]


class TakeChoiceIn(TypedDict):
    """A choice of the advice after run `push`; 0 is the one proposed."""

    push: PushNumber
    choice: Annotated[int, Meta(ge=0, lt=20)]


class ShowReviewIn(TypedDict):
    """Until the next meeting in so many days; seat 0 is the class."""

    days: Annotated[int, Meta(ge=1, le=60)]
    seat: SeatNumber


class GiveReviewIn(TypedDict):
    """Each learner is shown their own days until the next meeting."""

    days: Annotated[int, Meta(ge=1, le=60)]


class SeatIn(TypedDict):
    seat: SeatNumber


class RenameIn(TypedDict):
    seat: SeatNumber
    name: Name


class AddSeatIn(TypedDict):
    name: Name


class ShowCellIn(TypedDict):
    """`sent` "" = extra marks, `written` "" = missed. Answered by `cell`."""

    sent: Sign
    written: Sign
    scope: Scope
