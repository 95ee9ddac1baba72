"""Every event on the wire: what a browser may send, what it is told, and the limits of both.

One TypedDict each, two tables. `decode` turns untrusted input into an event of the room or raises
WireError with one clear sentence; payloads to browsers are made by the room's views, and the tests
hold each of them against its TypedDict. static/js/wire.js is generated from this file.

Units stand last in every name. A sign is one code point of the alphabet; "_" is a blank.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, NotRequired, TypedDict

import msgspec
from msgspec import Meta

from copyroom.room import events as ev


class WireError(Exception):
    """A message that is not one of ours; the sentence is for whoever sent it."""


# ------------------------------------------------------------------ limits

Name = Annotated[str, Meta(max_length=24)]
Token = Annotated[str, Meta(max_length=64)]
Code = Annotated[str, Meta(min_length=1, max_length=24)]
Sign = Annotated[str, Meta(max_length=1)]
Symbols = Annotated[str, Meta(max_length=64)]
RawText = Annotated[str, Meta(max_length=4000)]
Seed = Annotated[int, Meta(ge=0, lt=2**53)]
SeatNumber = Annotated[int, Meta(ge=0, lt=1_000_000)]
PushNumber = Annotated[int, Meta(ge=1, lt=1_000_000)]
Place = Annotated[int, Meta(ge=0, lt=3000)]
StrokeNumber = Annotated[int, Meta(ge=0, lt=100_000)]
InPushMs = Annotated[float, Meta(ge=-60_000.0, le=86_400_000.0)]
PageMs = Annotated[float, Meta(ge=0.0, le=1e13)]
ShortMs = Annotated[float, Meta(ge=0.0, le=60_000.0)]
Wpm = Annotated[float, Meta(ge=1.0, le=60.0)]
PitchHz = Annotated[float, Meta(ge=300.0, le=1000.0)]
LeadInS = Annotated[float, Meta(ge=0.0, le=30.0)]
TidyS = Annotated[float, Meta(ge=0.0, le=600.0)]
Count = Annotated[int, Meta(ge=1, le=1000)]
Group = Annotated[int, Meta(ge=1, le=20)]
Span = Annotated[list[Annotated[int, Meta(ge=0, le=1000)]], Meta(min_length=2, max_length=2)]

Way = Literal["typing", "paper"]
SoundState = Literal["off", "on", "lost", "silent"]
Hearing = Literal["every", "loudspeaker", "headphones", "home"]
Purpose = Literal["one", "apart", "mix", "words", "calls", "own"]
View = Literal["console", "wall"]
Scope = Literal["run", "evening"]


# ------------------------------------------------------------------ to the server


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


class SetWaitingRoomIn(TypedDict):
    on: bool


class ComposeIn(TypedDict):
    """Answered by `proposal`; nothing is sent to learners."""

    purpose: Purpose
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    seed: Seed


class SendTextIn(TypedDict):
    """An empty text is composed from purpose, symbols, count, group and seed."""

    purpose: Purpose
    symbols: Symbols
    count: Count
    group: Group
    text: RawText
    name_shown: bool
    counted: bool
    seed: Seed


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


# ------------------------------------------------------------------ to the browser


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
    """The own copy under what was sent.

    marks : signs of the copy; answers : per mark the index of the sent symbol, or null for an extra mark.
    sent : symbols of the text that belong to the run (fewer when it was stopped).
    unheard : indices that this browser did not sound; outside the count.
    taken : [sent, written, how often], all_right : symbols of which none was lost.
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


class ClassOut(TypedDict):
    title: str
    hearing: Hearing
    source: int
    pitch_hz: float
    wpm: float


