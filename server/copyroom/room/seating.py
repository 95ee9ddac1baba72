"""Who is in the room: joining, letting in, renaming, and how each browser stands."""

from __future__ import annotations

import unicodedata

from msgspec.structs import replace

from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.classroom import MAX_SEATS, Classroom, Seat
from copyroom.room.contract import handles, settles
from copyroom.room.effects import (
    SENDER,
    Effect,
    Forget,
    Greet,
    Known,
    Listening,
    Refused,
    Seated,
    Send,
    Unseat,
)
from copyroom.room.figures import Figures
from copyroom.room.messages.learner import REMOVED, HelpOut, RenamedOut, SentenceOut
from copyroom.room.settings import set_hearing

DOOR_IS_SHUT = {
    "by hand": "The door of this class is shut. Ask your instructor to open it.",
    "full": "As many are in as were expected, so the door is shut. Ask your instructor to open it.",
}


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


def _names(room: Classroom, but: int = 0) -> set[str]:
    return {seat.name.casefold() for seat in room.seats.values() if seat.id != but}


@settles(ev.Join, ev.AddSeat)
def settle_seat(figures: Figures, event: ev.Join | ev.AddSeat, now_ms: float) -> ev.Join | ev.AddSeat:
    """The number of the seat that is taken."""
    room = figures.room
    known = by_token(room, event.token) if isinstance(event, ev.Join) else None
    if isinstance(event, ev.Join) and known is None and room.shut:
        raise Refused(DOOR_IS_SHUT[room.shut])
    return replace(event, seat=known.id if known else room.next_seat)


def by_token(room: Classroom, token: str) -> Seat | None:
    """The seat that was given out with this token, or made one with one that was."""
    if not token:
        return None
    own = next((seat for seat in room.seats.values() if seat.token == token), None)
    part = next((part for part in room.joined.values() if part.seat.token == token), None)
    return own or (room.seats.get(part.into) if part else None)


@handles(ev.Join)
def join(room: Classroom, event: ev.Join, now_ms: float) -> list[Effect]:
    """Take a seat again by its token, or a new one by a nickname."""
    seat = room.seats.get(event.seat)
    is_new = seat is None
    if seat is None:
        seat = _new_seat(room, event)
        seat.inside = not room.hold_at_door
    before = (seat.listed, seat.joined_in, *exercises.takes_anew(room, seat))
    seat.here, seat.listed = True, True
    seat.meeting = seat.joined_in = len(room.meetings)
    if is_new and not room.shut and len(room.seats) >= room.class_size <= room.crowd:
        room.shut = "full"
    exercises.enter(room, seat, now_ms)
    listening: list[Effect] = [Listening(seat.id)] if seat.inside else []
    token = event.token if not is_new and event.token != seat.token else ""  # of a seat made one with this
    told = (Seated(seat.id), *listening, Greet(SENDER, seat.id, token))
    if not is_new and before == (seat.listed, seat.joined_in, *exercises.takes_anew(room, seat)):
        raise Known(*told)
    return list(told)


def _new_seat(room: Classroom, event: ev.Join | ev.AddSeat) -> Seat:
    name = as_seen(event.name)
    if not name:
        raise Refused("Choose a nickname or a seat number first.")
    if len(room.seats) >= MAX_SEATS:
        raise Refused("This room is full.")
    seat = Seat(event.seat, told_apart(name, _names(room)), event.fresh_token, asked=name)
    room.seats[seat.id] = seat
    room.next_seat = max(room.next_seat, seat.id + 1)
    return seat


@handles(ev.AddSeat)
def add_seat(room: Classroom, event: ev.AddSeat, now_ms: float) -> list[Effect]:
    """A learner without a device: on paper, heard over the room's loudspeaker."""
    seat = _new_seat(room, event)
    seat.way, seat.device, seat.here = "paper", False, True
    for run in room.runs:
        if not run.revealed and run.is_copied and run.has(seat.id):  # its sheet may still be keyed in
            room.copy(run, seat)
    return []


@handles(ev.Leave)
def leave(room: Classroom, event: ev.Leave, now_ms: float) -> list[Effect]:
    """The seat stays; only its browser is away."""
    if event.seat in room.seats:
        seat = room.seats[event.seat]
        seat.here, seat.sound, seat.meeting = False, "off", len(room.meetings)
    return []


@handles(ev.ChooseWay)
def choose_way(room: Classroom, event: ev.ChooseWay, now_ms: float) -> list[Effect]:
    """Typing or paper, from the next run on; a copy without strokes changes with it."""
    seat = room.seat(event.seat)
    run = room.run_for(seat.id)
    copy = run.copies.get(seat.id) if run and not run.closed else None
    changes_copy = copy is not None and not copy.strokes and copy.way != event.way
    if seat.way == event.way and not changes_copy:
        raise Known()
    seat.way = event.way
    if copy is not None and changes_copy:
        copy.way = event.way
    return []


