"""The chains of a relay: who copies whom, what each station had, and which sounds that makes next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from copyroom.core.alphabet import BLANK, WORD_SPACE
from copyroom.core.relay import Links, Tracks, attributed, passed_on, tracks
from copyroom.room.run import Run

Status = Literal["waits", "copies", "passed", "nothing", "skipped", "cut", "gone"]
"""Of a station: its turn is to come; it copies; it has passed something on; it had nothing to be sent; it
was passed over; the end came before its sounds had; its learner was taken out of the room."""
ONE_CHAIN, IN_A_CHAIN = 8, 6
"""So many learners make one chain, and where there are more, so many at most stand in each."""
MORE_MARKS = 20
"""Beyond twice what was sent: a longer copy was made by a stuck key, and its rest is not passed on."""


@dataclass(slots=True)
class Station:
    """One place in a chain.

    number : 1, 2, ...; it stays when others go. seat : who copies here, 0 for nobody any more.
    push : the run within the relay that was sent to it, 0 before. came : its text.
    written, at_s, end_s : the copy as it was passed on, when each mark was made, and when the sounds ended;
        no times for a sheet.
    back_ms : when its learner last came back.
    """

    number: int
    seat: int
    status: Status = "waits"
    push: int = 0
    came: str = ""
    written: str = ""
    at_s: tuple[float | None, ...] | None = None
    end_s: tuple[float, ...] | None = None
    back_ms: float = 0.0

    @property
    def is_open(self) -> bool:
        """Whether it has not passed anything on yet, and still is to."""
        return self.status in ("waits", "copies")

    @property
    def sends(self) -> str:
        """What the machine sends of its copy."""
        links = attributed(_signs(self.came), self.end_s, self.written, self.at_s)
        return passed_on(self.came, self.written, links)

    def take(self, leg: Run) -> None:
        """Keep the copy as it stands: that is what is passed on."""
        copy = leg.copies.get(self.seat)
        marks = copy.marks[: 2 * len(leg.sent) + MORE_MARKS] if copy else []
        self.written = "".join(mark.sign for mark in marks)
        if copy and copy.way == "typing":
            self.at_s = tuple(None if mark.at_ms is None else mark.at_ms / 1000.0 for mark in marks)
            self.end_s = tuple((leg.end_ms / 1000.0).tolist())
        self.status = "passed" if _signs(self.written) else "nothing"

    def begin_anew(self, seat: int) -> None:
        """It is to be sent to, as if it had not been, and to this seat."""
        self.seat, self.status, self.push, self.came, self.back_ms = seat, "waits", 0, "", 0.0

    def strike_out(self) -> None:
        """Nothing stays of what its learner had."""
        self.seat, self.status, self.written, self.at_s, self.end_s = 0, "gone", "", None, None


@dataclass(slots=True)
class Chain:
    """Stations in their order."""

    stations: list[Station]

    @property
    def at_hand(self) -> Station | None:
        """The station that copies, or is next; None when all are through."""
        return next((station for station in self.stations if station.is_open), None)

    def before(self, station: Station) -> Station | None:
        """The station whose version is sent to this one; None: it gets the message."""
        earlier = self.stations[: self.stations.index(station)]
        return next((other for other in reversed(earlier) if other.status == "passed"), None)

    def tracks(self, message: str) -> Tracks:
        """The versions so far laid over each other, one row for each station that passed something on.

        Who copied just what stands in the row before was timed, and its times count; where somebody between
        them was taken out, signs alone decide.
        """
        before, versions, links = _signs(message), [], list[Links]()
        for station in (station for station in self.stations if station.status == "passed"):
            timed = station.end_s is not None and _signs(station.came) == before
            times = (station.end_s, station.at_s) if timed else (None, None)
            links.append(attributed(before, times[0], station.written, times[1]))
            versions.append(station.written)
            before = _signs(station.written)
        return tracks(message, tuple(versions), tuple(links))


@dataclass(slots=True)
class Relaying:
    """What is kept of a relay: the message, whether names may be shown, and which chain the wall shows.

    leg_s : how long a leg takes, about, with what is around it.
    """

    message: str
    names: bool
    chains: list[Chain]
    leg_s: float
    shown: int = 1

    @property
    def stations(self) -> Iterator[Station]:
        """Those of all chains."""
        return (station for chain in self.chains for station in chain.stations)

    @property
    def is_over(self) -> bool:
        """Whether all have passed it on."""
        return all(chain.at_hand is None for chain in self.chains)

    def sent_as(self, push: int) -> Station | None:
        """The station that this run was sent to."""
        return next((station for station in self.stations if station.push == push), None)

    def of(self, seat: int) -> tuple[int, Station] | None:
        """Number of the chain and station of this seat: the one that it still has to do, or its last."""
        own = [(n, s) for n, chain in enumerate(self.chains, 1) for s in chain.stations if s.seat == seat]
        return next((place for place in own if place[1].is_open), own[-1] if own else None)


def _signs(text: str) -> str:
    """What sounds of a text or a version."""
    return text.replace(WORD_SPACE, "").replace(BLANK, "")


def drawn(seats: Sequence[int], wanted: int, rng: np.random.Generator) -> list[list[int]]:
    """These seats, mixed, in so many chains of two at least; 0: as many as let nobody wait long."""
    count = wanted or (1 if len(seats) <= ONE_CHAIN else -(-len(seats) // IN_A_CHAIN))
    mixed = rng.permutation(np.asarray(seats, np.int64))
    parts = np.array_split(mixed, max(1, min(count, len(seats) // 2)))
    return [part.tolist() for part in parts]
