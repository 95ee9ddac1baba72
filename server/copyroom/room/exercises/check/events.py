"""What happens in a check, and what it does: sound in parts, copies, handing in, the examiner's decisions."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta
from msgspec.structs import replace

from copyroom.core.alphabet import BLANK, INDEX, WORD_SPACE
from copyroom.core.checks import Overruled
from copyroom.room.classroom import Classroom
from copyroom.room.contract import By, Event, Settled, event, handles, settles
from copyroom.room.effects import CONSOLE, Effect, Refused, Sound
from copyroom.room.events.seating import OwnSeat
from copyroom.room.exercises.check.state import AHEAD_MS, GRACE_MS, TOO_LATE_MS, Candidate, Check, Line, Stage
from copyroom.room.figures import Figures
from copyroom.room.limits import PushNumber, Reason, SeatNumber
from copyroom.room.run import Run

KIND = "check"
Copied = Annotated[str, Meta(max_length=3000)]
Given = Annotated[tuple[Annotated[str, Meta(max_length=60)], ...], Meta(max_length=20)]


@event(By.INSTRUCTOR, kept=True)
class BeginCheck(Event, frozen=True):
    """The warm-up is over, or not wanted: the text that counts begins."""

    push: PushNumber
    start_room_ms: Annotated[float, Settled.ROOM] = 0.0


@event(By.LEARNER, kept=True)
class WriteCheck(Event, frozen=True):
    """A candidate's copy as it stands now."""

    seat: OwnSeat
    push: PushNumber
    copy: Copied


@event(By.EITHER, kept=True)
class HandInCheck(Event, frozen=True):
    """A copy is handed in, with the answers to questions; a sheet of paper by the console."""

    seat: OwnSeat
    push: PushNumber
    copy: Copied
    answers: Given


@event(By.INSTRUCTOR, kept=True)
class OverruleCheck(Event, frozen=True):
    """The examiner decides otherwise of one symbol, or of the answer to a question, and says why.

    number : of the marker's decision, or of the question. undo : the examiner's decision falls away again.
    """

    seat: SeatNumber
    push: PushNumber
    number: Annotated[int, Meta(ge=0, le=6000)]
    right: bool
    reason: Reason
    of_question: bool
    undo: bool


@event(By.SERVER, kept=True)
class CheckSounds(Event, frozen=True):
    """The next seconds of sound go out."""

    push: int


@event(By.SERVER, kept=True)
class CheckGoesOn(Event, frozen=True):
    """A text has sounded, or all is handed in."""

    push: int
    stage: Stage


@event(By.SERVER, kept=True)
class CheckTaken(Event, frozen=True):
    """A candidate's time is over: the copy is taken as it stands."""

    push: int
    seat: int


def check_of(room: Classroom, number: int) -> tuple[Run, Check]:
    """The check of that number. Raises Refused."""
    run = room.run_of(number)
    if run.kind != KIND:
        raise Refused("That is no check.")
    return run, run.state


def _candidate(check: Check, seat: int) -> Candidate:
    if seat not in check.candidates:
        raise Refused("This learner does not sit the check.")
    return check.candidates[seat]


def cleaned(copy: str) -> str:
    """What was written as signs, blanks and spaces; what is no symbol is a blank."""
    signs = (sign if sign in INDEX or sign in (BLANK, WORD_SPACE) else BLANK for sign in copy.upper())
    return WORD_SPACE.join("".join(signs).split(WORD_SPACE))


@settles(BeginCheck)
def settle_begin(figures: Figures, event: BeginCheck, now_ms: float) -> BeginCheck:
    """Soon enough for every browser."""
    room = figures.room
    start_room_ms = now_ms + max(room.lead_ms(), room.sound.lead_in_s * 1000.0)
    return replace(event, start_room_ms=start_room_ms)


@handles(BeginCheck)
def begin_check(room: Classroom, event: BeginCheck, now_ms: float) -> list[Effect]:
    """The text begins for all candidates at once."""
    run, check = check_of(room, event.push)
    if run.closed or check.stage not in ("warming up", "ready"):
        raise Refused("The text of this check has begun already.")
    if check.stage == "warming up" and check.at_ms(now_ms) < check.end_ms and check.lines:
        raise Refused("The warm-up still sounds. Wait for its end.")
    check.begin_part(check.setup.text, "sounding", event.start_room_ms, len(run.halts))
    run.tidy_ms = max((check.tidy_ms(seat) for seat in check.candidates), default=0.0)
    run.lasts_ms = check.lasts_ms(run)
    return []


