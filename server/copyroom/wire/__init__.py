"""Every event on the wire: what a browser may send, what it is told, and the limits of both.

One TypedDict each, two tables. `decode` turns untrusted input into an event of the room or raises
WireError with one clear sentence; payloads to browsers are made by the room's views, and the tests
hold each of them against its TypedDict. static/js/wire.js is generated from this package.

Units stand last in every name. A sign is one code point of the alphabet; "_" is a blank.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from typing import Any

import msgspec

from copyroom.room import events as ev
from copyroom.wire.to_browser import TO_BROWSER
from copyroom.wire.to_server import (
    AddSeatIn,
    AddStepIn,
    ChooseWayIn,
    ComposeIn,
    EditPlanIn,
    GiveReviewIn,
    HandInCountIn,
    HandInIn,
    HoldAtDoorIn,
    JoinIn,
    NothingIn,
    OrderIn,
    PlanEveningIn,
    RenameIn,
    ReportDeviceIn,
    ReportSoundedIn,
    SeatIn,
    SendStepIn,
    SendTextIn,
    SetCourseIn,
    SetHearingIn,
    SetSoundIn,
    SetSymbolsIn,
    SetTitleIn,
    ShowCellIn,
    ShowCourseIn,
    ShowReviewIn,
    StepIn,
    TakeChoiceIn,
    WatchIn,
    WriteKeysIn,
)

__all__ = [
    "TO_BROWSER",
    "TO_SERVER",
    "RecordError",
    "Sender",
    "WireError",
    "decode",
    "from_record",
    "read",
    "to_record",
]


class WireError(Exception):
    """A message that is not one of ours; the sentence is for whoever sent it."""


# ------------------------------------------------------------------ decoding


@dataclass(frozen=True, slots=True)
class Sender:
    """Whom a connection speaks for: an instructor, a seat, or nobody yet."""

    instructor: bool
    seat: int | None
    token: str = ""
    """A fresh secret, should this message found a seat."""
    day: int = 0
    """Local days since 1970-01-01."""
    seed: int = 0
    """Fresh chance, should this message compose a text without a seed of its own."""


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
    """The seat that a copy belongs to: the sender's own, or from the console one without a device."""
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


def _composing(kind: type[ev.Event]) -> Decoder:
    def decoder(fields: dict[str, Any], sender: Sender) -> ev.Event:
        return _instructor(kind)({"seed": sender.seed} | fields, sender)

    return decoder


def _course(kind: type[ev.Event]) -> Decoder:
    def decoder(fields: dict[str, Any], sender: Sender) -> ev.Event:
        fields["pins"] = tuple(ev.Pin(**pin) for pin in fields["pins"])
        return _instructor(kind)(fields, sender)

    return decoder


