"""Runs from sending to reveal: what the instructor does with the class's sound."""

from __future__ import annotations

from collections.abc import Collection

from msgspec.structs import replace

from copyroom.core.alphabet import by_table_order
from copyroom.core.bursts import Speed
from copyroom.room import events as ev
from copyroom.room import exercises, planning
from copyroom.room.classroom import Classroom, Meeting
from copyroom.room.composing import composed
from copyroom.room.contract import handles, settles
from copyroom.room.effects import Effect, Refused
from copyroom.room.figures import Figures
from copyroom.room.messages.running import halt_view, shift_view
from copyroom.room.run import Run

SAME_PHASE = {"counting in": "sounding", "waiting": "tidying", "stopped": "tidying"}
"""Phases that follow each other by themselves: an order on one of them is meant for the other, too."""
UNDER_WAY = ("counting in", "sounding", "paused")

# ------------------------------------------------------------------ what is settled before it is kept


@settles(ev.Reveal)
def settle_reveal(figures: Figures, event: ev.Reveal, now_ms: float) -> ev.Order:
    """Who types and is away may have written more than has come: it counts, as they have seen nothing."""
    settled = settle_order(figures, event, now_ms)
    room = figures.room
    typing = {n for run in room.at_hand for n, copy in run.copies.items() if copy.way == "typing"}
    away = (seat.id for seat in room.seats.values() if seat.device and not seat.here and seat.id in typing)
    return replace(settled, away=tuple(away))


@settles(ev.Pause, ev.Stop, ev.Close)
def settle_order(figures: Figures, event: ev.Order, now_ms: float) -> ev.Order:
    """An order holds for what its console showed: a second click on what has just changed does nothing."""
    run = figures.room.run
    phase = run.phase(now_ms) if run else ""
    same_run = event.push in (ev.ANY, run.id if run else 0)
    same_phase = event.seen == "" or SAME_PHASE.get(event.seen, event.seen) == SAME_PHASE.get(phase, phase)
    if not (same_run and same_phase):
        raise Refused("The run had just changed, so nothing was done. Look at it first.")
    return replace(event, push=ev.ANY, seen="")


@settles(ev.GoOn)
def settle_go_on(figures: Figures, event: ev.GoOn, now_ms: float) -> ev.Order:
    """The rest starts as soon as every browser can have it; what was left of a timed silence comes first."""
    settle_order(figures, event, now_ms)
    room = figures.room
    wait_ms = max([room.lead_ms(), *(run.rest_ms for run in room.at_hand)])
    return ev.GoOn(start_room_ms=now_ms + wait_ms)


def text_again(figures: Figures, last: Run, now_ms: float) -> ev.SendText:
    """A run's text as a run of its own."""
    shown = last.name_shown or (last.purpose == "meet" and last.placed)
    symbols = last.sent[:1] if last.purpose == "meet" else last.symbols
    again = ev.SendText(last.purpose, symbols, 1, 5, last.text, shown, last.counted, 0)
    return settle_text(figures, again, now_ms)


@settles(ev.SendText)
def settle_text(figures: Figures, event: ev.SendText, now_ms: float) -> ev.SendText:
    """Its text and its start, so that a replay draws nothing."""
    room = figures.room
    refuse_after_another(room, event.after)
    lead_in_ms = room.sound.lead_in_s * 1000.0 if event.counted else 0.0
    start_room_ms = now_ms + max(room.lead_ms(), lead_in_ms)
    text, push = composed(room, event), len(room.runs) + 1
    named = event.purpose == "meet" and event.name_shown and not event.counted
    return replace(event, text=text, push=push, start_room_ms=start_room_ms, after=ev.ANY, named=named)


def refuse_after_another(room: Classroom, after: int) -> None:
    """What is sent was meant to follow the run that its console showed."""
    if after not in (ev.ANY, room.run.id if room.run else 0):
        raise Refused("Another run was sent meanwhile, so this one was not. Look at it first.")


# ------------------------------------------------------------------ what it does to the class


@handles(ev.SendText)
def send_text(room: Classroom, event: ev.SendText, now_ms: float) -> list[Effect]:
    """Send a run. The run before it is closed, if it still was open: nothing it collected is lost."""
    effects = make_way(room, now_ms)
    sound = room.sound
    # One hidden sound among the known ones: a single key would give it away.
    hidden = event.purpose == "one" and not event.name_shown
    run = Run(
        id=event.push or len(room.runs) + 1,
        purpose=event.purpose,
        symbols=by_table_order(event.symbols + event.text + (room.symbols if hidden else "")),
        text=event.text,
        speed=Speed(sound.wpm, sound.overall_wpm),
        pitch_hz=sound.pitch_hz,
        start_room_ms=event.start_room_ms,
        tidy_ms=sound.tidy_s * 1000.0,
        name_shown=event.name_shown and not event.counted,
        counted=event.counted,
        heading=event.title,
    )
    if event.named:
        run = exercises.introduced(room, run)
    begun = exercises.begin_run(room, run, now_ms)
    if event.step:
        planning.note_sent(room, event.step, run.id, now_ms)
    # A step of the plan is a step of the course; what is sent by hand may be anything.
    met = (
        event.symbols[:1]
        if run.purpose == "meet"
        else run.sent
        if event.step and run.purpose != "listen"
        else ""
    )
    if unmet := planning.unmet(room, met):
        run.introduced = unmet
        room.symbols += unmet
    return [*effects, *begun]


