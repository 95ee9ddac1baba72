"""The console's page, part by part. Each part is told when it is not what it was."""

from __future__ import annotations

from copyroom.core.purpose import Sounding
from copyroom.core.similarity import alike_order
from copyroom.core.tally import empty
from copyroom.room.classroom import Aside, Classroom, DoorShut, Seat
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.copies import Copy
from copyroom.room.figures import Figures
from copyroom.room.limits import Hearing, Scope, SoundState, Way
from copyroom.room.messages.evidence import Cell, cells_of
from copyroom.room.messages.learner import RevealOut, reveal_view
from copyroom.room.messages.running import RunShape, console_view
from copyroom.room.run import Run
from copyroom.room.scoring import answers, heard_only, results, run_table, runs_in

MOST_SENDINGS = 200
"""Behind one cell; the page says how many more there are."""


@message(Audience.CONSOLE)
class Alike(Message, frozen=True, kw_only=True):
    """All signs, those that sound alike beside each other. It never changes, so it is told once."""

    order: str


class SoundOut(Part, frozen=True, kw_only=True):
    wpm: float
    overall_wpm: float
    pitch_hz: float
    lead_in_s: float
    tidy_s: float


class AsideOut(Part, frozen=True, kw_only=True):
    """What of a run does not count: symbols from `first` on, for one seat or for all (0, name "")."""

    aside: int
    seat: int
    name: str
    first: int
    reason: str


class RunSummary(Part, frozen=True, kw_only=True):
    push: int
    title: str
    purpose: Sounding
    symbols: str
    counted: bool
    right: int
    of: int
    settled_anew: int
    sent: int
    asides: list[AsideOut]


class MeetingOut(Part, frozen=True, kw_only=True):
    """`day` counts local days since 1970-01-01."""

    day: int
    runs: int


@message(Audience.CONSOLE, name="room")
class RoomOut(Message, frozen=True, kw_only=True):
    """`runs` are those of the last meeting, the one at hand; what is within one counts there.

    own_words : the class's own list, one space between them.
    """

    code: str
    title: str
    sound: SoundOut
    hearing: Hearing
    source: int
    symbols: str
    additions: bool
    own_words: str
    hold_at_door: bool
    class_size: int
    shut: DoorShut
    meetings: list[MeetingOut]
    runs: list[RunSummary]


class SeatOut(Part, frozen=True, kw_only=True):
    """`not_met`: known sounds that others have met and this learner has not.

    same_as : the seat of somebody away whose nickname this newcomer asked for, 0 for none.
    parts : [seat, name] of those that were made one with it.
    """

    seat: int
    name: str
    way: Way
    device: bool
    inside: bool
    here: bool
    sound: SoundState
    uncertainty_ms: float
    visible: bool
    asks_help: bool
    long_away: bool
    not_met: str
    same_as: int
    parts: list[list[int | str]]


@message(Audience.CONSOLE, name="seats")
class SeatsOut(Message, frozen=True, kw_only=True):
    seats: list[SeatOut]


@message(Audience.CONSOLE, name="run")
class RunOut(Message, frozen=True, kw_only=True):
    run: RunShape | None


class CopyProgress(Part, frozen=True, kw_only=True):
    """heard_from: the first sound that the seat heard, later than 0 for a late joiner; -1 for none yet."""

    seat: int
    way: Way
    written: int
    last_at_ms: float | None
    heard: int
    heard_from: int
    handed_in: bool
    own_count: list[int] | None


@message(Audience.CONSOLE, name="progress")
class ProgressOut(Message, frozen=True, kw_only=True):
    """answered, right: per sent symbol, how many learners wrote something, and the right thing."""

    push: int
    copies: list[CopyProgress]
    answered: list[int]
    right: list[int]


