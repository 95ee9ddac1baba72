"""The chains of a relay: who copies whom, what each station had, and which sounds that makes next."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from copyroom.core.alphabet import BLANK, WORD_SPACE
from copyroom.core.relay import Links, Tracks, attributed, passed_on, tracks
from copyroom.room.classroom import Classroom
from copyroom.room.keyed import Stretch
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
    keyed : how what came was sent by hand; None: by the machine.
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
    keyed: Stretch | None = None

    @property
    def is_open(self) -> bool:
        """Whether it has not passed anything on yet, and still is to."""
        return self.status in ("waits", "copies")

    @property
    def sends(self) -> str:
        """What the machine sends of its copy."""
        links = attributed(_signs(self.came), self.end_s, self.written, self.at_s)
        return passed_on(self.came, self.written, links)

    def take(self, leg: Run, sounds: int) -> None:
        """Keep the copy as it stands: that is what is passed on. sounds : so many may have been sent."""
        copy = leg.copies.get(self.seat)
        marks = copy.marks[: 2 * sounds + MORE_MARKS] if copy else []
        self.written = "".join(mark.sign for mark in marks)
        if copy and copy.way == "typing":
            self.at_s = tuple(None if mark.at_ms is None else mark.at_ms / 1000.0 for mark in marks)
            self.end_s = _ends_s(leg)
        self.status = "passed" if _signs(self.written) else "nothing"

    def learn(self, leg: Run) -> None:
        """What was keyed to it is read; or it is gone with who keyed it."""
        self.came = leg.text
        self.end_s = None if self.end_s is None else _ends_s(leg)

    def begin_anew(self, seat: int) -> None:
        """It is to be sent to, as if it had not been, and to this seat."""
        self.seat, self.status, self.push, self.came, self.back_ms = seat, "waits", 0, "", 0.0
        self.keyed = None

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

    def versions(self) -> Iterator[tuple[Station, str, bool]]:
        """What there is of the message in the end, in order: whose, which signs, and whether it was keyed.

        Who passed something on has copied it; what came to them by hand was keyed before, by the one before.
        """
        for station in self.stations:
            if station.status != "passed":
                continue
            if (before := self.before(station)) and station.keyed and station.came:
                yield before, _signs(station.came), True
            yield station, station.written, False

    def tracks(self, message: str) -> Tracks:
        """The versions so far laid over each other, a row each.

        Who copied just what stands in the row before was timed, and its times count; where somebody between
        them was taken out, signs alone decide. So they do from a copy to what was keyed of it.
        """
        before, versions, links = _signs(message), [], list[Links]()
        for station, version, is_keyed in self.versions():
            timed = not is_keyed and station.end_s is not None and _signs(station.came) == before
            times = (station.end_s, station.at_s) if timed else (None, None)
            links.append(attributed(before, times[0], version, times[1]))
            versions.append(version)
            before = _signs(version)
        return tracks(message, tuple(versions), tuple(links))


@dataclass(slots=True)
class Relaying:
    """What is kept of a relay: the message, whether names may be shown, and which chain the wall shows.

    leg_s : how long a leg takes, about, with what is around it.
    by_hand : stations key what they pass on, but those of the seats in `no_key`; turn_s : at most so long.
    delay_ms : so much later it is heard. keyed : all that was.
    """

    message: str
    names: bool
    chains: list[Chain]
    leg_s: float
    by_hand: bool = False
    no_key: set[int] = field(default_factory=set)
    turn_s: float = 0.0
    delay_ms: float = 0.0
    shown: int = 1
    keyed: list[Stretch] = field(default_factory=list)

    @property
    def stations(self) -> Iterator[Station]:
        """Those of all chains."""
        return (station for chain in self.chains for station in chain.stations)

    @property
    def is_over(self) -> bool:
        """Whether all have passed it on."""
        return all(chain.at_hand is None for chain in self.chains)

    @property
    def sounds(self) -> int:
        """So many the message has."""
        return len(_signs(self.message))

    def keys(self, room: Classroom, station: Station) -> bool:
        """Whether this station passes on by hand; the machine sends for who cannot."""
        seat = room.seats.get(station.seat)
        return self.by_hand and seat is not None and seat.device and seat.id not in self.no_key

    def at_key(self, seat: int) -> Stretch | None:
        """What this seat keys now."""
        return next((one for one in reversed(self.keyed) if one.seat == seat and not one.over), None)

    def strike_out(self, seats: Collection[int]) -> None:
        """Nothing stays of what these had, nor of what they keyed."""
        for stretch in self.keyed:
            if stretch.seat in seats:
                stretch.forget()
        for station in self.stations:
            if station.seat in seats:
                station.strike_out()
            if station.keyed is None or station.keyed.seat:
                continue
            if station.status == "copies":
                station.begin_anew(station.seat)
            elif station.keyed.part is not None:
                station.learn(station.keyed.part)
        self.no_key -= set(seats)

    def sent_as(self, push: int) -> Station | None:
        """The station that this run was sent to."""
        return next((station for station in self.stations if station.push == push), None)

    def of(self, seat: int) -> tuple[int, Station] | None:
        """Number of the chain and station of this seat: the one that it still has to do, or its last."""
        own = [(n, s) for n, chain in enumerate(self.chains, 1) for s in chain.stations if s.seat == seat]
        return next((place for place in own if place[1].is_open), own[-1] if own else None)


def _ends_s(leg: Run) -> tuple[float, ...]:
    return tuple((leg.end_ms / 1000.0).tolist())


def _signs(text: str) -> str:
    """What sounds of a text or a version."""
    return text.replace(WORD_SPACE, "").replace(BLANK, "")


def drawn(seats: Sequence[int], wanted: int, rng: np.random.Generator) -> list[list[int]]:
    """These seats, mixed, in so many chains of two at least; 0: as many as let nobody wait long."""
    count = wanted or (1 if len(seats) <= ONE_CHAIN else -(-len(seats) // IN_A_CHAIN))
    mixed = rng.permutation(np.asarray(seats, np.int64))
    parts = np.array_split(mixed, max(1, min(count, len(seats) // 2)))
    return [part.tolist() for part in parts]
