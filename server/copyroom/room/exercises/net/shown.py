"""What a net shows: to a learner their own parts, to the console every station's, to the wall how many.

Before the end no learner and no wall is told a group that was not copied there, and no question names one: a
question's words stand on the pages of the two that it is between, the others hear it.
"""

from __future__ import annotations

from msgspec.structs import replace

from copyroom.core.procedure import answer_text, differing, said
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Part
from copyroom.room.exercises.net.by_hand import KEYING_S
from copyroom.room.exercises.net.copied import COPIED, OWN, Held, all_held
from copyroom.room.exercises.net.state import Exchange, Net, Phase
from copyroom.room.figures import Figures
from copyroom.room.keyed.shown import AtKeyOut, at_key_view
from copyroom.room.run import Run

WRONG = "w"
"""Of a group that was copied as another one: shown at the end."""
SHOWN = 40
"""Exchanges on the console, the latest."""


class NetTurn(Part, frozen=True, kw_only=True):
    """The turn at hand: who asks whom, as indices of stations; `to` -1: nobody can tell.

    stage : "asked", until `answer_by_room_ms`; "void": nobody can answer that; "answered". `sounded_room_ms`:
    until then the question, or the answer, sounds; `question_ms`: from asking to the question's last sound.
    text, form, named, groups, said, fault : of the question; empty where they are not for this page.
    """

    asker: int
    to: int
    stage: str
    sounded_room_ms: float
    answer_by_room_ms: float
    question_ms: float
    text: str = ""
    said: str = ""
    form: str = ""
    named: tuple[str, ...] = ()
    groups: tuple[int, ...] = ()
    fault: str = ""


class NetHand(Part, frozen=True, kw_only=True):
    """Which station keys now, and whether it answers; read: it has sent it all, and that is being read."""

    station: int
    answers: bool
    read: bool


class NetExchange(Part, frozen=True, kw_only=True):
    """A question or answer as it was sent, the right form where it was wrong; `marked`: differing words.

    asked, had : groups asked for, and of them those that the asker had. extra : given, and not asked for.
    """

    call: str
    text: str
    marked: tuple[int, ...]
    right: str
    right_marked: tuple[int, ...]
    fault: str
    asked: int
    had: int
    extra: int


class NetFigures(Part, frozen=True, kw_only=True):
    """The net's, nobody's own: groups in place, fills asked, groups repeated unneeded, wrong forms."""

    in_place: int
    of: int
    fills: int
    unneeded: int
    wrong: int
    start_room_ms: float
    complete_room_ms: float


class NetRow(Part, frozen=True, kw_only=True):
    """One part as a learner has it: a letter a group (`states`), and the group. `sent`: at the end."""

    call: str
    name: str
    states: str
    groups: tuple[str, ...]
    sent: tuple[str, ...] = ()


class NetForLearner(Part, frozen=True, kw_only=True):
    """station : one's own index, -1 for who only copies along. own : the parts that are theirs.

    at : index of the part that is sent. last : one's own last question, where it was wrong.
    figures : the net's, when it is over: the more pages, the more often they would be reckoned.
    hand : who keys; key : for who does. unclear : one's own line as it was read, where that was not sure.
    """

    phase: Phase
    station: int
    own: tuple[int, ...]
    at: int
    run: int
    rows: tuple[NetRow, ...]
    turn: NetTurn | None
    receipted: bool
    last: NetExchange | None
    figures: NetFigures | None
    hand: NetHand | None
    key: AtKeyOut | None
    unclear: str
    exchanges: tuple[NetExchange, ...] = ()


class NetStation(Part, frozen=True, kw_only=True):
    """A station on the console: a letter a group for every part in turn."""

    call: str
    seat: int
    name: str
    here: bool
    groups: tuple[str, ...]
    states: tuple[str, ...]
    in_place: int
    receipted: bool


class NetCopier(Part, frozen=True, kw_only=True):
    """Who is no station, and copies along."""

    seat: int
    name: str


