"""Relay: a message goes from learner to learner, and in the end all look at where it went.

Each leg is a run of copying within the relay, for one seat alone. The first copies the message, each other
what the one before had: the machine sends it from the copy. What was really sent to a learner is what their
copy counts against. The legs of several chains sound at the same time. A leg ends by its receiver's handing
in, by its tidy-up time, or by the instructor.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Annotated, Any, Literal

import numpy as np
from msgspec import Meta, field
from msgspec.structs import replace

from copyroom.core.alphabet import INDEX, WORD_SPACE, by_table_order
from copyroom.core.bursts import bursts
from copyroom.core.relay import Row
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.composing import composed
from copyroom.room.contract import Audience, By, Event, Part, Settled, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Exercise, exercise, together
from copyroom.room.exercises.relay.chains import Chain, Relaying, Station, drawn
from copyroom.room.exercises.relay.legs import (
    AT_ONCE_MS,
    KIND,
    BeginRelayLeg,
    EndRelayLeg,
    StationNumber,
    begins,
    ends,
    is_here,
    relay,
)
from copyroom.room.figures import Figures
from copyroom.room.limits import SeatNumber, Symbols
from copyroom.room.run import Run

LONGEST = 60
"""Sounds in a message: each station copies all of it, one after another."""
PURPOSES = {"groups": "mix", "words": "words", "message": "message"}
READ: Collection[str] = ("words", "sentences", "contact", "message")
WELL_KNOWN, FEWEST_KNOWN, FEWEST = 0.8, 6, 3
"""It is proposed from these on: the lower bound of each known sound's recall, sounds known, learners."""
STATIONS, SOUND_S, BETWEEN_S, TALK_S = 5, 2.0, 15.0, 180.0
"""For the plan, which does not know who will come: stations, at some 6 words a minute; a judgement."""

# ------------------------------------------------------------------ what is chosen


class RelaySetup(Part, frozen=True, kw_only=True):
    """What travels, and along whom.

    what : an own `text`, or one drawn from `symbols` ("": the known ones), `sounds` long.
    left_out : who of those present has no part. parallel : chains at once, 0: so many that nobody waits long.
    names : stand beside the stations, on wall and phones too. message, chains : what is drawn.
    """

    what: Literal["own", "groups", "words", "message"] = "groups"
    text: Annotated[str, Meta(max_length=400)] = ""
    symbols: Symbols = ""
    sounds: Annotated[int, Meta(ge=5, le=40)] = 20
    left_out: Annotated[list[SeatNumber], Meta(max_length=1200)] = field(default_factory=list)
    parallel: Annotated[int, Meta(ge=0, le=40)] = 0
    names: bool = False
    message: Annotated[str, Meta(max_length=400), Settled.CHANCE] = ""
    chains: Annotated[list[list[SeatNumber]], Settled.CHANCE] = field(default_factory=list)


# ------------------------------------------------------------------ what the instructor does


@event(By.INSTRUCTOR, kept=True, whose="")
class PassOverStation(Event, frozen=True):
    """This learner's part falls away: the next one gets what the one before had."""

    seat: SeatNumber


@event(By.INSTRUCTOR, kept=True)
class ShowRelayChain(Event, frozen=True):
    """Of several chains this one is on the wall."""

    chain: StationNumber


def _pass_over(station: Station) -> None:
    station.status = "skipped"


@handles(PassOverStation)
def pass_over(room: Classroom, event: PassOverStation, now_ms: float) -> list[Effect]:
    """Who waits is passed over, too."""
    _, state = relay(room.open_run)
    place = state.of(room.seat(event.seat).id)
    if place is None or not place[1].is_open:
        raise Refused("That learner has no part to come in this.")
    _pass_over(place[1])
    return []


@handles(ShowRelayChain)
def show_chain(room: Classroom, event: ShowRelayChain, now_ms: float) -> list[Effect]:
    """Put another chain on the wall."""
    _, state = relay(room.run)
    if event.chain > len(state.chains):
        raise Refused("There is no such chain.")
    state.shown = event.chain
    return []


# ------------------------------------------------------------------ what is shown


class RelayStation(Part, frozen=True, kw_only=True):
    """A station as a row of the table.

    status : "waits", "copies", "held" (its learner is away), "passed", "nothing", "skipped" or "cut".
    copied : the station whose version it got, 0: the message. name : "" where names are not shown.
    signs, kinds, in_place : its version, per column, as core.relay has it; empty before the time for it.
    """

    station: int
    name: str
    status: str
    copied: int
    signs: str = ""
    kinds: str = ""
    in_place: int = 0


class RelayPath(Part, frozen=True, kw_only=True):
    """A chain with its tracks. columns : the message, " " where one was added; words : where one begins."""

    chain: int
    over: bool
    stations: list[RelayStation]
    columns: str = ""
    words: tuple[int, ...] = ()


