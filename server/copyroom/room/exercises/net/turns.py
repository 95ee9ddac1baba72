"""How a net goes: parts are sent, questions asked and answered, receipts given."""

from __future__ import annotations

from msgspec.structs import replace

from copyroom.core.alphabet import INDEX
from copyroom.core.bursts import bursts, edges_ms
from copyroom.core.procedure import (
    Part,
    Question,
    answer_text,
    held_against,
    read_answer,
    read_question,
    words_of,
)
from copyroom.room.classroom import Classroom
from copyroom.room.contract import handles, settles
from copyroom.room.effects import CONSOLE, SEATS, Effect, Refused, Sound
from copyroom.room.exercises import EXERCISES, begin_run, close_run, together
from copyroom.room.exercises.copying import Copying
from copyroom.room.exercises.net.copied import LATER, all_held, held, sent
from copyroom.room.exercises.net.state import (
    ANSWER_MS,
    KIND,
    TIDY_MS,
    AnswerFill,
    AnswerForStation,
    AskFill,
    CompleteNet,
    Exchange,
    FreeChannel,
    Net,
    ReceiptNet,
    SendNextPart,
    Turn,
    may_answer,
    may_ask,
    may_send,
    net_at,
)
from copyroom.room.figures import Figures
from copyroom.room.run import Run

# ------------------------------------------------------------------ the parts


def send_part(room: Classroom, top: Run, start_room_ms: float, now_ms: float) -> list[Effect]:
    """Send the part at hand: all hear and copy it, its own station only listens."""
    net: Net = top.state
    station = net.stations[net.at]
    text = " ".join(station.groups)
    part = together(
        room,
        EXERCISES[KIND],
        len(room.runs) + 1,
        start_room_ms,
        None,
        within=top.id,
        speed=top.speed,
        seats=top.seats,
        text=text,
        symbols=top.symbols,
        counted=True,
        tidy_ms=min(TIDY_MS, room.sound.tidy_s * 1000.0),
        heading=f"Part {net.at + 1} of {len(net.stations)}, from {station.call}",
    )
    part.kind, station.run = Copying.kind, part.id
    effects = begin_run(room, part, now_ms)
    if own := part.copies.get(station.holder):
        own.aside_from, own.handed_in = 0, True  # who has the text before them copies nothing of it
    return effects


@handles(SendNextPart)
def send_next_part(room: Classroom, event: SendNextPart, now_ms: float) -> list[Effect]:
    """The part at hand is final; one that was cut off before its first sound is sent again."""
    top, net = net_at(room, event.run)
    if net.phase != "parts":
        raise Refused("Every part was sent.")
    part = room.run_of(net.stations[net.at].run)
    effects = [] if part.closed else close_run(room, part, now_ms)
    if not part.cancelled:
        net.at += 1
    if net.at < len(net.stations):
        return effects + send_part(room, top, event.start_room_ms, now_ms)
    net.at, net.phase = len(net.stations) - 1, "fills"
    return effects


# ------------------------------------------------------------------ a question


def sendable(text: str) -> str:
    """What was composed or keyed, as it is sounded."""
    words = " ".join(words_of(text))
    strange = "".join(sign for sign in dict.fromkeys(words) if sign != " " and sign not in INDEX)
    if strange or not words:
        raise Refused(f"{strange} has no signal in the code." if strange else "Nothing was written yet.")
    return words


def judged_question(figures: Figures, net: Net, event: AskFill) -> AskFill:
    """What a question asks for, held against what its asker misses."""
    have, own = all_held(figures, net, event.seat), net.held_by(event.seat)
    question = read_question(event.text, own, sent(net), [one.groups for one in have])
    fault, right, had = question.fault, "", 0
    if question.to >= 0 and own:
        theirs = have[question.to]
        part = Part(net.calls[question.to], theirs.groups)
        # What is just being counted may be missing: nobody is told that they had it.
        missing = theirs.missing | {i for i, state in enumerate(theirs.states) if state == LATER}
        fault, right = held_against(question, net.calls[own[0]], part, missing)
        had = sum(place not in missing for place in question.groups)
    return replace(
        event,
        to=question.to,
        form=question.form,
        named=question.named,
        groups=question.groups,
        had=had,
        fault=fault,
        right=right,
    )


@settles(AskFill)
def settle_question(figures: Figures, event: AskFill, now_ms: float) -> AskFill:
    """What it asks for."""
    _, net, _ = may_ask(figures.room, event.seat)
    if any(LATER in one.states for one in all_held(figures, net, event.seat)):
        raise Refused("Your copy is just being counted: once more in a moment.")
    event = judged_question(figures, net, replace(event, text=sendable(event.text)))
    return replace(event, start_room_ms=now_ms + figures.room.lead_ms())


@handles(AskFill)
def ask_fill(room: Classroom, event: AskFill, now_ms: float) -> list[Effect]:
    """The channel is this station's. What nobody can answer only sounds."""
    top, net, station = may_ask(room, event.seat)
    effect, end_ms = _sound(top, event.text, event.start_room_ms)
    begin_turn(net, station, event, end_ms, end_ms - now_ms)
    return [effect]


def begin_turn(net: Net, station: int, event: AskFill, end_ms: float, question_ms: float) -> Exchange:
    """A question stands; end_ms : when it has sounded."""
    question = Question(event.to, event.form, event.named, event.groups, event.fault)
    exchange = Exchange(station, event.seat, event.text, question, event.had, event.right)
    net.exchanges.append(exchange)
    given = None if question.understood else ()
    net.turn, net.unclear = Turn(exchange, end_ms, end_ms + ANSWER_MS, question_ms, given), None
    return exchange