class NetForConsole(Part, frozen=True, kw_only=True):
    """expected : the answer that is right. late : tones of a hand that came too late to be heard."""

    phase: Phase
    at: int
    stations: tuple[NetStation, ...]
    copiers: tuple[NetCopier, ...]
    turn: NetTurn | None
    expected: str
    hand: NetHand | None
    unclear: str
    late: int
    figures: NetFigures
    exchanges: tuple[NetExchange, ...]


class NetOnWire(Part, frozen=True, kw_only=True):
    """A station on the wall: its call, how many groups it has; its part at the end."""

    call: str
    in_place: int
    receipted: bool
    groups: tuple[str, ...] = ()


class NetForWall(Part, frozen=True, kw_only=True):
    """No names, and no text before the end."""

    phase: Phase
    at: int
    of: int
    stations: tuple[NetOnWire, ...]
    turn: NetTurn | None
    hand: NetHand | None
    figures: NetFigures


# ------------------------------------------------------------------ turns and exchanges


def _turn(net: Net, *, whole: bool) -> NetTurn | None:
    turn = net.turn
    if turn is None:
        return None
    exchange = turn.exchange
    question = exchange.question
    void = turn.given is not None and not exchange.answer
    told = NetTurn(
        asker=exchange.asker,
        to=question.to,
        stage="void" if void else "asked" if turn.given is None else "answered",
        sounded_room_ms=turn.sounded_ms,
        answer_by_room_ms=turn.answer_by_ms,
        question_ms=turn.question_ms,
    )
    if not whole:
        return told
    return replace(
        told,
        text=exchange.text,
        said=said(question),
        form=question.form,
        named=question.named,
        groups=question.groups,
        fault=question.fault,
    )


def _hand(net: Net) -> NetHand | None:
    hand = net.hand
    held = net.held_by(hand.seat) if hand else []
    if hand is None or not held:
        return None
    station = net.turn.exchange.question.to if hand.answers and net.turn else held[0]
    return NetHand(station=station, answers=hand.answers, read=hand.over)


def _asked(net: Net, exchange: Exchange) -> NetExchange:
    question = exchange.question
    marked = differing(exchange.text, exchange.right) if exchange.right else ((), ())
    return NetExchange(
        call=net.calls[exchange.asker],
        text=exchange.text,
        marked=marked[0],
        right=exchange.right,
        right_marked=marked[1],
        fault=exchange.question.fault,
        asked=len(question.groups),
        had=exchange.had,
        extra=0,
    )


def _answered(net: Net, exchange: Exchange) -> NetExchange:
    marked = differing(exchange.answer, exchange.answer_right)
    return NetExchange(
        call=net.calls[exchange.question.to],
        text=exchange.answer,
        marked=marked[0],
        right=exchange.answer_right,
        right_marked=marked[1],
        fault=exchange.answer_fault,
        asked=0,
        had=0,
        extra=exchange.extra,
    )


def _exchanges(net: Net) -> tuple[NetExchange, ...]:
    """The latest first; an answer only where it was wrong."""
    found: list[NetExchange] = []
    for exchange in reversed(net.exchanges):
        if exchange.answer_fault:
            found.append(_answered(net, exchange))
        found.append(_asked(net, exchange))
    return tuple(found[:SHOWN])


def _figures(net: Net, run: Run, held: list[list[Held]]) -> NetFigures:
    return NetFigures(
        in_place=sum(one.in_place for theirs in held for one in theirs),
        of=len(held) * sum(len(station.groups) for station in net.stations),
        fills=len(net.exchanges),
        unneeded=sum(exchange.had + exchange.extra for exchange in net.exchanges),
        wrong=sum(bool(exchange.question.fault) + bool(exchange.answer_fault) for exchange in net.exchanges),
        start_room_ms=run.start_room_ms,
        complete_room_ms=net.complete_ms,
    )


def _last(net: Net, seat: int) -> NetExchange | None:
    """One's own last question, where it was wrong, until the next turn has begun."""
    last = net.exchanges[-1] if net.exchanges else None
    return _asked(net, last) if last and last.seat == seat and last.question.fault else None


# ------------------------------------------------------------------ for whom


