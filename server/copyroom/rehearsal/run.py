"""A run as one simulated learner knows it: what sounds when, what was heard, what was written."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from copyroom.core.alphabet import BY_ELEMENTS
from copyroom.rehearsal.learner import signs_of

HAND_DOT_MS = 1200.0 / 14.0
"""Simulated hands key at 14 words a minute."""
LETTER_GAP_MS = 2.0 * HAND_DOT_MS


@dataclass(slots=True)
class Run:
    """The push at hand.

    unshifted_ms, end_ms : ends of its symbols after its start, as sent and with its pauses.
    strokes, kept : everything written, and how many of it the server has acknowledged.
    whole_ms : when the last of all its symbols ends, as sent; shifts : what pauses did to them.
    in_parts, tones : it is sent by hand, and comes as [on, off] of each tone, by number.
    heard : indices of the symbols that sounded here. sheet : what stands on paper, not keyed in yet.
    """

    push: int
    start_room_ms: float
    signs: str
    unshifted_ms: list[float]
    in_play: str
    tidy_ms: float
    end_ms: list[float] = field(default_factory=list)
    strokes: list[dict[str, Any]] = field(default_factory=list)
    kept: int = 0
    heard: set[int] = field(default_factory=set)
    sheet: list[str] = field(default_factory=list)
    last_at_ms: float = -math.inf
    done: bool = False
    handed_in: bool = False
    in_parts: bool = False
    tones: dict[int, list[float]] = field(default_factory=dict)
    whole_ms: float = 0.0
    shifts: Sequence[dict[str, Any]] = ()

    @property
    def last_ms(self) -> float:
        """When the last of all its symbols ends, known or not."""
        return self.whole_ms + (self.shifts[-1]["shift_ms"] if self.shifts else 0.0)

    @staticmethod
    def of(push: dict[str, Any], wpm: float) -> Run:
        """The run of a `push` event. Raises ValueError for tones that are no symbols."""
        return Run(
            push=push["push"],
            start_room_ms=push["start_room_ms"],
            signs=signs_of(push["edges"], 1200.0 / wpm),
            unshifted_ms=[own[-1] for own in push["edges"]],
            in_play=push["symbols"],
            tidy_ms=push["tidy_ms"],
            in_parts=not push["edges"],
            whole_ms=push["end_ms"],
        )

    def goes_on(self, edges: Sequence[Sequence[float]], first: int, wpm: float) -> None:
        """More of its tones, as of symbol `first`."""
        self.signs = self.signs[:first] + signs_of(edges, 1200.0 / wpm)
        self.unshifted_ms[first:] = [own[-1] for own in edges]

    def letter_at(self, tone: int) -> tuple[str, float, list[int]] | None:
        """Sign, end and tones of the symbol that ends with this tone of a hand; None: it goes on, or is none.

        A simulated hand keys at one speed, so that an ear need not learn it.
        """
        own = [self.tones[tone]]
        if tone + 1 in self.tones and self.tones[tone + 1][0] - own[0][1] < LETTER_GAP_MS:
            return None
        while tone - 1 in self.tones and own[0][0] - self.tones[tone - 1][1] < LETTER_GAP_MS:
            tone -= 1
            own.insert(0, self.tones[tone])
        elements = "".join("-" if off - on > 2.0 * HAND_DOT_MS else "." for on, off in own)
        found = BY_ELEMENTS.get(elements)
        return (found.sign, own[-1][1], [tone, tone + len(own)]) if found else None

    def shift(self, shifts: Sequence[dict[str, Any]]) -> None:
        self.end_ms, self.shifts = list(self.unshifted_ms), shifts
        for entry in shifts:
            first = entry["first"]
            self.end_ms[first:] = [end + entry["shift_ms"] for end in self.unshifted_ms[first:]]

    def spacing_ms(self, i: int) -> float:
        """From the end of symbol i to the end of the next; 0 after the last."""
        return self.end_ms[i + 1] - self.end_ms[i] if i + 1 < len(self.end_ms) else 0.0

    def spans(self) -> list[list[int]]:
        """What sounded, as runs [start, stop)."""
        groups = itertools.groupby(enumerate(sorted(self.heard)), key=lambda item: item[1] - item[0])
        runs = [[i for _, i in group] for _, group in groups]
        return [[run[0], run[-1] + 1] for run in runs]
