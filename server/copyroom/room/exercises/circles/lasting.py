"""What is chosen for circles, and how it is made to last equally long in all of them."""

from __future__ import annotations

from collections.abc import Collection
from typing import Annotated, Any, Literal, cast

import msgspec
import numpy as np
from msgspec import Meta
from msgspec.structs import replace

from copyroom.core.bursts import Bursts, Speed, bursts
from copyroom.room.classroom import Classroom
from copyroom.room.composing import LONGEST_TEXT, fresh_text
from copyroom.room.contract import Part, Settled, settled_fields
from copyroom.room.effects import Refused
from copyroom.room.exercises import EXERCISES
from copyroom.room.figures import Figures
from copyroom.room.limits import Symbols, Title, Wpm

MOST = 3
SHORTEST_S, LONGEST_S = 20.0, 600.0
SOUNDS_A_WORD, TRIES = 5.0, 8

Sign = Literal["window", "door", "stage"]
"""The mark that a circle carries beside its name."""


class CircleChosen(Part, frozen=True, kw_only=True):
    """Where a circle sits, what it copies, how fast; or an exercise of its own instead, with its setup.

    text, overall_as_sent_wpm : settled by the room.
    """

    name: Title
    sign: Sign
    purpose: Literal["apart", "mix", "words", "calls"] = "mix"
    symbols: Symbols
    wpm: Wpm
    overall_wpm: Wpm
    kind: Annotated[str, Meta(max_length=24)] = ""
    setup: Annotated[dict[str, Any], Meta(max_length=40)] = {}  # noqa: RUF012 (copied by msgspec)
    text: Annotated[str, Settled.CHANCE] = ""
    overall_as_sent_wpm: Annotated[float, Settled.CHANCE] = 0.0


class CirclesChosen(Part, frozen=True, kw_only=True):
    """The circles and how long they copy; `dealt`: per circle the seats in it."""

    circles: Annotated[tuple[CircleChosen, ...], Meta(min_length=2, max_length=MOST)]
    lasts_s: Annotated[float, Meta(ge=SHORTEST_S, le=LONGEST_S)] = 120.0
    dealt: Annotated[tuple[tuple[int, ...], ...], Settled.CHANCE] = ()


def made_to_last(
    figures: Figures,
    circle: CircleChosen,
    lasts_s: float,
    seats: Collection[int],
    rng: np.random.Generator,
) -> CircleChosen:
    """The circle with what lasts so long, for who is in it."""
    kind = EXERCISES.get(circle.kind)
    if kind is not None and kind.ends_with_others:
        return replace(circle, setup=_ended_with_others(figures, circle, seats, rng))
    if circle.kind:
        return replace(circle, setup=_exercise_to_last(figures, circle, lasts_s, rng))
    return _text_to_last(figures.room, circle, lasts_s, rng)


def _ended_with_others(
    figures: Figures, circle: CircleChosen, seats: Collection[int], rng: np.random.Generator
) -> dict[str, Any]:
    """A settled setup of what goes on until it is ended."""
    kind = EXERCISES[circle.kind]
    drawn = settled_fields(kind.setup)
    chosen = {name: value for name, value in circle.setup.items() if name not in drawn}
    try:
        setup = kind.settle_for(figures, msgspec.convert(chosen, kind.setup), seats, rng, 0.0)
    except msgspec.ValidationError as fault:
        raise Refused(f"{circle.name}: {kind.title} cannot be set up like that: {fault}.") from None
    except Refused as refusal:
        raise Refused(f"{circle.name}: {refusal}") from None
    return cast("dict[str, Any]", msgspec.json.decode(msgspec.json.encode(setup)))


def _exercise_to_last(
    figures: Figures, circle: CircleChosen, lasts_s: float, rng: np.random.Generator
) -> dict[str, Any]:
    """A settled setup of so long: as many of what it counts as come near, then its silences make it exact."""
    kind = EXERCISES.get(circle.kind)
    if kind is None or not kind.stretched_by[0]:
        raise Refused(f"{circle.name}: that exercise cannot stand in a circle.")
    counted, silence = kind.stretched_by
    drawn = settled_fields(kind.setup)
    chosen = {name: value for name, value in circle.setup.items() if name not in drawn}
    seed = int(rng.integers(2**53))

    def settled(**changed: float) -> tuple[Any, float]:
        asked = msgspec.convert(chosen | changed, kind.setup)
        setup = kind.settle(figures, asked, np.random.default_rng(seed), 0.0)
        return setup, kind.compose(figures.room, setup, 1, 0.0).tidy_end_ms / 1000.0

    try:
        first, takes_s = settled()
        count = max(1, round(getattr(first, counted) * lasts_s / takes_s))
        setup, takes_s = settled(**{counted: count})
        silence_s = getattr(setup, silence)
        a_second_more = settled(**{counted: count, silence: silence_s + 1.0})[1] - takes_s
        exact_s = silence_s + (lasts_s - takes_s) / a_second_more
        setup, _ = settled(**{counted: count, silence: exact_s})
    except msgspec.ValidationError:
        raise Refused(f"{circle.name}: {kind.title} cannot be made to last {lasts_s:.0f} s.") from None
    return cast("dict[str, Any]", msgspec.json.decode(msgspec.json.encode(setup)))


def _text_to_last(
    room: Classroom, circle: CircleChosen, lasts_s: float, rng: np.random.Generator
) -> CircleChosen:
    """The circle with a text that lasts so long to the millisecond: its spaces are stretched a little."""
    seed = int(rng.integers(2**53))
    try:
        speed = Speed(circle.wpm, min(circle.wpm, circle.overall_wpm))
        sounds = round(lasts_s * speed.overall_wpm * SOUNDS_A_WORD / 60.0)
        for _ in range(TRIES):  # each nearer than the one before; the first that is not too long stands
            sounds = min(max(sounds, 1), LONGEST_TEXT)
            text = fresh_text(room, circle.purpose, circle.symbols, sounds, seed)
            takes_s = bursts(text, speed).duration_s
            if takes_s <= lasts_s:
                break
            sounds = min(sounds - 1, int(sounds * lasts_s / takes_s))
        else:
            raise Refused(f"{circle.name}: not one text fits into that time. Make it longer.")
        return replace(circle, text=text, overall_as_sent_wpm=_stretched(bursts(text, speed), speed, lasts_s))
    except ValueError as fault:
        raise Refused(f"{circle.name}: {fault}") from None


def _stretched(sent: Bursts, speed: Speed, lasts_s: float) -> float:
    """The overall speed at which it lasts so long. Only spaces stretch: 19 of the 50 units of PARIS."""
    spaces_s = _spaces_s(sent, speed)
    if spaces_s <= 0.0:
        return speed.overall_wpm  # a single sound
    unit_s = speed.space_unit_s * (1.0 + (lasts_s - sent.duration_s) / spaces_s)
    return 60.0 / (31.0 * speed.dot_s + 19.0 * unit_s)


def _spaces_s(sent: Bursts, speed: Speed) -> float:
    return float((sent.start_s[1:] - sent.end_s[:-1]).sum())
