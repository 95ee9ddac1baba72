"""What is shown of a check: to a candidate, on the console, on the wall. The text only when it is over."""

from __future__ import annotations

from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.checks import Marked
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Part
from copyroom.room.exercises.check.setup import CheckFor, CheckForm
from copyroom.room.exercises.check.state import Candidate, Check, Stage, answers_right
from copyroom.room.run import Run

_LETTER = {"right": "r", "wrong": "w", "missing": "m", "extra": "x", "forgiven": "f"}
NOTHING = " "
"""Stands where a decision has no symbol sent, or none written."""


class CheckWay(Part, frozen=True, kw_only=True):
    """One way to pass, what the copy comes to by it, and whether that is enough."""

    said: str
    met: bool


class CheckOverruled(Part, frozen=True, kw_only=True):
    """What the examiner decided of one decision, or of one question."""

    number: int
    right: bool
    reason: str


class CheckResult(Part, frozen=True, kw_only=True):
    """A marked copy, a character a decision.

    sent, written : signs, a space for none. verdicts : r right, w wrong, m missing, x too many, f forgiven.
    run_from, run_to : decisions of the longest unbroken stretch.
    """

    meets: bool
    ways: list[CheckWay]
    sent: str
    written: str
    verdicts: str
    run_from: int
    run_to: int
    overruled: list[CheckOverruled]


class CheckAnswer(Part, frozen=True, kw_only=True):
    """A question, what was said in the text, what was answered, and whether it counts."""

    question: str
    expected: str
    given: str
    right: bool
    overruled: str


class CheckForLearner(Part, frozen=True, kw_only=True):
    """A candidate's page; `sits` False: others sit a check.

    flashes : edges of the next seconds, for a lamp or vibration, from `flashes_room_ms`. signals : those that
    have no key of their own. questions : once the text has sounded. result, answers : when it is shown.
    """

    title: str
    stage: Stage
    sits: bool
    on_paper: bool
    handed_in: bool
    paused: bool
    copy: str
    begins_room_ms: float
    ends_room_ms: float
    by: str
    flashes: list[list[float]]
    flashes_room_ms: float
    signals: str
    questions: list[str]
    text: str
    result: CheckResult | None
    answers: list[CheckAnswer]


class CheckCandidate(Part, frozen=True, kw_only=True):
    """One who sits it, for the examiner. `written`: how many signs so far."""

    seat: int
    name: str
    on_paper: bool
    handed_in: bool
    written: int
    pace: str
    arranged: CheckFor
    copy: str
    result: CheckResult | None
    answers: list[CheckAnswer]


class CheckForConsole(Part, frozen=True, kw_only=True):
    """`text`: once it has sounded; missed: symbols of it that came to nobody in time."""

    form: CheckForm
    wpm: float
    pace: str
    stage: Stage
    begins_room_ms: float
    ends_room_ms: float
    text: str
    missed: int
    revealed: bool
    day: int
    candidates: list[CheckCandidate]


class CheckForWall(Part, frozen=True, kw_only=True):
    """No names, no copy, no result."""

    title: str
    source: str
    stage: Stage
    paused: bool
    begins_room_ms: float
    ends_room_ms: float
    handed_in: int
    of: int


def _times(check: Check) -> tuple[float, float]:
    """Begin and end of what sounds; the end of tidying up where that is what is under way."""
    begins_ms = check.part_room_ms + check.stood_ms
    return begins_ms, begins_ms + check.end_ms


def _result(check: Check, seat: int, one: Candidate) -> CheckResult:
    marked: Marked = check.marked(seat)
    first, end = marked.run
    in_run = [d.number for d in marked.decisions if d.sent and first <= d.place < end]
    return CheckResult(
        meets=marked.passed,
        ways=[CheckWay(said=way.said, met=way.met) for way in marked.ways],
        sent="".join(d.sent or NOTHING for d in marked.decisions),
        written="".join(d.written or NOTHING for d in marked.decisions),
        verdicts="".join(_LETTER[d.verdict] for d in marked.decisions),
        run_from=min(in_run, default=0),
        run_to=max(in_run, default=-1) + 1,
        overruled=[
            CheckOverruled(number=number, right=said.right, reason=said.reason)
            for number, said in sorted(one.overruled.items())
        ],
    )