def _edit_plan(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return _instructor(ev.EditPlan)({"steps": tuple(fields["steps"])}, sender)


def _open_meeting(fields: dict[str, Any], sender: Sender) -> ev.Event:
    return _instructor(ev.OpenMeeting)({"day": sender.day}, sender)


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
    "hand_in_count": (HandInCountIn, _learner(ev.HandInCount)),
    "cannot_hear": (NothingIn, _learner(ev.CannotHear)),
    "hear_now": (NothingIn, _learner(ev.HearNow)),
    "open_meeting": (NothingIn, _open_meeting),
    "set_title": (SetTitleIn, _instructor(ev.SetTitle)),
    "set_sound": (SetSoundIn, _instructor(ev.SetSound)),
    "set_hearing": (SetHearingIn, _instructor(ev.SetHearing)),
    "set_symbols": (SetSymbolsIn, _instructor(ev.SetSymbols)),
    "hold_at_door": (HoldAtDoorIn, _instructor(ev.HoldAtDoor)),
    "compose": (ComposeIn, _composing(ev.Compose)),
    "send_text": (SendTextIn, _composing(ev.SendText)),
    "pause": (OrderIn, _instructor(ev.Pause)),
    "go_on": (OrderIn, _instructor(ev.GoOn)),
    "stop": (OrderIn, _instructor(ev.Stop)),
    "repeat": (OrderIn, _instructor(ev.Repeat)),
    "close": (OrderIn, _instructor(ev.Close)),
    "reveal": (OrderIn, _instructor(ev.Reveal)),
    "let_in": (SeatIn, _instructor(ev.LetIn)),
    "rename": (RenameIn, _instructor(ev.Rename)),
    "remove_seat": (SeatIn, _instructor(ev.RemoveSeat)),
    "add_seat": (AddSeatIn, _add_seat),
    "seen_help": (SeatIn, _instructor(ev.SeenHelp)),
    "show_cell": (ShowCellIn, _instructor(ev.ShowCell)),
    "show_course": (ShowCourseIn, _course(ev.ShowCourse)),
    "set_course": (SetCourseIn, _course(ev.SetCourse)),
    "plan_evening": (PlanEveningIn, _composing(ev.PlanEvening)),
    "edit_plan": (EditPlanIn, _edit_plan),
    "add_step": (AddStepIn, _instructor(ev.AddStep)),
    "send_step": (SendStepIn, _instructor(ev.SendStep)),
    "mark_step": (StepIn, _instructor(ev.MarkStep)),
    "take_choice": (TakeChoiceIn, _instructor(ev.TakeChoice)),
    "show_review": (ShowReviewIn, _instructor(ev.ShowReview)),
    "give_review": (GiveReviewIn, _instructor(ev.GiveReview)),
    "show_progress": (NothingIn, _instructor(ev.ShowProgress)),
    "show_sheet": (SeatIn, _instructor(ev.ShowSheet)),
}
"""What a browser may send, by event name. `clock` is answered before any of this, for the sake of time."""


def read(payload_type: Any, untrusted: object) -> dict[str, Any]:
    """The payload as its TypedDict says, or WireError with a sentence. Unknown keys are refused."""
    if not isinstance(untrusted, Mapping):
        raise WireError("That message has no fields.")
    _refuse_unknown(untrusted.keys() - payload_type.__annotations__.keys())
    try:
        fields: dict[str, Any] = msgspec.convert(untrusted, payload_type)
    except msgspec.ValidationError as error:
        raise WireError(f"That message does not fit: {error}.") from None
    for name, items in fields.items():
        if isinstance(items, list):  # strokes, pins: msgspec has left out what it does not know
            for given, kept in zip(untrusted[name], items, strict=True):
                if isinstance(kept, dict):
                    _refuse_unknown(given.keys() - kept.keys())
    return fields


def _refuse_unknown(unknown: Set[Any]) -> None:
    if unknown:
        raise WireError(f"That message has a field that is not known: {min(map(str, unknown))[:40]!r}.")


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
_EVENTS_BY_NAME |= {"Admit": ev.LetIn, "SetWaitingRoom": ev.HoldAtDoor}
"""Of the events that the journal keeps, by their names; the last line raises names that 0.1.0 wrote first."""


def to_record(event: ev.Event) -> tuple[str, str]:
    """A durable event as (name, JSON)."""
    return type(event).__name__, msgspec.json.encode(event).decode()


class RecordError(Exception):
    """A record that this program cannot read: damaged, or of a newer one."""


def from_record(name: str, body: str) -> ev.Event:
    """The durable event of a journal's record; fields that are gone since are passed over."""
    try:
        return msgspec.json.decode(body, type=_EVENTS_BY_NAME[name])
    except KeyError:
        raise RecordError(f"a record is of an unknown kind, {name[:40]!r}") from None
    except (msgspec.MsgspecError, UnicodeError, TypeError, RecursionError) as fault:
        raise RecordError(f"a record of the kind {name[:40]!r} cannot be read ({fault})") from None
