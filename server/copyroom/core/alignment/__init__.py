"""Which sent symbol does each written one answer?  (First version: affine gaps, no times yet.)"""

from __future__ import annotations

from collections.abc import Generator, Sequence

from copyroom.core.alignment.copies import Aligned, Alignment, Copy, CopyRefused, Habits
from copyroom.core.alphabet import BLANK

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

_SKIP, _SKIP_ON, _EXTRA = -3.7, -0.7, -8.0


def _affine(sent: str, written: str) -> list[int | None]:
    n, m = len(sent), len(written)
    low = float("-inf")
    # best[k][j]: the first k marks are explained and symbol j - 1 was the last one passed, answered or not.
    best = [[0.0] + [_SKIP + _SKIP_ON * (j - 1) for j in range(1, n + 1)]]
    came = [[(0, 1)] * (n + 1)]
    for k in range(m):
        row, back, skipping = [best[k][0] + _EXTRA], [(1, 0)], low
        for j in range(1, n + 1):
            a, b = sent[j - 1], written[k]
            answer = best[k][j - 1] + (-0.2 if a == b else -2.5 if b == BLANK else -5.0)
            extra = best[k][j] + _EXTRA
            skipping = max(skipping + _SKIP_ON, row[j - 1] + _SKIP)
            row.append(max(answer, extra, skipping))
            back.append((1, 1) if row[j] == answer else (1, 0) if row[j] == extra else (0, 1))
        best.append(row)
        came.append(back)
    attribution: list[int | None] = []
    k, j = m, n
    while k:
        dk, dj = came[k][j]
        if dk:
            attribution.append(j - 1 if dj else None)
        k, j = k - dk, j - dj
    return attribution[::-1]


def align(
    sent: str,
    end_s: Sequence[float] | None,
    written: str,
    at_s: Sequence[float | None] | None,
    habits: Habits | None = None,
) -> Alignment:
    """Align one copy with what was sent."""
    return align_class(sent, end_s, [Copy(written, at_s, habits)])[0].alignment


def align_class_in_slices(
    sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy]
) -> Generator[None, None, list[Aligned]]:
    """Align a class's copies a slice at a time: yields after each slice, returns as `align_class` does."""
    done = []
    for copy in copies:
        heard = range(len(sent)) if copy.heard is None else copy.heard
        local = _affine("".join(sent[i] for i in heard), copy.written)
        attribution = tuple(None if i is None else heard[i] for i in local)
        missed = tuple(i for i in heard if i not in set(attribution))
        done.append(Aligned(Alignment(attribution, tuple(0.5 for _ in attribution), missed)))
        yield
    return done


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
