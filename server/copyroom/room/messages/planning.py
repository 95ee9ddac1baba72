"""Course, plan, advice, progress and review, as the console is shown them and learners are given them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from copyroom.core import phrases
from copyroom.core.advice.proposal import Choice, Proposal
from copyroom.core.course import EMPHASES, EXTENTS, MOST_NEW
from copyroom.core.evidence.intervals import recall
from copyroom.core.knowledge import Belief
from copyroom.core.placement import Placement
from copyroom.core.purpose import Action, Purpose
from copyroom.core.review import review_calendar
from copyroom.core.slices import Slices, at_once
from copyroom.core.usage import EXAMINED_SIGNS
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.events import PlanStep
from copyroom.room.figures import Figures
from copyroom.room.findings import seat_counts_in_slices
from copyroom.room.limits import Emphasis
from copyroom.room.messages.evidence import recall_view
from copyroom.room.record import believed_in_slices, grounds_of_room, present, today

MOST_SPEEDS = 8


class PinOut(Part, frozen=True, kw_only=True):
    sign: str
    place: int


class EmphasisOut(Part, frozen=True, kw_only=True):
    emphasis: str
    title: str
    summary: str


class PlacementOut(Part, frozen=True, kw_only=True):
    sign: str
    reasons: list[str]
    pinned: bool


class ExtentOut(Part, frozen=True, kw_only=True):
    title: str
    signs: str


@message(Audience.CONSOLE, name="course")
class CourseOut(Message, frozen=True, kw_only=True):
    """An order with the reason of each place. `all_signs`: what may be left out or taken in.

    extents : what a course may cover; most_new : new symbols a meeting, at most; held : meetings
        before this one.
    """

    emphases: list[EmphasisOut]
    extents: list[ExtentOut]
    order: list[PlacementOut]
    all_signs: str
    most_new: int
    held: int


class StepOut(Part, frozen=True, kw_only=True):
    """`push`: 0 not done, -1 done without sound, else the run it became. `sounds` 0: nothing to send.

    `kind`, `setup`: of a group exercise, which names the step then.
    """

    step: int
    kind: str
    setup: dict[str, Any]
    purpose: Purpose
    title: str
    symbols: str
    sounds: int
    seconds: float
    reason: str
    push: int


@message(Audience.CONSOLE, name="plan")
class PlanOut(Message, frozen=True, kw_only=True):
    """The course as chosen, and the evening's steps. `changes`: what the last copies changed, and why."""

    emphasis: Emphasis
    order: str
    pins: list[PinOut]
    meetings: int
    most_new: int
    review_days: int
    minutes: float
    begun_room_ms: float | None
    steps: list[StepOut]
    changes: list[str]


@message(Audience.CONSOLE)
class PlanTexts(Message, frozen=True, kw_only=True):
    """What the plan's steps send, by their numbers."""

    texts: dict[str, str]


class ChoiceOut(Part, frozen=True, kw_only=True):
    """`introduce` comes before a text on `symbols`; `named`: each name follows its answer.

    about, learners: the sounds, and the names of those, that it is for; both empty where it is for all.
    """

    action: Action
    sentence: str
    introduce: str
    symbols: str
    sounds: int
    named: bool
    about: str
    learners: list[str]
    reasons: list[str]


class LackOut(Part, frozen=True, kw_only=True):
    name: str
    missed_days: list[int]
    never_heard: str


class SlowOut(Part, frozen=True, kw_only=True):
    """Medians of right answers, from the end of the sound to the key."""

    sign: str
    median_s: float
    usual_s: float


class TogetherOut(Part, frozen=True, kw_only=True):
    """A group exercise that would help, with what it is begun with."""

    kind: str
    setup: dict[str, Any]


@message(Audience.CONSOLE, name="advice")
class AdviceOut(Message, frozen=True, kw_only=True):
    """What could be done after run `push`, the proposed one first; taken with `take_choice`."""

    push: int
    choices: list[ChoiceOut]
    together: list[TogetherOut]
    lacking: list[LackOut]
    slow: list[SlowOut]


class MeetingProgress(Part, frozen=True, kw_only=True):
    """recall: as in EvidenceOut, of the class; seats: [seat, sounds known, of all, low, high], 0: all."""

    number: int
    day: int
    recall: list[list[str | int | float | bool]]
    seats: list[list[int | float]]


