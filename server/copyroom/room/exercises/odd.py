"""The odd one: one sound again and again, and a hand is raised when another one comes. Nothing is written.

A run is some rows (`core.odd_rows`), each of one pair; its text has a group a row. Where the odd ones stand
is drawn when it begins. The first hand at a sound counts, at sounds that the seat's own browser sounded,
with one before them in the row to compare with. The figures (`core.detection`) are the class's, by pair;
nobody's own are told to anybody.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np
from msgspec import Meta
from msgspec.structs import replace
from numpy.typing import NDArray

from copyroom.core.alphabet import BLANK, INDEX
from copyroom.core.bursts import Speed
from copyroom.core.detection import comparable, detection
from copyroom.core.odd_rows import ROW_PAUSE_MS, Row, begins_ms, drawn, place_of, rows_of
from copyroom.core.similarity import likeness
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.contract import Audience, By, Event, Part, Settled, event, handles
from copyroom.room.effects import Effect, Refused
from copyroom.room.exercises import Act, Exercise, Heard, exercise, together
from copyroom.room.figures import Figures
from copyroom.room.limits import InPushMs, PushNumber, SeatNumber
from copyroom.room.run import Run

KIND = "odd"
PAIRS_BY_ITSELF = 2
"""Pairs of sounds proposed, each both ways round."""
USUAL_SOUND_S = 0.6
HANDS_A_SOUND = 3
MOST_DOTS = 150
REACTS_SOONER = 0.5
"""A simulated learner raises a hand in half the time that writing takes."""

Pair = Annotated[str, Meta(min_length=2, max_length=2)]
"""The odd sound, and the one that comes again and again."""


class OddDrawn(Part, frozen=True, kw_only=True):
    """One row: its pair, and which of its sounds are odd, the first one is 0."""

    pair: Pair
    at: Annotated[list[int], Meta(max_length=2)]


class OddSetup(Part, frozen=True, kw_only=True):
    """Pairs, rows of each, sounds in a row, and the silence after the longer sound of the pair.

    pairs : none: what this class mixes up, both ways round. drawn : the rows, in order.
    """

    pairs: Annotated[list[Pair], Meta(max_length=8)] = []  # noqa: RUF012 (copied by msgspec)
    rows: Annotated[int, Meta(ge=1, le=6)] = 2
    sounds: Annotated[int, Meta(ge=6, le=20)] = 12
    gap_s: Annotated[float, Meta(ge=0.5, le=5.0)] = 1.2
    drawn: Annotated[list[OddDrawn], Settled.CHANCE] = []  # noqa: RUF012


@event(By.LEARNER, kept=True)
class RaiseHand(Event, frozen=True):
    """A hand is raised, so long after the push's start; the same moment again is the same hand."""

    seat: Annotated[SeatNumber, Settled.SEAT]
    push: PushNumber
    at_ms: InPushMs


# ------------------------------------------------------------------ what is shown


class OddHand(Part, frozen=True, kw_only=True):
    """An own hand, and the sound that it is for; null: for none."""

    at_ms: float
    place: int | None


class OddRow(Part, frozen=True, kw_only=True):
    """What a row was: `odd_at` are places in the whole run."""

    odd: str
    often: str
    odd_at: list[int]


class OddLine(Part, frozen=True, kw_only=True):
    """What the class made of a pair; of all of them where `odd` is "".

    reactions_s : from the sound's end to the hand, hits only, the shortest first, whoever's they are.
    """

    odd: str
    often: str
    hits: int
    of_odd: int
    alarms: int
    of_same: int
    enough: bool
    d: float
    low: float
    high: float
    reactions_s: list[float]
    median_s: float | None


class OddForLearner(Part, frozen=True, kw_only=True):
    """How many sounds each row has, and the own hands.

    rows, unheard : once it is shown, what the rows were, and the places that did not sound here.
    """

    lengths: list[int]
    hands: list[OddHand]
    rows: list[OddRow]
    unheard: list[int]


class OddForConsole(Part, frozen=True, kw_only=True):
    """The rows, and how many hands went up at each sound.

    lines : when it is closed. listened, silent : how many heard of it, and never raised a hand.
    """

    lengths: list[int]
    rows: list[OddRow]
    hands: list[int]
    lines: list[OddLine]
    listened: int
    silent: int


