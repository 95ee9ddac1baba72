"""What happens in turns at the key beside the keying: they begin, a text is said, a hand is shown."""

from __future__ import annotations

from copyroom.core.alphabet import WORD_SPACE, by_table_order
from copyroom.core.text import normalise
from copyroom.room import exercises
from copyroom.room.classroom import Classroom
from copyroom.room.composing import LONGEST_TEXT
from copyroom.room.contract import handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises.key.events import NextTurn, SayText, ShowFist, WordAgain
from copyroom.room.exercises.key.turns import KIND, TIDY_MS, AtKey, Turn
from copyroom.room.keyed.handling import at_key
from copyroom.room.keyed.reading import PLAIN
from copyroom.room.run import Run

# ------------------------------------------------------------------ the turn at hand


def _own_turn(room: Classroom, seat: int, number: int) -> tuple[Run, AtKey, Turn]:
    run, turn = at_key(room, seat, number)
    if run.kind != KIND or not isinstance(turn, Turn):
        raise Refused("There is no text to say in this.")
    return run, run.state, turn


def begin_turn(room: Classroom, run: Run, start_room_ms: float, now_ms: float) -> list[Effect]:
    """The next of the queue who still is in the room; nothing where there is none."""
    state: AtKey = run.state
    while state.queue and state.queue[0][0] not in room.seats:
        state.queue.pop(0)
    if not state.queue:
        return []
    seat, meant = state.queue.pop(0)
    delay = state.setup.delay_ms
    part = Run(
        id=len(room.runs) + 1,
        purpose="together",
        symbols=by_table_order((room.symbols or PLAIN) + (meant.replace(WORD_SPACE, "") or PLAIN)),
        text="",
        speed=run.speed,
        pitch_hz=run.pitch_hz,
        start_room_ms=start_room_ms + delay,
        tidy_ms=TIDY_MS,
        name_shown=False,
        counted=True,
        heading=f"Sent by hand, turn {len(state.turns) + 1}",
        within=run.id,
        seats=frozenset(n for n, other in room.seats.items() if other.inside and n != seat and run.has(n)),
        in_parts=True,
        unread=True,
    )
    turn = Turn(
        number=len(state.turns) + 1,
        seat=seat,
        start_room_ms=start_room_ms,
        delay_ms=delay,
        paused_ms=run.paused_ms,
        part=part,
        given=meant,
        meant=meant,
        announced_ms=now_ms,
    )
    state.turns.append(turn)
    return exercises.begin_run(room, part, now_ms)


@handles(SayText)
def say_text(room: Classroom, event: SayText, now_ms: float) -> list[Effect]:
    """What the sender means to key, so that hand and ear can be told apart afterwards."""
    _, state, turn = _own_turn(room, event.seat, event.turn)
    if state.setup.text != "said":
        raise Refused("What to key is given.")
    if turn.on_ms:
        raise Refused("You have begun already.")
    try:
        turn.meant = normalise(event.text)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    return []


@handles(WordAgain)
def word_again(room: Classroom, event: WordAgain, now_ms: float) -> list[Effect]:
    """What is sent twice is meant twice."""
    _, _, turn = _own_turn(room, event.seat, event.turn)
    words = turn.meant.split(WORD_SPACE)
    if turn.over or event.word >= len(words) or len(turn.meant) > LONGEST_TEXT:
        raise Refused("There is no such word to send again.")
    words.insert(event.word, words[event.word])
    turn.meant = WORD_SPACE.join(words)
    return []


@handles(NextTurn)
def next_turn(room: Classroom, event: NextTurn, now_ms: float) -> list[Effect]:
    """The copies of a turn are final; the next one comes."""
    run = room.run_of(event.run) if event.run else room.open_run
    if run is None or run.kind != KIND or run.closed:
        raise Refused("Nobody is at the key now.")
    state: AtKey = run.state
    turn = state.turn
    if turn.number != event.turn or turn.done:
        return []
    turn.done = True
    effects = [] if turn.part.closed else exercises.close_run(room, turn.part, now_ms)
    return [*effects, *begin_turn(room, run, event.start_room_ms, now_ms)]


@handles(ShowFist)
def show_fist(room: Classroom, event: ShowFist, now_ms: float) -> list[Effect]:
    """The others see a hand when its own sender or the instructor shows it."""
    turns = [turn for run in room.at_hand if run.kind == KIND for turn in run.state.turns]
    turn = next((turn for turn in turns if (turn.number, turn.seat) == (event.turn, event.seat)), None)
    if turn is None or turn.read is None:
        raise Refused("There is nothing of that turn to show.")
    turn.fist_shown = event.on
    return []
