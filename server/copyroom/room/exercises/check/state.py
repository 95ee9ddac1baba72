"""What is kept of a check: where it stands, what each candidate is sent and when, their copies, the marking.

Sound goes out some seconds ahead of its time and no more: no browser ever holds the text to come. Candidates
for whom the same is arranged share a line of times. A pause cuts what was sent ahead; the symbol that it cut
comes again from its beginning. What could not be sent in time is counted as missed: such a check is void.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from copyroom.core.bursts import bursts, edges_ms
from copyroom.core.checks import Form, Marked, Overruled, Pace, mark, pace_of
from copyroom.core.checks.marking import answer_is_right
from copyroom.room.exercises.check.setup import LAMP_WPM, CheckFor, CheckSetup
from copyroom.room.run import Run

AHEAD_MS, SOON_MS = 5000.0, 2500.0
"""How far ahead sound is sent, and how near what was not sent yet may come before more is."""
TOO_LATE_MS = 150.0
"""A sound that begins sooner is not sent any more: it would be cut."""
GRACE_MS = 3000.0
"""For what was handed in in time, and comes late."""

Stage = Literal["warming up", "ready", "sounding", "tidying", "over"]


@dataclass
class Line:
    """One line of times: who hears it, how it is keyed, and how far it was sent.

    starts_ms, edges : per symbol, after the part's start, as it is to be sent; moved by pauses.
    sent : symbols sent so far. part : number of the last sound. now : those sent last, for lamps.
    """

    seats: tuple[int, ...]
    way: CheckFor
    pace: Pace
    edges: list[list[float]]
    sent: int = 0
    now: list[list[float]] = field(default_factory=list)

    @property
    def end_ms(self) -> float:
        """When its last tone ends."""
        return self.edges[-1][-1] if self.edges else 0.0

    def cut_at(self, at_ms: float) -> None:
        """A pause: what was not complete is sent again, the symbol that was cut from its beginning."""
        self.sent = sum(edges[-1] <= at_ms for edges in self.edges)
        rest = self.edges[self.sent :]
        if rest and rest[0][0] < at_ms:
            by_ms = at_ms - rest[0][0]
            self.edges[self.sent :] = [[edge + by_ms for edge in edges] for edges in rest]


@dataclass
class Candidate:
    """One candidate: the copy so far, answers, whether it is handed in, and the examiner's decisions."""

    copy: str = ""
    answers: list[str] = field(default_factory=list)
    handed_in: bool = False
    overruled: dict[int, Overruled] = field(default_factory=dict)
    answers_overruled: dict[int, Overruled] = field(default_factory=dict)
    marked: Marked | None = field(default=None, compare=False, repr=False)


@dataclass
class Check:
    """A check.

    part_room_ms : when the part that sounds began, or begins. halts : pauses taken into account.
    parts : sounds sent, for their numbers. missed : symbols of the text that came to nobody in time.
    """

    setup: CheckSetup
    form: Form
    candidates: dict[int, Candidate]
    stage: Stage = "warming up"
    lines: list[Line] = field(default_factory=list)
    part_room_ms: float = 0.0
    stood_ms: float = 0.0
    halts: int = 0
    parts: int = 0
    missed: int = 0

    def way_of(self, seat: int) -> CheckFor:
        """What is arranged for a seat."""
        return next((one for one in self.setup.arranged if one.seat == seat), CheckFor(seat=seat))

    def line_of(self, seat: int) -> Line | None:
        """The line that a seat hears."""
        return next((line for line in self.lines if seat in line.seats), None)

    def begin_part(self, text: str, stage: Stage, start_room_ms: float, halts: int) -> None:
        """A text is about to sound: a line for all for whom the same is arranged."""
        self.stage, self.part_room_ms, self.stood_ms, self.halts = stage, start_room_ms, 0.0, halts
        groups: dict[tuple[float, float, str], list[int]] = {}
        for seat in sorted(self.candidates):
            way = self.way_of(seat)
            groups.setdefault((way.pitch_hz, way.character_wpm, way.by), []).append(seat)
        self.lines = []
        for seats in groups.values():
            way = self.way_of(seats[0])
            pace = pace_for(self.form, text, self.setup.wpm, way)
            self.lines.append(Line(tuple(seats), way, pace, edges_ms(bursts(text, pace.speed))))

    @property
    def sounds(self) -> bool:
        """Whether a text is sounding, or about to."""
        return self.stage in ("warming up", "sounding")

    def take_halts(self, run: Run) -> None:
        """Pauses since: lines go on from where they were cut."""
        for halted_ms, on_ms in run.halts[self.halts :]:
            for line in self.lines:
                line.cut_at(halted_ms - self.part_room_ms - self.stood_ms)
            self.stood_ms += max(0.0, on_ms - max(halted_ms, self.part_room_ms))
        self.halts = len(run.halts)

    def at_ms(self, room_ms: float) -> float:
        """A room time on the lines' own clock, which stands still in a pause."""
        return room_ms - self.part_room_ms - self.stood_ms

    @property
    def end_ms(self) -> float:
        """When the last line ends, on their clock."""
        return max((line.end_ms for line in self.lines), default=0.0)

    @property
    def next_ms(self) -> float:
        """When more is to be sent, on their clock; the end where all was."""
        due = [line.edges[line.sent][0] - SOON_MS for line in self.lines if line.sent < len(line.edges)]
        return min(due) if due else self.end_ms

    def lasts_ms(self, run: Run) -> float:
        """From the run's start to the end of what sounds now; a moment where nothing does yet."""
        if not self.lines:
            return 1.0
        return self.part_room_ms + self.stood_ms + self.end_ms - run.start_room_ms

    def tidy_ms(self, seat: int) -> float:
        """A candidate's time to tidy up."""
        return (self.setup.form.tidy_s + self.way_of(seat).more_tidy_s) * 1000.0

    def tidy_end_room_ms(self, seat: int) -> float:
        """When it is over."""
        return self.part_room_ms + self.stood_ms + self.end_ms + self.tidy_ms(seat)

    def marked(self, seat: int) -> Marked:
        """A candidate's copy marked by the form, with what the examiner decided."""
        one = self.candidates[seat]
        if one.marked is None:
            right = answers_right(self, one)
            one.marked = mark(self.form, self.setup.wpm, self.setup.text, one.copy, right, one.overruled)
        return one.marked


def answers_right(check: Check, one: Candidate) -> list[bool]:
    """Per question, whether it counts as right."""
    found: list[bool] = []
    for i, (_, expected) in enumerate(check.setup.questions):
        overruled = one.answers_overruled.get(i)
        given = one.answers[i] if i < len(one.answers) else ""
        found.append(overruled.right if overruled else answer_is_right(given, expected))
    return found


def pace_for(form: Form, text: str, wpm: float, way: CheckFor) -> Pace:
    """The pace that one candidate is sent a text at; for a lamp the slowest keying that it can have."""
    if way.by == "sound":
        return pace_of(form, text, wpm, way.character_wpm)
    slow = pace_of(replace(form, character_wpm=0.0), text, wpm)
    if slow.speed.wpm > LAMP_WPM:
        raise ValueError(
            f"A lamp or vibration needs keying at {LAMP_WPM:g} wpm or slower: this text takes"
            f" {slow.speed.wpm:.2g}, so dots would flash more than three times a second."
        )
    return slow
