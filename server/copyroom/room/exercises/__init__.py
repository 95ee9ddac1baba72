"""What a class does together: one kind a file, behind one small interface. Copying is the first of them.

A kind's file declares its events and what they do (`@event`, `@handles`), what its pages are told, and one
`Exercise` that the rest of the room knows it by. The rest never asks which kind it is: adding one touches no
other file here. Its pages' views stand in static/js/exercises/<kind>.js.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import msgspec
import numpy as np

from copyroom.core.bursts import Speed
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Event, Message, Part, settled_fields
from copyroom.room.effects import CONSOLE, SEATS, WALL, Effect, Refused, Send
from copyroom.room.figures import Figures, Job
from copyroom.room.messages.exercise import ExerciseOut, exercise_view
from copyroom.room.messages.learner import copy_view, reveal_view
from copyroom.room.messages.running import ClosedOut, more_view, push_to_console, push_view
from copyroom.room.run import Run


@dataclass(frozen=True, slots=True)
class Act:
    """What a simulated learner does: an event with its fields, so long after it was told something."""

    name: str
    fields: Mapping[str, Any]
    after_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Heard:
    """A sound as a simulated learner's ear took it: nobody told it what was sent.

    run, place : the push, and the sound's number in it.
    sign : what it was taken for; the blank where it was not recognised.
    at_ms : when it ended, after the push's start.
    lag_s : how long after that this learner would write it down.
    """

    run: int
    place: int
    sign: str
    at_ms: float
    lag_s: float


class NoSetup(Part, frozen=True, kw_only=True):
    """Of a kind that asks for nothing."""


class Exercise:
    """One kind of exercise. What a kind does not need it leaves as it is here.

    A run is what is sounded, to all or to some, and its copies; what a kind keeps beside them is `run.state`.
    What goes on in parts is made of runs within the one at hand, each with its own sounds and seats.
    """

    kind: ClassVar[str]
    """Also the name of its file, here and in the browser."""
    title: ClassVar[str] = ""
    """What it is called. "": it is not sent from the composer's exercises."""
    hint: ClassVar[str] = ""
    """What it is good for, in a sentence."""
    stretched_by: ClassVar[tuple[str, str]] = ("", "")
    """Of the setup, what is counted and the silence in seconds, by which it can be made to last as long as
    others beside it: then it may stand in a circle. Its events must name their run."""
    ends_with_others: ClassVar[bool] = False
    """It goes on until it is ended: in a circle it is ended with the others beside it."""
    setup: ClassVar[type[Part]] = NoSetup
    """What the instructor chooses, with its limits; what `settle` draws is marked Settled.CHANCE."""

    names_each: ClassVar[bool] = False
    """Whether the name of each sound follows its answer: of one kind alone, which `made_for` serves."""

    def made_for(self, symbols: str, lean: str, sounds: int) -> Part:
        """The setup for so many sounds of these symbols, with more of some."""
        return self.setup()

    @property
    def fits_circle(self) -> bool:
        """Whether it may go on beside others, each in its circle."""
        return bool(self.stretched_by[0]) or self.ends_with_others

    # ---- from choosing to the end

    def offers(self) -> Sequence[Part]:
        """What its page may choose from; generated for the browser as exercises/<kind>_offers.js."""
        return ()

    def proposed(self, figures: Figures) -> Part | None:
        """The setup with which it would help now, after the copies so far; None: it would not."""
        return None

    def settle(self, figures: Figures, setup: Any, rng: np.random.Generator, now_ms: float) -> Part:
        """The setup with all that is left to chance drawn, so that a replay draws nothing. Raises Refused."""
        return setup  # type: ignore[no-any-return]

    def settle_for(
        self,
        figures: Figures,
        setup: Any,
        seats: Collection[int] | None,
        rng: np.random.Generator,
        now_ms: float,
    ) -> Part:
        """The same for these seats alone, as in a circle; None: for all."""
        return self.settle(figures, setup, rng, now_ms)

    def compose(self, room: Classroom, setup: Any, number: int, start_room_ms: float) -> Run:
        """The run that a settled setup is. Raises Refused."""
        raise Refused("This is not started by itself.")

    introduces: ClassVar[bool] = False
    """Whether a sound is met in runs of this kind: of one kind alone."""

    def introduce(self, room: Classroom, run: Run) -> Run:
        """A text by which a sound is met, as a run of this kind. It is not counted."""
        return run

    def begin(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The run is in the room: who has a part in it gets a sheet and hears its text, if it has one."""
        if not run.is_copied:
            return []
        for seat in room.seats.values():
            if run.has(seat.id):
                room.copy(run, seat)
        to_console = Send(CONSOLE, push_to_console(run, now_ms))
        told = to_its_seats(room, run, push_view(run, now_ms))
        return [to_console if isinstance(send, Send) and send.to == CONSOLE else send for send in told]

    def enter(self, room: Classroom, run: Run, seat: Seat, now_ms: float) -> None:
        """A learner comes in while the run, or one that it is within, is at hand and not shown yet."""
        if run.is_copied and run.has(seat.id):
            room.copy(run, seat)

    def skip(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The instructor passes over the turn at hand."""
        raise Refused("There are no turns in this.")

    def hand_over(self, room: Classroom, run: Run, seat: int, to: int, now_ms: float) -> list[Effect]:
        """The instructor gives the part of one learner to another, both in the room."""
        raise Refused("There is nothing to hand over in this.")

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """The run is about to be closed: what is still under way in it comes to its end."""
        return []

    def went_on(self, room: Classroom, run: Run, halted_room_ms: float, at_room_ms: float) -> list[Effect]:
        """It goes on after a pause, or a stop that was taken back, from this time on."""
        return []

    def read(self, figures: Figures, run: Run) -> Job | None:
        """What was sent by hand in a run within it, read in slices; the job lets out the event that tells.

        None: it is not time yet. Asked for again and again while the run is `unread`, until there is a job.
        """
        return None

    def to_read(self, run: Run) -> Sequence[int]:
        """Numbers of what was keyed in it, is copied by nobody, and is to be read now."""
        return ()

    def read_line(self, figures: Figures, run: Run, number: int) -> Job:
        """Read one of these in slices; the job lets out the event that tells."""
        raise NotImplementedError

    # ---- what is told

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """What an audience is shown now; it is told when that is not what it was, and to whoever comes back.

        seat : whose page it is, for Audience.SEAT. None: this audience is shown nothing.
        """
        return None

    def resume(self, figures: Figures, run: Run, seat: Seat, now_ms: float) -> dict[str, Any]:
        """What a returning page's welcome holds of this run beside what it is `told`: sounds, and a copy."""
        copy = run.copies.get(seat.id)
        is_shown = run.revealed and seat.id not in run.unshown
        if not run.is_copied or (run.revealed and copy is None):
            return {}  # nothing sounds, or it was shown before this learner came
        return {
            "push": push_view(run, now_ms),
            "copy": copy_view(copy) if copy else None,
            # Who was away is shown it when what they wrote meanwhile has come.
            "reveal": reveal_view(figures, run, seat.id) if is_shown else None,
        }

    # ---- what comes by itself, and what it takes

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """When the exercise wants to be woken, in room time."""
        return None

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """Events that have come by now; the room takes and keeps them like any other."""
        return ()

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """These learners are gone: nothing that is theirs stays in the run. Their copies go by themselves."""

    def lasts_s(self, setup: Any) -> float:
        """How long it takes as it is set up, for the evening's plan."""
        return 0.0

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """What a simulated learner does when shown this."""
        return ()

    def hears(
        self, told: Mapping[str, Any], heard: Sequence[Heard], rng: np.random.Generator
    ) -> Sequence[Act]:
        """What a simulated learner does as a pushed sound ends, the last of those `heard` in this run.

        told : what it was shown last. Each act comes so long after the sound's end.
        """
        return ()


def together(
    room: Classroom, kind: Exercise, number: int, start_room_ms: float, state: Any, **more: Any
) -> Run:
    """A run of this kind at the class's speed and pitch; without a text until it gets one."""
    sound = room.sound
    fields: dict[str, Any] = {
        "id": number,
        "purpose": "together",
        "symbols": "",
        "text": "",
        "speed": Speed(sound.wpm, sound.overall_wpm),
        "pitch_hz": sound.pitch_hz,
        "start_room_ms": start_room_ms,
        "tidy_ms": sound.tidy_s * 1000.0,
        "name_shown": False,
        "counted": False,
        "heading": kind.title,
        "kind": kind.kind,
        "state": state,
    }
    return Run(**(fields | more))


MOST_PROPOSED = 2
"""Beside the advice; more would be a list to choose from."""
EXERCISES: dict[str, Exercise] = {}
"""Every kind, by its name."""


def exercise(kind: type[Exercise]) -> type[Exercise]:
    """Mark the one Exercise of a kind's file."""
    if kind.kind in EXERCISES:
        raise ValueError(f"there are two exercises of the kind {kind.kind}")
    EXERCISES[kind.kind] = kind()
    return kind


def of(run: Run) -> Exercise:
    """The kind that a run is of."""
    return EXERCISES[run.kind]


def introduced(room: Classroom, run: Run) -> Run:
    """A run by which a sound is met, as the kind that introduces sounds has it."""
    (kind,) = (kind for kind in EXERCISES.values() if kind.introduces)
    return kind.introduce(room, run)


def naming() -> Exercise:
    """The kind in which each name follows its answer."""
    (kind,) = (kind for kind in EXERCISES.values() if kind.names_each)
    return kind


def to_its_seats(room: Classroom, run: Run, message: Message) -> list[Effect]:
    """To every browser that may have to sound it; the console sounds nothing that is for some alone."""
    if run.seats is None:
        return [Send(SEATS, message), Send(CONSOLE, message)]
    seats = (room.seats[number] for number in sorted(run.seats) if number in room.seats)
    return [Send(seat.id, message) for seat in seats if seat.inside]


def more_of(room: Classroom, run: Run, known: int, now_ms: float) -> list[Effect]:
    """The sounds that come next, to those of its seats who know so many; the console knows them all."""
    told = to_its_seats(room, run, more_view(run, known, now_ms))
    return [send for send in told if isinstance(send, Send) and send.to != CONSOLE]


def begin_run(room: Classroom, run: Run, now_ms: float) -> list[Effect]:
    """Put a run into the room, and begin it. What was at hand must be over, unless the run is within it."""
    if room.open_run is not None and not (run.within and room.top(run) is room.open_run):
        raise Refused("Something is still going on. Close it first.")
    room.runs.append(run)
    if not run.within:
        room.review_days = 0
        room.plan_edits += 1
    return of(run).begin(room, run, now_ms)


def close_run(room: Classroom, run: Run, now_ms: float) -> list[Effect]:
    """The run's copies are final; what its seats heard they have met."""
    effects = of(run).close(room, run, now_ms)
    run.closed = True
    room.note_met(run)
    return [*effects, *to_its_seats(room, run, ClosedOut(push=run.id))]


def enter(room: Classroom, seat: Seat, now_ms: float) -> None:
    """Who comes in has a part in what is at hand, unless it was shown already."""
    for run in room.at_hand if seat.inside else ():
        if not run.revealed:
            of(run).enter(room, run, seat, now_ms)


def takes_anew(room: Classroom, seat: Seat) -> list[object]:
    """What a learner who comes back may be given a part in; it differs when something was."""
    runs = [run for run in room.at_hand if not run.revealed]
    return [seat.id in run.copies if type(of(run)).enter is Exercise.enter else object() for run in runs]


def strike_out(room: Classroom, seats: Collection[int]) -> None:
    """Nothing that is theirs stays in any run."""
    for run in room.runs:
        for seat in seats:
            run.copies.pop(seat, None)
        run.seats = None if run.seats is None else run.seats - frozenset(seats)
        run.unshown -= set(seats)
        of(run).strike_out(run, seats)


def at_hand(figures: Figures, seat: Seat, now_ms: float) -> dict[str, Any]:
    """What a learner's page is told of the run at hand when it comes, or comes back."""
    run = figures.room.run_for(seat.id)
    if figures.room.run is None or not seat.inside:
        return {}
    fields = of(run).resume(figures, run, seat, now_ms) if run else {}
    shown = _told_to(figures, seat, now_ms)
    return fields if shown is None else fields | {"exercise": shown}


def _told_to(figures: Figures, seat: Seat, now_ms: float) -> ExerciseOut | None:
    """What a learner is shown: of the exercise that they have a part in, or of the one around it."""
    run = figures.room.run_for(seat.id) or figures.room.run
    while run is not None and not _tells(run):
        run = figures.room.around(run) if run.within else None
    shown = None if run is None else of(run).told(figures, run, Audience.SEAT, seat, now_ms)
    return None if run is None or shown is None else exercise_view(run.id, run.kind, shown)


def _tells(run: Run) -> bool:
    return type(of(run)).told is not Exercise.told


def addresses(room: Classroom) -> list[int | str]:
    """Whom an exercise may be shown to: console, wall, and each learner here."""
    return [CONSOLE, WALL, *(seat.id for seat in room.seats.values() if seat.here and seat.inside)]


def shown_to(figures: Figures, to: int | str, now_ms: float) -> ExerciseOut | None:
    """The exercise at hand as somebody is shown it; None: nothing."""
    run = figures.room.run
    if run is None or not _tells(run):
        return None
    if isinstance(to, int):
        return _told_to(figures, figures.room.seats[to], now_ms)
    audience = Audience.CONSOLE if to == CONSOLE else Audience.WALL
    part = of(run).told(figures, run, audience, None, now_ms)
    return None if part is None else exercise_view(run.id, run.kind, part)


def proposals(figures: Figures) -> list[tuple[str, dict[str, Any]]]:
    """The exercises that would help now, each with what the console would begin it with."""
    found = ((kind, kind.proposed(figures)) for kind in EXERCISES.values() if kind.title)
    return [(kind.kind, _as_chosen(kind, setup)) for kind, setup in found if setup is not None][
        :MOST_PROPOSED
    ]


def _as_chosen(kind: Exercise, setup: Part) -> dict[str, Any]:
    drawn = settled_fields(kind.setup)
    return {name: value for name, value in msgspec.to_builtins(setup).items() if name not in drawn}


def _next_to_wake(room: Classroom) -> tuple[float, Run] | None:
    """Of what is at hand, who wants to be woken first, and when."""
    open_runs = (run for run in room.at_hand if not run.closed)
    wanted = ((of(run).wake_at_ms(room, run), run) for run in open_runs)
    return min(((at, run) for at, run in wanted if at is not None), key=lambda one: one[0], default=None)


def wake_at_ms(room: Classroom) -> float | None:
    """When an exercise at hand wants to be woken."""
    coming = _next_to_wake(room)
    return coming[0] if coming else None


def woken(room: Classroom, now_ms: float) -> Sequence[Event]:
    """What has come of itself in an exercise at hand by now."""
    coming = _next_to_wake(room)
    return of(coming[1]).wake(room, coming[1], now_ms) if coming and now_ms >= coming[0] else ()


def load() -> None:
    """Read every kind's file that stands beside this one, or in a folder that was added to `__path__`."""
    for found in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{found.name}")
