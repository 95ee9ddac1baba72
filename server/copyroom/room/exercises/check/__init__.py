"""A formal copy check: a published form, a fresh text that meets it, marking that an examiner can overrule.

A warm-up, then the text, then time to tidy up, then the copies are handed in and marked (`core.checks`).
Sound goes out a few seconds ahead and no further. What is arranged for a seat (pitch, character speed, a lamp
or vibration, more time to tidy up) leaves the text and how long it lasts as they are. Copies of a check are
in no table of the class.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np
from msgspec.structs import replace

from copyroom.core.checks import draw
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, Event, Part
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Act, Exercise, exercise, together
from copyroom.room.exercises.check.events import KIND, CheckGoesOn, CheckSounds, CheckTaken
from copyroom.room.exercises.check.setup import CheckForm, CheckPassing, CheckSetup, form_of, shipped
from copyroom.room.exercises.check.shown import for_console, for_learner, for_wall, on_paper
from copyroom.room.exercises.check.state import GRACE_MS, Candidate, Check, pace_for
from copyroom.room.figures import Figures
from copyroom.room.run import Run

MOST_HEARD = 40
"""Earlier texts of the room that a new one is held against."""


@exercise
class CopyCheck(Exercise):
    """A check by a form."""

    kind = KIND
    title = "Copy check"
    hint = "A formal check by a published rule: a fresh text, marked by the rule's own counting."
    setup = CheckSetup

    def offers(self) -> list[CheckForm]:
        """The forms to choose from."""
        return shipped()

    def settle(
        self, figures: Figures, setup: CheckSetup, rng: np.random.Generator, now_ms: float
    ) -> CheckSetup:
        """A text that nobody here has heard, a warm-up of the same kind, and who sits it."""
        room = figures.room
        form = form_of(setup.form)
        here = [seat.id for seat in room.seats.values() if seat.inside and (seat.here or not seat.device)]
        seats = [seat for seat in setup.candidates if seat in room.seats] or here
        if not seats:
            raise Refused("Nobody is here to sit a check.")
        heard = [run.state.setup.text for run in room.runs if run.kind == KIND]
        heard += [run.text for run in room.runs if run.text][-MOST_HEARD:]
        try:
            drawn = draw(form, setup.wpm, room.words, rng, heard)
            warm_up = _warm_up(room, setup, rng)
            for way in setup.arranged:
                pace_for(form, drawn.text, setup.wpm, way)
        except ValueError as fault:
            raise Refused(str(fault)) from None
        return replace(
            setup, text=drawn.text, warm_up=warm_up, questions=list(drawn.questions), seats=sorted(seats)
        )

    def compose(self, room: Classroom, setup: CheckSetup, number: int, start_room_ms: float) -> Run:
        """Its text is in no run: it goes out in parts."""
        seats = [seat for seat in setup.seats if seat in room.seats]
        if not seats:
            raise Refused("None of those who were to sit the check is in the room.")
        check = Check(setup, form_of(setup.form), {seat: Candidate() for seat in seats})
        if setup.warm_up:
            check.begin_part(setup.warm_up, "warming up", start_room_ms, 0)
        else:
            check.stage = "ready"
        heading = f"Check: {check.form.title}"
        run = together(room, self, number, start_room_ms, check, heading=heading, tidy_ms=0.0)
        run.lasts_ms = check.lasts_ms(run)
        return run

    def close(self, room: Classroom, run: Run, now_ms: float) -> list[Effect]:
        """Whatever is not handed in is taken as it stands."""
        check: Check = run.state
        check.stage = "over"
        for one in check.candidates.values():
            one.handed_in = True
        return []

    # ---- what is told

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """Of the text nothing before it has sounded."""
        if audience is Audience.CONSOLE:
            return for_console(figures.room, run, run.state)
        if audience is Audience.WALL:
            return for_wall(run, run.state)
        return None if seat is None else for_learner(run, run.state, seat)

    # ---- what comes by itself, and what it takes

    def wake_at_ms(self, room: Classroom, run: Run) -> float | None:
        """More sound, the next stage, the end of somebody's time."""
        check: Check = run.state
        if run.halted_room_ms is not None:
            return None
        if check.sounds:
            if check.halts < len(run.halts):
                return 0.0
            return check.part_room_ms + check.stood_ms + check.next_ms
        if check.stage == "tidying":
            return min((at_ms for _, at_ms in _still_due(room, check)), default=0.0)
        return None

    def wake(self, room: Classroom, run: Run, now_ms: float) -> Sequence[Event]:
        """One of these."""
        check: Check = run.state
        if check.sounds:
            is_sent = all(line.sent == len(line.edges) for line in check.lines)
            if is_sent and check.halts == len(run.halts) and check.at_ms(now_ms) >= check.end_ms - 1.0:
                return [CheckGoesOn(run.id, "ready" if check.stage == "warming up" else "tidying")]
            return [CheckSounds(run.id)]
        due = sorted(_still_due(room, check), key=lambda one: one[1])
        if due:
            return [CheckTaken(run.id, due[0][0])]
        return [CheckGoesOn(run.id, "over")]

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Copy, answers and decisions go with whoever is taken out."""
        check: Check = run.state
        for seat in seats:
            check.candidates.pop(seat, None)
        kept = [way for way in check.setup.arranged if way.seat not in seats]
        check.setup = replace(check.setup, arranged=kept)
        for line in check.lines:
            line.seats = tuple(seat for seat in line.seats if seat not in seats)

    def lasts_s(self, setup: CheckSetup) -> float:
        """Warm-up, text, tidying up."""
        return setup.form.warm_up_s + 60.0 * setup.form.minutes + setup.form.tidy_s

    def play(self, told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
        """A simulated learner hands in an empty copy: nothing is told from which it could write one."""
        if not told["sits"] or told["handed_in"] or told["stage"] != "tidying":
            return ()
        return [Act("hand_in_check", {"copy": told["copy"], "answers": []}, float(rng.uniform(1.0, 4.0)))]


def _still_due(room: Classroom, check: Check) -> list[tuple[int, float]]:
    """Who has not handed in on a device, and until when they may."""
    return [
        (seat, check.tidy_end_room_ms(seat) + GRACE_MS)
        for seat, one in check.candidates.items()
        if not one.handed_in and seat in room.seats and not on_paper(room.seats[seat])
    ]


def _warm_up(room: Classroom, setup: CheckSetup, rng: np.random.Generator) -> str:
    """A text of the same kind, as long as the warm-up; what need not occur in it need not."""
    form = form_of(setup.form)
    if not form.warm_up_s:
        return ""
    ways = [one for one in setup.form.passes if one.kind != "questions"]
    short = replace(
        setup.form,
        text="words" if form.text == "contact" else form.text,
        minutes=max(0.2, min(form.warm_up_s / 60.0, form.minutes)),
        counted=0,
        words=0,
        required="",
        figures=-1,
        passes=ways or [CheckPassing(kind="errors", amount=0)],
    )
    return draw(form_of(short), setup.wpm, room.words, rng).text