class OddForWall(Part, frozen=True, kw_only=True):
    """Times only, until it is shown.

    stage : what was done to it: "", "paused", "stopped", "closed" or "revealed".
    """

    lengths: list[int]
    starts_room_ms: list[float]
    end_room_ms: float
    stage: str
    lines: list[OddLine]


# ------------------------------------------------------------------ what is kept of it


Came = tuple[list[OddLine], int, int]
"""Each pair's line, and one of all where there are several; how many listened, and never raised a hand."""


@dataclass
class Rows:
    """The rows, and the hands.

    hands : per seat, by their times; one for no sound, or for a sound that has a hand already, has no place.
    at : how many seats have raised a hand at each sound.
    changes : how often a hand came or went. came : what it comes to, and what that was reckoned of.
    """

    rows: tuple[Row, ...]
    at: list[int]
    hands: dict[int, dict[float, OddHand]] = field(default_factory=dict)
    changes: int = 0
    came: tuple[Any, Came] | None = field(default=None, compare=False, repr=False)

    def raised(self, seat: int) -> dict[int, float]:
        """Where this seat's hands are, and when they were raised."""
        hands = self.hands.get(seat, {}).values()
        return {hand.place: hand.at_ms for hand in hands if hand.place is not None}


def _place_of(run: Run, at_ms: float) -> int | None:
    halted_ms = None if run.halted_room_ms is None else run.halted_room_ms - run.start_room_ms
    return place_of(at_ms, run.state.rows, run.begins_ms, run.shifts, halted_ms)


@handles(RaiseHand)
def raise_hand(room: Classroom, event: RaiseHand, now_ms: float) -> list[Effect]:
    """Keep a hand with the sound that it is for. It may come late, until its learner is shown all."""
    seat, run = room.seat(event.seat), room.run_of(event.push)
    if run.kind != KIND:
        raise Refused("There is nothing to raise a hand for.")
    if seat.id not in run.copies:
        raise Refused("You were not in the room for that.")
    state: Rows = run.state
    hands = state.hands.get(seat.id, {})
    if event.at_ms in hands:
        return []  # sent again
    if run.revealed and seat.id not in run.unshown:
        raise Refused("This is over: where the odd ones were is shown.")
    if len(hands) >= HANDS_A_SOUND * len(run.sent):
        raise Refused("That is more hands than there are sounds.")
    place = _place_of(run, event.at_ms)
    if place in state.raised(seat.id):
        place = None
    state.hands.setdefault(seat.id, hands)[event.at_ms] = OddHand(at_ms=event.at_ms, place=place)
    state.changes += 1
    if place is not None:
        state.at[place] += 1
    return []


# ------------------------------------------------------------------ what it comes to


def _lines(figures: Figures, run: Run) -> Came:
    """What it came to; reckoned again when a hand or what somebody heard is not what it was."""
    state: Rows = run.state
    seats = [s for s in run.copies if s in figures.room.seats and figures.room.seats[s].device]
    heard = {seat: run.copies[seat].counted(run) for seat in seats}
    made_of = (state.changes, heard)
    if state.came is None or state.came[0] != made_of:
        state.came = (made_of, _reckoned(run, heard))
    return state.came[1]


def _reckoned(run: Run, heard_by: Mapping[int, bytes]) -> Came:
    state: Rows = run.state
    heard = np.frombuffer(b"".join(heard_by.values()), np.uint8).reshape(len(heard_by), len(run.sent)) > 0
    listened = [seat for seat, own in zip(heard_by, heard, strict=True) if own.any()]
    silent = sum(not state.hands.get(seat) for seat in listened)
    raised_ms = np.full(heard.shape, np.nan)
    for k, seat in enumerate(heard_by):
        for place, at_ms in state.raised(seat).items():
            raised_ms[k, place] = at_ms
    first = np.concatenate([np.full(row.stop - row.first, row.first) for row in state.rows])
    counted = comparable(heard, first)
    pairs = list(dict.fromkeys((row.odd, row.often) for row in state.rows))
    every = [_line(run, counted, raised_ms, pair) for pair in sorted(pairs)]
    lines = [line for line in every if line.of_odd + line.of_same] or every[
        :1
    ]  # it may have been stopped early
    if len(lines) > 1:
        lines.append(_line(run, counted, raised_ms, None))
    return lines, len(listened), silent