@handles(ev.ReportDevice)
def report_device(room: Classroom, event: ev.ReportDevice, now_ms: float) -> list[Effect]:
    """How the seat's browser stands. Sound that came back after it was lost needs no help any more.

    A browser says that its sound is on also while nobody hears it (volume, silent switch): that alone
    answers no call for help.
    """
    seat = room.seat(event.seat)
    seat.sound, seat.visible = event.sound, event.visible
    seat.uncertainty_ms, seat.lead_ms = event.uncertainty_ms, event.lead_ms
    came_back = seat.was_without and event.sound == "on"
    seat.was_without = seat.was_without or event.sound != "on"
    return _help(room, seat, asks=False) if seat.asks_help and came_back else []


@handles(ev.CannotHear)
def cannot_hear(room: Classroom, event: ev.CannotHear, now_ms: float) -> list[Effect]:
    """The console shows who asked for help."""
    seat = room.seat(event.seat)
    seat.was_without = seat.sound != "on"
    return _help(room, seat, asks=True)


@handles(ev.HearNow)
def hear_now(room: Classroom, event: ev.HearNow, now_ms: float) -> list[Effect]:
    """Who asked for help needs it no more."""
    return _help(room, room.seat(event.seat), asks=False)


@handles(ev.SeenHelp)
def seen_help(room: Classroom, event: ev.SeenHelp, now_ms: float) -> list[Effect]:
    """The instructor has been there."""
    return _help(room, room.seat(event.seat), asks=False)


def _help(room: Classroom, seat: Seat, *, asks: bool) -> list[Effect]:
    """Note whether the seat asks for help; its page says so as long as the console does."""
    seat.asks_help = asks
    return [Send(seat.id, HelpOut(asks=asks))]


@handles(ev.LetIn)
def let_in(room: Classroom, event: ev.LetIn, now_ms: float) -> list[Effect]:
    """Let the seat in, and show it what is going on."""
    seat = room.seat(event.seat)
    seat.inside = True
    exercises.enter(room, seat, now_ms)
    return [Listening(seat.id), Greet(seat.id, seat.id)]


@settles(ev.ClearAway)
def settle_clear_away(figures: Figures, event: ev.ClearAway, now_ms: float) -> ev.ClearAway:
    """Those who are long away by now."""
    room = figures.room
    away = (seat.id for seat in room.seats.values() if seat.listed and room.long_away(seat))
    return ev.ClearAway(tuple(away))


@handles(ev.ClearAway)
def clear_away(room: Classroom, event: ev.ClearAway, now_ms: float) -> list[Effect]:
    """Take them off the list, and nothing else: their copies count as before."""
    for number in event.seats:
        if number in room.seats:
            room.seats[number].listed = False
    return []


@handles(ev.Rename)
def rename(room: Classroom, event: ev.Rename, now_ms: float) -> list[Effect]:
    """Another nickname, told apart from the others."""
    seat = room.seat(event.seat)
    name = as_seen(event.name)
    if not name:
        raise Refused("A name needs at least one letter or figure.")
    seat.name = told_apart(name, _names(room, but=seat.id))
    return [Send(seat.id, RenamedOut(name=seat.name))]


@settles(ev.RemoveSeats)
def settle_removal(figures: Figures, event: ev.RemoveSeats, now_ms: float) -> ev.RemoveSeats:
    """With a seat go those that were made one with it."""
    parts = (part.seat.id for part in figures.room.joined.values() if part.into in event.seats)
    return replace(event, seats=tuple(dict.fromkeys((*event.seats, *parts))))


@handles(ev.RemoveSeats)
def remove_seats(room: Classroom, event: ev.RemoveSeats, now_ms: float) -> list[Effect]:
    """Take the seats out, their copies out of every figure, and both out of the journal."""
    leaving = [room.seat(number) for number in dict.fromkeys(event.seats) if number not in room.joined]
    gone: list[Effect] = []
    numbers = {seat.id for seat in leaving} | (room.joined.keys() & set(event.seats))
    for number in room.joined.keys() & set(event.seats):
        del room.joined[number]
    exercises.strike_out(room, numbers)
    for seat in leaving:
        del room.seats[seat.id]
        gone += [Send(seat.id, SentenceOut(sentence=REMOVED)), Unseat(seat.id)]
    room.asides = {number: aside for number, aside in room.asides.items() if aside.seat not in numbers}
    room.plan_edits += 1
    gone.append(Forget())
    if room.source in numbers:
        return gone + set_hearing(room, ev.SetHearing(room.hearing, ev.CONSOLE), now_ms)
    return gone
