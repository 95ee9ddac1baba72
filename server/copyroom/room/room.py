"""A room: events in, effects out. No socket, no clock, no chance of its own.

`receive` settles what an event leaves open (a text, a start), applies it, and answers with effects:
first the Save of a durable event, then what it causes. The shell makes the Save durable before
anything after it leaves, so nobody is ever told of something that a crash could take back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from typing import Any

from copyroom.room import copying, planning, running, seating, setting_aside, settings  # noqa: F401  each registers its handlers
from copyroom.room import events as ev
from copyroom.room.contract import HANDLERS, event_declared
from copyroom.room.effects import CONSOLE, SENDER, WALL, Effect, Refused, Save, Send, WakeAt
from copyroom.room.findings import findings_view
from copyroom.room.planning_views import advice_view, course_view, plan_view
from copyroom.room.progress import progress_over_meetings
from copyroom.room.reviewing import review_view
from copyroom.room.scoring import count_live
from copyroom.room.state import State
from copyroom.room.views import (
    cell_view,
    progress_view,
    room_view,
    run_view,
    seats_view,
    sheet_view,
    table_view,
    wall_view,
)

FLUSH_MS = 100.0
"""Console and wall are told of changes at most this often; a large class slows it in proportion."""
SEATS_A_FLUSH = 60
EARLY_MS = 5.0
"""A timer may be early by this much."""
RUNNING_TICK_MS = 1000.0
"""While a run is open the console is told at least this often: silence is news, too."""

_QUESTIONS: dict[type, tuple[str, Callable[[State, Any], dict[str, Any]]]] = {
    ev.ShowCell: ("cell", lambda state, asked: cell_view(state, asked.sent, asked.written, asked.scope)),
    ev.ShowSheet: ("sheet", lambda state, asked: sheet_view(state, state.seat(asked.seat))),
    ev.ShowProgress: ("course_progress", lambda state, asked: progress_over_meetings(state)),
    ev.ShowCourse: ("course", lambda state, asked: course_view(asked)),
    ev.ShowReview: ("review", review_view),
}
"""Events that only ask: the name of the answer, and its view."""


class Room:
    """One running class.

    Parameters
    ----------
    code : the short code that learners join with.
    words : words that a "words" run may be made of.
    """

    def __init__(self, code: str, words: Iterable[str] = ()) -> None:
        self.state = State(code, tuple(words))

    def receive(self, event: ev.Event, now_ms: float) -> list[Effect]:
        """Take one event at room time `now_ms`; what it asks of the shell, in order.

        An event that breaks a rule of the lesson changes nothing and is answered with its sentence.
        """
        if isinstance(event, ev.Tick):
            return self._tick(now_ms)
        if isinstance(event, ev.Watch):
            return self._watch(event, now_ms)
        asked = event
        try:
            if type(event) in _QUESTIONS:
                name, view = _QUESTIONS[type(event)]
                return [Send(SENDER, name, view(self.state, event))]
            event = running.resolve(self.state, event, now_ms)
            effects = HANDLERS[type(event)](self.state, event, now_ms)
        except Refused as refusal:
            return [
                *refusal.before,
                Send(SENDER, "refused", {"sentence": str(refusal), "about": event_declared(asked).name}),
            ]
        saves: list[Effect] = [Save(event, now_ms)] if event_declared(event).kept else []
        return saves + effects + self._wake(now_ms)

    def replay(self, journal: Iterable[tuple[ev.Event, float]]) -> None:
        """Become the room that this journal tells of. Nobody is here yet; browsers come by themselves.

        What `resolve` settled stands in the journal and is not settled again: the lead was another one then.
        """
        state, at_room_ms = self.state, 0.0
        for event, at_room_ms in journal:
            with suppress(Refused):  # by a rule that is newer than the journal
                HANDLERS[type(event)](state, event, at_room_ms)
            running.finish_marking(state)
        if planning.to_conclude(state):
            for _ in planning.conclude(state, at_room_ms, refit=False):
                pass
        for seat in state.seats.values():
            seat.here = not seat.device
        state.changed = {"progress", "table"} if state.open_run else set()

    def _wake(self, now_ms: float) -> list[Effect]:
        """Ask for a Tick when there is something to tell or to do, and none is on its way."""
        state = self.state
        working = state.marking or state.concluding or planning.to_conclude(state)
        wanted_ms = now_ms + FLUSH_MS * max(1.0, len(state.seats) / SEATS_A_FLUSH)
        on_its_way = state.wake_at_ms is not None and state.wake_at_ms <= wanted_ms
        if on_its_way or not (state.changed or working):
            return []
        state.wake_at_ms = wanted_ms
        return [WakeAt(wanted_ms)]

    def _tick(self, now_ms: float) -> list[Effect]:
        """One piece of work: a slice of a closed run, else the live counts and what they change."""
        state = self.state
        if state.wake_at_ms is not None and now_ms < state.wake_at_ms - EARLY_MS:
            return []  # asked for before something more urgent: another one is on its way
        state.wake_at_ms = None  # should this one fail, the next event asks for another
        effects = self._a_slice(now_ms)
        if effects is None:
            effects, again_ms = self._news(now_ms)
        else:
            again_ms = now_ms
        state.wake_at_ms = again_ms
        return effects if again_ms is None else [*effects, WakeAt(again_ms)]

    def _a_slice(self, now_ms: float) -> list[Effect] | None:
        """Go on with what closed copies still need; None when that is done."""
        state = self.state
        if state.marking:
            running.mark_a_slice(state)
            return []
        if state.concluding is None and planning.to_conclude(state):
            state.concluding = planning.conclude(state, now_ms)
        if state.concluding is not None:
            effects = next(state.concluding, None)
            if effects is not None:
                return effects
            state.concluding = None
        return None

    def _news(self, now_ms: float) -> tuple[list[Effect], float | None]:
        """What console and wall have not been told yet, and when to look again."""
        state = self.state
        more_to_count = count_live(state, now_ms)
        views = self._views(now_ms)
        parts = [part for part in views if part in state.changed]
        if len(state.seats) > SEATS_A_FLUSH:
            parts = parts[:1]  # each part of a large class is work enough for one turn of the loop
        state.changed -= set(parts)
        effects: list[Effect] = [Send(CONSOLE, part, views[part]()) for part in parts]
        if state.changed:
            return effects, now_ms
        if parts:
            effects.append(Send(WALL, "wall", wall_view(state, now_ms)))
        if more_to_count:
            state.changed |= {"progress", "table"}
            return effects, now_ms + FLUSH_MS
        if state.open_run is None:
            return effects, None
        state.changed |= {"progress"}
        for seat in state.live:
            state.due.setdefault(seat, now_ms)
        return effects, now_ms + RUNNING_TICK_MS

    def _watch(self, event: ev.Watch, now_ms: float) -> list[Effect]:
        if event.view == "wall":
            return [Send(SENDER, "wall", wall_view(self.state, now_ms)), *self._wake(now_ms)]
        views = self._views(now_ms)
        return [*(Send(SENDER, part, view()) for part, view in views.items()), *self._wake(now_ms)]

    def _views(self, now_ms: float) -> dict[str, Callable[[], dict[str, Any]]]:
        """The console's page, part by part, each made only when it is told."""
        state = self.state
        return {
            "room": lambda: room_view(state),
            "seats": lambda: seats_view(state),
            "run": lambda: run_view(state, now_ms),
            "progress": lambda: progress_view(state),
            "table": lambda: table_view(state),
            "plan": lambda: plan_view(state),
            "advice": lambda: advice_view(state),
            "findings": lambda: findings_view(state),
        }
