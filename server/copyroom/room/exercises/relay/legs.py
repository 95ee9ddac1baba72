"""The legs of a relay: when one begins, when it ends, and what is sent with it.

The room itself begins and ends them. What begins holds its text: so the journal tells which sounds there were
even when what somebody wrote was struck out of it. A leg by hand has the sounds that are keyed instead.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, NamedTuple

from msgspec import Meta

from copyroom.core.alphabet import by_table_order
from copyroom.room.classroom import Classroom
from copyroom.room.contract import By, Event, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.events.copying import Writer
from copyroom.room.events.seating import OwnSeat
from copyroom.room.exercises import EXERCISES, begin_run, close_run, to_its_seats, together
from copyroom.room.exercises.relay.chains import Relaying, Station
from copyroom.room.keyed import ByHand, Stretch, ended
from copyroom.room.keyed.events import TurnOver, TurnSounded
from copyroom.room.keyed.stretch import REPORTS_MS
from copyroom.room.limits import RawText
from copyroom.room.messages.running import halt_view
from copyroom.room.run import GRACE_MS, Run
from copyroom.room.running import UNDER_WAY

KIND = "relay"
AT_ONCE_MS = 0.0
BACK_MS = 15_000.0
"""Who comes back after the time for their copy has this long to say that it is all."""
KEYING_MS = 2_000.0
"""For each sound of a leg that is copied on paper: the sheet is keyed in before it can be passed on."""

StationNumber = Annotated[int, Meta(ge=1, lt=10_000)]


@event(By.SERVER, kept=True)
class BeginRelayLeg(Event, frozen=True):
    """The station at hand of this chain is sent to. The text is what the one before had.

    run : the relay, 0: the one at hand. sender : who keys it, 0: the machine sends the text.
    """

    chain: StationNumber
    station: StationNumber
    text: RawText
    start_room_ms: float
    run: int = 0
    sender: int = 0


@event(By.SERVER, kept=True)
class EndRelayLeg(Event, frozen=True):
    """What was sent with this run is over; its copy, as it stands, is passed on."""

    push: int


@event(By.EITHER, kept=True)
class RelayByMachine(Event, frozen=True):
    """The machine sends what this station has, now and whenever it comes to it: there is no key."""

    seat: OwnSeat
    by: Writer


def relay(run: Run | None) -> tuple[Run, Relaying]:
    """The run and its state. Refused where it is no relay."""
    if run is None or run.kind != KIND:
        raise Refused("There is no relay at hand.")
    return run, run.state


def relay_of(room: Classroom, seat: int) -> tuple[Run, Relaying]:
    """The relay that this seat has a part in. Refused where there is none."""
    for run in room.at_hand:
        if run.kind == KIND and not run.closed and run.state.of(seat) is not None:
            return run, run.state
    raise Refused("That learner has no part in a relay now.")


@handles(BeginRelayLeg)
def begin_leg(room: Classroom, event: BeginRelayLeg, now_ms: float) -> list[Effect]:
    """Send what the one before had to the next."""
    top, state = relay(room.run_of(event.run) if event.run else room.open_run)
    station = next(s for s in state.chains[event.chain - 1].stations if s.number == event.station)
    station.status, station.push, station.came = "copies", len(room.runs) + 1, event.text
    seat = room.seats.get(station.seat)
    named = f"Chain {event.chain}, station" if len(state.chains) > 1 else "Station"
    sounds = len(event.text) if not event.sender else state.sounds
    on_paper = KEYING_MS * sounds if seat and seat.way == "paper" else 0.0
    leg = together(
        room,
        EXERCISES[KIND],
        station.push,
        event.start_room_ms + (state.delay_ms if event.sender else 0.0),
        None,
        within=top.id,
        speed=top.speed,
        seats=frozenset({station.seat}),
        counted=True,
        text=event.text,
        symbols=by_table_order(top.symbols + event.text),
        heading=f"{named} {station.number}",
        tidy_ms=room.sound.tidy_s * 1000.0 + on_paper,
        in_parts=bool(event.sender),
        unread=bool(event.sender),
    )
    leg.kind = "copying"
    station.keyed = _stretch(top, state, event, leg) if event.sender else None
    return begin_run(room, leg, now_ms)


def _stretch(top: Run, state: Relaying, event: BeginRelayLeg, leg: Run) -> Stretch:
    """What is keyed in a leg."""
    stretch = Stretch(
        number=len(state.keyed) + 1,
        seat=event.sender,
        start_room_ms=event.start_room_ms,
        delay_ms=state.delay_ms,
        paused_ms=top.paused_ms,
        part=leg,
    )
    state.keyed.append(stretch)
    return stretch


@handles(RelayByMachine)
def by_machine(room: Classroom, event: RelayByMachine, now_ms: float) -> list[Effect]:
    """What is being keyed is sent anew, and by the machine."""
    _, state = relay_of(room, room.seat(event.seat).id)
    if not state.by_hand:
        raise Refused("The machine sends it as it is.")
    state.no_key.add(event.seat)
    for station in state.stations:
        stretch = station.keyed
        if stretch is None or stretch.seat != event.seat or station.status != "copies":
            continue
        if not stretch.sounded or not stretch.on_ms:
            station.begin_anew(station.seat)
    return []


@handles(EndRelayLeg)
def end_leg(room: Classroom, event: EndRelayLeg, now_ms: float) -> list[Effect]:
    """Close the leg. A station that was passed over meanwhile, or given away, passes nothing on."""
    leg = room.run_of(event.push)
    top, state = relay(room.around(leg))
    effects: list[Effect] = []
    stretch = next((one for one in state.keyed if one.part is leg), None)
    if stretch is not None and not stretch.sounded:
        effects = cut_off(room, top, stretch, now_ms)
    if leg.phase(now_ms) in UNDER_WAY:
        leg.halted_room_ms = now_ms if leg.halted_room_ms is None else leg.halted_room_ms
        leg.stopped_room_ms = now_ms
        effects = to_its_seats(room, leg, halt_view(leg))
    station = state.sent_as(leg.id)
    if station is not None and station.status == "copies":
        station.take(leg, state.sounds if station.keyed else len(leg.sent))
    if leg.cancelled:
        leg.closed = True
        return effects
    return effects + close_run(room, leg, now_ms)


def cut_off(room: Classroom, top: Run, stretch: Stretch, now_ms: float) -> list[Effect]:
    """Nothing more is keyed in this leg; what was is read as it is."""
    kind = EXERCISES[KIND]
    assert isinstance(kind, ByHand)
    effects: list[Effect] = []
    if not stretch.over:
        effects = ended(room, top, kind, stretch, stretch.sounded_by_ms(top, now_ms), now_ms)
    stretch.sounded = True
    return effects


def is_here(room: Classroom, station: Station) -> bool:
    """Whether its learner is in the room now."""
    seat = room.seats.get(station.seat)
    return seat is not None and seat.here and seat.inside


def ends(room: Classroom, run: Run) -> Iterator[tuple[float, int]]:
    """When each open leg ends, and its run's number; none that is paused, or whose receiver is away."""
    state: Relaying = run.state
    for leg in room.parts_of(run)[1:]:
        station = state.sent_as(leg.id)
        if leg.closed:
            continue
        if station is None or station.status != "copies":
            yield AT_ONCE_MS, leg.id
            continue
        halted = run if leg.in_parts else leg  # what was keyed has a halt where it ended
        if run.stopped or halted.halted_room_ms is not None or leg.unread:
            continue
        if station.keyed is not None and not station.keyed.on_ms:
            continue  # the machine sends it
        if (copy := leg.copies.get(station.seat)) and copy.handed_in:
            yield leg.start_room_ms + leg.last_end_ms, leg.id
        elif is_here(room, station):
            over_ms = leg.start_room_ms + leg.tidy_end_ms + GRACE_MS
            yield max(over_ms, station.back_ms + BACK_MS), leg.id


