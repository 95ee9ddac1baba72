"""Runs from composing to reveal: what the instructor does with the class's sound."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from copyroom.core import composition, traffic
from copyroom.core.alphabet import by_table_order
from copyroom.core.bursts import Speed, bursts
from copyroom.core.text import normalise
from copyroom.room import events as ev
from copyroom.room import planning
from copyroom.room.contract import handles
from copyroom.room.effects import CONSOLE, SEATS, SENDER, Effect, Refused, Send
from copyroom.room.push import Push
from copyroom.room.scoring import mark_run
from copyroom.room.state import Meeting, State
from copyroom.room.views import Payload, closed_view, halt_view, push_view, reveal_view, shift_view

LISTEN = "EEE T EE"
"""A few short sounds at uneven distances: ears hear at once whether the room sounds as one."""
TRIES = 5
"""Texts drawn before one that was heard already is sent again."""
SAME_PHASE = {"counting in": "sounding", "waiting": "tidying"}
"""Phases that follow each other by themselves: an order on one of them is meant for the other, too."""
LONGEST_TEXT = 1000
"""Sounds in one run: about an hour at beginners' spacing."""


def composed(state: State, event: ev.Compose | ev.SendText) -> str:
    """The text of this event: its own, normalised, or one composed from its seed.

    Raises Refused with a sentence on what is wrong with it.
    """
    try:
        text = normalise(event.text) if event.text.strip() else _fresh(state, event)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    sounds = len(text.replace(" ", ""))
    if sounds > LONGEST_TEXT:
        raise Refused(f"That text has {sounds} sounds; a run takes {LONGEST_TEXT} at most.")
    return text


def _fresh(state: State, event: ev.Compose | ev.SendText) -> str:
    """A text that this class has not heard; where the sounds leave no choice, one that it has."""
    heard = {push.text for push in state.runs if not push.cancelled}
    text = _compose(state, event, event.seed)
    for seed in range(event.seed + 1, event.seed + TRIES):
        if text not in heard:
            break
        text = _compose(state, event, seed)
    return text


def _compose(state: State, event: ev.Compose | ev.SendText, seed: int) -> str:
    if event.purpose == "listen":
        return LISTEN
    if event.purpose == "own":
        raise Refused("Write the text to be sent first.")
    if not event.symbols:
        raise Refused("Choose the symbols first.")
    rng = np.random.default_rng(seed)
    match event.purpose:
        case "one":
            return composition.one_symbol(event.symbols[0], event.count, group=event.group)
        case "meet":
            return composition.meet(event.symbols[0], state.symbols, event.count, rng, group=event.group)
        case "apart":
            return composition.tell_apart(event.symbols, event.count, rng, group=event.group)
        case "words":
            return composition.known_words(state.words, event.symbols, event.count, rng)
        case "calls":
            return composition.practice_calls(event.symbols, event.count, rng)
        case "sentences":
            return traffic.sentences(event.symbols, event.count, rng)
        case "contact":
            return traffic.contact(event.symbols, event.count, rng)
        case "message":
            return traffic.message(event.symbols, event.count, rng)
        case _:
            return composition.mixed_groups(event.symbols, event.count, rng, group=event.group)


def resolve(state: State, event: ev.Event, now_ms: float) -> ev.Event:
    """The event as the journal keeps it: with its text and its start, so that a replay draws nothing."""
    if isinstance(event, ev.Order):
        _refuse_if_changed(state, event, now_ms)
        event = replace(event, push=ev.ANY, seen="")
    if isinstance(event, (ev.SendText, ev.SendStep)):
        if event.after not in (ev.ANY, _at_hand(state)):
            raise Refused("Another run was sent meanwhile, so this one was not. Look at it first.")
        event = replace(event, after=ev.ANY)
    if isinstance(event, ev.Repeat):
        if state.run is None:
            raise Refused("Nothing has been sent yet.")
        last = state.run
        event = ev.SendText(
            last.purpose, last.symbols, 1, 5, last.text, last.name_shown, last.counted, 0, 0.0
        )
    if isinstance(event, ev.SendStep):
        event = planning.text_of_step(state, event)
    if isinstance(event, ev.ClearAway):
        away = (seat.id for seat in state.seats.values() if seat.listed and state.long_away(seat))
        return replace(event, seats=tuple(away))
    if isinstance(event, ev.PlanEvening):
        return planning.settle_plan(state, event, now_ms)
    if isinstance(event, ev.TakeChoice):
        return planning.settle_choice(state, event)
    if isinstance(event, ev.SetAside):
        return replace(event, aside=state.next_aside)
    if isinstance(event, ev.SetCourse):
        return replace(event, order=planning.order_for(event))
    if isinstance(event, ev.SendText):
        lead_in_ms = state.sound.lead_in_s * 1000.0 if event.counted else 0.0
        start_room_ms = now_ms + max(state.lead_ms(), lead_in_ms)
        return replace(event, text=composed(state, event), start_room_ms=start_room_ms)
    if isinstance(event, ev.GoOn):
        return replace(event, start_room_ms=now_ms + state.lead_ms())
    return event


