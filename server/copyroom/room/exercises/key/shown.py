"""What learners, the console and the wall are shown of the turns at the key."""

from __future__ import annotations

from collections import Counter

import numpy as np

from copyroom.core.alphabet import BLANK, WORD_SPACE
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Part
from copyroom.room.exercises.key.turns import AtKey, Turn
from copyroom.room.figures import Figures
from copyroom.room.keyed.events import HandOut
from copyroom.room.run import Run
from copyroom.room.scoring import results


class KeyColumn(Part, frozen=True, kw_only=True):
    """One column of meant, keyed and copied; "" where there is nothing.

    copied : by this learner; for the console what most wrote.
    most, right : how many wrote that, and how many what was keyed.
    word : another word begins with it.
    """

    meant: str
    keyed: str
    copied: str
    word: bool
    most: int = 0
    right: int = 0


class TurnForAll(Part, frozen=True, kw_only=True):
    """Where the turns stand. `seat` sends, or sent last; times are room time.

    stage : "keying", which the time makes "coming" before its start; "writing": the others finish their
        copies; "shown": what came of it is shown; "over": and nobody comes after it.
    ends_room_ms : when the turn's time is over; null once it is, and in a pause.
    held : its sender's page is away. late : tones that came too late to be heard.
    """

    turn: int
    stage: str
    seat: int
    sender: str
    next: list[str]
    copiers: int
    start_room_ms: float
    ends_room_ms: float | None
    gap_s: float
    delay_ms: float
    paused: bool
    held: bool
    late: int


class TurnResult(Part, frozen=True, kw_only=True):
    """What came of a turn: `right` of the `of` sounds heard here; `hand` where this page may see it."""

    turn: int
    seat: int
    sender: str
    columns: list[KeyColumn]
    right: int
    of: int
    hand: HandOut | None
    hand_shown: bool


class KeyForLearner(Part, frozen=True, kw_only=True):
    """`text`, `kept`, `says`: for the sender, what to key, how many tones are kept, whether to say it first.

    place : turns to one's own, 0 for the present one, -1 for none.
    """

    now: TurnForAll
    text: str
    kept: int
    says: bool
    place: int
    result: TurnResult | None


class KeyForConsole(Part, frozen=True, kw_only=True):
    """`text`: what is meant; `queue`: seats that send next; `result`: of this turn once it is read."""

    now: TurnForAll
    text: str
    queue: list[int]
    result: TurnResult | None


class KeyForWall(Part, frozen=True, kw_only=True):
    """`result` without columns: how it was copied stands on no wall beside a name."""

    now: TurnForAll
    hand: HandOut | None


def name_of(room: Classroom, seat: int) -> str:
    """A learner's name, "somebody" once they are gone."""
    return room.seats[seat].name if seat in room.seats else "somebody"


def turn_view(room: Classroom, run: Run) -> TurnForAll:
    """Where the turns stand."""
    state: AtKey = run.state
    turn, seat = state.turn, room.seats.get(state.turn.seat)
    copiers = sum(room.seats[n].inside for n in turn.part.copies if n in room.seats)
    return TurnForAll(
        turn=turn.number,
        stage=_stage(run, state),
        seat=turn.seat,
        sender=name_of(room, turn.seat),
        next=[name_of(room, number) for number, _ in state.queue[:3]],
        copiers=copiers,
        start_room_ms=turn.start_room_ms,
        ends_room_ms=None
        if turn.over or run.halted_room_ms is not None
        else turn.time_over_ms(run, state.setup.turn_s),
        gap_s=round((turn.start_room_ms - turn.announced_ms) / 1000.0, 1),
        delay_ms=state.setup.delay_ms,
        paused=run.halted_room_ms is not None and not run.closed,
        held=not turn.over and (seat is None or not seat.here),
        late=turn.late,
    )


def _stage(run: Run, state: AtKey) -> str:
    if state.is_over or run.closed:
        return "over"
    if state.turn.done:
        return "shown"
    return "writing" if state.turn.over else "keying"


def learner_view(figures: Figures, run: Run, seat: Seat) -> KeyForLearner:
    """What one learner sees: their own turn, their own copy, their own hand."""
    room, state = figures.room, run.state
    now, turn = turn_view(room, run), state.turn
    sends = turn.seat == seat.id
    ahead = [number for number, _ in state.queue]
    done: Turn | None = state.last_done
    return KeyForLearner(
        now=now,
        text=turn.meant if sends else "",
        kept=len(turn.on_ms) if sends and not turn.over else 0,
        says=sends and state.setup.text == "said" and not turn.on_ms,
        place=0 if sends and not turn.done else ahead.index(seat.id) + 1 if seat.id in ahead else -1,
        result=_result(figures, done, seat) if done else None,
    )


