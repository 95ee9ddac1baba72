"""The class's settings: title, sound, way of hearing, symbols in play, whether newcomers wait at the door."""

from __future__ import annotations

from copyroom.core.alphabet import INDEX
from copyroom.core.bursts import Speed
from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.effects import SEATS, Effect, Refused, Send
from copyroom.room.state import Sound, State
from copyroom.room.views import class_view


def _tell_class(state: State) -> list[Effect]:
    state.changed.add("room")
    return [Send(SEATS, "class", class_view(state))]


@handles(ev.SetTitle)
def set_title(state: State, event: ev.SetTitle, now_ms: float) -> list[Effect]:
    """What the class is called, on every page."""
    if not event.title.strip():
        raise Refused("The class needs a title.")
    state.title = " ".join(event.title.split())
    return _tell_class(state)


@handles(ev.SetSound)
def set_sound(state: State, event: ev.SetSound, now_ms: float) -> list[Effect]:
    """From the next run on; a run that sounds keeps its own."""
    try:
        Speed(event.wpm, event.overall_wpm)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    state.sound = Sound(event.wpm, event.overall_wpm, event.pitch_hz, event.lead_in_s, event.tidy_s)
    return _tell_class(state)


@handles(ev.SetHearing)
def set_hearing(state: State, event: ev.SetHearing, now_ms: float) -> list[Effect]:
    """Which browsers sound, from the next run on."""
    if event.source != ev.CONSOLE:
        state.seat(event.source)
    state.hearing, state.source = event.way, event.source
    return _tell_class(state)


@handles(ev.SetSymbols)
def set_symbols(state: State, event: ev.SetSymbols, now_ms: float) -> list[Effect]:
    """The symbols introduced so far, in the order of introduction."""
    wrong = [sign for sign in event.symbols if sign not in INDEX]
    if wrong:
        raise Refused(f"{wrong[0]} is not a symbol of the code.")
    state.symbols = "".join(dict.fromkeys(event.symbols))
    state.plan_edits += 1
    state.changed.add("room")
    return []


@handles(ev.HoldAtDoor)
def hold_at_door(state: State, event: ev.HoldAtDoor, now_ms: float) -> list[Effect]:
    """Whether newcomers wait at the door until they are let in."""
    state.hold_at_door = event.on
    state.changed.add("room")
    return []