def _at_hand(state: State) -> int:
    return state.run.id if state.run else 0


def _refuse_if_changed(state: State, event: ev.Order, now_ms: float) -> None:
    """An order holds for what its console showed: a second click on what has just changed does nothing."""
    phase = state.run.phase(now_ms) if state.run else ""
    same_run = event.push in (ev.ANY, _at_hand(state))
    same_phase = event.seen == "" or SAME_PHASE.get(event.seen, event.seen) == SAME_PHASE.get(phase, phase)
    if not (same_run and same_phase):
        raise Refused("The run had just changed, so nothing was done. Look at it first.")


@handles(ev.Compose)
def propose(state: State, event: ev.Compose, now_ms: float) -> list[Effect]:
    """A text to look at, with its length, before it is sent."""
    text = composed(state, event)
    timing = bursts(text, Speed(state.sound.wpm, state.sound.overall_wpm))
    payload = {"text": text, "sounds": len(timing.symbols), "seconds": float(timing.duration_s)}
    return [Send(SENDER, "proposal", payload)]


@handles(ev.SendText)
def send_text(state: State, event: ev.SendText, now_ms: float) -> list[Effect]:
    """Send a run. The run before it is closed, if it still was open: nothing it collected is lost."""
    before = state.open_run
    if before is not None and before.phase(now_ms) in ("counting in", "sounding", "paused"):
        raise Refused("A run is sounding. Stop it first.")
    effects = close(state, ev.Close(), now_ms) if before is not None else []
    sound = state.sound
    # One hidden sound among the known ones: a single key would give it away.
    hidden = event.purpose == "one" and not event.name_shown
    push = Push(
        id=len(state.runs) + 1,
        purpose=event.purpose,
        symbols=by_table_order(event.symbols + event.text + (state.symbols if hidden else "")),
        text=event.text,
        speed=Speed(sound.wpm, sound.overall_wpm),
        pitch_hz=sound.pitch_hz,
        start_room_ms=event.start_room_ms,
        tidy_ms=sound.tidy_s * 1000.0,
        name_shown=event.name_shown and not event.counted,
        counted=event.counted,
        heading=event.title,
    )
    state.runs.append(push)
    state.review_days = 0
    state.plan_edits += 1
    if event.step:
        planning.note_sent(state, event.step, push.id, now_ms)
    # A step of the plan is a step of the course; what is sent by hand may be anything.
    met = event.symbols[:1] if push.purpose == "meet" else push.sent if event.step else ""
    if unmet := planning.unmet(state, met):
        push.introduced = unmet
        state.symbols += unmet
        state.changed.add("room")
    for seat in state.seats.values():
        state.copy(push, seat)
    for per_seat in (state.live, state.live_results, state.due):
        per_seat.clear()
    state.changed |= {"run", "progress", "table"}
    return [*effects, *_to_all("push", push_view(push))]


@handles(ev.OpenMeeting)
def open_meeting(state: State, event: ev.OpenMeeting, now_ms: float) -> list[Effect]:
    """A new evening: seats, symbols and settings stay, the evening's table starts empty."""
    effects = close(state, ev.Close(), now_ms) if state.open_run else []
    if state.meetings and state.meetings[-1].first_push > len(state.runs):
        emptied = state.meetings.pop()  # nothing was sent in it
        for seat in state.seats.values() if emptied.day != event.day else ():
            seat.meeting = min(seat.meeting, len(state.meetings))
    state.meetings.append(Meeting(event.day, len(state.runs) + 1))
    state.plan, state.plan_changes, state.plan_begun_ms, state.advice = [], (), None, None
    state.plan_edits += 1
    state.review_days = 0
    state.changed |= {"room", "run", "progress", "table", "findings", "plan", "advice"}
    return effects