def _answers(check: Check, one: Candidate) -> list[CheckAnswer]:
    right = answers_right(check, one)
    return [
        CheckAnswer(
            question=question,
            expected=expected,
            given=one.answers[i] if i < len(one.answers) else "",
            right=right[i],
            overruled=one.answers_overruled[i].reason if i in one.answers_overruled else "",
        )
        for i, (question, expected) in enumerate(check.setup.questions)
    ]


def on_paper(seat: Seat) -> bool:
    """Whether a sheet is handed in by the console."""
    return seat.way == "paper" or not seat.device


def for_learner(run: Run, check: Check, seat: Seat) -> CheckForLearner:
    """The stage, the own copy, and the own result once it is shown."""
    one, line = check.candidates.get(seat.id), check.line_of(seat.id)
    begins_ms, ends_ms = _times(check)
    is_shown = run.revealed and one is not None and one.handed_in
    tidying = check.stage == "tidying" and one is not None
    flashes = line is not None and line.way.by != "sound"
    return CheckForLearner(
        title=check.form.title,
        stage=check.stage,
        sits=one is not None,
        on_paper=on_paper(seat),
        handed_in=one is not None and one.handed_in,
        paused=run.halted_room_ms is not None,
        copy=one.copy if one else "",
        begins_room_ms=begins_ms,
        ends_room_ms=check.tidy_end_room_ms(seat.id) if tidying else ends_ms,
        by=line.way.by if line else "sound",
        flashes=line.now if line and flashes and run.halted_room_ms is None else [],
        flashes_room_ms=begins_ms,
        signals="".join(sign for sign in check.form.required if sign in "=+␄"),
        questions=[question for question, _ in check.setup.questions] if tidying else [],
        text=check.setup.text if is_shown else "",
        result=_result(check, seat.id, one) if one and is_shown else None,
        answers=_answers(check, one) if one and is_shown else [],
    )


def for_console(room: Classroom, run: Run, check: Check) -> CheckForConsole:
    """All of it, for the examiner: copies and marks when they are handed in."""
    begins_ms, ends_ms = _times(check)
    is_over = check.stage in ("tidying", "over")
    candidates = []
    for number, one in sorted(check.candidates.items()):
        seat, line = room.seats[number], check.line_of(number)
        is_marked = is_over and one.handed_in
        candidates.append(
            CheckCandidate(
                seat=number,
                name=seat.name,
                on_paper=on_paper(seat),
                handed_in=one.handed_in,
                written=len(one.copy.replace(WORD_SPACE, "")),
                pace=line.pace.stated() if line else "",
                arranged=check.way_of(number),
                copy=one.copy if is_marked else "",
                result=_result(check, number, one) if is_marked else None,
                answers=_answers(check, one) if is_marked else [],
            )
        )
    return CheckForConsole(
        form=check.setup.form,
        wpm=check.setup.wpm,
        pace=check.lines[0].pace.stated() if check.lines else "",
        stage=check.stage,
        begins_room_ms=begins_ms,
        ends_room_ms=ends_ms,
        text=check.setup.text if is_over else "",
        missed=check.missed,
        revealed=run.revealed,
        day=room.meetings[-1].day if room.meetings else 0,
        candidates=candidates,
    )


def for_wall(run: Run, check: Check) -> CheckForWall:
    """The stage and its times."""
    begins_ms, ends_ms = _times(check)
    return CheckForWall(
        title=check.form.title,
        source=check.form.source,
        stage=check.stage,
        paused=run.halted_room_ms is not None and not run.stopped,
        begins_room_ms=begins_ms,
        ends_room_ms=ends_ms,
        handed_in=sum(one.handed_in for one in check.candidates.values()),
        of=len(check.candidates),
    )
