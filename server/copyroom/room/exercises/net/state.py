"""A net's setup, its events, and what is kept of it.

Three phases, each after the other: the parts are sent, what is missing is asked for, it is complete. While
groups are asked for there is one turn at a time: a question, then its answer, then the channel is free.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from msgspec import Meta

from copyroom.core.procedure import Question
from copyroom.room.classroom import Classroom
from copyroom.room.contract import By, Event, Part, Settled, event
from copyroom.room.effects import Refused
from copyroom.room.keyed import Stretch
from copyroom.room.limits import SeatNumber, Symbols
from copyroom.room.run import Run

KIND = "net"
FEWEST, MOST = 2, 6
"""Parts, and with them stations."""
ANSWER_MS = 60_000.0
"""After a question's last sound its station has so long to answer; then the server does."""
HELD_MS = 1500.0
"""For a station that nobody sits at the server answers so soon."""
TIDY_MS = 8000.0
"""After a part, at the most, before the next one follows."""

Phase = Literal["parts", "fills", "complete"]
Line = Annotated[str, Meta(min_length=1, max_length=160)]
Start = Annotated[float, Settled.ROOM]
Number = Annotated[int, Settled.ROOM]
Words = Annotated[tuple[str, ...], Settled.ROOM]
Numbers = Annotated[tuple[int, ...], Settled.ROOM]
Sentence = Annotated[str, Settled.ROOM]


class NetLost(Part, frozen=True, kw_only=True):
    """Groups of one part that the noise takes from one learner."""

    seat: int
    part: int
    groups: tuple[int, ...]


class NetSetup(Part, frozen=True, kw_only=True):
    """A message in parts; `stations`: whose they are, empty: drawn from those here; `parts` 0: as many.

    chance : of each group to be lost in the noise; 0: missing is only what was not written.
    symbols : known ones; "": the class's. known, holders (a seat a part, 0: the server), calls, texts, lost :
        settled by the room.
    """

    stations: Annotated[tuple[SeatNumber, ...], Meta(max_length=MOST)] = ()
    parts: Annotated[int, Meta(ge=0, le=MOST)] = 0
    groups: Annotated[int, Meta(ge=2, le=24)] = 8
    made_of: Literal["groups", "words"] = "groups"
    chance: Annotated[float, Meta(ge=0.0, le=0.5)] = 0.15
    symbols: Symbols = ""
    known: Annotated[str, Settled.CHANCE] = ""
    holders: Annotated[tuple[int, ...], Settled.CHANCE] = ()
    calls: Annotated[tuple[str, ...], Settled.CHANCE] = ()
    texts: Annotated[tuple[str, ...], Settled.CHANCE] = ()
    lost: Annotated[tuple[NetLost, ...], Settled.CHANCE] = ()


# ------------------------------------------------------------------ events


@event(By.SERVER, kept=True)
class SendNextPart(Event, frozen=True):
    """The part at hand is over: the next one is sent, or the net is open for questions.

    run : the net, 0: the one at hand; here and below.
    """

    start_room_ms: float
    run: int = 0


@event(By.LEARNER, kept=True)
class AskFill(Event, frozen=True):
    """A station asks another for what it misses. The room settles what it asks for.

    to : the part asked, -1 where nobody can tell. had : how many of the groups the asker had.
    """

    seat: Annotated[SeatNumber, Settled.SEAT]
    text: Line
    to: Number = -1
    form: Sentence = ""
    named: Words = ()
    groups: Numbers = ()
    had: Number = 0
    fault: Sentence = ""
    right: Sentence = ""
    start_room_ms: Start = 0.0


@event(By.LEARNER, kept=True)
class AnswerFill(Event, frozen=True):
    """The station that was asked answers. `extra`: groups in it that were not asked for."""

    seat: Annotated[SeatNumber, Settled.SEAT]
    text: Line
    groups: Numbers = ()
    extra: Number = 0
    fault: Sentence = ""
    start_room_ms: Start = 0.0


@event(By.SERVER, kept=True)
class AnswerForStation(Event, frozen=True):
    """The server answers, for a station that nobody sits at, or whose time is over."""

    start_room_ms: float
    run: int = 0


@event(By.SERVER, kept=True)
class FreeChannel(Event, frozen=True):
    """Question and answer have sounded: who heard them has these groups of the part."""

    to: int
    groups: tuple[int, ...]
    seats: tuple[int, ...]
    run: int = 0


@event(By.LEARNER, kept=True)
class ReceiptNet(Event, frozen=True):
    """A station has counted every part and gives its R."""

    seat: Annotated[SeatNumber, Settled.SEAT]


@event(By.SERVER, kept=True)
class CompleteNet(Event, frozen=True):
    """Every station has given its R."""

    run: int = 0


# ------------------------------------------------------------------ what is kept


@dataclass
class Station:
    """holder : the seat that it is, 0 when the server holds it. run : that its part was sent as, 0 before."""

    call: str
    groups: tuple[str, ...]
    holder: int = 0
    run: int = 0


