"""What happens at the key: turns begin and end, tones come in and go on to the others, and are read."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from copyroom.core.alphabet import WORD_SPACE, by_table_order
from copyroom.core.text import normalise
from copyroom.room import exercises
from copyroom.room.classroom import Classroom
from copyroom.room.composing import LONGEST_TEXT
from copyroom.room.contract import handles, settles
from copyroom.room.effects import CONSOLE, Effect, Refused, Sound
from copyroom.room.exercises.key.events import (
    MOST_TONES,
    KeyEdges,
    NextTurn,
    SayText,
    SentAll,
    ShowFist,
    TurnOver,
    TurnRead,
    TurnSounded,
    WordAgain,
)
from copyroom.room.exercises.key.reading import PLAIN
from copyroom.room.exercises.key.turns import KIND, TIDY_MS, AtKey, Turn, keyed_bursts, sounded_by_ms
from copyroom.room.figures import Figures
from copyroom.room.messages.running import halt_view
from copyroom.room.run import Run

QUICKEST_TONES = 30
"""A second; the quickest hands send dits at 60 words a minute, 25 a second."""
SHORTEST_GAP_MS = 1.0
EARLY_MS = 2000.0
"""A page's clock may be so far ahead of the room's."""
TOO_LATE_MS = 60.0
"""A tone that reaches the room this shortly before its time is on no page in time."""


# ------------------------------------------------------------------ the turn at hand


def _at_key(room: Classroom) -> tuple[Run, AtKey]:
    run = room.open_run
    if run is None or run.kind != KIND:
        raise Refused("Nobody is at the key now.")
    return run, run.state


def _own_turn(room: Classroom, seat: int, number: int) -> tuple[Run, AtKey, Turn]:
    run, state = _at_key(room)
    turn = state.turn
    if turn.number != number or turn.seat != seat or turn.sounded:
        raise Refused("Your turn at the key is over.")
    return run, state, turn


def _copiers(room: Classroom, turn: Turn) -> tuple[int, ...]:
    part = turn.part
    return tuple(n for n in sorted(part.seats or ()) if n in room.seats and room.seats[n].inside)


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
        seats=frozenset(other.id for other in room.seats.values() if other.inside and other.id != seat),
        in_parts=True,
        unread=True,
    )
    state.turns.append(
        Turn(len(state.turns) + 1, part, seat, meant, meant, start_room_ms, run.paused_ms, now_ms)
    )
    return exercises.begin_run(room, part, now_ms)


def end_turn(room: Classroom, turn: Turn, end_room_ms: float) -> list[Effect]:
    """No key sounds any more after this; the others have a while to finish their copies."""
    part = turn.part
    turn.over, turn.end_room_ms = True, end_room_ms
    if not turn.on_ms:
        turn.sounded, turn.hurry, part.unread = True, True, False
    if not part.stopped:
        part.halted_room_ms = part.stopped_room_ms = end_room_ms
        part.closed = part.cancelled
    return exercises.to_its_seats(room, part, halt_view(part))


def _checked_tones(turn: Turn, first: int, edges: Sequence[float]) -> list[tuple[float, float]]:
    """The tones that are new. Refused where no hand can have made them."""
    have = len(turn.on_ms)
    if first > have:
        raise Refused(f"Tones {have} to {first - 1} have not come yet.")
    if len(edges) % 2:
        raise Refused("A tone has a beginning and an end.")
    new = list(zip(edges[::2], edges[1::2], strict=True))[have - first :]
    if have + len(new) > MOST_TONES:
        raise Refused(f"A turn takes {MOST_TONES} tones at most.")
    before_ms = turn.off_ms[-1] if turn.off_ms else 0.0
    for on_ms, off_ms in new:
        if not before_ms + SHORTEST_GAP_MS * bool(before_ms) <= on_ms < off_ms:
            raise Refused("Tones must come one after the other.")
        before_ms = off_ms
    on_ms_all = turn.on_ms[-QUICKEST_TONES:] + [on for on, _ in new]
    if any(later - on < 1000.0 for on, later in zip(on_ms_all, on_ms_all[QUICKEST_TONES:], strict=False)):
        raise Refused(f"That was more than {QUICKEST_TONES} tones a second: no hand keys that fast.")
    return new


@handles(KeyEdges)
def key_edges(room: Classroom, event: KeyEdges, now_ms: float) -> list[Effect]:
    """Keep a turn's tones, and let the others hear what still has its time before it."""
    run, _, turn = _own_turn(room, event.seat, event.turn)
    new = _checked_tones(turn, event.first, event.edges)
    if new and new[-1][1] > now_ms - turn.start_room_ms + EARLY_MS:
        raise Refused("The clock of this page is ahead. Load it anew.")
    if new and run.halted_room_ms is not None and turn.start_room_ms + new[0][0] > run.halted_room_ms:
        raise Refused("Paused: your key is not heard now.")
    first = len(turn.on_ms)
    turn.on_ms += [on for on, _ in new]
    turn.off_ms += [off for _, off in new]
    start_room_ms = turn.part.start_room_ms
    in_time = [[on, off] for on, off in new if start_room_ms + on >= now_ms + TOO_LATE_MS]
    turn.late += len(new) - len(in_time)
    if not in_time or run.halted_room_ms is not None:
        return []
    turn.batches += 1
    first += len(new) - len(in_time)
    to: tuple[int | str, ...] = (*_copiers(room, turn), CONSOLE)
    return [Sound(to, turn.part.id, turn.batches, in_time, turn.part.pitch_hz, start_room_ms, first)]


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


