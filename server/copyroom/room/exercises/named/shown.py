"""What each audience is shown of named rounds. No name goes to a learner or the wall in its gap."""

from __future__ import annotations

from collections import Counter
from typing import Any, Literal

from copyroom.core.response import Response
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Part
from copyroom.room.copies import Copy
from copyroom.room.exercises.named.state import Rounds, Step, class_so_far
from copyroom.room.run import Run

PLACES = 4
"""Turns that everybody sees coming."""
DOT_MS = 50.0
"""Response times are told in steps of this."""


class NamedTurn(Part, frozen=True, kw_only=True):
    """Whose turn it is, now or later."""

    seat: int
    name: str


class NamedRound(Part, frozen=True, kw_only=True):
    """The round at hand, the same for all: `round` is 1 for the first, 0 before it.

    sound_, gap_, over_, next_room_ms : when the sound begins, the gap, its end, and the next sound.
    meets, asks : a sound is met in these rounds; there is something to be answered.
    held : "" while it goes on; else none of them holds until it does.
    gap_ms : how long a gap is, without a pause in it.
    name : what sounded; "" until the audience may know.
    """

    push: int
    round: int
    rounds: int
    step: Step
    held: Literal["", "paused", "stopped"]
    voice: bool
    by_turns: bool
    meets: bool
    asks: bool
    turns: list[NamedTurn]
    start_room_ms: float
    sound_room_ms: float
    gap_room_ms: float
    over_room_ms: float
    next_room_ms: float
    gap_ms: float
    name: str
    over: bool


class NamedForLearner(NamedRound, frozen=True, kw_only=True):
    """answers: the learner's own first ones, a space where there is none; right: what was put right since.

    sent : what sounded, when the run is over.
    """

    symbols: str
    on_paper: bool
    answers: str
    right: str
    sent: str


class NamedResponse(Part, frozen=True, kw_only=True):
    """How the class answered one symbol. dots: [time in ms, how often] of right answers, in steps.

    median_ms and the quartiles are null where the answers are too few.
    """

    sign: str
    asked: int
    right: int
    another: int
    blank: int
    median_ms: float | None
    low_ms: float | None
    high_ms: float | None
    dots: list[list[float]]
    slow: bool
    mixed: bool


class NamedForConsole(NamedRound, frozen=True, kw_only=True):
    """answered: the seats with an answer to this round; bars: per round [asked, right, another, blank]."""

    symbols: str
    answered: list[int]
    bars: list[list[int]]
    responses: list[NamedResponse]


class NamedForWall(NamedRound, frozen=True, kw_only=True):
    """answered: how many have; responses: of the class, once the run is shown."""

    answered: int
    responses: list[NamedResponse]


def _common(room: Classroom, run: Run, name: str) -> dict[str, Any]:
    state: Rounds = run.state
    at = min(max(state.at, 0), len(run.sent) - 1)
    over_ms = state.gap_end_ms(run, at)
    last = at + 1 == len(run.sent)
    next_ms = over_ms + state.after_ms if last else float(run.start_ms[at + 1])
    times_ms = {
        "start": 0.0,
        "sound": float(run.start_ms[at]),
        "gap": float(run.end_ms[at]),
        "over": over_ms,
        "next": next_ms,
    }
    turns = [room.seats[seat] for seat in state.turns if seat in room.seats][:PLACES]
    return {
        "push": run.id,
        "round": state.at + 1,
        "rounds": len(run.sent),
        "step": state.step,
        "held": _held(run),
        "voice": state.voice,
        "by_turns": state.by_turns,
        "meets": state.meets,
        "asks": state.asks(run),
        "turns": [NamedTurn(seat=seat.id, name=seat.name) for seat in turns],
        **{f"{point}_room_ms": round(run.start_room_ms + ms, 1) for point, ms in times_ms.items()},
        "gap_ms": state.gap_ms,
        "name": name,
        "over": run.closed,
    }


def _held(run: Run) -> Literal["", "paused", "stopped"]:
    if run.halted_room_ms is None:
        return ""
    return "stopped" if run.stopped else "paused"


def _name_on_screens(run: Run) -> str:
    state: Rounds = run.state
    return run.sent[state.at] if state.step == "name" else ""


def answered_now(run: Run) -> list[int]:
    """The seats with an answer to the round at hand."""
    at = run.state.at
    return [seat for seat, copy in run.copies.items() if any(mark.place == at for mark in copy.marks[-2:])]


def for_learner(room: Classroom, run: Run, seat: Seat) -> NamedForLearner:
    """What one learner sees: their own answers, and nobody else's."""
    state: Rounds = run.state
    copy = run.copies.get(seat.id)
    sent = run.sent[: run.sent_count if run.revealed else min(state.given, run.sent_count)]
    return NamedForLearner(
        **_common(room, run, _name_on_screens(run)),
        symbols=run.symbols,
        on_paper=copy is not None and copy.way == "paper",
        answers=_own_answers(copy, state.at + 1),
        right=state.corrections.get(state.at, {}).get(seat.id, ""),
        sent=sent if run.closed else "",
    )


def _own_answers(copy: Copy | None, rounds: int) -> str:
    signs = {mark.place: mark.sign for mark in copy.marks} if copy else {}
    return "".join(signs.get(place, " ") for place in range(rounds))


def for_console(room: Classroom, run: Run) -> NamedForConsole:
    """The class, its rounds, and the name before the others where the instructor is to say it."""
    state: Rounds = run.state
    found, bars = class_so_far(run)
    first = state.voice and state.at >= 0
    return NamedForConsole(
        **_common(room, run, run.sent[state.at] if first else _name_on_screens(run)),
        symbols=run.symbols,
        answered=answered_now(run),
        bars=[list(bar) for bar in bars],
        responses=[response_view(one) for one in found],
    )


def for_wall(room: Classroom, run: Run) -> NamedForWall:
    """The round, who is asked, and how many have answered; whose answer was what stays away."""
    found = class_so_far(run)[0] if run.revealed else ()
    return NamedForWall(
        **_common(room, run, _name_on_screens(run)),
        answered=len(answered_now(run)),
        responses=[response_view(one) for one in found],
    )


def response_view(one: Response) -> NamedResponse:
    """One symbol's line."""
    dots = Counter(round(lag / DOT_MS) * DOT_MS for lag in one.lags_ms)
    return NamedResponse(
        sign=one.sign,
        asked=one.asked,
        right=one.right,
        another=one.another,
        blank=one.blank,
        median_ms=_whole(one.median_ms),
        low_ms=_whole(one.low_ms),
        high_ms=_whole(one.high_ms),
        dots=[[lag, times] for lag, times in sorted(dots.items())],
        slow=one.slow,
        mixed=one.mixed,
    )


def _whole(ms: float | None) -> float | None:
    return None if ms is None else round(ms)