class SpeedProgress(Part, frozen=True, kw_only=True):
    """What is believed of today at a speed that was copied at; seats: as in MeetingProgress."""

    wpm: float
    overall_wpm: float
    seats: list[list[int | float]]


class SeatName(Part, frozen=True, kw_only=True):
    seat: int
    name: str


@message(Audience.CONSOLE, name="course_progress")
class CourseProgressOut(Message, frozen=True, kw_only=True):
    """The course so far, meeting by meeting; for the instructor alone."""

    meetings: list[MeetingProgress]
    speeds: list[SpeedProgress]
    seats: list[SeatName]


class ReviewRow(Part, frozen=True, kw_only=True):
    day: int
    signs: str
    why: str


@message(Audience.SEAT, Audience.CONSOLE, name="review")
class ReviewOut(Message, frozen=True, kw_only=True):
    """What to review from the meeting on; seat 0 is the class. A learner gets no other seat's."""

    seat: int
    days: int
    meeting_day: int
    rows: list[ReviewRow]


def course_view(room: Classroom, placed: tuple[Placement, ...]) -> CourseOut:
    """An order with the reason of each place, and the emphases to choose from."""
    return CourseOut(
        emphases=[
            EmphasisOut(emphasis=key, title=emphasis.title, summary=emphasis.summary)
            for key, emphasis in EMPHASES.items()
        ],
        extents=[ExtentOut(title=title, signs=signs) for title, signs in EXTENTS],
        order=[PlacementOut(sign=p.sign, reasons=list(p.reasons), pinned=p.pinned) for p in placed],
        all_signs=EXAMINED_SIGNS,
        most_new=MOST_NEW,
        held=max(0, len(room.meetings) - 1),
    )


def plan_view(room: Classroom) -> PlanOut:
    """The evening's steps, what is done of them, and what the last copies changed."""
    return PlanOut(
        emphasis=room.emphasis,
        order=room.order,
        pins=[PinOut(sign=pin.sign, place=pin.place) for pin in room.pins],
        meetings=room.course_meetings,
        most_new=room.most_new,
        review_days=room.review_days,
        minutes=room.plan_minutes,
        begun_room_ms=room.plan_begun_ms,
        steps=[_step_view(step) for step in room.plan],
        changes=[phrases.changed(change) for change in room.plan_changes],
    )


def plan_texts_view(room: Classroom) -> PlanTexts:
    """What the steps send: told when it changes, not with every step that is done."""
    return PlanTexts(texts={str(planned.id): planned.step.text for planned in room.plan})


def _step_view(planned: PlanStep) -> StepOut:
    step = planned.step
    return StepOut(
        step=planned.id,
        kind=planned.kind,
        setup=planned.setup,
        purpose=step.purpose,
        title=step.title or phrases.title(step.purpose, step.symbols),
        symbols=step.symbols,
        sounds=step.sounds,
        seconds=round(step.duration_s, 1),
        reason=phrases.why(step.purpose, step.because),
        push=planned.push,
    )


def advice_view(figures: Figures) -> AdviceOut:
    """What is proposed after the last run, the other choices, who was away, and what comes slowly."""
    room, advice = figures.room, figures.advice
    choices = () if advice is None else advice.choices
    names = {str(seat.id): seat.name for seat in room.seats.values()}
    day_now = today(room)
    lacking = [
        LackOut(name=names[lack.name], missed_days=days, never_heard=lack.never_heard)
        for lack in figures.lacking
        if lack.name in names and (days := [day for day in lack.missed_days if day != day_now])
    ]
    return AdviceOut(
        push=figures.advice_run,
        choices=[_choice_view(choice, names) for choice in choices],
        together=[TogetherOut(kind=kind, setup=setup) for kind, setup in figures.together],
        lacking=lacking,
        slow=[
            SlowOut(
                sign=slow.sign, median_s=round(slow.median_s, 2), usual_s=round(slow.median_s / slow.times, 2)
            )
            for slow in figures.slow
        ],
    )