@settles(SentAll)
def settle_sent_all(figures: Figures, event: SentAll, now_ms: float) -> TurnOver:
    """The turn is over with the last tone."""
    run, _, turn = _own_turn(figures.room, event.seat, event.turn)
    if turn.over:
        raise Refused("Your turn at the key is over.")
    return TurnOver(turn.number, sounded_by_ms(run, turn, now_ms))


@handles(TurnOver)
def turn_over(room: Classroom, event: TurnOver, now_ms: float) -> list[Effect]:
    """The end of keying, whoever brought it about."""
    _, state = _at_key(room)
    if state.turn.number != event.turn or state.turn.over:
        return []
    return end_turn(room, state.turn, event.end_room_ms)


@handles(TurnSounded)
def turn_sounded(room: Classroom, event: TurnSounded, now_ms: float) -> list[Effect]:
    """From now on it can be read."""
    _, state = _at_key(room)
    state.turn.sounded = True
    return []


@handles(TurnRead)
def turn_read(room: Classroom, event: TurnRead, now_ms: float) -> list[Effect]:
    """The run's text is known now, each symbol at the time at which the others heard it."""
    turn = next(
        (
            turn
            for run in room.runs
            if run.kind == KIND
            for turn in run.state.turns
            if turn.part.unread and (turn.number, turn.seat) == (event.turn, event.seat)
        ),
        None,
    )
    if turn is None:
        return []  # its sender was taken out meanwhile
    part, turn.read = turn.part, event
    part.unread = False
    if not event.text:
        return []
    part.text = event.text
    part.take(keyed_bursts(event.text, turn.on_ms, turn.off_ms))
    for seat, copy in part.copies.items():
        copy.heard = _heard(room, part, seat, bytes(copy.heard))
    if part.closed:
        room.note_met(part)
    return []


def _heard(room: Classroom, part: Run, seat: int, tones: bytes) -> bytearray:
    """Which symbols a seat heard: each of whose tones its page sounded.

    A page that sounded none may be one that leaves it to the room's loudspeaker: who wrote has heard it.
    """
    sent, known = part.bursts, seat in room.seats
    if not tones.count(1) and (part.copies[seat].marks or (known and not room.seats[seat].device)):
        return bytearray(b"\x01" * len(part.sent))
    heard = tones + bytes(max(0, len(sent.on_s) - len(tones)))
    return bytearray(all(heard[a:b]) for a, b in pairwise(sent.first_tone.tolist()))


@handles(NextTurn)
def next_turn(room: Classroom, event: NextTurn, now_ms: float) -> list[Effect]:
    """The copies of a turn are final; the next one comes."""
    run, state = _at_key(room)
    turn = state.turn
    if turn.number != event.turn or turn.done:
        return []
    turn.done = True
    effects = [] if turn.part.closed else exercises.close_run(room, turn.part, now_ms)
    return [*effects, *begin_turn(room, run, event.start_room_ms, now_ms)]


@handles(ShowFist)
def show_fist(room: Classroom, event: ShowFist, now_ms: float) -> list[Effect]:
    """The others see a hand when its own sender or the instructor shows it."""
    run = room.run
    turns = run.state.turns if run is not None and run.kind == KIND else ()
    turn = next((turn for turn in turns if (turn.number, turn.seat) == (event.turn, event.seat)), None)
    if turn is None or turn.read is None:
        raise Refused("There is nothing of that turn to show.")
    turn.fist_shown = event.on
    return []