def _to_all(name: str, payload: Payload) -> list[Effect]:
    """To every browser that may have to sound: the seats', and the console's."""
    return [Send(SEATS, name, payload), Send(CONSOLE, name, payload)]


def _sounding(state: State, now_ms: float, phases: tuple[str, ...]) -> Push:
    push = state.open_run
    if push is None or push.phase(now_ms) not in phases:
        raise Refused("No run is sounding.")
    return push


@handles(ev.Pause)
def pause(state: State, event: ev.Pause, now_ms: float) -> list[Effect]:
    """End all sound now; the run can go on."""
    push = _sounding(state, now_ms, ("counting in", "sounding"))
    push.halted_room_ms = now_ms
    state.changed.add("run")
    return [*_to_all("halt", halt_view(push))]


@handles(ev.GoOn)
def go_on(state: State, event: ev.GoOn, now_ms: float) -> list[Effect]:
    """Sound what is left, from the symbol that was cut off."""
    push = _sounding(state, now_ms, ("paused",))
    push.go_on(event.start_room_ms)
    state.live.clear()  # they were begun with the times before the pause
    state.changed.add("run")
    return [*_to_all("shift", shift_view(push))]


@handles(ev.Stop)
def stop(state: State, event: ev.Stop, now_ms: float) -> list[Effect]:
    """End all sound now, for good."""
    push = _sounding(state, now_ms, ("counting in", "sounding", "paused"))
    if push.halted_room_ms is None:
        push.halted_room_ms = now_ms
    push.stopped_room_ms = now_ms
    state.changed |= {"run", "table"}
    if push.cancelled:
        _take_back(state, push)
    return [*_to_all("halt", halt_view(push))]


def _take_back(state: State, push: Push) -> None:
    """A cancelled run leaves nothing behind: no copies to close, no step done, nothing introduced."""
    push.closed = True
    planning.note_cancelled(state, push.id)
    state.symbols = "".join(sign for sign in state.symbols if sign not in push.introduced)
    for per_seat in (state.live, state.live_results, state.due):
        per_seat.clear()
    state.changed |= {"room", "progress", "table", "plan", "advice", "findings"}


@handles(ev.Close)
def close(state: State, event: ev.Close, now_ms: float) -> list[Effect]:
    """Copies are final from here on; a run still sounding is stopped first."""
    push = state.open_run
    if push is None:
        raise Refused("No run is open.")
    effects: list[Effect] = []
    if push.phase(now_ms) in ("counting in", "sounding", "paused"):
        effects = stop(state, ev.Stop(), now_ms)
    if push.cancelled:
        return effects
    push.closed = True
    state.marking.append(mark_run(state, push))
    state.changed |= {"run", "progress", "table", "room"}
    return [*effects, *_to_all("closed", closed_view(push))]


@handles(ev.Reveal)
def reveal(state: State, event: ev.Reveal, now_ms: float) -> list[Effect]:
    """Show every learner their own copy under what was sent. Closes the run when it is still open."""
    push = state.run
    if push is None:
        raise Refused("Nothing has been sent yet.")
    effects = [] if push.closed else close(state, ev.Close(), now_ms)
    if push.cancelled:
        return effects
    finish_marking(state)
    push.revealed = True
    state.changed.add("run")
    shown: list[Effect] = [
        Send(seat.id, "reveal", reveal_view(state, push, seat.id))
        for seat in state.seats.values()
        if seat.here and seat.inside
    ]
    return effects + shown


def finish_marking(state: State) -> None:
    """Align what is left of the closed runs now."""
    while state.marking:
        for _ in state.marking.pop(0):
            pass


def mark_a_slice(state: State) -> None:
    """Align one slice of the closed runs' copies."""
    if state.marking:
        try:
            next(state.marking[0])
        except StopIteration:
            state.marking.pop(0)