@message(Audience.CONSOLE, name="table")
class TableOut(Message, frozen=True, kw_only=True):
    """The class table of the run at hand.

    cells : [sent, written, count] over 0: sent "" = extra mark, written "" = missed, "_" = blank.
    counted : it is a part of the evening's table and the course's.
    """

    push: int
    cells: list[Cell]
    copies: int
    counted: bool
    final: bool


@message(Audience.CONSOLE)
class TablesBefore(Message, frozen=True, kw_only=True):
    """The evening's table and the course's, without what is at hand. They change when a run is over."""

    evening: list[Cell]
    course: list[Cell]


@message(Audience.CONSOLE, name="sheet")
class SheetOut(Message, frozen=True, kw_only=True):
    """One learner's sheets of this evening, for the instructor alone."""

    name: str
    sheets: list[RevealOut]


class Sending(Part, frozen=True, kw_only=True):
    push: int
    seat: int
    name: str
    place: int | None
    around: str


@message(Audience.CONSOLE, name="cell")
class CellOut(Message, frozen=True, kw_only=True):
    sent: str
    written: str
    scope: Scope
    sendings: list[Sending]
    all: int


@message(Audience.CONSOLE, name="proposal")
class ProposalOut(Message, frozen=True, kw_only=True):
    text: str
    sounds: int
    seconds: float


def alike_view() -> Alike:
    """The order of likeness."""
    return Alike(order=alike_order())


def room_view(figures: Figures) -> RoomOut:
    """Settings and the runs so far."""
    room = figures.room
    return RoomOut(
        code=room.code,
        title=room.title,
        sound=SoundOut(
            wpm=room.sound.wpm,
            overall_wpm=room.sound.overall_wpm,
            pitch_hz=room.sound.pitch_hz,
            lead_in_s=room.sound.lead_in_s,
            tidy_s=room.sound.tidy_s,
        ),
        hearing=room.hearing,
        source=room.source,
        symbols=room.symbols,
        additions=room.additions,
        own_words=" ".join(room.own_words),
        hold_at_door=room.hold_at_door,
        class_size=room.class_size,
        shut=room.shut,
        meetings=[
            MeetingOut(day=meeting.day, runs=len(room.meeting_runs(number)))
            for number, meeting in enumerate(room.meetings, start=1)
        ],
        runs=[_summary(figures, run) for run in room.meeting_runs() if not run.within],
    )


def _summary(figures: Figures, run: Run) -> RunSummary:
    counted = [part for part in figures.room.parts_of(run) if part.counted and part.closed]
    counts = sum((run_table(figures, part) for part in counted), empty())
    return RunSummary(
        push=run.id,
        title=run.title(),
        purpose=run.purpose,
        symbols=run.symbols,
        counted=run.counted or bool(counted),
        right=int(counts[:-1, :-2].trace()),
        of=int(counts[:-1].sum()),
        settled_anew=figures.settled_anew.get(run.id, 0),
        sent=run.sent_count,
        asides=[
            _aside_view(figures.room, aside) for aside in figures.room.asides.values() if aside.run == run.id
        ],
    )


def _aside_view(room: Classroom, aside: Aside) -> AsideOut:
    name = room.seats[aside.seat].name if aside.seat else ""
    return AsideOut(aside=aside.id, seat=aside.seat, name=name, first=aside.first, reason=aside.reason)


def seats_view(room: Classroom) -> SeatsOut:
    """Who is in, and how each browser stands."""
    met = {sign for seat in room.seats.values() for sign in seat.met}
    known = [sign for sign in room.symbols if sign in met]
    return SeatsOut(seats=[_seat_view(room, seat, known) for seat in room.seats.values() if seat.listed])


def _seat_view(room: Classroom, seat: Seat, known: list[str]) -> SeatOut:
    return SeatOut(
        seat=seat.id,
        name=seat.name,
        way=seat.way,
        device=seat.device,
        inside=seat.inside,
        here=seat.here,
        sound=seat.sound,
        uncertainty_ms=seat.uncertainty_ms,
        visible=seat.visible,
        asks_help=seat.asks_help,
        long_away=room.long_away(seat),
        not_met="".join(sign for sign in known if sign not in seat.met),
        same_as=room.same_as(seat),
        parts=[[part.seat.id, part.seat.name] for part in room.joined.values() if part.into == seat.id],
    )


