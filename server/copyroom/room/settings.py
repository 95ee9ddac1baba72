"""The class's settings: title, sound, way of hearing, symbols in play, whether newcomers wait at the door."""

from __future__ import annotations

from copyroom.core.alphabet import INDEX
from copyroom.core.bursts import Speed
from copyroom.room import events as ev
from copyroom.room.classroom import MAX_SEATS, Classroom, Sound
from copyroom.room.contract import handles
from copyroom.room.effects import SEATS, Effect, Refused, Send
from copyroom.room.messages.learner import class_view

SOME_MORE = 20
"""So many are expected beside those who are in, when a full class's door is opened."""


def _tell_class(room: Classroom) -> list[Effect]:
    return [Send(SEATS, class_view(room))]


@handles(ev.SetTitle)
def set_title(room: Classroom, event: ev.SetTitle, now_ms: float) -> list[Effect]:
    """What the class is called, on every page."""
    if not event.title.strip():
        raise Refused("The class needs a title.")
    room.title = " ".join(event.title.split())
    return _tell_class(room)


@handles(ev.SetSound)
def set_sound(room: Classroom, event: ev.SetSound, now_ms: float) -> list[Effect]:
    """From the next run on; a run that sounds keeps its own."""
    try:
        Speed(event.wpm, event.overall_wpm)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    room.sound = Sound(event.wpm, event.overall_wpm, event.pitch_hz, event.lead_in_s, event.tidy_s)
    return _tell_class(room)


@handles(ev.SetHearing)
def set_hearing(room: Classroom, event: ev.SetHearing, now_ms: float) -> list[Effect]:
    """Which browsers sound, from the next run on."""
    if event.source != ev.CONSOLE:
        room.seat(event.source)
    room.hearing, room.source = event.way, event.source
    return _tell_class(room)


@handles(ev.SetSymbols)
def set_symbols(room: Classroom, event: ev.SetSymbols, now_ms: float) -> list[Effect]:
    """The symbols introduced so far, in the order of introduction."""
    wrong = [sign for sign in event.symbols if sign not in INDEX]
    if wrong:
        raise Refused(f"{wrong[0]} is not a symbol of the code.")
    room.symbols = "".join(dict.fromkeys(event.symbols))
    room.plan_edits += 1
    return []


@handles(ev.AllowAdditions)
def allow_additions(room: Classroom, event: ev.AllowAdditions, now_ms: float) -> list[Effect]:
    """Whether signs outside the recommendation may be sent from now on."""
    room.additions = event.on
    return []


@handles(ev.HoldAtDoor)
def hold_at_door(room: Classroom, event: ev.HoldAtDoor, now_ms: float) -> list[Effect]:
    """Whether newcomers wait at the door until they are let in."""
    room.hold_at_door = event.on
    return []


@handles(ev.ShutDoor)
def shut_door(room: Classroom, event: ev.ShutDoor, now_ms: float) -> list[Effect]:
    """Newcomers are turned away. Opened again, a door that shut by itself is open for some more."""
    room.shut = "by hand" if event.on else ""
    if not event.on and room.crowd >= room.class_size:
        room.class_size = min(MAX_SEATS, room.crowd + SOME_MORE)
    return []


@handles(ev.SetClassSize)
def set_class_size(room: Classroom, event: ev.SetClassSize, now_ms: float) -> list[Effect]:
    """How many are expected; a door that shut by itself opens when there is room again."""
    room.class_size = event.size
    if room.shut != "by hand":
        room.shut = "full" if room.crowd >= event.size else ""
    return []
