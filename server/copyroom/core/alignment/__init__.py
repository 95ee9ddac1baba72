"""Which sent symbol does each written one answer?"""

from __future__ import annotations

from collections.abc import Generator, Sequence

from copyroom.core.alignment.copies import Aligned, Alignment, Copy, CopyRefused, Habits, without_spaces
from copyroom.core.alignment.scoring import Scoring

__all__ = [
    "Aligned",
    "Alignment",
    "Copy",
    "CopyRefused",
    "Habits",
    "LiveAlignment",
    "align",
    "align_class",
    "align_class_in_slices",
]


def align(
    sent: str,
    end_s: Sequence[float] | None,
    written: str,
    at_s: Sequence[float | None] | None,
    habits: Habits | None = None,
) -> Alignment:
    """Align one copy with what was sent."""
    scoring = Scoring(sent, end_s, [Copy(*without_spaces(written, at_s), habits)], thorough=True)
    if scoring.refused[0]:
        raise CopyRefused(scoring.refused[0])
    for _ in scoring.run():
        pass
    aligned = scoring.aligned[0]
    assert aligned is not None
    return aligned.alignment


def align_class_in_slices(
    sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy]
) -> Generator[None, None, list[Aligned]]:
    """Align a class's copies a slice at a time: yields after each slice, returns as `align_class` does."""
    scoring = Scoring(sent, end_s, copies, thorough=False)
    yield
    yield from scoring.run()
    return [aligned for aligned in scoring.aligned if aligned is not None]


def align_class(sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy]) -> list[Aligned]:
    """Align a whole class's copies of one push, in the copies' order."""
    slices = align_class_in_slices(sent, end_s, copies)
    while True:
        try:
            next(slices)
        except StopIteration as stop:
            result: list[Aligned] = stop.value
            return result


class LiveAlignment:
    """One seat's alignment while the push still runs."""

    def __init__(self, sent: str, end_s: Sequence[float], habits: Habits | None = None) -> None:
        self._sent, self._end_s, self._habits = sent, end_s, habits
        self._written: list[str] = []
        self._at_s: list[float | None] = []

    def write(self, sign: str, at_s: float | None) -> None:
        """Take one more mark."""
        self._written.append(sign)
        self._at_s.append(at_s)

    def current(self) -> Alignment:
        """The alignment so far; attributions of marks fewer than two keys old are provisional."""
        return align(self._sent, self._end_s, "".join(self._written), self._at_s, self._habits)

    def missed_by(self, now_s: float) -> tuple[int, ...]:
        """Indices of the symbols that this learner will hardly answer any more."""
        return tuple(i for i in self.current().missed if self._end_s[i] + 6.0 < now_s)
