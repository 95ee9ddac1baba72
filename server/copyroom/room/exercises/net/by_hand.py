"""Asking and answering by hand: a key is taken, what is keyed sounds as it comes, and is judged once read."""

from __future__ import annotations

from collections.abc import Iterator

from copyroom.core.procedure import FORMS
from copyroom.room.classroom import Classroom
from copyroom.room.contract import By, Event, event, handles, settles
from copyroom.room.effects import Effect, Refused
from copyroom.room.events.seating import OwnSeat
from copyroom.room.exercises.net.state import (
    ANSWER_MS,
    AnswerFill,
    AskFill,
    KeyedLine,
    Net,
    Number,
    Start,
    may_answer,
    may_ask,
    may_send,
    net_of,
)
from copyroom.room.exercises.net.turns import (
    begin_turn,
    judged_answer,
    judged_question,
    note_answer,
    sendable,
)
from copyroom.room.figures import Figures, Job, let_none_out
from copyroom.room.keyed.events import TurnOver, TurnSounded
from copyroom.room.keyed.reading import reading_of
from copyroom.room.keyed.stretch import delay_ms
from copyroom.room.run import Run

KEYING_S = 150.0
"""A question of twenty symbols takes a beginner's hand about a minute and a half (a judgement)."""
SURE = 0.5
"""Each symbol must be read at least so surely. Of 40 questions by simulated hands each, all were with 15 %
unsteadiness, and read without an error; with 25 % half were right, most of the others unsure."""
PROCEDURE = "".join(FORMS) + "?/"
MOST_SIGNS = 160


# ------------------------------------------------------------------ events


@event(By.LEARNER, kept=True)
class TakeNetKey(Event, frozen=True):
    """This station keys its question, or the answer that is waited for; nobody else sends meanwhile."""

    seat: OwnSeat
    turn: Number = 0
    delay_ms: Start = 0.0
    start_room_ms: Start = 0.0


@event(By.LEARNER, kept=True)
class LeaveNetKey(Event, frozen=True):
    """It gives the key back; whatever was keyed comes to nothing."""

    seat: OwnSeat


@event(By.SERVER, kept=True)
class JudgeKeyed(Event, frozen=True):
    """What was keyed is read, and judged as if it had been composed.

    question, answer : one of them; neither: it could not be read surely enough.
    """

    seat: int
    turn: int
    run: int
    text: str
    question: AskFill | None = None
    answer: AnswerFill | None = None


# ------------------------------------------------------------------ at the key


def _may_key(room: Classroom, seat: int, now_ms: float) -> tuple[Run, Net, bool]:
    """The net, and whether it is an answer that this seat is to key. Refused where it can key nothing."""
    run, net, _ = may_send(room, seat)
    turn = net.turn
    if turn is not None and turn.given is None and net.stations[turn.exchange.question.to].holder == seat:
        may_answer(room, seat, now_ms)
        return run, net, True
    may_ask(room, seat)
    return run, net, False


@settles(TakeNetKey)
def settle_taken(figures: Figures, event: TakeNetKey, now_ms: float) -> TakeNetKey:
    """From now on its tones are heard."""
    _, net, _ = _may_key(figures.room, event.seat, now_ms)
    number = max((line.number for line in net.keyed), default=0) + 1
    return TakeNetKey(event.seat, number, delay_ms(figures.room.lead_ms()), now_ms)


@handles(TakeNetKey)
def take_key(room: Classroom, event: TakeNetKey, now_ms: float) -> list[Effect]:
    """The channel is this station's."""
    run, net, answers = _may_key(room, event.seat, now_ms)
    line = KeyedLine(
        number=event.turn,
        seat=event.seat,
        start_room_ms=event.start_room_ms,
        delay_ms=event.delay_ms,
        paused_ms=run.paused_ms,
        batches=net.sounds,
        answers=answers,
    )
    net.keyed.append(line)
    net.unclear = None
    return []


@handles(LeaveNetKey)
def leave_key(room: Classroom, event: LeaveNetKey, now_ms: float) -> list[Effect]:
    """The channel is as it was before."""
    _, net = net_of(room, event.seat)
    hand = net.hand
    if hand is None or hand.seat != event.seat or hand.over:
        raise Refused("You are not at the key.")
    put_down(net, now_ms)
    return []


def put_down(net: Net, now_ms: float) -> None:
    """Nothing comes of what is keyed now; who was asked has the whole time again."""
    hand = net.hand
    if hand is None:
        return
    hand.over = hand.sounded = hand.done = True
    net.sounds = max(net.sounds, hand.batches)
    if hand.answers and net.turn is not None:
        net.turn.answer_by_ms = max(net.turn.answer_by_ms, now_ms + ANSWER_MS)


def keyed_out(net: Net, line: KeyedLine, now_ms: float) -> None:
    """What was keyed waits for being read."""
    if line.on_ms:
        net.sounds = max(net.sounds, line.batches)
    else:
        put_down(net, now_ms)


def comes(room: Classroom, run: Run) -> Iterator[tuple[float, Event]]:
    """What comes of itself at the key, and when."""
    net: Net = run.state
    hand = net.hand
    if hand is None:
        return
    if not hand.over:
        ends_ms = hand.ends_ms(room, run, KEYING_S)
        if ends_ms is not None:
            yield ends_ms, TurnOver(hand.number, hand.sounded_by_ms(run, ends_ms), run.id)
    elif not hand.sounded:
        yield hand.end_room_ms, TurnSounded(hand.number, run.id)


# ------------------------------------------------------------------ read, and judged


def judged(figures: Figures, run: Run, line: KeyedLine) -> Job:
    """Read what was keyed and judge it as a composed one; what is not read surely comes to nothing."""
    net: Net = run.state
    seat, number, turn = line.seat, line.number, net.turn
    yield []
    reading = yield from let_none_out(reading_of(line, PROCEDURE + run.symbols + "".join(net.calls)))
    text = reading.text
    is_sure = len(reading.confidence) > 0 and min(reading.confidence) >= SURE and len(text) <= MOST_SIGNS
    found = JudgeKeyed(seat, number, run.id, text)
    if is_sure and not line.answers:
        asked = judged_question(figures, net, AskFill(seat, sendable(text)))
        found = JudgeKeyed(seat, number, run.id, text, question=asked)
    elif is_sure and turn is not None:
        answered = judged_answer(net, turn, AnswerFill(seat, sendable(text)))
        found = JudgeKeyed(seat, number, run.id, text, answer=answered)
    yield [found]


@handles(JudgeKeyed)
def judge_keyed(room: Classroom, event: JudgeKeyed, now_ms: float) -> list[Effect]:
    """The turn goes on as after a composed one; it has sounded already."""
    net: Net = room.run_of(event.run).state
    line, turn = net.hand, net.turn
    if line is None or (line.number, line.seat) != (event.turn, event.seat):
        return []  # the key was given back meanwhile, or its station taken out
    line.done = True
    held, end_ms = net.held_by(event.seat), max(now_ms, line.end_room_ms)
    if event.question is not None and held and turn is None:
        lasted_ms = line.end_room_ms - line.start_room_ms
        begin_turn(net, held[0], event.question, end_ms, lasted_ms).keyed = True
    elif event.answer is not None and turn is not None and turn.given is None:
        note_answer(net, turn, event.answer)
        turn.exchange.answer, turn.exchange.answer_keyed = event.answer.text, True
        turn.given, turn.sounded_ms = event.answer.groups, end_ms
    else:
        net.unclear = (event.seat, event.text)
        if turn is not None:
            turn.answer_by_ms = max(turn.answer_by_ms, now_ms + ANSWER_MS)
    return []
