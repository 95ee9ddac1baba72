"""What a relay shows: to each learner their own place, to the console all, to the wall how far it is."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Part
from copyroom.room.exercises.relay.chains import Chain, Relaying, Station
from copyroom.room.exercises.relay.legs import is_here
from copyroom.room.keyed.shown import AtKeyOut, at_key_view
from copyroom.room.run import Run

Role = Literal["copies", "keys", "waits", "passed", "none"]


class RelayStation(Part, frozen=True, kw_only=True):
    """A station as a row of the table.

    status : "waits", "copies", "held" (its learner is away), "passed", "nothing", "skipped" or "cut".
    copied : the station whose version it got, 0: the message. name : "" where names are not shown.
    signs, kinds, in_place : its version, per column, as core.relay has it; empty before the time for it.
    keyed_ : the same of what was keyed of it; empty where the machine sent it.
    """

    station: int
    name: str
    status: str
    copied: int
    signs: str = ""
    kinds: str = ""
    in_place: int = 0
    keyed_signs: str = ""
    keyed_kinds: str = ""
    keyed_in_place: int = 0


class RelayPath(Part, frozen=True, kw_only=True):
    """A chain with its tracks. columns : the message, " " where one was added; words : where one begins.

    keys : the station at the key, 0: the machine sends; held : its page is away.
    """

    chain: int
    over: bool
    keys: int
    held: bool
    stations: list[RelayStation]
    columns: str = ""
    words: tuple[int, ...] = ()


class RelayForLearner(Part, frozen=True, kw_only=True):
    """A learner's own place, and who is at it.

    role : "copies", "keys", "waits", "passed", or "none" for who has no part.
    station, stations : the own number, and how many there are.
    at : the station that copies, 0 when all have; copied : the one whose version it gets; held : it is away.
    keys : the station that sends by hand, 0: the machine; key_held : it is away. key : for who is that.
    turns, about_s : stations before one's own turn, and how long they take, about.
    came, passed, path : what came in, what was passed on, and the whole way, once all are shown it.
    """

    chain: int
    chains: int
    role: Role
    station: int
    stations: int
    at: int
    at_name: str
    copied: int
    held: bool
    keys: int
    key_held: bool
    key: AtKeyOut | None
    turns: int
    about_s: float
    push: int
    closed: bool
    shown: bool
    came: str = ""
    passed: str = ""
    path: RelayPath | None = None


class RelayForWall(Part, frozen=True, kw_only=True):
    """Stations and how far the message is; once all are shown it, the way of one chain."""

    paths: list[RelayPath]
    chain: int
    closed: bool
    shown: bool


class RelayForConsole(Part, frozen=True, kw_only=True):
    """All of it, as it comes. seats, pushes : per chain and station whose it is, and the run sent to it.

    by_hand : stations key; late : tones that came too late to be heard.
    """

    message: str
    paths: list[RelayPath]
    seats: list[list[int]]
    pushes: list[list[int]]
    chain: int
    names: bool
    shown: bool
    by_hand: bool
    late: int


def _status(room: Classroom, station: Station, *, plain: bool) -> str:
    """How it stands; plain : for all to see, where it does not matter how much was passed on."""
    if station.status == "copies" and not is_here(room, station):
        return "held"
    return "passed" if plain and station.status == "nothing" else station.status


def path_view(
    room: Classroom, state: Relaying, number: int, *, signs: bool, names: bool, plain: bool
) -> RelayPath:
    """One chain as a table; without `signs` nothing of the message is in it."""
    chain = state.chains[number - 1]
    found = chain.tracks(state.message) if signs else None
    rows = {}
    if found:
        versions = zip(chain.versions(), found.rows, strict=True)
        rows = {(station.number, is_keyed): row for (station, _, is_keyed), row in versions}
    shown = []
    for station in [station for station in chain.stations if station.status != "gone"]:
        seat, before = room.seats.get(station.seat), chain.before(station)
        view = RelayStation(
            station=station.number,
            name=seat.name if names and seat else "",
            status=_status(room, station, plain=plain),
            copied=before.number if before else 0,
        )
        if row := rows.get((station.number, False)):
            view = replace(view, signs=row.signs, kinds=row.kinds, in_place=row.in_place)
        if row := rows.get((station.number, True)):
            view = replace(view, keyed_signs=row.signs, keyed_kinds=row.kinds, keyed_in_place=row.in_place)
        shown.append(view)
    keys, held = _at_key(room, chain)
    return RelayPath(
        chain=number,
        over=chain.at_hand is None,
        keys=keys,
        held=held,
        stations=shown,
        columns=found.columns if found else "",
        words=found.words if found else (),
    )


def _at_key(room: Classroom, chain: Chain) -> tuple[int, bool]:
    """The station that keys in a chain, 0 for none, and whether its page is away."""
    at = chain.at_hand
    stretch = at.keyed if at is not None and at.status == "copies" else None
    before = chain.before(at) if at is not None else None
    if stretch is None or stretch.over or before is None:
        return 0, False
    return before.number, not is_here(room, before)


def _paths(room: Classroom, state: Relaying, *, signs: bool, names: bool, plain: bool) -> list[RelayPath]:
    numbers = range(1, len(state.chains) + 1)
    return [path_view(room, state, n, signs=signs, names=names, plain=plain) for n in numbers]


def for_console(room: Classroom, run: Run) -> RelayForConsole:
    """All versions as they come."""
    state: Relaying = run.state
    shown = [[s for s in chain.stations if s.status != "gone"] for chain in state.chains]
    return RelayForConsole(
        message=state.message,
        paths=_paths(room, state, signs=True, names=True, plain=False),
        seats=[[station.seat for station in stations] for stations in shown],
        pushes=[[station.push for station in stations] for stations in shown],
        chain=state.shown,
        names=state.names,
        shown=run.revealed,
        by_hand=state.by_hand,
        late=sum(stretch.late for stretch in state.keyed),
    )


def for_wall(room: Classroom, run: Run) -> RelayForWall:
    """How far it is; the way once it is shown."""
    state: Relaying = run.state
    paths = _paths(room, state, signs=run.revealed, names=state.names, plain=True)
    return RelayForWall(paths=paths, chain=state.shown, closed=run.closed, shown=run.revealed)


def for_learner(room: Classroom, run: Run, seat: Seat) -> RelayForLearner:
    """Their own place, and who is at it."""
    state: Relaying = run.state
    number, own = state.of(seat.id) or (state.shown, None)
    chain = state.chains[number - 1]
    at = chain.at_hand
    before = chain.before(at) if at else None
    name = room.seats[at.seat].name if state.names and at and at.seat in room.seats else ""
    before_own = chain.stations[: chain.stations.index(own)] if own and own.is_open else []
    turns = sum(station.is_open for station in before_own)
    keys, key_held = _at_key(room, chain)
    stretch = None if run.closed else state.at_key(seat.id)
    view = RelayForLearner(
        chain=number,
        chains=len(state.chains),
        role="keys" if stretch else _role(own),
        station=own.number if own else 0,
        stations=chain.stations[-1].number,
        at=at.number if at else 0,
        at_name=name,
        copied=before.number if before else 0,
        held=at is not None and at.status == "copies" and not is_here(room, at),
        keys=keys,
        key_held=key_held,
        key=at_key_view(run, stretch, own.sends, state.turn_s) if own and stretch else None,
        turns=turns,
        about_s=round(turns * state.leg_s, -1),
        push=own.push if own else 0,
        closed=run.closed,
        shown=run.revealed,
    )
    if not run.revealed:
        return view
    path = path_view(room, state, number, signs=True, names=state.names, plain=True)
    return replace(view, came=own.came if own else "", passed=own.written if own else "", path=path)


def _role(own: Station | None) -> Role:
    if own is None:
        return "none"
    return "copies" if own.status == "copies" else "waits" if own.status == "waits" else "passed"
