"""What an alignment takes and gives: a copy, its alignment, and the habits learned of one learner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from copyroom.core.alphabet import BLANK, INDEX


class CopyRefused(ValueError):
    """A copy that cannot belong to its push; the message is a sentence for people."""


@dataclass(frozen=True, slots=True)
class Habits:
    """What is known of how one learner copies; the defaults are those of nobody in particular."""

    keys: float = 0.0


@dataclass(frozen=True, slots=True)
class Copy:
    """What one seat wrote for one push.

    written : signs and blanks, without spaces.
    at_s : per mark, seconds on the clock of the push's symbol ends; None for a mark edited afterwards.
        None instead of a sequence: a sheet, no times at all.
    habits : what earlier runs of the same seat taught, or None.
    heard : indices of the sent symbols this seat heard, ascending; None for all of them.
    """

    written: str
    at_s: Sequence[float | None] | None = None
    habits: Habits | None = None
    heard: Sequence[int] | None = None

    def __post_init__(self) -> None:
        for sign in self.written:
            if sign != BLANK and sign not in INDEX:
                raise ValueError(f"{sign!r} is neither a symbol of the code nor a blank")
        if self.at_s is not None and len(self.at_s) != len(self.written):
            raise ValueError(f"{len(self.written)} marks were written, but {len(self.at_s)} times given")


@dataclass(frozen=True, slots=True)
class Alignment:
    """Which sent symbol each written mark answers.

    attribution : per written mark, the index of the sent symbol it answers, or None for an extra mark;
        ascending, no sent symbol twice.
    confidence : per written mark, how probable that attribution is, 0..1.
    missed : indices of the heard symbols that nobody wrote for, ascending. A blank is an answer.
    """

    attribution: tuple[int | None, ...]
    confidence: tuple[float, ...]
    missed: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Aligned:
    """One copy's alignment, and the seat's habits after it (give them to the seat's next run)."""

    alignment: Alignment
    habits: Habits = field(default_factory=Habits)