def _of_stations(figures: Figures, net: Net) -> list[list[Held]]:
    """What each station has; one that the server holds has all."""
    whole = [Held(OWN * len(station.groups), station.groups) for station in net.stations]
    return [all_held(figures, net, one.holder) if one.holder else whole for one in net.stations]


def _name(room: Classroom, seat: int) -> str:
    return room.seats[seat].name if seat in room.seats else ""


def for_learner(figures: Figures, run: Run, seat: Seat) -> NetForLearner:
    """Their own hold on every part; before the end nothing that they did not copy."""
    net: Net = run.state
    own, turn, hand = net.held_by(seat.id), net.turn, net.hand
    mine = turn is not None and (turn.exchange.asker in own or turn.exchange.question.to in own)
    rows = []
    for station, theirs in zip(net.stations, all_held(figures, net, seat.id), strict=True):
        states = theirs.states
        if run.revealed:
            pairs = zip(states, theirs.groups, station.groups, strict=True)
            states = "".join(WRONG if s == COPIED and has != was else s for s, has, was in pairs)
        name = _name(figures.room, station.holder)
        sent = station.groups if run.revealed else ()
        rows.append(NetRow(call=station.call, name=name, states=states, groups=theirs.groups, sent=sent))
    return NetForLearner(
        phase=net.phase,
        station=own[0] if own else -1,
        own=tuple(own),
        at=net.at,
        run=net.stations[net.at].run,
        rows=tuple(rows),
        turn=_turn(net, whole=mine),
        receipted=seat.id in net.receipted,
        last=_last(net, seat.id),
        figures=_figures(net, run, _of_stations(figures, net)) if net.phase == "complete" else None,
        hand=_hand(net),
        key=at_key_view(run, hand, "", KEYING_S) if hand and hand.seat == seat.id and not hand.over else None,
        unclear=net.unclear[1] if net.unclear and net.unclear[0] == seat.id else "",
        exchanges=_exchanges(net) if run.revealed else (),
    )


def for_console(figures: Figures, run: Run) -> NetForConsole:
    """Everything, by station."""
    net, room = run.state, figures.room
    held, turn = _of_stations(figures, net), net.turn
    stations = tuple(
        NetStation(
            call=station.call,
            seat=station.holder,
            name=_name(room, station.holder),
            here=station.holder in room.seats and room.seats[station.holder].here,
            groups=station.groups,
            states=tuple(one.states for one in theirs),
            in_place=sum(one.in_place for one in theirs),
            receipted=station.holder in net.receipted,
        )
        for station, theirs in zip(net.stations, held, strict=True)
    )
    expected = ""
    if turn is not None and turn.exchange.question.understood:
        question, asker = turn.exchange.question, net.calls[turn.exchange.asker]
        asked = net.stations[question.to]
        expected = answer_text(asker, asked.call, question, asked.groups)
    return NetForConsole(
        phase=net.phase,
        at=net.at,
        stations=stations,
        copiers=_copiers(figures, run),
        turn=_turn(net, whole=True),
        expected=expected,
        hand=_hand(net),
        unclear=net.unclear[1] if net.unclear else "",
        late=net.keyed[-1].late if net.keyed else 0,
        figures=_figures(net, run, held),
        exchanges=_exchanges(net),
    )


def _copiers(figures: Figures, run: Run) -> tuple[NetCopier, ...]:
    here = (seat for seat in figures.room.seats.values() if seat.here and seat.inside and run.has(seat.id))
    return tuple(NetCopier(seat=seat.id, name=seat.name) for seat in here if not run.state.held_by(seat.id))


def for_wall(figures: Figures, run: Run) -> NetForWall:
    """The wire, and how many groups are in place."""
    net: Net = run.state
    held = _of_stations(figures, net)
    return NetForWall(
        phase=net.phase,
        at=net.at,
        of=sum(len(station.groups) for station in net.stations),
        stations=tuple(
            NetOnWire(
                call=station.call,
                in_place=sum(one.in_place for one in theirs),
                receipted=station.holder in net.receipted,
                groups=station.groups if run.revealed else (),
            )
            for station, theirs in zip(net.stations, held, strict=True)
        ),
        turn=_turn(net, whole=False),
        hand=_hand(net),
        figures=_figures(net, run, held),
    )
