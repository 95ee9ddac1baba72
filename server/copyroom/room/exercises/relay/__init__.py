"""Relay: a message goes from learner to learner, and in the end all look at where it went.

Each leg is a run of copying within the relay, for one seat alone. The first copies the message, each other
what the one before had: the machine sends it from the copy. What was really sent to a learner is what their
copy counts against. The legs of several chains sound at the same time. A leg ends by its receiver's handing
in, by its tidy-up time, or by the instructor. Where stations pass on by hand, each keys what they have for
the next one, and what was keyed is read when the keying is over.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Annotated, Any, Literal

import numpy as np
from msgspec import Meta, field
from msgspec.structs import replace

from copyroom.core.alphabet import INDEX, WORD_SPACE, by_table_order
from copyroom.core.bursts import bursts
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.composing import composed
from copyroom.room.contract import Audience, By, Event, Part, Settled, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Act, exercise, together
from copyroom.room.exercises.relay.chains import Chain, Relaying, Station, drawn
from copyroom.room.exercises.relay.legs import (
    AT_ONCE_MS,
    KIND,
    BeginRelayLeg,
    EndRelayLeg,
    StationNumber,
    begins,
    cut_off,
    ends,
    keyed_on,
    relay,
    relay_of,
)
from copyroom.room.exercises.relay.shown import for_console, for_learner, for_wall
from copyroom.room.figures import Figures, Job
from copyroom.room.keyed import ByHand, Stretch, delay_ms
from copyroom.room.keyed.events import TurnRead
from copyroom.room.keyed.playing import keyed_acts
from copyroom.room.keyed.reading import read_plainly
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
SLOWER_BY_HAND = 1.5
"""A judgement, too."""
READY_MS = 6000.0
"""For who has just copied, to come to the key."""

# ------------------------------------------------------------------ what is chosen


class RelaySetup(Part, frozen=True, kw_only=True):
    """What travels, and along whom.

    what : an own `text`, or one drawn from `symbols` ("": the known ones), `sounds` long.
    left_out : who of those present has no part. parallel : chains at once, 0: so many that nobody waits long.
    names : stand beside the stations, on wall and phones too. message, chains : what is drawn.
    by_hand : each keys what they have, but for those with `no_key`; turn_s : they may take so long.
    delay_ms : settled.
    """

    what: Literal["own", "groups", "words", "message"] = "groups"
    text: Annotated[str, Meta(max_length=400)] = ""
    symbols: Symbols = ""
    sounds: Annotated[int, Meta(ge=5, le=40)] = 20
    left_out: Annotated[list[SeatNumber], Meta(max_length=1200)] = field(default_factory=list)
    parallel: Annotated[int, Meta(ge=0, le=40)] = 0
    names: bool = False
    by_hand: bool = False
    no_key: Annotated[list[SeatNumber], Meta(max_length=1200)] = field(default_factory=list)
    turn_s: Annotated[float, Meta(ge=20.0, le=600.0)] = 180.0
    message: Annotated[str, Meta(max_length=400), Settled.CHANCE] = ""
    chains: Annotated[list[list[SeatNumber]], Settled.CHANCE] = field(default_factory=list)
    delay_ms: Annotated[float, Settled.ROOM] = 0.0


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
    _, state = relay_of(room, room.seat(event.seat).id)
    place = state.of(event.seat)
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


# ------------------------------------------------------------------ the kind


@exercise
class Relay(ByHand):
    """A message along chains of learners."""

    kind = KIND
    title = "Relay"
    hint = "A message goes from one to the next; then all look at where its characters went."
    setup = RelaySetup
    heard_at_console = False
    ends_with_others = True

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
        """The message and the chains, of all."""
        return self.settle_for(figures, setup, None, rng, now_ms)

    def settle_for(
        self,
        figures: Figures,
        setup: RelaySetup,
        seats: Collection[int] | None,
        rng: np.random.Generator,
        now_ms: float,
    ) -> RelaySetup:
        """The message and the chains, of those who are in a circle."""
        room = figures.room
        if room.hearing == "loudspeaker":
            raise Refused("In a relay one learner alone hears: let every page sound, not one loudspeaker.")
        able = _players(room, setup.left_out)
        players = [seat for seat in able if seats is None or seat in seats]
        if len(players) < 2:
            raise Refused("A relay needs two learners here who have a device of their own.")
        chains = drawn(players, setup.parallel, rng)
        delay = delay_ms(room.lead_ms()) if setup.by_hand else 0.0
        return replace(setup, message=_message(room, setup, rng), chains=chains, delay_ms=delay)

    def compose(self, room: Classroom, setup: RelaySetup, number: int, start_room_ms: float) -> Run:
        """Sounds come with its legs."""
        if not setup.message or not setup.chains:
            raise Refused("Nothing was drawn for this relay.")
        chains = [Chain([Station(n, seat) for n, seat in enumerate(c, 1)]) for c in setup.chains]
        keys = by_table_order(room.symbols + setup.message)
        run = together(room, self, number, start_room_ms, None, symbols=keys)
        leg_s = float(bursts(setup.message, run.speed).duration_s) + BETWEEN_S
        if setup.by_hand:
            leg_s *= SLOWER_BY_HAND
        run.state = Relaying(
            setup.message,
            setup.names,
            chains,
            leg_s,
            by_hand=setup.by_hand,
            no_key=set(setup.no_key),
            turn_s=setup.turn_s,
            delay_ms=setup.delay_ms,
        )
        return run

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """Who comes back in the middle of a leg has their sheet again, and some time."""
        place = run.state.of(seat.id)
        if place is not None and place[1].status == "copies":
            place[1].back_ms = now_ms
        if stretch := run.state.at_key(seat.id):
            stretch.back_ms = now_ms

    # ---- how it goes on

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """The first leg to end, or now where one is to begin, or all are through."""
        due = [due_ms for due_ms, _ in (*ends(room, run), *keyed_on(room, run))]
        is_due = (_is_through(room, run) and not run.within) or any(begins(room, run))
        return min([*due, AT_ONCE_MS] if is_due else due, default=None)

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """What ends by now, then what begins; chains that begin together have the same start.

        When all are through the relay closes by itself, in a circle with the others: nothing is left but to
        show the way.
        """
        if _is_through(room, run) and not run.within:
            return [ev.Close()]
        lead_ms = max(room.lead_ms(), room.sound.lead_in_s * 1000.0)
        start_room_ms = max(run.start_room_ms, now_ms + lead_ms)
        keyed = (event for due_ms, event in keyed_on(room, run) if due_ms <= now_ms)
        over = (EndRelayLeg(push) for due_ms, push in ends(room, run) if due_ms <= now_ms)
        begun = (
            BeginRelayLeg(
                leg.chain,
                leg.station.number,
                leg.text,
                max(start_room_ms, now_ms + READY_MS) if leg.sender else start_room_ms,
                run.id,
                leg.sender,
            )
            for leg in begins(room, run)
        )
        return [*keyed, *over, *begun]

    # ---- what is keyed

    def stretches(self, run: Run) -> Sequence[Stretch]:
        """Of all chains."""
        state: Relaying = run.state
        return state.keyed

    def reading(self, run: Run, stretch: Stretch) -> Job:
        """Signs of the message may be in it, and those that the class knows."""
        return read_plainly(run, stretch, run.symbols)

    def take_reading(self, room: Classroom, run: Run, stretch: Stretch, read: TurnRead) -> list[Effect]:
        """Its receiver's copy is held against what was keyed."""
        state: Relaying = run.state
        station = state.sent_as(stretch.part.id) if stretch.part else None
        if station is not None and stretch.part is not None:
            station.learn(stretch.part)
        return []

    # ---- what the instructor does

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
        if not run.has(to):
            raise Refused(f"{room.seat(to).name} is in another circle.")
        station = place[1]
        if seat != to:
            _make_free(room, state, station, to)
        elif station.status != "copies":
            raise Refused("That turn has not come yet.")
        station.begin_anew(to)
        return []

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """What has sounded to its end is passed on as it stands; what has not is not in the tracks."""
        state: Relaying = run.state
        effects: list[Effect] = []
        for station in [station for station in state.stations if station.status == "copies"]:
            leg, stretch = room.run_of(station.push), station.keyed
            was_over = stretch is None or (stretch.over and bool(stretch.on_ms))
            if stretch is not None and not stretch.sounded:
                effects += cut_off(room, run, stretch, now_ms)
            if leg.cancelled or leg.sent_count < len(leg.sent) or not was_over:
                station.status = "cut"
            else:
                station.take(leg, state.sounds if stretch else len(leg.sent))
        return effects

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their versions are gone; the chain goes on from the one before."""
        run.state.strike_out(seats)

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """The console sees all, wall and learners no character before they are shown it."""
        if seat is not None:
            return for_learner(figures.room, run, seat)
        return (for_console if audience is Audience.CONSOLE else for_wall)(figures.room, run)

    def lasts_s(self, setup: RelaySetup) -> float:
        """For a usual chain, with the talk afterwards."""
        sounds = len(setup.text.replace(WORD_SPACE, "")) if setup.what == "own" else setup.sounds
        each_s = SOUND_S * (SLOWER_BY_HAND if setup.by_hand else 1.0)
        return STATIONS * (each_s * sounds + BETWEEN_S) + TALK_S

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """A simulated learner keys what it has; copying goes by itself."""
        key = told["key"]
        if key is None or key["kept"] or not key["text"]:
            return ()
        return keyed_acts(key["turn"], key["text"], READY_MS / 1000.0, rng)


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