def run_view(run: Run | None, now_ms: float) -> RunOut:
    """A run at hand as the console draws it, with its characters."""
    return RunOut(run=None if run is None else console_view(run, now_ms))


def progress_view(figures: Figures, run: Run | None) -> ProgressOut:
    """How far each one has written, and how much of the class wrote each sound."""
    if run is None:
        return ProgressOut(push=0, copies=[], answered=[], right=[])
    answered, right = answers(figures, run)
    return ProgressOut(
        push=run.id,
        copies=[_copy_progress(seat, run.copies[seat]) for seat in figures.room.seats if seat in run.copies],
        answered=answered.tolist(),
        right=right.tolist(),
    )


def _copy_progress(seat: int, copy: Copy) -> CopyProgress:
    return CopyProgress(
        seat=seat,
        way=copy.way,
        written=len(copy.marks),
        last_at_ms=copy.last_at_ms,
        heard=copy.heard.count(1),
        heard_from=copy.heard.find(1),
        handed_in=copy.handed_in,
        own_count=list(copy.own_count) if copy.own_count else None,
    )


def table_view(figures: Figures, run: Run | None) -> TableOut:
    """The class table of a run at hand."""
    if run is None:
        return TableOut(push=0, cells=[], copies=0, counted=False, final=True)
    return TableOut(
        push=run.id,
        cells=cells_of(run_table(figures, run)),
        copies=len(results(figures, run)),
        counted=run.counted,
        final=figures.is_final(run.id),
    )


def tables_before_view(figures: Figures) -> TablesBefore:
    """The evening's table and the course's up to the run at hand."""
    tables, at_hand = {}, figures.room.at_hand
    for scope in ("evening", "course"):
        total = empty()
        for run in runs_in(figures, scope):
            if run not in at_hand:
                total += run_table(figures, run)
        tables[scope] = cells_of(total)
    return TablesBefore(**tables)


def _has_something(copy: Copy) -> bool:
    return bool(copy.marks or copy.late or copy.own_count)


def sheet_view(figures: Figures, seat: Seat) -> SheetOut:
    """One learner's sheets, for the instructor alone."""
    runs = [run for run in figures.room.runs if run.closed and not run.cancelled and seat.id in run.copies]
    kept = [run for run in runs if _has_something(run.copies[seat.id])]
    return SheetOut(name=seat.name, sheets=[reveal_view(figures, run, seat.id) for run in kept])


def cell_view(figures: Figures, sent: str, written: str, scope: Scope) -> CellOut:
    """The sendings behind one cell: in which run, at which place, by whom, after and before which sounds."""
    found: list[Sending] = []
    for run in runs_in(figures, scope):
        for seat in figures.room.seats.values():
            for i in _sendings(figures, run, seat.id, sent, written):
                around = "" if i is None else run.sent[max(0, i - 2) : i + 3]
                found.append(Sending(push=run.id, seat=seat.id, name=seat.name, place=i, around=around))
    return CellOut(sent=sent, written=written, scope=scope, sendings=found[:MOST_SENDINGS], all=len(found))


def _sendings(figures: Figures, run: Run, seat: int, sent: str, written: str) -> list[int | None]:
    result = results(figures, run).get(seat)
    if seat not in run.copies or result is None:
        return []
    signs, heard = heard_only(run, run.copies[seat], result.alignment)
    if written == "":
        return [i for i in heard.missed if run.sent[i] == sent]
    return [
        i
        for sign, i in zip(signs, heard.attribution, strict=True)
        if sign == written and (run.sent[i] if i is not None else "") == sent
    ]