def console_view(figures: Figures, run: Run) -> KeyForConsole:
    """What the instructor sees: what is meant; what it was read as, and how it was copied."""
    state: AtKey = run.state
    turn = state.turn if state.turn.read and state.turn.on_ms else state.last_done
    return KeyForConsole(
        now=turn_view(figures.room, run),
        text=state.turn.meant,
        queue=[number for number, _ in state.queue],
        result=_result(figures, turn, None) if turn else None,
    )


def wall_view(room: Classroom, run: Run) -> KeyForWall:
    """Whose turn it is, and a hand that may be seen."""
    done = run.state.last_done
    hand = done.read.hand if done and done.read and done.fist_shown else None
    return KeyForWall(now=turn_view(room, run), hand=hand)


def _result(figures: Figures, turn: Turn, seat: Seat | None) -> TurnResult:
    """What came of a turn for one learner, or for the console."""
    written = _written_by(figures, turn, seat.id) if seat else _written(figures, turn)
    counted = bytes(len(written))
    if seat is not None and seat.id in turn.part.copies and any(sign for sign, _, _ in written):
        counted = turn.part.copies[seat.id].counted(turn.part)
    own = seat is None or seat.id == turn.seat
    sees = turn.read is not None and (own or turn.fist_shown)
    return TurnResult(
        turn=turn.number,
        seat=turn.seat,
        sender=name_of(figures.room, turn.seat),
        columns=columns_of(turn, written) if turn.read else [],
        right=sum(right for (_, _, right), counts in zip(written, counted, strict=True) if counts),
        of=sum(counted),
        hand=turn.read.hand if turn.read and sees else None,
        hand_shown=turn.fist_shown,
    )


Written = list[tuple[str, int, int]]
"""Per symbol keyed: what was written for it, by how many, and by how many rightly."""


def _written_by(figures: Figures, turn: Turn, seat: int) -> Written:
    """One learner's copy."""
    found: Written = [("", 0, 0)] * len(turn.part.sent)
    result = results(figures, turn.part).get(seat)
    copy = turn.part.copies.get(seat)
    if result is None or copy is None:
        return found
    for sign, place in zip(copy.written, result.alignment.attribution, strict=False):
        if place is not None and place < len(found):
            found[place] = (sign, 1, int(sign == turn.part.sent[place]))
    return found


def _written(figures: Figures, turn: Turn) -> Written:
    """The class's copies: what most wrote."""
    answers = [result.answers for result in results(figures, turn.part).values()]
    found: Written = []
    for place, sent in enumerate(turn.part.sent):
        signs = Counter(own[place] for own in answers if place < len(own) and own[place] != BLANK)
        sign, most = max(signs.items(), key=lambda item: (item[1], item[0] == sent), default=("", 0))
        found.append((sign, most, signs[sent]))
    return found


def columns_of(turn: Turn, written: Written) -> list[KeyColumn]:
    """Meant, keyed and copied, in order: what was left out of the sending stands where it was meant."""
    assert turn.read is not None
    meant, keyed = turn.meant.replace(WORD_SPACE, ""), turn.read.text.replace(WORD_SPACE, "")
    begins = _word_begins(turn.meant if meant else turn.read.text)
    columns: list[KeyColumn] = []
    at = 0
    for k, (sign, place) in enumerate(zip(keyed, turn.read.places, strict=True)):
        while place is not None and at < place:
            columns.append(KeyColumn(meant=meant[at], keyed="", copied="", word=at in begins))
            at += 1
        copied, most, right = written[k] if k < len(written) else ("", 0, 0)
        is_meant = place is not None
        columns.append(
            KeyColumn(
                meant=meant[at] if is_meant else "",
                keyed=sign,
                copied=copied,
                word=(at in begins if is_meant else not meant and k in begins),
                most=most,
                right=right,
            )
        )
        at += is_meant
    columns += [
        KeyColumn(meant=meant[i], keyed="", copied="", word=i in begins) for i in range(at, len(meant))
    ]
    return columns


def _word_begins(text: str) -> set[int]:
    return set(np.cumsum([len(word) for word in text.split(WORD_SPACE)])[:-1].tolist())