class RelayForLearner(Part, frozen=True, kw_only=True):
    """A learner's own place, and who is at it.

    role : "copies", "waits", "passed", or "none" for who has no part.
    station, stations : the own number, and how many there are.
    at : the station that copies, 0 when all have; copied : the one whose version it gets; held : it is away.
    turns, about_s : stations before one's own turn, and how long they take, about.
    came, passed, path : what came in, what was passed on, and the whole way, once all are shown it.
    """

    chain: int
    chains: int
    role: Literal["copies", "waits", "passed", "none"]
    station: int
    stations: int
    at: int
    at_name: str
    copied: int
    held: bool
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
    """All of it, as it comes. seats, pushes : per chain and station whose it is, and the run sent to it."""

    message: str
    paths: list[RelayPath]
    seats: list[list[int]]
    pushes: list[list[int]]
    chain: int
    names: bool
    shown: bool


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
    stations = [station for station in chain.stations if station.status != "gone"]
    found = chain.tracks(state.message) if signs else None
    rows: Iterator[Row] = iter(found.rows if found else ())
    shown = []
    for station in stations:
        seat, before = room.seats.get(station.seat), chain.before(station)
        view = RelayStation(
            station=station.number,
            name=seat.name if names and seat else "",
            status=_status(room, station, plain=plain),
            copied=before.number if before else 0,
        )
        if found and station.status == "passed":
            row = next(rows)
            view = replace(view, signs=row.signs, kinds=row.kinds, in_place=row.in_place)
        shown.append(view)
    return RelayPath(
        chain=number,
        over=chain.at_hand is None,
        stations=shown,
        columns=found.columns if found else "",
        words=found.words if found else (),
    )


def _paths(room: Classroom, state: Relaying, *, signs: bool, names: bool, plain: bool) -> list[RelayPath]:
    numbers = range(1, len(state.chains) + 1)
    return [path_view(room, state, n, signs=signs, names=names, plain=plain) for n in numbers]


def _for_console(room: Classroom, run: Run) -> RelayForConsole:
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
    )


def _for_wall(room: Classroom, run: Run) -> RelayForWall:
    state: Relaying = run.state
    paths = _paths(room, state, signs=run.revealed, names=state.names, plain=True)
    return RelayForWall(paths=paths, chain=state.shown, closed=run.closed, shown=run.revealed)


