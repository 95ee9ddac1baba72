"""The legs of a relay: when one begins, when it ends, and what is sent with it.

The room itself begins and ends them. What begins holds its text: so the journal tells which sounds there were
even when what somebody wrote was struck out of it. Sending by hand will come in here: a leg then has the
sounds that were keyed instead of a text.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from msgspec import Meta

from copyroom.core.alphabet import by_table_order
from copyroom.room.classroom import Classroom
from copyroom.room.contract import By, Event, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import EXERCISES, begin_run, close_run, to_its_seats, together
from copyroom.room.exercises.relay.chains import Relaying, Station
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
    """The station at hand of this chain is sent to. The text is what the one before had."""

    chain: StationNumber
    station: StationNumber
    text: RawText
    start_room_ms: float


@event(By.SERVER, kept=True)
class EndRelayLeg(Event, frozen=True):
    """What was sent with this run is over; its copy, as it stands, is passed on."""

    push: int


def relay(run: Run | None) -> tuple[Run, Relaying]:
    """The run and its state. Refused where it is no relay."""
    if run is None or run.kind != KIND:
        raise Refused("There is no relay at hand.")
    return run, run.state


@handles(BeginRelayLeg)
def begin_leg(room: Classroom, event: BeginRelayLeg, now_ms: float) -> list[Effect]:
    """Send what the one before had to the next."""
    top, state = relay(room.open_run)
    station = next(s for s in state.chains[event.chain - 1].stations if s.number == event.station)
    station.status, station.push, station.came = "copies", len(room.runs) + 1, event.text
    seat = room.seats.get(station.seat)
    on_paper = KEYING_MS * len(event.text) if seat and seat.way == "paper" else 0.0
    named = f"Chain {event.chain}, station" if len(state.chains) > 1 else "Station"
    leg = together(
        room,
        EXERCISES[KIND],
        station.push,
        event.start_room_ms,
        None,
        within=top.id,
        seats=frozenset({station.seat}),
        counted=True,
        text=event.text,
        symbols=by_table_order(top.symbols + event.text),
        heading=f"{named} {station.number}",
        tidy_ms=room.sound.tidy_s * 1000.0 + on_paper,
    )
    leg.kind = "copying"
    return begin_run(room, leg, now_ms)


@handles(EndRelayLeg)
def end_leg(room: Classroom, event: EndRelayLeg, now_ms: float) -> list[Effect]:
    """Close the leg. A station that was passed over meanwhile, or given away, passes nothing on."""
    leg = room.run_of(event.push)
    _, state = relay(room.top(leg))
    effects: list[Effect] = []
    if leg.phase(now_ms) in UNDER_WAY:
        leg.halted_room_ms = now_ms if leg.halted_room_ms is None else leg.halted_room_ms
        leg.stopped_room_ms = now_ms
        effects = to_its_seats(room, leg, halt_view(leg))
    station = state.sent_as(leg.id)
    if station is not None and station.status == "copies":
        station.take(leg)
    if leg.cancelled:
        leg.closed = True
        return effects
    return effects + close_run(room, leg, now_ms)


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
        elif run.stopped or leg.halted_room_ms is not None:
            continue
        elif (copy := leg.copies.get(station.seat)) and copy.handed_in:
            yield leg.start_room_ms + leg.last_end_ms, leg.id
        elif is_here(room, station):
            over_ms = leg.start_room_ms + leg.tidy_end_ms + GRACE_MS
            yield max(over_ms, station.back_ms + BACK_MS), leg.id


def begins(room: Classroom, run: Run) -> Iterator[tuple[int, Station, str]]:
    """The chains whose next leg can be sent, its station and its text; one that was cancelled, once more."""
    state: Relaying = run.state
    if run.halted_room_ms is not None:
        return
    for number, chain in enumerate(state.chains, 1):
        station = chain.at_hand
        if station is None or (station.status == "copies" and not room.run_of(station.push).cancelled):
            continue
        before = chain.before(station)
        yield number, station, before.sends if before else state.message
