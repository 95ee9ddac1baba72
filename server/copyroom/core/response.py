"""How fast each sound is known: response times of a class, by symbol, and no more than the numbers carry.

A time runs from a sound's end to the answer, and is taken of right answers alone. Where it is long although
the answer is right, the sound is counted out and not yet heard as one; so it is drilled until it is known at
once (W. G. Pierpont, *The Art and Skill of Radio-Telegraphy*, 2nd rev. ed., ch. 4). Nothing here knows who
answered: seats only tell which answers hang together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from copyroom.core.alphabet import BLANK
from copyroom.core.evidence.intervals import wilson

SLOW_MS = 1000.0
"""Our own judgement: in less than a second nobody counts elements and looks up what they are."""
FEWEST_ANSWERS = 5
"""Below, a median says nothing."""
MIXED_SHARE, SEVERAL = 0.05, 2
"""A symbol is mixed up when surely more than this share of its answers, several learners', named another."""


class Asked(NamedTuple):
    """One sound that somebody was asked for. `answer`: "" for none; `lag_ms`: None where there is no time."""

    seat: int
    sent: str
    answer: str
    lag_ms: float | None


@dataclass(frozen=True, slots=True)
class Response:
    """How one symbol was answered.

    asked, right, another, blank : how often; what is left of `asked` was not answered before its name.
    lags_ms : of the right answers, ascending; an answer before the sound's end took 0.
    median_ms, low_ms, high_ms : and the quartiles; None below `FEWEST_ANSWERS` times.
    slow, mixed : the median is over `SLOW_MS`; surely more than `MIXED_SHARE` named another.
    """

    sign: str
    asked: int
    right: int
    another: int
    blank: int
    lags_ms: tuple[float, ...]
    median_ms: float | None
    low_ms: float | None
    high_ms: float | None
    slow: bool
    mixed: bool


def responses(symbols: str, asked: Iterable[Asked]) -> tuple[Response, ...]:
    """One for each of `symbols`, in their order; asked or not."""
    of: dict[str, list[Asked]] = {sign: [] for sign in symbols}
    for one in asked:
        of[one.sent].append(one)
    return tuple(_response(sign, some) for sign, some in of.items())


def _response(sign: str, asked: Sequence[Asked]) -> Response:
    right = [one for one in asked if one.answer == sign]
    lags_ms = tuple(sorted(max(0.0, one.lag_ms) for one in right if one.lag_ms is not None))
    enough = len(lags_ms) >= FEWEST_ANSWERS
    low, median, high = np.quantile(lags_ms, [0.25, 0.5, 0.75]).tolist() if enough else (None, None, None)
    others = Counter(one.seat for one in asked if one.answer not in (sign, BLANK, ""))
    tries = Counter(one.seat for one in asked)
    return Response(
        sign=sign,
        asked=len(asked),
        right=len(right),
        another=others.total(),
        blank=sum(one.answer == BLANK for one in asked),
        lags_ms=lags_ms,
        median_ms=median,
        low_ms=low,
        high_ms=high,
        slow=median is not None and median > SLOW_MS,
        mixed=_surely_mixed(others, tries),
    )


def _surely_mixed(others: Counter[int], tries: Counter[int]) -> bool:
    if others.total() < 2 or len(others) < min(SEVERAL, len(tries)):
        return False
    return wilson(others.total(), tries.total())[0] > MIXED_SHARE