def _for_learner(room: Classroom, run: Run, seat: Seat) -> RelayForLearner:
    state: Relaying = run.state
    number, own = state.of(seat.id) or (state.shown, None)
    chain = state.chains[number - 1]
    at = chain.at_hand
    before = chain.before(at) if at else None
    name = room.seats[at.seat].name if state.names and at and at.seat in room.seats else ""
    before_own = chain.stations[: chain.stations.index(own)] if own and own.is_open else []
    turns = sum(station.is_open for station in before_own)
    view = RelayForLearner(
        chain=number,
        chains=len(state.chains),
        role=_role(own),
        station=own.number if own else 0,
        stations=chain.stations[-1].number,
        at=at.number if at else 0,
        at_name=name,
        copied=before.number if before else 0,
        held=at is not None and at.status == "copies" and not is_here(room, at),
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


def _role(own: Station | None) -> Literal["copies", "waits", "passed", "none"]:
    if own is None:
        return "none"
    return "copies" if own.status == "copies" else "waits" if own.status == "waits" else "passed"


# ------------------------------------------------------------------ the kind


@exercise
class Relay(Exercise):
    """A message along chains of learners."""

    kind = KIND
    title = "Relay"
    hint = "A message goes from one to the next; then all look at where its characters went."
    setup = RelaySetup

    def proposed(self, figures: Figures) -> RelaySetup | None:
        """When words are read tonight and every known sound is surely recalled; once an evening."""
        room, found = figures.room, figures.findings.get("course")
        if found is None or room.hearing == "loudspeaker" or len(_players(room, ())) < FEWEST:
            return None
        tonight = room.meeting_runs()
        has_read = any(run.closed and run.counts and run.purpose in READ for run in tonight)
        recalled = [found.recall[INDEX[sign]] for sign in room.symbols]
        is_sure = len(recalled) >= FEWEST_KNOWN and all(i.enough and i.low >= WELL_KNOWN for i in recalled)
        if not has_read or not is_sure or any(run.kind == KIND for run in tonight):
            return None
        return RelaySetup(what="words")

    def settle(
        self, figures: Figures, setup: RelaySetup, rng: np.random.Generator, now_ms: float
    ) -> RelaySetup:
        """The message and the chains."""
        room = figures.room
        if room.hearing == "loudspeaker":
            raise Refused("In a relay one learner alone hears: let every page sound, not one loudspeaker.")
        players = _players(room, setup.left_out)
        if len(players) < 2:
            raise Refused("A relay needs two learners here who have a device of their own.")
        chains = drawn(players, setup.parallel, rng)
        return replace(setup, message=_message(room, setup, rng), chains=chains)

    def compose(self, room: Classroom, setup: RelaySetup, number: int, start_room_ms: float) -> Run:
        """Sounds come with its legs."""
        if not setup.message or not setup.chains:
            raise Refused("Nothing was drawn for this relay.")
        chains = [Chain([Station(n, seat) for n, seat in enumerate(c, 1)]) for c in setup.chains]
        keys = by_table_order(room.symbols + setup.message)
        run = together(room, self, number, start_room_ms, None, symbols=keys)
        leg_s = float(bursts(setup.message, run.speed).duration_s) + BETWEEN_S
        run.state = Relaying(setup.message, setup.names, chains, leg_s)
        return run

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """Who comes back in the middle of a leg has their sheet again, and some time."""
        place = run.state.of(seat.id)
        if place is not None and place[1].status == "copies":
            place[1].back_ms = now_ms

    # ---- how it goes on

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """The first leg to end, or now where one is to begin, or all are through."""
        due = [due_ms for due_ms, _ in ends(room, run)]
        is_due = _is_through(room, run) or any(begins(room, run))
        return min([*due, AT_ONCE_MS] if is_due else due, default=None)

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """What ends by now, then what begins; chains that begin together have the same start.

        When all are through the relay closes by itself: nothing is left but to show the way.
        """
        if _is_through(room, run):
            return [ev.Close()]
        lead_ms = max(room.lead_ms(), room.sound.lead_in_s * 1000.0)
        start_room_ms = max(run.start_room_ms, now_ms + lead_ms)
        over = (EndRelayLeg(push) for due_ms, push in ends(room, run) if due_ms <= now_ms)
        begun = (
            BeginRelayLeg(number, station.number, text, start_room_ms)
            for number, station, text in begins(room, run)
        )
        return [*over, *begun]

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """Where one station copies it is meant."""
        copying = [station for station in run.state.stations if station.status == "copies"]
        if len(copying) != 1:
            raise Refused("Which station? Pass it over beside its name.")
        _pass_over(copying[0])
        return []

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """To who is in no chain, or comes later; to the same learner: it is sent again from the start."""
        state: Relaying = run.state
        place = state.of(seat)
        if place is None or not place[1].is_open:
            raise Refused("That part is over already.")
        station = place[1]
        if seat != to:
            _make_free(room, state, station, to)
        elif station.status != "copies":
            raise Refused("That turn has not come yet.")
        station.begin_anew(to)
        return []

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """What has sounded to its end is passed on as it stands; what has not is not in the tracks."""
        for station in [station for station in run.state.stations if station.status == "copies"]:
            leg = room.run_of(station.push)
            if leg.cancelled or leg.sent_count < len(leg.sent):
                station.status = "cut"
            else:
                station.take(leg)
        return []

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their versions are gone; the chain goes on from the one before."""
        for station in run.state.stations:
            if station.seat in seats:
                station.strike_out()

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """The console sees all, wall and learners no character before they are shown it."""
        if seat is not None:
            return _for_learner(figures.room, run, seat)
        return (_for_console if audience is Audience.CONSOLE else _for_wall)(figures.room, run)

    def lasts_s(self, setup: RelaySetup) -> float:
        """For a usual chain, with the talk afterwards."""
        sounds = len(setup.text.replace(WORD_SPACE, "")) if setup.what == "own" else setup.sounds
        return STATIONS * (SOUND_S * sounds + BETWEEN_S) + TALK_S


def _is_through(room: Classroom, run: Run) -> bool:
    """Whether every chain has come to its end, and nothing sounds for anybody."""
    parts = room.parts_of(run)[1:]
    return run.state.is_over and run.halted_room_ms is None and all(leg.closed for leg in parts)


def _players(room: Classroom, left_out: Collection[int]) -> list[int]:
    """Who can have a part: here, with a device, in the order of seats."""
    return [
        seat.id
        for seat in room.seats.values()
        if seat.here and seat.inside and seat.device and seat.id not in left_out
    ]


def _message(room: Classroom, setup: RelaySetup, rng: np.random.Generator) -> str:
    """The own text, normalised, or a drawn one."""
    own, seed = setup.what == "own", int(rng.integers(2**53))
    symbols = setup.symbols or room.symbols
    purpose: Any = "own" if own else PURPOSES[setup.what]
    asked = ev.Compose(purpose, symbols, setup.sounds, 5, setup.text if own else "", seed)
    message = composed(room, asked)
    if (sounds := len(message.replace(WORD_SPACE, ""))) > LONGEST:
        raise Refused(
            f"That message has {sounds} sounds; each station copies all of it, so {LONGEST} at most."
        )
    return message


def _make_free(room: Classroom, state: Relaying, station: Station, to: int) -> None:
    """Let `to` have this part: who comes later changes places, or comes earlier when it has begun already."""
    seat = room.seat(to)
    if not (seat.here and seat.inside and seat.device):
        raise Refused(f"{seat.name} is not here with a device of their own.")
    own = [(chain, other) for chain in state.chains for other in chain.stations if other.seat == to]
    if any(other.push for _, other in own):
        raise Refused(f"{seat.name} has heard this message already.")
    for chain, other in own:
        if not other.is_open:
            continue
        if station.push:
            chain.stations.remove(other)
        else:
            other.seat = station.seat