def _line(
    run: Run, counted: NDArray[np.bool_], raised_ms: NDArray[np.float64], pair: tuple[str, str] | None
) -> OddLine:
    state: Rows = run.state
    of_pair, is_odd = np.zeros(len(run.sent), bool), np.zeros(len(run.sent), bool)
    for row in state.rows:
        of_pair[row.first : row.stop] = pair in (None, (row.odd, row.often))
        is_odd[list(row.odd_at)] = True
    odd, same = counted & of_pair & is_odd, counted & of_pair & ~is_odd
    raised = ~np.isnan(raised_ms)
    found = detection(
        (odd & raised).sum(axis=1), odd.sum(axis=1), (same & raised).sum(axis=1), same.sum(axis=1)
    )
    # A hand for a sound that a pause cut off was raised before the sound came again: it has no time.
    timed = odd & raised & (np.nan_to_num(raised_ms) >= run.start_ms)
    reactions_s = np.sort((raised_ms - run.end_ms)[timed] / 1000.0)
    dots = reactions_s[:: max(1, -(-len(reactions_s) // MOST_DOTS))]
    return OddLine(
        odd=pair[0] if pair else "",
        often=pair[1] if pair else "",
        hits=found.hits,
        of_odd=found.of_odd,
        alarms=found.alarms,
        of_same=found.of_same,
        enough=found.enough,
        d=round(found.d, 2),
        low=round(found.low, 2),
        high=round(found.high, 2),
        reactions_s=dots.round(2).tolist(),
        median_s=round(float(np.median(reactions_s)), 2) if len(reactions_s) else None,
    )


def _mixed_up(figures: Figures, scope: str) -> list[str]:
    """The pairs that this class mixes up, strongest first, each both ways round."""
    found = figures.findings.get(scope)
    pairs = [pair.sent + pair.written for pair in found.pairs.pairs] if found else []
    return list(dict.fromkeys("".join(sorted(pair)) for pair in pairs))


def pairs_by_themselves(figures: Figures) -> list[str]:
    """What this class mixes up, tonight or else over the course; else the two known sounds most alike."""
    found = _mixed_up(figures, "evening") or _mixed_up(figures, "course")
    known = figures.room.symbols
    if not found and len(known) > 1:
        alike = likeness(known)
        found = ["".join(known[i] for i in np.unravel_index(int(alike.argmax()), alike.shape))]
    return [both for pair in found[:PAIRS_BY_ITSELF] for both in (pair, pair[::-1])]


def _rows_shown(run: Run) -> list[OddRow]:
    state: Rows = run.state
    return [OddRow(odd=row.odd, often=row.often, odd_at=list(row.odd_at)) for row in state.rows]


def _stage(run: Run) -> str:
    if run.closed:
        return "revealed" if run.revealed else "closed"
    return "stopped" if run.stopped else "paused" if run.halted_room_ms is not None else ""


@exercise
class OddOne(Exercise):
    """One sound again and again, then another: a hand is raised."""

    kind = KIND
    title = "The odd one"
    hint = "One sound again and again, and a hand goes up when another comes. It trains telling two apart."
    setup = OddSetup
    stretched_by = ("sounds", "gap_s")

    def proposed(self, figures: Figures) -> OddSetup | None:
        """The worst pair of the evening that was not played since it was mixed up."""
        played = {
            "".join(sorted((row.odd, row.often)))
            for run in figures.room.meeting_runs()
            if run.kind == KIND
            for row in run.state.rows
        }
        again = set(_mixed_up(figures, "run"))
        left = [pair for pair in _mixed_up(figures, "evening") if pair not in played or pair in again]
        return OddSetup(pairs=[left[0], left[0][::-1]]) if left else None

    def settle(self, figures: Figures, setup: OddSetup, rng: np.random.Generator, now_ms: float) -> OddSetup:
        """Pairs, where none were chosen, and the places of the odd ones."""
        pairs = list(dict.fromkeys(setup.pairs or pairs_by_themselves(figures)))
        if not pairs:
            raise Refused("Choose two sounds first: the class does not know two yet.")
        if any(pair[0] == pair[1] or not set(pair) <= set(INDEX) for pair in pairs):
            raise Refused("A pair is two sounds of the code that are not the same.")
        made = [OddDrawn(pair=pair, at=at) for pair, at in drawn(pairs, setup.rows, setup.sounds, rng)]
        return replace(setup, pairs=pairs, drawn=made)

    def compose(self, room: Classroom, setup: OddSetup, number: int, start_room_ms: float) -> Run:
        """A group a row, each sound at its own time."""
        made = [(row.pair, row.at) for row in setup.drawn]
        rows = rows_of(made, setup.sounds, setup.gap_s, Speed(room.sound.wpm, room.sound.overall_wpm))
        text, begins = " ".join(row.text for row in rows), begins_ms(rows)
        state = Rows(rows, [0] * len(begins))
        return together(room, self, number, start_room_ms, state, text=text, begins_ms=begins, tidy_ms=0.0)

    def told(
        self, figures: Figures, run: Run, audience: Audience, seat: Seat | None, now_ms: float
    ) -> Part | None:
        """No symbol to learners and wall before it is shown; no name ever."""
        state: Rows = run.state
        lengths = [row.stop - row.first for row in state.rows]
        if seat is not None:
            return self._for_learner(run, seat, lengths)
        shown = run.closed and (run.revealed or audience is Audience.CONSOLE)
        lines, listened, silent = _lines(figures, run) if shown else ([], 0, 0)
        if audience is Audience.CONSOLE:
            return OddForConsole(
                lengths=lengths,
                rows=_rows_shown(run),
                hands=list(state.at),
                lines=lines,
                listened=listened,
                silent=silent,
            )
        return OddForWall(
            lengths=lengths,
            starts_room_ms=(run.start_room_ms + run.start_ms).round(1).tolist(),
            end_room_ms=run.start_room_ms + run.last_end_ms,
            stage=_stage(run),
            lines=[replace(line, reactions_s=[]) for line in lines],
        )

    def _for_learner(self, run: Run, seat: Seat, lengths: list[int]) -> OddForLearner | None:
        if seat.id not in run.copies:
            return None  # came when it was shown already
        state: Rows = run.state
        hands = list(state.hands.get(seat.id, {}).values())
        if not run.revealed:
            return OddForLearner(lengths=lengths, hands=hands, rows=[], unheard=[])
        heard = run.copies[seat.id].counted(run)
        unheard = [place for place, was in enumerate(heard) if not was]
        return OddForLearner(lengths=lengths, hands=hands, rows=_rows_shown(run), unheard=unheard)

    def strike_out(self, run: Run, seats: Collection[int]) -> None:
        """Their hands come down."""
        state: Rows = run.state
        for seat in seats:
            for place in state.raised(seat):
                state.at[place] -= 1
            state.changes += state.hands.pop(seat, None) is not None

    def lasts_s(self, setup: OddSetup) -> float:
        """About: how long the sounds are, the speed of the evening says."""
        rows = setup.rows * (len(setup.pairs) or 2 * PAIRS_BY_ITSELF)
        return rows * (setup.sounds * (USUAL_SOUND_S + setup.gap_s) + ROW_PAUSE_MS / 1000.0)

    def hears(
        self, told: Mapping[str, Any], heard: Sequence[Heard], rng: np.random.Generator
    ) -> Sequence[Act]:
        """A hand where the ear took a sound for another than what came mostly in the row so far."""
        now, first = heard[-1], 0
        for length in told["lengths"]:
            if now.place < first + length:
                break
            first += length
        row = [one.sign for one in heard[:-1] if one.place >= first and one.sign != BLANK]
        if now.sign == BLANK or not row or now.sign == max(row, key=row.count):
            return []
        lag_s = now.lag_s * REACTS_SOONER
        fields = {"push": now.run, "at_ms": round(now.at_ms + lag_s * 1000.0, 1)}
        return [Act("raise_hand", fields, lag_s)]