def _sound(top: Run, text: str, start_room_ms: float) -> tuple[Sound, float]:
    """A question or an answer on every page at the class's speed, and when its last sound ends."""
    top.state.sounds += 1
    edges = edges_ms(bursts(text, top.speed))
    sound = Sound(all_in(top), top.id, top.state.sounds, edges, top.pitch_hz, start_room_ms)
    return sound, start_room_ms + edges[-1][-1]


def all_in(top: Run) -> tuple[int | str, ...]:
    """Who hears what is asked; the console sounds nothing that is for some alone."""
    return (SEATS, CONSOLE) if top.seats is None else tuple(sorted(top.seats))


def sound_the_rest(top: Run, halted_room_ms: float, at_room_ms: float) -> list[Effect]:
    """After a pause: the question or answer that it cut sounds on from the symbol that was cut."""
    net: Net = top.state
    turn = net.turn
    if turn is None:
        return []
    exchange, stood_ms = turn.exchange, at_room_ms - halted_room_ms
    is_answer = turn.given is not None and bool(exchange.answer)
    was_keyed = exchange.answer_keyed if is_answer else exchange.keyed
    turn.answer_by_ms += stood_ms
    if turn.sounded_ms <= halted_room_ms:
        return []
    if was_keyed:
        turn.sounded_ms += stood_ms
        return []
    edges = edges_ms(bursts(exchange.answer if is_answer else exchange.text, top.speed))
    begun_room_ms = turn.sounded_ms - edges[-1][-1]
    rest = [symbol for symbol in edges if begun_room_ms + symbol[-1] > halted_room_ms]
    moved = [[round(edge - rest[0][0], 3) for edge in symbol] for symbol in rest]
    turn.sounded_ms = at_room_ms + moved[-1][-1]
    net.sounds += 1
    return [Sound(all_in(top), top.id, net.sounds, moved, top.pitch_hz, at_room_ms)]


# ------------------------------------------------------------------ its answer


def judged_answer(net: Net, turn: Turn, event: AnswerFill) -> AnswerFill:
    """What an answer gives, held against what was asked."""
    station = net.stations[turn.exchange.question.to]
    found = read_answer(event.text, turn.exchange.question, net.calls, station.groups)
    return replace(event, groups=found.groups, extra=found.extra, fault=found.fault)


@settles(AnswerFill)
def settle_answer(figures: Figures, event: AnswerFill, now_ms: float) -> AnswerFill:
    """What it gives."""
    _, net, turn, _ = may_answer(figures.room, event.seat, now_ms)
    event = judged_answer(net, turn, replace(event, text=sendable(event.text)))
    return replace(event, start_room_ms=now_ms + figures.room.lead_ms())


@handles(AnswerFill)
def answer_fill(room: Classroom, event: AnswerFill, now_ms: float) -> list[Effect]:
    """It sounds on every page."""
    top, net, turn, _ = may_answer(room, event.seat, now_ms)
    note_answer(net, turn, event)
    return _answered(top, turn, event.text, event.groups, event.start_room_ms)


def note_answer(net: Net, turn: Turn, event: AnswerFill) -> None:
    """Who answers, and what was wrong with it."""
    exchange = turn.exchange
    exchange.by, exchange.extra, exchange.answer_fault = event.seat, event.extra, event.fault
    exchange.answer_right = _right_answer(net, exchange) if event.fault else ""
    net.unclear = None


@handles(AnswerForStation)
def answer_for_station(room: Classroom, event: AnswerForStation, now_ms: float) -> list[Effect]:
    """The server gives exactly what was asked for."""
    top, net = net_at(room, event.run)
    turn = net.turn
    if turn is None or turn.given is not None:
        raise Refused("Nothing waits for an answer.")
    exchange = turn.exchange
    text = _right_answer(net, exchange)
    return _answered(top, turn, text, exchange.question.groups, event.start_room_ms)


def _right_answer(net: Net, exchange: Exchange) -> str:
    station = net.stations[exchange.question.to]
    return answer_text(net.calls[exchange.asker], station.call, exchange.question, station.groups)


def _answered(top: Run, turn: Turn, text: str, groups: tuple[int, ...], start_room_ms: float) -> list[Effect]:
    effect, turn.sounded_ms = _sound(top, text, start_room_ms)
    turn.exchange.answer, turn.given = text, groups
    return [effect]


@handles(FreeChannel)
def free_channel(room: Classroom, event: FreeChannel, now_ms: float) -> list[Effect]:
    """Who heard the answer has what it gave, asked for by them or not."""
    _, net = net_at(room, event.run)
    net.turn = None
    for seat in event.seats if event.groups else ():
        if seat in room.seats:
            net.filled.setdefault((seat, event.to), set()).update(event.groups)
    return []


# ------------------------------------------------------------------ the end


@settles(ReceiptNet)
def settle_receipt(figures: Figures, event: ReceiptNet, now_ms: float) -> ReceiptNet:
    """Counted before it is receipted: every part's groups against its GR."""
    _, net, _ = may_send(figures.room, event.seat)
    for part, station in enumerate(net.stations):
        theirs, of = held(figures, net, event.seat, part), len(station.groups)
        if theirs.in_place < of:
            raise Refused(
                f"{station.call} gave GR {of}, and you have {theirs.in_place}: ask for what is missing first."
            )
    return event


@handles(ReceiptNet)
def receipt_net(room: Classroom, event: ReceiptNet, now_ms: float) -> list[Effect]:
    """This station has all of it."""
    _, net, _ = may_send(room, event.seat)
    net.receipted.add(event.seat)
    return []


@handles(CompleteNet)
def complete_net(room: Classroom, event: CompleteNet, now_ms: float) -> list[Effect]:
    """Every station has all of it."""
    _, net = net_at(room, event.run)
    net.phase, net.turn, net.complete_ms = "complete", None, now_ms
    return []