def _choice_view(choice: Choice, names: Mapping[str, str]) -> ChoiceOut:
    proposal: Proposal = choice.proposal
    return ChoiceOut(
        action=choice.action,
        sentence=choice.sentence,
        introduce=proposal.introduce,
        symbols="".join(dict.fromkeys(proposal.text)).replace(" ", ""),
        sounds=len(proposal.text.replace(" ", "")),
        named=proposal.kind == "named",
        about=proposal.about.symbols,
        learners=[names[name] for name in proposal.about.learners if name in names],
        reasons=list(proposal.reasons),
    )


def meeting_in_slices(figures: Figures, number: int, then: Belief | None) -> Slices[MeetingProgress]:
    """The class's recall of each symbol in one meeting, and how much each learner knew by its end.

    then : what was believed at its end, of what was met; None where nothing was copied yet.
    """
    runs = [run for run in figures.room.meeting_runs(number) if run.counts]
    per_seat = yield from seat_counts_in_slices(figures, runs)
    class_recall = recall_view(recall(np.stack(list(per_seat.values())))) if per_seat else []
    yield
    day = figures.room.meetings[number - 1].day
    seats = _known_by_each(figures.room, then) if then and per_seat else []
    return MeetingProgress(number=number, day=day, recall=class_recall, seats=seats)


def speeds_in_slices(figures: Figures, signs: str) -> Slices[list[SpeedProgress]]:
    """What is believed at each speed that was copied at, the slowest first; of many the fastest."""
    grounds = yield from grounds_of_room(figures)
    room, runs = figures.room, grounds.runs
    copied = {(run.overall_wpm, run.wpm) for run in runs if run.copies and run.wpm and run.overall_wpm}
    at: list[SpeedProgress] = []
    for overall_wpm, wpm in sorted(copied)[-MOST_SPEEDS:]:
        names = [str(seat) for seat in room.seats]
        believed = yield from grounds.knowledge.believe_in_slices(
            today(room), signs, (wpm, overall_wpm), names
        )
        seats = _known_by_each(room, believed)
        at.append(SpeedProgress(wpm=float(wpm or 0), overall_wpm=float(overall_wpm or 0), seats=seats))
    return at


def _known_by_each(room: Classroom, then: Belief) -> list[list[int | float]]:
    """[seat, sounds known, sounds of the course, low, high], the class first as seat 0; bounds as shares.

    A sum of chances over what was met: it does not fall because something new is met. The bounds are of all
    sounds at once, so they are rather too wide than too narrow.
    """
    whole = max(len({*room.order, *then.signs}), 1)
    sums = [part.sum(axis=1) for part in (then.learners.low, then.learners.mean, then.learners.high)]
    all_together = (then.together.low, then.together.mean, then.together.high)
    low, mean, high = (float(part.sum()) for part in all_together)
    rows: list[list[int | float]] = [
        [0, round(mean, 1), whole, round(low / whole, 4), round(high / whole, 4)]
    ]
    for row, name in enumerate(then.names):
        if name.isdecimal() and int(name) in room.seats:
            of_low, of_mean, of_high = (float(part[row]) for part in sums)
            rows.append(
                [int(name), round(of_mean, 1), whole, round(of_low / whole, 4), round(of_high / whole, 4)]
            )
    return rows


def names_view(room: Classroom) -> list[SeatName]:
    """Everybody's number and name; 0 is the class."""
    everybody = [SeatName(seat=seat.id, name=seat.name) for seat in room.seats.values()]
    return [SeatName(seat=0, name="The class"), *everybody]


def review_in_slices(figures: Figures, days: int, seat: int) -> Slices[ReviewOut]:
    """What to review on which day until the next meeting in so many days; seat 0 is the class."""
    room = figures.room
    day = today(room)
    names = [str(seat)] if seat else list(present(room)) or [str(other) for other in room.seats]
    believed = yield from believed_in_slices(figures, names)
    rows = review_calendar(believed, day, day + days) if believed else ()
    return ReviewOut(
        seat=seat,
        days=days,
        meeting_day=day,
        rows=[ReviewRow(day=row.day, signs=row.signs, why=row.why) for row in rows],
    )


review_view = at_once(review_in_slices)


def given_review(figures: Figures, seat: Seat) -> ReviewOut | None:
    """What this learner was given to review; None when nothing was, or while a restart catches up."""
    days = figures.room.review_days
    known = all(figures.is_final(run.id) for run in figures.room.runs if run.closed and not run.cancelled)
    return review_view(figures, days, seat.id) if days and known else None
