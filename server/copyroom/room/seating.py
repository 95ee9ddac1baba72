"""Who is in the room: joining, letting in, renaming, and how each browser stands."""

from __future__ import annotations

import unicodedata

from copyroom.room import events as ev
from copyroom.room.contract import handles
from copyroom.room.effects import SENDER, Effect, Forget, Listening, Refused, Seated, Send, Unseat
from copyroom.room.settings import set_hearing
from copyroom.room.state import MAX_SEATS, Seat, State
from copyroom.room.views import removed_view, welcome_view


def as_seen(name: str) -> str:
    """The nickname as people see it: composed, single spaces, no unseen signs, which would tell two apart."""
    spaced = " ".join(unicodedata.normalize("NFC", name).split())
    return "".join(sign for sign in spaced if sign.isprintable()).strip()


def told_apart(name: str, others: set[str]) -> str:
    """The nickname, with a number when somebody else in the room has it already."""
    candidate, count = name, 1
    while candidate.casefold() in others:
        count += 1
        candidate = f"{name} {count}"
    return candidate


def _names(state: State, but: int = 0) -> set[str]:
    return {seat.name.casefold() for seat in state.seats.values() if seat.id != but}


@handles(ev.Join)
def join(state: State, event: ev.Join, now_ms: float) -> list[Effect]:
    """Take a seat again by its token, or a new one by a nickname."""
    seat = next((s for s in state.seats.values() if event.token and s.token == event.token), None)
    if seat is None:
        seat = _new_seat(state, event.name, event.fresh_token)
        seat.inside = not state.hold_at_door
    seat.here, seat.listed, seat.meeting = True, True, len(state.meetings)
    state.changed.add("seats")
    listening: list[Effect] = [Listening(seat.id)] if seat.inside else []
    return [Seated(seat.id), *listening, Send(SENDER, "welcome", welcome_view(state, seat, now_ms))]


def _new_seat(state: State, name: str, token: str) -> Seat:
    name = as_seen(name)
    if not name:
        raise Refused("Choose a nickname or a seat number first.")
    if len(state.seats) >= MAX_SEATS:
        raise Refused("This room is full.")
    seat = Seat(state.next_seat, told_apart(name, _names(state)), token)
    state.seats[seat.id] = seat
    state.next_seat += 1
    return seat


@handles(ev.AddSeat)
def add_seat(state: State, event: ev.AddSeat, now_ms: float) -> list[Effect]:
    """A learner without a device: on paper, heard over the room's loudspeaker."""
    seat = _new_seat(state, event.name, event.fresh_token)
    seat.way, seat.device, seat.here = "paper", False, True
    for push in state.runs:
        if not push.revealed:  # its sheet may still be keyed in
            state.copy(push, seat)
    state.changed |= {"seats", "progress"}
    return []


@handles(ev.Leave)
def leave(state: State, event: ev.Leave, now_ms: float) -> list[Effect]:
    """The seat stays; only its browser is away."""
    if event.seat in state.seats:
        seat = state.seats[event.seat]
        seat.here, seat.sound, seat.meeting = False, "off", len(state.meetings)
        state.changed.add("seats")
    return []


@handles(ev.ChooseWay)
def choose_way(state: State, event: ev.ChooseWay, now_ms: float) -> list[Effect]:
    """Typing or paper, from the next run on; a copy without strokes changes with it."""
    seat = state.seat(event.seat)
    seat.way = event.way
    run = state.open_run
    copy = state.copies.get((run.id, seat.id)) if run else None
    if copy and not copy.strokes:
        copy.way = event.way
    state.changed.add("seats")
    return []


@handles(ev.ReportDevice)
def report_device(state: State, event: ev.ReportDevice, now_ms: float) -> list[Effect]:
    """How the seat's browser stands. Sound that came back after it was lost needs no help any more.

    A browser says that its sound is on also while nobody hears it (volume, silent switch): that alone
    answers no call for help.
    """
    seat = state.seat(event.seat)
    seat.sound, seat.visible = event.sound, event.visible
    seat.uncertainty_ms, seat.lead_ms = event.uncertainty_ms, event.lead_ms
    state.changed.add("seats")
    came_back = seat.was_without and event.sound == "on"
    seat.was_without = seat.was_without or event.sound != "on"
    return _help(state, seat, asks=False) if seat.asks_help and came_back else []


@handles(ev.CannotHear)
def cannot_hear(state: State, event: ev.CannotHear, now_ms: float) -> list[Effect]:
    """The console shows who asked for help."""
    seat = state.seat(event.seat)
    seat.was_without = seat.sound != "on"
    return _help(state, seat, asks=True)


@handles(ev.HearNow)
def hear_now(state: State, event: ev.HearNow, now_ms: float) -> list[Effect]:
    """Who asked for help needs it no more."""
    return _help(state, state.seat(event.seat), asks=False)


@handles(ev.SeenHelp)
def seen_help(state: State, event: ev.SeenHelp, now_ms: float) -> list[Effect]:
    """The instructor has been there."""
    return _help(state, state.seat(event.seat), asks=False)


def _help(state: State, seat: Seat, *, asks: bool) -> list[Effect]:
    """Note whether the seat asks for help; its page says so as long as the console does."""
    seat.asks_help = asks
    state.changed.add("seats")
    return [Send(seat.id, "help", {"asks": asks})]


@handles(ev.LetIn)
def let_in(state: State, event: ev.LetIn, now_ms: float) -> list[Effect]:
    """Let the seat in, and show it what is going on."""
    seat = state.seat(event.seat)
    seat.inside = True
    state.changed.add("seats")
    return [Listening(seat.id), Send(seat.id, "welcome", welcome_view(state, seat, now_ms))]


@handles(ev.ClearAway)
def clear_away(state: State, event: ev.ClearAway, now_ms: float) -> list[Effect]:
    """Take them off the list, and nothing else: their copies count as before."""
    for number in event.seats:
        if number in state.seats:
            state.seats[number].listed = False
    state.changed.add("seats")
    return []


@handles(ev.Rename)
def rename(state: State, event: ev.Rename, now_ms: float) -> list[Effect]:
    """Another nickname, told apart from the others."""
    seat = state.seat(event.seat)
    name = as_seen(event.name)
    if not name:
        raise Refused("A name needs at least one letter or figure.")
    seat.name = told_apart(name, _names(state, but=seat.id))
    state.changed.add("seats")
    return [Send(seat.id, "renamed", {"name": seat.name})]


@handles(ev.RemoveSeat)
def remove_seat(state: State, event: ev.RemoveSeat, now_ms: float) -> list[Effect]:
    """Take the seat out, its copies out of every figure, and both out of the journal."""
    seat = state.seat(event.seat)
    del state.seats[seat.id]
    for key in [key for key in state.copies if key[1] == seat.id]:
        del state.copies[key]
    for aside in [aside for aside in state.asides.values() if aside.seat == seat.id]:
        del state.asides[aside.id]
    state.live.pop(seat.id, None)
    state.plan_edits += 1
    state.forget_results()
    state.changed |= {"seats", "progress", "table", "findings", "room", "advice"}
    gone: list[Effect] = [Send(seat.id, "removed", removed_view()), Unseat(seat.id), Forget()]
    if state.source == seat.id:
        return gone + set_hearing(state, ev.SetHearing(state.hearing, ev.CONSOLE), now_ms)
    return gone
