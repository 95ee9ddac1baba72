"""What of a net is left to chance: its stations, their practice calls, the parts, what the noise takes."""

from __future__ import annotations

import string
from collections.abc import Collection, Sequence

import numpy as np
from msgspec.structs import replace

from copyroom.core.alphabet import by_table_order
from copyroom.core.composition import mixed_groups, practice_calls
from copyroom.core.procedure import WORDS
from copyroom.room.classroom import Classroom
from copyroom.room.effects import Refused
from copyroom.room.exercises.net.state import FEWEST, MOST, NetLost, NetSetup

PLAIN = string.ascii_uppercase + string.digits
USUAL_STATIONS = 4
FEWEST_SYMBOLS = 3
"""Of fewer too many groups are alike to be told apart in a question."""
GROUP = 5
TRIES = 200
LONGEST_WORD = 8


def drawn(
    room: Classroom, setup: NetSetup, rng: np.random.Generator, seats: Collection[int] | None = None
) -> NetSetup:
    """The setup with everything drawn, among these seats; None: all. Raises Refused."""
    stations = _stations(room, setup, rng, set(room.seats) if seats is None else seats)
    parts = min(MOST, max(setup.parts, len(stations), FEWEST))
    symbols = by_table_order("".join(sign for sign in setup.symbols or room.symbols if sign in PLAIN))
    groups = (_words if setup.made_of == "words" else _groups)(room, symbols, parts * setup.groups, rng)
    texts = [" ".join(groups[i : i + setup.groups]) for i in range(0, len(groups), setup.groups)]
    lost = [
        NetLost(seat=seat, part=part, groups=tuple(np.flatnonzero(takes).tolist()))
        for own, seat in enumerate(stations)
        for part in range(parts)
        if (takes := rng.random(setup.groups) < setup.chance).any() and part != own
    ]
    return replace(
        setup,
        known=symbols,
        holders=(*stations, *[0] * (parts - len(stations))),
        calls=tuple(_calls(symbols, parts, rng)),
        texts=tuple(texts),
        lost=tuple(lost),
    )


def _stations(
    room: Classroom, setup: NetSetup, rng: np.random.Generator, seats: Collection[int]
) -> list[int]:
    chosen = [
        number for number in dict.fromkeys(setup.stations) if number in seats or number not in room.seats
    ]
    for number in chosen:
        if not room.seat(number).inside:
            raise Refused(f"{room.seat(number).name} is not let in yet.")
    if chosen:
        return chosen
    within = [seat for seat in room.seats.values() if seat.id in seats]
    here = [seat.id for seat in within if seat.here and seat.inside and seat.device]
    if not here:
        raise Refused("A net needs at least one learner with a device of their own.")
    return [int(seat) for seat in rng.permutation(here)[: setup.parts or USUAL_STATIONS]]


def _groups(room: Classroom, symbols: str, count: int, rng: np.random.Generator) -> Sequence[str]:
    """Different groups of five, so that a question can name each."""
    if len(symbols) < FEWEST_SYMBOLS:
        raise Refused(f"A net's groups need at least {FEWEST_SYMBOLS} letters or figures that are known.")
    found: dict[str, None] = {}
    for _ in range(TRIES):
        found.update(dict.fromkeys(mixed_groups(symbols, GROUP * count, rng, group=GROUP).split()))
        if len(found) >= count:
            return list(found)[:count]
    raise Refused("So few sounds make too few different groups: take fewer groups.")


def _words(room: Classroom, symbols: str, count: int, rng: np.random.Generator) -> Sequence[str]:
    known = set(symbols)
    able = [
        word for word in dict.fromkeys(room.words) if known.issuperset(word) and 2 < len(word) <= LONGEST_WORD
    ]
    able = [word for word in able if word not in WORDS]
    if len(able) < count:
        raise Refused(
            f"The known sounds make {len(able)} words of the {count} needed: take groups, or fewer."
        )
    return [able[i] for i in rng.permutation(len(able))[:count]]


def _calls(symbols: str, count: int, rng: np.random.Generator) -> Sequence[str]:
    """Practice calls, all different; of known sounds where these make enough of them."""
    for signs in (symbols, PLAIN):
        found: dict[str, None] = {}
        try:
            for _ in range(TRIES):
                found.update(dict.fromkeys(practice_calls(signs, 1, rng).split()))
                if len(found) >= count:
                    return list(found)[:count]
        except ValueError:  # these make no call
            continue
    raise AssertionError("the whole alphabet makes calls")
