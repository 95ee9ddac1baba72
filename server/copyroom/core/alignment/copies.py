"""What an alignment takes and gives: a copy, its alignment, and the habits learned of one learner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log

from copyroom.core.alphabet import BLANK, INDEX, WORD_SPACE


class CopyRefused(ValueError):
    """A copy that cannot belong to its push; the message is a sentence for people."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How one learner copies, as far as is known; the defaults are those of nobody in particular.

    marks : how many marks taught this, 0 for none; older ones count for less.
    log_lag : mean of ln(lag + LAG_SHIFT_S), the lag from the end of a sound to its mark, in seconds.
    spread : standard deviation of the same.
    inertia : correlation of that between one mark and the next, 0..1: slow now, slow next.
    behind, caught_up : probability, per mark, to fall one symbol behind (write only after the next sound),
        and to catch up again.
    recall, blank : share of the answered symbols copied as themselves, and left blank.
    skip, skip_on : probability that a symbol is passed over in silence, and that the next one is, too.
    extra : share of marks that answer nothing.
    first_order : whether the lag's memory explained this learner's marks better than none.
    """

    marks: float = 0.0
    log_lag: float = log(1.2)
    spread: float = 0.45
    inertia: float = 0.5
    behind: float = 0.03
    caught_up: float = 0.4
    recall: float = 0.8
    blank: float = 0.08
    skip: float = 0.05
    skip_on: float = 0.5
    extra: float = 0.015
    first_order: bool = True

    def without_memory(self) -> Habits:
        """The same in zero order: each lag, and each falling behind, stands for itself."""
        late = self.behind / (self.behind + self.caught_up)
        return replace(self, inertia=0.0, behind=late, caught_up=1 - late)


NOBODY = Habits()
"""The habits of a learner of whom nothing is known."""


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
        _same_length(self.written, self.at_s)


def _same_length(written: str, at_s: Sequence[float | None] | None) -> None:
    if at_s is not None and len(at_s) != len(written):
        raise ValueError(f"{len(written)} marks were written, but {len(at_s)} times given")


def without_spaces(
    written: str, at_s: Sequence[float | None] | None
) -> tuple[str, list[float | None] | None]:
    """A copy as typed -> marks and times without the word spaces, which are no answers."""
    _same_length(written, at_s)
    if at_s is None:
        return written.replace(WORD_SPACE, ""), None
    kept = [(sign, t) for sign, t in zip(written, at_s, strict=True) if sign != WORD_SPACE]
    return "".join(sign for sign, _ in kept), [t for _, t in kept]


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
    """One copy's alignment, and the seat's habits after it (give them to the seat's next run).

    refused : why the copy's times could not be of the push, or ""; it was then aligned by its order alone.
    """

    alignment: Alignment
    habits: Habits = NOBODY
    refused: str = ""
