"""What one learner is told: their own seat, their own copy, and nothing of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

import msgspec

from copyroom.core.alphabet import BLANK
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.copies import Copy
from copyroom.room.figures import Figures
from copyroom.room.limits import Hearing, Way
from copyroom.room.messages.exercise import ExerciseOut
from copyroom.room.messages.planning import ReviewOut, given_review
from copyroom.room.messages.running import PushOut
from copyroom.room.run import Run
from copyroom.room.scoring import heard_only

REMOVED = "Your instructor has taken this seat out of the room."


@message(Audience.SEATS, name="class")
class ClassOut(Message, frozen=True, kw_only=True):
    title: str
    hearing: Hearing
    source: int
    pitch_hz: float
    wpm: float


class CopyOut(Part, frozen=True, kw_only=True):
    """A seat's own copy so far. A mark is [sign, at_ms or null]."""

    way: Way
    kept: int
    marks: list[list[str | float | None]]
    handed_in: bool


@message(Audience.SEAT, name="reveal")
class RevealOut(Message, frozen=True, kw_only=True):
    """A seat's own copy under what was sent.

    marks : signs of the copy; answers : per mark the index of the sent symbol, or null for an extra mark.
    sent : symbols of the text that belong to the run (fewer when it was stopped).
    unheard : indices that this browser did not sound; outside the count.
    taken : [sent, written, how often], all_right : symbols of which none was lost.
    late : written in time, come after this was shown; outside the count.
    own_count : [right, of] of a sheet that stayed on paper, as its writer counted.
    """

    push: int
    text: str
    sent: int
    marks: str
    answers: list[int | None]
    unheard: list[int]
    right: int
    of: int
    taken: list[list[str | int]]
    all_right: str
    own_count: list[int] | None
    late: str
    aside_from: int | None
    aside_why: str


@message(Audience.SEAT, name="welcome")
class WelcomeOut(Message, frozen=True, kw_only=True):
    """All that a learner's page needs to begin, or to go on after a break."""

    code: str
    seat: int
    name: str
    token: str
    inside: bool
    way: Way
    asks_help: bool
    class_: ClassOut = msgspec.field(name="class")
    push: PushOut | None = None
    copy: CopyOut | None = None
    reveal: RevealOut | None = None
    exercise: ExerciseOut | None = None
    review: ReviewOut | None
    test_mode: bool = False


@message(Audience.SEAT, Audience.CONSOLE, name="kept")
class KeptOut(Message, frozen=True, kw_only=True):
    """This seat's copy holds `kept` strokes, on disk."""

    push: int
    seat: int
    kept: int


@message(Audience.SEAT, Audience.CONSOLE, name="handed_in")
class HandedInOut(Message, frozen=True, kw_only=True):
    push: int
    seat: int


@message(Audience.SEAT, name="renamed")
class RenamedOut(Message, frozen=True, kw_only=True):
    name: str


@message(Audience.SEAT, name="help")
class HelpOut(Message, frozen=True, kw_only=True):
    """Whether the console shows that this seat cannot hear."""

    asks: bool


@message(Audience.SEAT, name="removed")
class SentenceOut(Message, frozen=True, kw_only=True):
    """Something ended for this reason."""

    sentence: str


@message(Audience.SEAT, Audience.CONSOLE, name="refused")
class RefusedOut(Message, frozen=True, kw_only=True):
    """Something was refused for this reason. about: the event that asked for it; none spoke of the disk."""

    sentence: str
    about: str = ""


def class_view(room: Classroom) -> ClassOut:
    """What every learner knows of the room's settings."""
    return ClassOut(
        title=room.title,
        hearing=room.hearing,
        source=room.source,
        pitch_hz=room.sound.pitch_hz,
        wpm=room.sound.wpm,
    )


def copy_view(copy: Copy) -> CopyOut:
    """A seat's own copy so far, for a page that was loaded again."""
    return CopyOut(
        way=copy.way,
        kept=copy.strokes,
        marks=[[mark.sign, mark.at_ms] for mark in copy.marks],
        handed_in=copy.handed_in,
    )


def welcome_view(figures: Figures, seat: Seat, at_hand: Mapping[str, Any], token: str = "") -> WelcomeOut:
    """All that a learner's page needs to begin, or to go on after a break.

    at_hand : fields that tell of the run at hand.
    token : what the page came with, where it is not the seat's own.
    """
    room = figures.room
    return WelcomeOut(
        code=room.code,
        seat=seat.id,
        name=seat.name,
        token=token or seat.token,
        inside=seat.inside,
        way=seat.way,
        asks_help=seat.asks_help,
        class_=class_view(room),
        review=given_review(figures, seat) if seat.inside else None,
        **at_hand,
    )


def reveal_view(figures: Figures, run: Run, seat: int) -> RevealOut:
    """A seat's own copy under what was sent. Right and wrong are counted over what was heard."""
    copy, result = run.copies.get(seat), figures.results.get((run.id, seat))
    asides = [a for a in figures.room.asides.values() if a.run == run.id and a.seat in (0, seat)]
    shown = RevealOut(
        push=run.id,
        text=run.text,
        sent=run.sent_count,
        marks="",
        answers=[],
        unheard=[],
        right=0,
        of=0,
        taken=[],
        all_right="",
        own_count=list(copy.own_count) if copy and copy.own_count else None,
        late="".join(mark.sign for mark in copy.late) if copy else "",
        aside_from=min((aside.first for aside in asides), default=None),
        aside_why="; ".join(dict.fromkeys(aside.reason for aside in asides)),
    )
    if copy is None or result is None:
        return shown
    written, heard = heard_only(run, copy, result.alignment)
    right, taken, lost = Counter[str](), Counter[tuple[str, str]](), set[str]()
    for sign, i in zip(written, heard.attribution, strict=True):
        if i is None:
            continue
        if sign == run.sent[i]:
            right[sign] += 1
        else:
            lost.add(run.sent[i])
            if sign != BLANK:
                taken[run.sent[i], sign] += 1
    lost |= {run.sent[i] for i in heard.missed}
    return msgspec.structs.replace(
        shown,
        marks=copy.written,
        answers=list(result.alignment.attribution),
        unheard=[i for i in range(run.sent_count) if not copy.heard[i]],
        right=right.total(),
        of=sum(copy.counted(run)),
        taken=[[sent, wrote, n] for (sent, wrote), n in taken.most_common(3)],
        all_right="".join(s for s in run.symbols if right[s] and s not in lost),
    )