@dataclass
class Exchange:
    """A question, what it came to, and its answer; seats are 0 for the server.

    keyed, answer_keyed : a hand has sounded it already.
    """

    asker: int
    seat: int
    text: str
    question: Question
    had: int
    right: str
    by: int = 0
    answer: str = ""
    extra: int = 0
    answer_fault: str = ""
    answer_right: str = ""
    keyed: bool = False
    answer_keyed: bool = False


@dataclass
class Turn:
    """The question at hand, from its first sound until the channel is free.

    sounded_ms : when it, or later the answer, has sounded; question_ms : how long the question took.
    answer_by_ms : then the server answers.
    given : the groups of the answer; None: it is waited for.
    """

    exchange: Exchange
    sounded_ms: float
    answer_by_ms: float
    question_ms: float
    given: tuple[int, ...] | None = None


@dataclass(kw_only=True)
class KeyedLine(Stretch):
    """A question, or an answer, as it is keyed; done: it came to something, or to nothing."""

    answers: bool
    done: bool = False


@dataclass
class Net:
    """at : the part at hand while they are sent. sounds : parts of sound of questions and answers so far.

    keyed : lines that were keyed. unclear : the last one, and by whom, where it could not be read surely.
    complete_ms : when every station had given its R; 0 where it was ended before.
    lost, filled : per seat and part, the groups lost in the noise, and those that came by a fill.
    """

    stations: list[Station]
    lost: dict[tuple[int, int], frozenset[int]]
    phase: Phase = "parts"
    at: int = 0
    turn: Turn | None = None
    sounds: int = 0
    filled: dict[tuple[int, int], set[int]] = field(default_factory=dict)
    receipted: set[int] = field(default_factory=set)
    exchanges: list[Exchange] = field(default_factory=list)
    complete_ms: float = 0.0
    keyed: list[KeyedLine] = field(default_factory=list)
    unclear: tuple[int, str] | None = None

    @property
    def hand(self) -> KeyedLine | None:
        """What is keyed now, or just being read."""
        return self.keyed[-1] if self.keyed and not self.keyed[-1].done else None

    def held_by(self, seat: int) -> list[int]:
        """The stations that a seat is."""
        return [i for i, station in enumerate(self.stations) if station.holder == seat]

    @property
    def calls(self) -> list[str]:
        """Of all stations."""
        return [station.call for station in self.stations]


def net_of(room: Classroom, seat: int) -> tuple[Run, Net]:
    """The net at hand that this seat is in; Refused where there is none."""
    for run in room.at_hand:
        if run.kind == KIND and not run.closed and run.has(seat):
            return run, run.state
    raise Refused("There is no net now.")


def net_at(room: Classroom, number: int) -> tuple[Run, Net]:
    """The net of this run, 0: the one at hand. Refused where it is over."""
    run = room.run_of(number) if number else room.open_run
    if run is None or run.kind != KIND or run.closed:
        raise Refused("There is no net now.")
    return run, run.state


def may_send(room: Classroom, seat: int) -> tuple[Run, Net, int]:
    """The net at hand, and which station the seat is; Refused where it cannot send now."""
    run, net = net_of(room, seat)
    held = net.held_by(seat)
    if not held:
        raise Refused("You are no station in this net: copy along.")
    if net.phase == "parts":
        raise Refused("The parts are still being sent.")
    if net.phase == "complete":
        raise Refused("The net is complete.")
    if run.halted_room_ms is not None:
        raise Refused("The net is stopped for the moment.")
    return run, net, held[0]


def may_ask(room: Classroom, seat: int) -> tuple[Run, Net, int]:
    """Where a seat may ask now: the channel is free, and it has not receipted."""
    run, net, station = may_send(room, seat)
    if seat in net.receipted:
        raise Refused("You have given your R: after the receipt nothing is asked for any more.")
    if net.turn is not None:
        raise Refused(f"{net.stations[net.turn.exchange.asker].call} was first: one question at a time.")
    refuse_another_hand(net, seat)
    return run, net, station


def refuse_another_hand(net: Net, seat: int) -> None:
    """While one keys nobody else sends, nor the same one otherwise."""
    hand = net.hand
    if hand is not None and hand.seat == seat:
        raise Refused("Your key is on: send it all, or give it back.")
    if hand is not None:
        held = net.held_by(hand.seat)
        raise Refused(f"{net.stations[held[0]].call if held else 'Another station'} is keying.")


def may_answer(room: Classroom, seat: int, now_ms: float) -> tuple[Run, Net, Turn, Station]:
    """Where a seat is the one that was asked, and the question has sounded."""
    run, net, _ = may_send(room, seat)
    turn = net.turn
    if turn is None or turn.given is not None:
        raise Refused("Nothing waits for an answer.")
    station = net.stations[turn.exchange.question.to]
    if station.holder != seat:
        raise Refused(f"{station.call} was asked.")
    if now_ms < turn.sounded_ms:
        raise Refused("The question is still being sent.")
    refuse_another_hand(net, seat)
    return run, net, turn, station
