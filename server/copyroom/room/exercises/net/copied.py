"""What a learner has of each part: their own, what they copied, what came by a fill, and what is missing.

It follows from the copies' alignments, so it is known to `told` and to what settles events, not to the fold.
"""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.core.alphabet import BLANK
from copyroom.core.procedure import Part
from copyroom.room.copies import Copy
from copyroom.room.exercises.net.state import Net, Station
from copyroom.room.figures import Figures, Result
from copyroom.room.run import Run

OWN, COPIED, FILLED, MISSING, LATER, PAPER = "o", "c", "f", "m", "l", "p"
"""One letter a group. LATER: it was not sent yet, or the copy is just being counted. PAPER: on a sheet that
nobody has keyed in."""


@dataclass(frozen=True, slots=True)
class Held:
    """What one learner has of one part: a letter a group, and each group as it was copied, "" where not."""

    states: str
    groups: tuple[str, ...]

    @property
    def missing(self) -> frozenset[int]:
        """Places of the missing groups."""
        return frozenset(i for i, state in enumerate(self.states) if state == MISSING)

    @property
    def in_place(self) -> int:
        """How many groups are there."""
        return sum(state not in (MISSING, LATER) for state in self.states)


def held(figures: Figures, net: Net, seat: int, part: int) -> Held:
    """What a seat has of a part."""
    station = net.stations[part]
    count = len(station.groups)
    if station.holder == seat:
        return Held(OWN * count, station.groups)
    run = figures.room.run_of(station.run) if station.run else None
    if run is None or not run.closed or _is_being_counted(figures, run, seat):
        return Held(LATER * count, ("",) * count)
    lost, filled = net.lost.get((seat, part), ()), net.filled.get((seat, part), ())
    states, groups = "", []
    for place, (state, written) in enumerate(_copied(figures, run, station, seat)):
        came = place in filled and (state == MISSING or place in lost)
        now = FILLED if came else MISSING if place in lost else state
        states += now
        groups.append(station.groups[place] if came else "" if now == MISSING else written)
    return Held(states, tuple(groups))


def _copied(figures: Figures, run: Run, station: Station, seat: int) -> list[tuple[str, str]]:
    """Per group, whether the copy has all of it, and what it has."""
    copy, result = run.copies.get(seat), _result(figures, run, seat)
    answers = result.answers if result else ""
    found, start = [], 0
    for group in station.groups:
        stop = start + len(group)
        written = answers[start:stop]
        if written and BLANK not in written and stop <= run.sent_count:
            found.append((COPIED, written))
        elif _on_paper(copy) and stop <= run.sent_count:
            found.append((PAPER, ""))
        else:
            found.append((MISSING, ""))
        start = stop
    return found


def _result(figures: Figures, run: Run, seat: int) -> Result | None:
    place = (run.id, seat)
    return figures.results.get(place) or figures.live_results.get(place)


def _is_being_counted(figures: Figures, run: Run, seat: int) -> bool:
    """As after a server was started anew: what was written is there, and nobody has looked at it yet."""
    copy = run.copies.get(seat)
    return (
        copy is not None and bool(copy.marks) and _result(figures, run, seat) is None and bool(run.sent_count)
    )


def _on_paper(copy: Copy | None) -> bool:
    return copy is not None and copy.way == "paper" and not copy.marks


def all_held(figures: Figures, net: Net, seat: int) -> list[Held]:
    """What a seat has of every part."""
    return [held(figures, net, seat, part) for part in range(len(net.stations))]


def sent(net: Net) -> list[Part]:
    """The parts as they were sent."""
    return [Part(station.call, station.groups) for station in net.stations]