WelcomeOut = TypedDict(
    "WelcomeOut",
    {
        "code": str,
        "seat": int,
        "name": str,
        "token": str,
        "admitted": bool,
        "way": Way,
        "class": ClassOut,
        "push": PushOut | None,
        "phase": str,
        "halt": HaltOut | None,
        "copy": CopyOut | None,
        "reveal": RevealOut | None,
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


class SentenceOut(TypedDict):
    """Something was refused, or ended, for this reason."""

    sentence: str


class SoundOut(TypedDict):
    wpm: float
    overall_wpm: float
    pitch_hz: float
    lead_in_s: float
    tidy_s: float


class RunSummary(TypedDict):
    push: int
    title: str
    purpose: Purpose
    symbols: str
    counted: bool
    right: int
    of: int


class RoomOut(TypedDict):
    code: str
    title: str
    sound: SoundOut
    hearing: Hearing
    source: int
    symbols: str
    waiting_room: bool
    runs: list[RunSummary]


class SeatOut(TypedDict):
    seat: int
    name: str
    way: Way
    device: bool
    admitted: bool
    here: bool
    sound: SoundState
    uncertainty_ms: float
    visible: bool
    asks_help: bool


class SeatsOut(TypedDict):
    seats: list[SeatOut]


class RunDetail(PushOut):
    purpose: Purpose
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
    seat: int
    way: Way
    written: int
    last_at_ms: float | None
    heard: int
    handed_in: bool


class ProgressOut(TypedDict):
    """answered, right: per sent symbol, how many learners wrote something, and the right thing."""

    push: int
    phase: str
    copies: list[CopyProgress]
    answered: list[int]
    right: list[int]


class TableOut(TypedDict):
    """Cells [sent, written, count] over 0: sent "" = extra mark, written "" = missed, "_" = blank."""

    push: int
    run: list[list[str | int]]
    run_copies: int
    evening: list[list[str | int]]
    final: bool


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
    code: str
    title: str
    here: int
    phase: str
    prompt: str
    start_room_ms: float
    end_room_ms: float
    end_tidy_room_ms: float
    shown: str
    written: int
    expected: int
    symbols: str
    cells: list[list[str | int]]
    copies: int


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
    "removed": SentenceOut,
    "refused": SentenceOut,
    "room": RoomOut,
    "seats": SeatsOut,
    "run": RunOut,
    "progress": ProgressOut,
    "table": TableOut,
    "cell": CellOut,
    "proposal": ProposalOut,
    "wall": WallOut,
}
"""What a browser may be told, by event name."""


# ------------------------------------------------------------------ decoding


@dataclass(frozen=True, slots=True)
class Sender:
    """Whom a connection speaks for: an instructor, a seat, or nobody yet."""

    instructor: bool
    seat: int | None
    token: str = ""
    """A fresh secret, should this message found a seat."""


Decoder = Callable[[dict[str, Any], Sender], ev.Event]


def _learner(kind: type[ev.Event]) -> Decoder:
    def decoder(fields: dict[str, Any], sender: Sender) -> ev.Event:
        if sender.seat is None:
            raise WireError("Take a seat first.")
        return kind(seat=sender.seat, **fields)  # type: ignore[call-arg]

    return decoder


def _instructor(kind: type[ev.Event]) -> Decoder:
    def decoder(fields: dict[str, Any], sender: Sender) -> ev.Event:
        if not sender.instructor:
            raise WireError("Only the instructor's console may do that.")
        return kind(**fields)

    return decoder


def _whose(fields: dict[str, Any], sender: Sender) -> dict[str, Any]:
    """The seat that a copy belongs to: the own one, or from the console one without a device."""
    seat = fields.pop("seat", 0)
    if sender.instructor and seat:
        return fields | {"seat": seat, "by": ev.CONSOLE}
    if sender.seat is None or seat not in (0, sender.seat):
        raise WireError("That is not your seat.")
    return fields | {"seat": sender.seat, "by": sender.seat}


def _write_keys(fields: dict[str, Any], sender: Sender) -> ev.Event:
    fields["keys"] = tuple(ev.Key(**key) for key in fields["keys"])
    return ev.WriteKeys(**_whose(fields, sender))


def _hand_in(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return ev.HandIn(**_whose(fields, sender))


def _report_sounded(fields: dict[str, Any], sender: Sender) -> ev.Event:
    fields["spans"] = tuple((start, stop) for start, stop in fields["spans"])
    return _learner(ev.ReportSounded)(fields, sender)


def _join(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return ev.Join(fields["name"], fields["token"], sender.token)


def _watch(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return _instructor(ev.Watch)({"view": fields["view"]}, sender)


def _add_seat(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return _instructor(ev.AddSeat)(fields | {"fresh_token": sender.token}, sender)


TO_SERVER: dict[str, tuple[Any, Decoder]] = {
    "join": (JoinIn, _join),
    "watch": (WatchIn, _watch),
    "choose_way": (ChooseWayIn, _learner(ev.ChooseWay)),
    "report_device": (ReportDeviceIn, _learner(ev.ReportDevice)),
    "write_keys": (WriteKeysIn, _write_keys),
    "report_sounded": (ReportSoundedIn, _report_sounded),
    "hand_in": (HandInIn, _hand_in),
    "cannot_hear": (NothingIn, _learner(ev.CannotHear)),
    "set_title": (SetTitleIn, _instructor(ev.SetTitle)),
    "set_sound": (SetSoundIn, _instructor(ev.SetSound)),
    "set_hearing": (SetHearingIn, _instructor(ev.SetHearing)),
    "set_symbols": (SetSymbolsIn, _instructor(ev.SetSymbols)),
    "set_waiting_room": (SetWaitingRoomIn, _instructor(ev.SetWaitingRoom)),
    "compose": (ComposeIn, _instructor(ev.Compose)),
    "send_text": (SendTextIn, _instructor(ev.SendText)),
    "pause": (NothingIn, _instructor(ev.Pause)),
    "go_on": (NothingIn, _instructor(ev.GoOn)),
    "stop": (NothingIn, _instructor(ev.Stop)),
    "repeat": (NothingIn, _instructor(ev.Repeat)),
    "close": (NothingIn, _instructor(ev.Close)),
    "reveal": (NothingIn, _instructor(ev.Reveal)),
    "admit": (SeatIn, _instructor(ev.Admit)),
    "rename": (RenameIn, _instructor(ev.Rename)),
    "remove_seat": (SeatIn, _instructor(ev.RemoveSeat)),
    "add_seat": (AddSeatIn, _add_seat),
    "seen_help": (SeatIn, _instructor(ev.SeenHelp)),
    "show_cell": (ShowCellIn, _instructor(ev.ShowCell)),
}
"""What a browser may send, by event name. `clock` is answered before any of this, for the sake of time."""


def read(payload_type: Any, untrusted: object) -> dict[str, Any]:
    """The payload as its TypedDict says, or WireError with a sentence. Unknown keys are refused."""
    if not isinstance(untrusted, Mapping):
        raise WireError("That message has no fields.")
    unknown = untrusted.keys() - payload_type.__annotations__.keys()
    if unknown:
        raise WireError(f"That message has a field that is not known: {str(min(map(str, unknown)))[:40]}.")
    try:
        fields: dict[str, Any] = msgspec.convert(untrusted, payload_type)
    except msgspec.ValidationError as error:
        raise WireError(f"That message does not fit: {error}.") from None
    return fields


def decode(name: str, untrusted: object, sender: Sender) -> ev.Event:
    """An event of the room from what a connection sent.

    Raises WireError, with one sentence, for whatever is not well-formed or not this sender's to send.
    """
    if name not in TO_SERVER:
        raise WireError("That event is not known.")
    payload_type, decoder = TO_SERVER[name]
    return decoder(read(payload_type, untrusted), sender)


# ------------------------------------------------------------------ the journal's form

_EVENTS_BY_NAME: dict[str, type[ev.Event]] = {kind.__name__: kind for kind in ev.DURABLE}


def to_record(event: ev.Event) -> tuple[str, str]:
    """A durable event as (name, JSON)."""
    return type(event).__name__, msgspec.json.encode(dataclasses.asdict(event)).decode()


def from_record(name: str, body: str) -> ev.Event:
    """The durable event of a journal's record; fields that are gone since are passed over."""
    return msgspec.json.decode(body, type=_EVENTS_BY_NAME[name])