@handles(CheckSounds)
def check_sounds(room: Classroom, event: CheckSounds, now_ms: float) -> list[Effect]:
    """To each line what begins within the next seconds."""
    run, check = check_of(room, event.push)
    check.take_halts(run)
    run.lasts_ms = check.lasts_ms(run)
    at_ms = check.at_ms(now_ms)
    effects: list[Effect] = []
    for line in check.lines:
        due = [edges for edges in line.edges[line.sent :] if edges[0] < at_ms + AHEAD_MS]
        line.sent += len(due)
        in_time = [edges for edges in due if edges[0] >= at_ms + TOO_LATE_MS]
        if check.stage == "sounding":
            check.missed += len(due) - len(in_time)
        line.now = in_time
        if in_time and line.way.by == "sound":
            effects.append(_sound(room, run, check, line, in_time))
    return effects


def _sound(room: Classroom, run: Run, check: Check, line: Line, edges: list[list[float]]) -> Sound:
    """The usual line sounds on the console, too."""
    check.parts += 1
    inside = tuple(seat for seat in line.seats if seat in room.seats and room.seats[seat].inside)
    is_usual = line is check.lines[0]
    to: tuple[int | str, ...] = (*inside, *((CONSOLE,) if is_usual else ()))
    pitch_hz = line.way.pitch_hz or run.pitch_hz
    return Sound(to, run.id, check.parts, edges, pitch_hz, check.part_room_ms + check.stood_ms)


@handles(CheckGoesOn)
def check_goes_on(room: Classroom, event: CheckGoesOn, now_ms: float) -> list[Effect]:
    """The next stage."""
    _, check = check_of(room, event.push)
    check.stage = event.stage
    for line in check.lines:
        line.now = []
    return []


@handles(WriteCheck)
def write_check(room: Classroom, event: WriteCheck, now_ms: float) -> list[Effect]:
    """Keep the copy as it stands, while there is time."""
    run, check = check_of(room, event.push)
    one = _candidate(check, event.seat)
    _refuse_late(run, check, one, event.seat, now_ms)
    one.copy = cleaned(event.copy)
    return []


@handles(HandInCheck)
def hand_in_check(room: Classroom, event: HandInCheck, now_ms: float) -> list[Effect]:
    """It is final. A sheet of paper may be keyed in by the console after the time, until all is shown."""
    run, check = check_of(room, event.push)
    one, seat = _candidate(check, event.seat), room.seat(event.seat)
    on_paper = seat.way == "paper" or not seat.device
    if not on_paper:
        _refuse_late(run, check, one, event.seat, now_ms)
    elif run.revealed or check.stage not in ("tidying", "over"):
        raise Refused("A sheet is keyed in after the text, and before the result is shown.")
    one.copy, one.answers, one.handed_in = cleaned(event.copy), list(event.answers), True
    one.marked = None
    return []


def _refuse_late(run: Run, check: Check, one: Candidate, seat: int, now_ms: float) -> None:
    if check.stage not in ("sounding", "tidying"):
        raise Refused("The text has not begun." if check.stage in ("warming up", "ready") else "It is over.")
    if one.handed_in or run.closed:
        raise Refused("Your copy is handed in.")
    if check.stage == "tidying" and now_ms > check.tidy_end_room_ms(seat) + GRACE_MS:
        raise Refused("The time to tidy up is over.")


@handles(CheckTaken)
def check_taken(room: Classroom, event: CheckTaken, now_ms: float) -> list[Effect]:
    """As it stands."""
    _, check = check_of(room, event.push)
    if event.seat in check.candidates:
        check.candidates[event.seat].handed_in = True
    return []


@handles(OverruleCheck)
def overrule_check(room: Classroom, event: OverruleCheck, now_ms: float) -> list[Effect]:
    """The marker's decision stays beside the examiner's."""
    _, check = check_of(room, event.push)
    one = _candidate(check, event.seat)
    if not one.handed_in:
        raise Refused("This copy is not handed in yet.")
    decided = one.answers_overruled if event.of_question else one.overruled
    known = len(check.setup.questions) if event.of_question else len(check.marked(event.seat).decisions)
    if event.number >= known:
        raise Refused("There is no such decision.")
    if event.undo:
        decided.pop(event.number, None)
    else:
        decided[event.number] = Overruled(event.right, event.reason)
    one.marked = None
    return []