def keyed_on(room: Classroom, run: Run) -> Iterator[tuple[float, Event]]:
    """What comes of itself at the keys, and when: a stretch is over, has sounded, or had nothing in it."""
    state: Relaying = run.state
    for station in state.stations:
        stretch = station.keyed
        if stretch is None or station.status != "copies":
            continue
        if not stretch.over:
            ends_ms = stretch.ends_ms(room, run, state.turn_s)
            if ends_ms is not None:
                yield ends_ms, TurnOver(stretch.number, stretch.sounded_by_ms(run, ends_ms), run.id)
        elif not stretch.on_ms:
            if run.halted_room_ms is None and stretch.seat:
                yield AT_ONCE_MS, RelayByMachine(stretch.seat, 0)
        elif not stretch.sounded:
            yield stretch.end_room_ms + REPORTS_MS, TurnSounded(stretch.number, run.id)


class Begins(NamedTuple):
    """A leg that can be sent: to whom, what, and by whose hand; 0: the machine sends it."""

    chain: int
    station: Station
    text: str
    sender: int


def begins(room: Classroom, run: Run) -> Iterator[Begins]:
    """The chains whose next leg can be sent; one that was cancelled, once more."""
    state: Relaying = run.state
    if run.halted_room_ms is not None:
        return
    for number, chain in enumerate(state.chains, 1):
        station = chain.at_hand
        if station is None or (station.status == "copies" and not _was_cancelled(room, station)):
            continue
        before = chain.before(station)
        by_hand = before is not None and state.keys(room, before)
        text = state.message if before is None else "" if by_hand else before.sends
        yield Begins(number, station, text, before.seat if before and by_hand else 0)


def _was_cancelled(room: Classroom, station: Station) -> bool:
    """Whether its leg is as if it had not been sent; where nothing was keyed, the machine has it first."""
    stretch = station.keyed
    is_empty = stretch is not None and stretch.over and not stretch.on_ms and stretch.seat > 0
    return room.run_of(station.push).cancelled and not is_empty
