"""A room: events in, effects out. No socket, no clock, no chance of its own.

`receive` settles what an event leaves open (a text, a start), folds it into the classroom, and answers with
effects: first the Save of a kept event, then what it causes. The shell makes the Save durable before anything
after it leaves, so nobody is ever told of something that a crash could take back.

What follows from the classroom (`figures`) is brought on by jobs, a slice at each tick. Console and wall are
told part by part, each part when it is not what it was.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import suppress
from functools import partial
from typing import Any

from copyroom.room import (
    asking,
    choosing,
    composing,
    exercises,
    exercising,
    making_one,
    planning,
    running,
    seating,
    setting_aside,
    settings,
)
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import (
    ANSWERERS,
    HANDLERS,
    SETTLERS,
    Audience,
    By,
    Event,
    Message,
    event_declared,
    message_declared,
)
from copyroom.room.effects import (
    CONSOLE,
    SEATS,
    SENDER,
    WALL,
    Effect,
    Greet,
    Known,
    Refused,
    Save,
    Send,
    Sound,
    WakeAt,
)
from copyroom.room.figures import Figures
from copyroom.room.jobs import catch_up, count, note
from copyroom.room.messages.console import (
    alike_view,
    progress_view,
    room_view,
    run_view,
    seats_view,
    table_view,
    tables_before_view,
)
from copyroom.room.messages.evidence import findings_view
from copyroom.room.messages.exercise import NOTHING_SHOWN, ExerciseOut
from copyroom.room.messages.learner import RefusedOut, welcome_view
from copyroom.room.messages.planning import advice_view, plan_texts_view, plan_view
from copyroom.room.messages.running import PushOut, sound_view
from copyroom.room.messages.wall import wall_view
from copyroom.room.run import Run

HANDLING = (
    asking,
    choosing,
    composing,
    exercising,
    making_one,
    planning,
    running,
    seating,
    setting_aside,
    settings,
)
"""The modules whose functions take events: each has marked its own."""
FLUSH_MS = 100.0
"""Console and wall are told of changes at most this often; a large class slows it in proportion."""
SEATS_A_FLUSH = 60
SHOWN_A_SLICE, EXERCISE = 40, "exercise "
"""Of a large class so many are shown an exercise between two looks at the loop; that part's name."""
EARLY_MS = 5.0
"""A timer may be early by this much."""
RUNNING_TICK_MS = 1000.0
"""While a run is open it is looked at this often: silence is news, too."""

_AUDIENCES = {SEATS: Audience.SEATS, CONSOLE: Audience.CONSOLE, WALL: Audience.WALL}


exercises.load()


