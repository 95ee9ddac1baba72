"""What a browser may be told: one TypedDict an event."""

from __future__ import annotations

from typing import Any, NotRequired, TypedDict

from copyroom.room.limits import Hearing, Purpose, Scope, SoundState, Way
from copyroom.wire.lesson import AdviceOut, CourseOut, CourseProgressOut, PlanOut


class ClockOut(TypedDict):
    """Acknowledgement of `clock`; a new epoch is a new server."""

    received_room_ms: float
    sent_room_ms: float
    epoch: str


class Shift(TypedDict):
    """After a pause: symbols from `first` on come so much later than the edges say; the last entry wins."""

    first: int
    shift_ms: float


class PushOut(TypedDict):
    """Tones on their way. `edges`: per symbol [on, off, on, off, ...] in ms after the start.

    `symbols`: the keys of the learner's grid. `shown`: the symbols' names, when they may be seen.
    """

    push: int
    purpose: Purpose
    start_room_ms: float
    pitch_hz: float
    edges: list[list[float]]
    shifts: list[Shift]
    symbols: str
    tidy_ms: float
    counted: bool
    shown: str


class HaltOut(TypedDict):
    """All sound ends now. `sent`: how many symbols the run has when it was stopped for good."""

    push: int
    at_room_ms: float
    for_good: bool
    sent: int


class ShiftOut(TypedDict):
    """A paused run goes on."""

    push: int
    shifts: list[Shift]


class ClosedOut(TypedDict):
    push: int


class CopyOut(TypedDict):
    """A seat's own copy so far. A mark is [sign, at_ms or null]."""

    way: Way
    kept: int
    marks: list[list[str | float | None]]
    handed_in: bool


class RevealOut(TypedDict):
    """A seat's own copy under what was sent.

    marks : signs of the copy; answers : per mark the index of the sent symbol, or null for an extra mark.
    sent : symbols of the text that belong to the run (fewer when it was stopped).
    unheard : indices that this browser did not sound; outside the count.
    taken : [sent, written, how often], all_right : symbols of which none was lost.
    aside_from : from this symbol on it does not count, for the reason `aside_why`.
    own_count : [right, of] of a sheet that stayed on paper, as its writer counted.
    """

    push: int
    text: str
    sent: int
    marks: str
    answers: list[int | None]
    unheard: list[int]
    right: int
    of: int
    taken: list[list[str | int]]
    all_right: str
    own_count: list[int] | None
    aside_from: int | None
    aside_why: str


class ClassOut(TypedDict):
    title: str
    hearing: Hearing
    source: int
    pitch_hz: float
    wpm: float


class ReviewRow(TypedDict):
    day: int
    signs: str
    why: str


class ReviewOut(TypedDict):
    """What to review from the meeting on; seat 0 is the class. A learner gets no other seat's."""

    seat: int
    days: int
    meeting_day: int
    rows: list[ReviewRow]


WelcomeOut = TypedDict(
    "WelcomeOut",
    {
        "code": str,
        "seat": int,
        "name": str,
        "token": str,
        "inside": bool,
        "way": Way,
        "asks_help": bool,
        "class": ClassOut,
        "push": PushOut | None,
        "phase": str,
        "halt": HaltOut | None,
        "copy": CopyOut | None,
        "reveal": RevealOut | None,
        "review": ReviewOut | None,
        "test_mode": NotRequired[bool],
    },
)


class KeptOut(TypedDict):
    """This seat's copy holds `kept` strokes, on disk."""

    push: int
    seat: int
    kept: int


class HandedInOut(TypedDict):
    push: int
    seat: int


class RenamedOut(TypedDict):
    name: str


class HelpOut(TypedDict):
    """Whether the console shows that this seat cannot hear."""

    asks: bool


class SentenceOut(TypedDict):
    """Something ended for this reason."""

    sentence: str


class RefusedOut(TypedDict):
    """Something was refused for this reason. about: the event that asked for it; none spoke of the disk."""

    sentence: str
    about: NotRequired[str]


class SoundOut(TypedDict):
    wpm: float
    overall_wpm: float
    pitch_hz: float
    lead_in_s: float
    tidy_s: float


class AsideOut(TypedDict):
    """What of a run does not count: symbols from `first` on, for one seat or for all (0, name "")."""

    aside: int
    seat: int
    name: str
    first: int
    reason: str


class RunSummary(TypedDict):
    push: int
    title: str
    purpose: Purpose
    symbols: str
    counted: bool
    right: int
    of: int
    settled_anew: int
    sent: int
    asides: list[AsideOut]