def make_way(room: Classroom, now_ms: float) -> list[Effect]:
    """Close the run before, if it still is open; while it sounds nothing else is sent."""
    before = room.open_run
    if before is not None and before.phase(now_ms) in UNDER_WAY:
        raise Refused("A run is sounding. Stop it first.")
    return close(room, ev.Close(), now_ms) if before is not None else []


@handles(ev.OpenMeeting)
def open_meeting(room: Classroom, event: ev.OpenMeeting, now_ms: float) -> list[Effect]:
    """A new evening: seats, symbols and settings stay, the evening's table starts empty."""
    effects = close(room, ev.Close(), now_ms) if room.open_run else []
    if room.meetings and room.meetings[-1].first_push > len(room.runs):
        emptied = room.meetings.pop()  # nothing was sent in it
        for seat in room.seats.values() if emptied.day != event.day else ():
            seat.meeting = min(seat.meeting, len(room.meetings))
    room.meetings.append(Meeting(event.day, len(room.runs) + 1))
    room.plan, room.plan_changes, room.plan_begun_ms = [], (), None
    room.plan_edits += 1
    room.review_days = 0
    return effects


def _sounding(room: Classroom, now_ms: float, phases: Collection[str]) -> list[Run]:
    """The run at hand and those within it, as far as they are in one of these phases."""
    found = [run for run in room.at_hand if not run.closed and run.phase(now_ms) in phases]
    if not found:
        raise Refused("No run is sounding.")
    return found


@handles(ev.Pause)
def pause(room: Classroom, event: ev.Pause, now_ms: float) -> list[Effect]:
    """End all sound now; the run can go on."""
    effects: list[Effect] = []
    for run in _sounding(room, now_ms, ("counting in", "sounding")):
        run.halted_room_ms = now_ms
        effects += exercises.to_its_seats(room, run, halt_view(run))
    return effects


@handles(ev.GoOn)
def go_on(room: Classroom, event: ev.GoOn, now_ms: float) -> list[Effect]:
    """Sound what is left, from the symbol that was cut off: after a pause, or a stop that is taken back."""
    effects: list[Effect] = []
    for run in _sounding(room, now_ms, ("paused", "stopped")):
        if run.in_parts and run.stopped_room_ms != room.around(run).stopped_room_ms:
            continue  # what was keyed in it had ended by itself
        halted_room_ms = run.halted_room_ms
        run.go_on(event.start_room_ms)
        if halted_room_ms is not None:
            effects += exercises.of(run).went_on(room, run, halted_room_ms, event.start_room_ms)
        for copy in run.copies.values():
            copy.handed_in = False
        effects += exercises.to_its_seats(room, run, shift_view(run))
    return effects


@handles(ev.Stop)
def stop(room: Classroom, event: ev.Stop, now_ms: float) -> list[Effect]:
    """End all sound now, for good."""
    effects: list[Effect] = []
    for run in _sounding(room, now_ms, UNDER_WAY):
        if run.halted_room_ms is None:
            run.halted_room_ms = now_ms
        run.stopped_room_ms = now_ms
        if run.cancelled:
            _take_back(room, run)
        effects += exercises.to_its_seats(room, run, halt_view(run))
    return effects


def _take_back(room: Classroom, run: Run) -> None:
    """A cancelled run leaves nothing behind: no copies to close, no step done, nothing introduced."""
    run.closed = True
    planning.note_cancelled(room, run.id)
    room.symbols = "".join(sign for sign in room.symbols if sign not in run.introduced)


@handles(ev.Close)
def close(room: Classroom, event: ev.Close, now_ms: float) -> list[Effect]:
    """Copies are final from here on; a run still sounding is stopped first."""
    run = room.open_run
    if run is None:
        raise Refused("No run is open.")
    effects: list[Effect] = []
    family = room.parts_of(run)
    if any(part.phase(now_ms) in UNDER_WAY for part in family if not part.closed):
        effects = stop(room, ev.Stop(), now_ms)
    if run.cancelled:
        return effects
    for part in reversed(family):
        if not part.closed and not part.cancelled:
            effects += exercises.close_run(room, part, now_ms)
    return effects


@handles(ev.Reveal)
def reveal(room: Classroom, event: ev.Reveal, now_ms: float) -> list[Effect]:
    """Show every learner their own copy under what was sent. Closes the run when it is still open."""
    run = room.run
    if run is None:
        raise Refused("Nothing has been sent yet.")
    effects = [] if run.closed else close(room, ev.Close(), now_ms)
    if run.cancelled:
        return effects
    for part in room.parts_of(run):
        part.revealed = True
        part.unshown = {number for number in event.away if number in part.copies}
    return effects


@handles(ev.Shown)
def shown(room: Classroom, event: ev.Shown, now_ms: float) -> list[Effect]:
    """What comes of theirs from now on was written with the solution in view, or may have been."""
    for part in room.parts_of(room.run_of(event.push)):
        part.unshown.discard(event.seat)
    return []