class Room:
    """One running class.

    Parameters
    ----------
    code : the short code that learners join with.
    words : words that a "words" run may be made of.
    """

    def __init__(self, code: str, words: Iterable[str] = ()) -> None:
        self.classroom = Classroom(code, tuple(words))
        self.figures = Figures(self.classroom)
        self.wake_at_ms: float | None = None
        self._parts_told: dict[str, Message] = {}
        self._shown: dict[int | str, ExerciseOut] = {}
        self._to_tell: list[str] = []
        self._news_due_ms: float | None = None
        self._records = 0
        self._let_out: dict[int, int] = {}
        """Run -> how many of its sounds its seats were told of."""

    @property
    def code(self) -> str:
        """The short code that learners join with."""
        return self.classroom.code

    def knows(self, token: str) -> bool:
        """Whether a seat was given out with this token."""
        return seating.by_token(self.classroom, token) is not None

    def receive(self, event: Event, now_ms: float) -> list[Effect]:
        """Take one event at room time `now_ms`; what it asks of the shell, in order.

        An event that breaks a rule of the room changes nothing and is answered with its sentence.
        """
        if isinstance(event, ev.Tick):
            return self._tick(now_ms)
        if isinstance(event, ev.Watch):
            return self._checked(event, [*self._watch(event, now_ms), *self._wake(now_ms)])
        try:
            effects = self._answer(event, now_ms) if type(event) in ANSWERERS else self._take(event, now_ms)
        except Refused as refusal:
            sentence = RefusedOut(sentence=str(refusal), about=event_declared(event).name)
            return self._checked(event, [*refusal.before, Send(SENDER, sentence), *self._wake(now_ms)])
        return self._checked(event, [*effects, *self._wake(now_ms)])

    def replay(self, journal: Iterable[tuple[int, Event, float]]) -> None:
        """Become the room that this journal tells of. Nobody is here yet; browsers come by themselves.

        The classroom alone is folded. What was settled stands in the journal and is not settled again;
        figures catch up by jobs.
        """
        at_room_ms = 0.0
        for number, event, at_room_ms in journal:
            self.fold(number, event, at_room_ms)
        self.begin(at_room_ms)

    def fold(self, number: int, event: Event, at_room_ms: float) -> None:
        """Take one event of a journal."""
        self._records = number
        with suppress(Refused, Known):  # by a rule that is newer than the journal
            HANDLERS[type(event)](self.classroom, event, at_room_ms)

    def begin(self, now_ms: float) -> None:
        """The journal has been folded to its end: figures may catch up."""
        for seat in self.classroom.seats.values():
            seat.here = not seat.device
        catch_up(self.figures, now_ms)
        self._news_due_ms = now_ms

    def sounds_at(self, room_ms: float) -> bool:
        """Whether a text is sounding, or about to; not what somebody sends by hand."""
        open_runs = (run for run in self.classroom.at_hand if run.sent and not run.closed)
        return any(run.phase(room_ms) in ("counting in", "sounding") for run in open_runs)

    # -------------------------------------------------------------- one event

    def _answer(self, event: Event, now_ms: float) -> list[Effect]:
        """The answer to a question, now or by a job."""
        answer = ANSWERERS[type(event)](self.figures, event, now_ms)
        if isinstance(answer, Generator):
            self.figures.jobs.appendleft(answer)
            return []
        return [Send(SENDER, answer)]

    def _take(self, event: Event, now_ms: float) -> list[Effect]:
        """Settle an event and fold it, now or by a job."""
        settled = self._settled(event, now_ms)
        if isinstance(settled, Generator):
            self.figures.jobs.appendleft(settled)
            return []
        return self._fold(settled, now_ms) if isinstance(settled, Event) else self._take_all(settled, now_ms)

    def _settled(self, event: Event, now_ms: float) -> Any:
        """What an event comes to: one, several, or a job that brings one."""
        settler = SETTLERS.get(type(event))
        return event if settler is None else settler(self.figures, event, now_ms)

    def _take_all(self, events: Sequence[Event], now_ms: float) -> list[Effect]:
        """Take what one event comes to, in order; what was taken stands when a later one is refused."""
        effects: list[Effect] = []
        for event in events:
            try:
                effects += self._fold(self._settled(event, now_ms), now_ms)
            except Refused as refusal:
                raise Refused(str(refusal), *effects, *refusal.before) from None
        return effects

    def _fold(self, event: Event, now_ms: float) -> list[Effect]:
        is_news = event_declared(event).kept
        try:
            effects = HANDLERS[type(event)](self.classroom, event, now_ms)
            note(self.figures, event, now_ms)
        except Known as known:
            effects, is_news = list(known.told), False
        self._have_news(now_ms)
        saves: list[Effect] = []
        if is_news:
            self._records += 1
            saves.append(Save(event, now_ms, self._records))
        told = [told for effect in effects for told in self._told(effect, now_ms)]
        for effect in told:
            if isinstance(effect, Send) and isinstance(effect.message, PushOut) and effect.to != CONSOLE:
                self._let_out[effect.message.push] = len(effect.message.edges or ())
        return [*saves, *told, *self._exercise_after(event, now_ms)]

    def _told(self, effect: Effect, now_ms: float) -> list[Effect]:
        """A Greet or a Sound as the Sends that it comes to."""
        match effect:
            case Greet(to, number, token):
                seat = self.classroom.seats[number]
                at_hand = exercises.at_hand(self.figures, seat, now_ms)
                self._shown.pop(number, None)  # whatever it was shown before it came back
                return [Send(to, welcome_view(self.figures, seat, at_hand, token))]
            case Sound(to):
                return [Send(address, sound_view(effect)) for address in to]
        return [effect]

    def _exercise_after(self, event: Event, now_ms: float) -> list[Effect]:
        """Show what has changed. In a large class at once to whoever did it, to the others some at a time.

        Else every answer of three hundred would make three hundred pages anew.
        """
        if not self._is_large:
            return self._exercise(now_ms)
        if event_declared(event).by in (By.INSTRUCTOR, By.SERVER):
            slices = [name for name in self._exercise_slices() if name not in self._to_tell]
            self._to_tell, self._news_due_ms = [*slices, *self._to_tell], now_ms
            return self._show_exercise((CONSOLE, WALL), now_ms)
        number = getattr(event, "seat", 0)
        return self._show_exercise((number,) if number in self.classroom.seats else (), now_ms)

    @property
    def _is_large(self) -> bool:
        return len(self.classroom.seats) > SEATS_A_FLUSH

    def _exercise_slices(self) -> list[str]:
        """Names of parts of the news, each a slice of those to whom an exercise is shown."""
        many = len(exercises.addresses(self.classroom))
        return [f"{EXERCISE}{first}" for first in range(0, many, SHOWN_A_SLICE)]

    def _exercise(self, now_ms: float) -> list[Effect]:
        """What the exercise at hand shows now, to whom it was not shown yet; turns wait for no news."""
        return self._show_exercise(exercises.addresses(self.classroom), now_ms)

    def _show_exercise(self, to: Iterable[int | str], now_ms: float) -> list[Effect]:
        told: list[Effect] = []
        for address in to:
            shown = exercises.shown_to(self.figures, address, now_ms)
            if shown is not None and self._shown.get(address) != shown:
                self._shown[address] = shown
                told.append(Send(address, shown))
            elif shown is None and address in self._shown:
                del self._shown[address]
                told.append(Send(address, NOTHING_SHOWN))
        return told

    def _checked(self, event: Event, effects: list[Effect]) -> list[Effect]:
        """The effects; a message to somebody whom it is not meant for is a fault of the program."""
        for effect in effects:
            if isinstance(effect, Send):
                said = message_declared(effect.message)
                if self._audience(event, effect.to) not in said.to:
                    raise ValueError(f"{said.name} is not for {effect.to}")
        return effects

    @staticmethod
    def _audience(event: Event, to: int | str) -> Audience:
        if to != SENDER:
            return _AUDIENCES[to] if isinstance(to, str) else Audience.SEAT
        if isinstance(event, ev.Watch):
            return _AUDIENCES[event.view]
        by_console = getattr(event, "by", None) == ev.CONSOLE
        return Audience.CONSOLE if event_declared(event).by is By.INSTRUCTOR or by_console else Audience.SEAT

    # -------------------------------------------------------------- in between

    def _have_news(self, now_ms: float) -> None:
        """Console and wall are to be told of a change, with what else there is by then."""
        due_ms = now_ms + FLUSH_MS * max(1.0, len(self.classroom.seats) / SEATS_A_FLUSH)
        self._news_due_ms = due_ms if self._news_due_ms is None else min(self._news_due_ms, due_ms)

    def _wake(self, now_ms: float) -> list[Effect]:
        """Ask for a Tick when there is something to tell or to do, and none is on its way."""
        wanted_ms = now_ms if self.figures.jobs else self._news_due_ms
        for woken_ms in (exercises.wake_at_ms(self.classroom), self._more_due_ms()):
            if woken_ms is not None:
                wanted_ms = woken_ms if wanted_ms is None else min(wanted_ms, woken_ms)
        if wanted_ms is None or (self.wake_at_ms is not None and self.wake_at_ms <= wanted_ms):
            return []
        self.wake_at_ms = wanted_ms
        return [WakeAt(wanted_ms)]

    def _tick(self, now_ms: float) -> list[Effect]:
        """One piece of work: a slice of a job, else a part of the news."""
        if self.wake_at_ms is not None and now_ms < self.wake_at_ms - EARLY_MS:
            return []  # asked for before something more urgent: another one is on its way
        self.wake_at_ms = None  # should this one fail, the next event asks for another
        if more := self._more(now_ms):
            return self._checked(ev.Tick(), [*more, *self._wake(now_ms)])
        events = exercises.woken(self.classroom, now_ms)
        if events:
            effects = [effect for event in events for effect in self._fold(event, now_ms)]
            effects.sort(key=lambda effect: not isinstance(effect, Save))  # all durable, then all told
            return self._checked(ev.Tick(), [*effects, *self._wake(now_ms)])
        news_due = self._news_due_ms is not None and now_ms >= self._news_due_ms - EARLY_MS
        effects = self._a_slice(now_ms) if self.figures.jobs and not news_due else self._news(now_ms)
        return self._checked(ev.Tick(), [*effects, *self._wake(now_ms)])

    def _more_due_ms(self) -> float | None:
        """When somebody is to be told of more sounds."""
        runs = self.classroom.at_hand
        due = (run.more_due_ms(self._let_out.get(run.id, 0)) for run in runs)
        return min((at_ms for at_ms in due if at_ms is not None), default=None)

    def _more(self, now_ms: float) -> list[Effect]:
        """More sounds of what is at hand, some seconds before their time."""
        effects: list[Effect] = []
        for run in self.classroom.at_hand:
            known = self._let_out.get(run.id, 0)
            due_ms = run.more_due_ms(known)
            if due_ms is not None and due_ms <= now_ms + EARLY_MS:
                effects += exercises.more_of(self.classroom, run, known, now_ms)
                self._let_out[run.id] = run.let_out(now_ms)
        return effects

    def _a_slice(self, now_ms: float) -> list[Effect]:
        """Bring the first job on by one step; what it lets out."""
        job = self.figures.jobs[0]
        out: Sequence[Effect | Event] = ()
        try:
            out = next(job)
        except StopIteration:
            self.figures.jobs.remove(job)
        except Refused as refusal:
            self.figures.jobs.remove(job)
            out = [Send(CONSOLE, RefusedOut(sentence=str(refusal)))]
        except BaseException:
            self.figures.jobs.remove(job)  # the others go on
            raise
        self._have_news(now_ms)
        effects: list[Effect] = []
        for item in out:
            effects += self._fold(item, now_ms) if isinstance(item, Event) else [item]
        if self.figures.shows_anew:
            self.figures.shows_anew = False
            if not self._is_large:  # there the news brings it
                effects += self._exercise(now_ms)
        return effects

    def _news(self, now_ms: float) -> list[Effect]:
        """Tell console and wall what is not what it was; in a large class a part at each turn."""
        if not self._to_tell:
            if self.figures.due and not self.figures.is_counting:
                self.figures.jobs.append(count(self.figures, now_ms))
            self._to_tell = list(self._parts(now_ms))
            if self._is_large:
                self._to_tell += self._exercise_slices()
        many = 1 if self._is_large else len(self._to_tell)
        now, self._to_tell = self._to_tell[:many], self._to_tell[many:]
        parts = self._parts(now_ms)
        effects: list[Effect] = []
        for name in now:
            if name.startswith(EXERCISE):
                first = int(name.removeprefix(EXERCISE))
                some = exercises.addresses(self.classroom)[first : first + SHOWN_A_SLICE]
                effects += self._show_exercise(some, now_ms)
                continue
            if name not in parts:
                continue  # another run is at hand by now
            told = parts[name]()
            if self._parts_told.get(name) != told:
                self._parts_told[name] = told
                effects.append(Send(WALL if name == "wall" else CONSOLE, told))
        if not self._is_large:
            effects += self._exercise(now_ms)  # what it shows may follow from figures
        self._news_due_ms = self._next_news_ms(now_ms)
        return effects

    def _next_news_ms(self, now_ms: float) -> float | None:
        if self._to_tell:
            return now_ms
        if self.classroom.open_run is None:
            return None
        for place in self.figures.live:  # what may still be answered grows less
            self.figures.due.setdefault(place, now_ms)
        return now_ms + RUNNING_TICK_MS

    def _watch(self, event: ev.Watch, now_ms: float) -> list[Effect]:
        parts, shown = self._parts(now_ms), exercises.shown_to(self.figures, event.view, now_ms)
        names = ["wall"] if event.view == "wall" else [name for name in parts if name != "wall"]
        told: list[Effect] = [Send(SENDER, parts[name]()) for name in names]
        return told if shown is None else [*told, Send(SENDER, shown)]

    def _parts(self, now_ms: float) -> dict[str, Callable[[], Message]]:
        """The console's page, part by part, and the wall; each made only when it is looked at."""
        room, figures = self.classroom, self.figures
        return {
            "alike": alike_view,
            "room": lambda: room_view(figures),
            "seats": lambda: seats_view(room),
            **self._runs(now_ms),
            "tables_before": lambda: tables_before_view(figures),
            "plan": lambda: plan_view(room),
            "plan_texts": lambda: plan_texts_view(room),
            "advice": lambda: advice_view(figures),
            "findings": lambda: findings_view(figures),
            "wall": lambda: wall_view(figures, now_ms),
        }

    def _runs(self, now_ms: float) -> dict[str, Callable[[], Message]]:
        """The run at hand, and each within it: how it stands, how far its copies are, and their table."""
        room, figures = self.classroom, self.figures
        parts: dict[str, Callable[[], Message]] = {}
        at_hand: Sequence[Run | None] = room.at_hand or (None,)
        for run in at_hand:
            named = f" {run.id}" if run and run.within else ""
            parts[f"run{named}"] = partial(run_view, run, now_ms)
            parts[f"progress{named}"] = partial(progress_view, figures, run)
            parts[f"table{named}"] = partial(table_view, figures, run)
        return parts