class MeetingOut(TypedDict):
    """`day` counts local days since 1970-01-01."""

    day: int
    runs: int


class RoomOut(TypedDict):
    """`runs` are those of the last meeting, the one at hand."""

    code: str
    title: str
    sound: SoundOut
    hearing: Hearing
    source: int
    symbols: str
    hold_at_door: bool
    alike: str
    meetings: list[MeetingOut]
    runs: list[RunSummary]


class SeatOut(TypedDict):
    seat: int
    name: str
    way: Way
    device: bool
    inside: bool
    here: bool
    long_away: bool
    sound: SoundState
    uncertainty_ms: float
    visible: bool
    asks_help: bool


class SeatsOut(TypedDict):
    seats: list[SeatOut]


class RunDetail(PushOut):
    title: str
    text: str
    phase: str
    wpm: float
    overall_wpm: float
    start_ms: list[float]
    end_ms: list[float]
    halted_room_ms: float | None
    sent: int


class RunOut(TypedDict):
    run: RunDetail | None


class CopyProgress(TypedDict):
    """heard_from: the first sound that the seat heard, later than 0 for a late joiner; -1 for none yet."""

    seat: int
    way: Way
    written: int
    last_at_ms: float | None
    heard: int
    heard_from: int
    handed_in: bool
    own_count: list[int] | None


class ProgressOut(TypedDict):
    """answered, right: per sent symbol, how many learners wrote something, and the right thing."""

    push: int
    copies: list[CopyProgress]
    answered: list[int]
    right: list[int]


class TableOut(TypedDict):
    """Cells [sent, written, count] over 0: sent "" = extra mark, written "" = missed, "_" = blank."""

    push: int
    run: list[list[str | int]]
    run_copies: int
    evening: list[list[str | int]]
    course: list[list[str | int]]
    final: bool


class PairOut(TypedDict):
    """A pair worth teaching: `sent` heard as `written`, n of so many sendings, and the other way round."""

    sent: str
    written: str
    n: int
    sendings: int
    learners: int
    back: int
    back_sendings: int


class EvidenceOut(TypedDict):
    """recall: [sign, right, sendings, low, high, enough] per symbol; `enough` False: too few copies."""

    recall: list[list[str | int | float | bool]]
    pairs: list[PairOut]
    enough: bool


class FindingsOut(TypedDict):
    """What the tables say, with how sure it is; told when copies became final."""

    push: int
    run: EvidenceOut
    evening: EvidenceOut
    course: EvidenceOut


class SheetOut(TypedDict):
    """One learner's sheets of this evening, for the instructor alone."""

    name: str
    sheets: list[RevealOut]


class Sending(TypedDict):
    push: int
    seat: int
    name: str
    place: int | None
    around: str


class CellOut(TypedDict):
    sent: str
    written: str
    scope: Scope
    sendings: list[Sending]
    all: int


class ProposalOut(TypedDict):
    text: str
    sounds: int
    seconds: float


class WallOut(TypedDict):
    """No names, and nothing of the text before the reveal. start_ms: per symbol, when names are shown."""

    code: str
    title: str
    here: int
    phase: str
    prompt: str
    start_room_ms: float
    end_room_ms: float
    end_tidy_room_ms: float
    shown: str
    start_ms: list[float]
    counted: bool
    pairs: list[PairOut]
    written: int
    expected: int
    symbols: str
    cells: list[list[str | int]]
    copies: int
    text: str


TO_BROWSER: dict[str, Any] = {
    "welcome": WelcomeOut,
    "class": ClassOut,
    "push": PushOut,
    "halt": HaltOut,
    "shift": ShiftOut,
    "kept": KeptOut,
    "handed_in": HandedInOut,
    "closed": ClosedOut,
    "reveal": RevealOut,
    "renamed": RenamedOut,
    "help": HelpOut,
    "removed": SentenceOut,
    "refused": RefusedOut,
    "room": RoomOut,
    "seats": SeatsOut,
    "run": RunOut,
    "progress": ProgressOut,
    "table": TableOut,
    "findings": FindingsOut,
    "sheet": SheetOut,
    "plan": PlanOut,
    "advice": AdviceOut,
    "course": CourseOut,
    "review": ReviewOut,
    "course_progress": CourseProgressOut,
    "cell": CellOut,
    "proposal": ProposalOut,
    "wall": WallOut,
}
"""What a browser may be told, by event name."""
