"""What a class was sent and wrote, over meetings: all that knowledge, evidence and advice are made from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import BLANK, INDEX

RunKind = Literal["copy", "named"]
"""A run whose text is shown after it, or one in which each name follows the answer to its sound."""


_WRITABLE = {*INDEX, BLANK}
_COLUMNS = np.full(1 + max(map(ord, _WRITABLE)), -1, np.int64)
_COLUMNS[[ord(sign) for sign in INDEX]] = list(INDEX.values())


def columns_of(signs: str) -> NDArray[np.int64]:
    """The place of each sign in a table, shape (len(signs),); -1 for a blank."""
    return _COLUMNS[np.frombuffer(signs.encode("utf-32-le"), np.uint32)]


@dataclass(frozen=True, slots=True)
class PastRun:
    """One run that was copied, as long as its sounds count.

    day : number of its meeting's day; never less than that of an earlier run.
    sent : signs, without spaces.
    copies : name -> one sign for each one sent, "_" for blank or missed. Who was absent has none.
    present : names of those who met what was introduced; () is everybody with a copy.
    introduce : signs met for the first time just before.
    kind : what learners were told, and when.
    keys : signs that could be written; "" is those that were sent.
    wpm, overall_wpm : speeds in words (PARIS) a minute; None where they are not known.
    lags_s : name -> seconds from each sound's end to the answer, None where there is none.

    Raises ValueError, in one sentence, for what cannot be.
    """

    day: int
    sent: str
    copies: Mapping[str, str]
    present: Sequence[str] = ()
    introduce: str = ""
    kind: RunKind = "copy"
    keys: str = ""
    wpm: float | None = None
    overall_wpm: float | None = None
    lags_s: Mapping[str, Sequence[float | None]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for sign in {*self.introduce, *self.sent, *self.keys}:
            if sign not in INDEX:
                raise ValueError(f"{sign!r} is not a symbol of the code")
        for name, copy in self.copies.items():
            if len(copy) != len(self.sent):
                raise ValueError(
                    f"the copy of {name!r} has {len(copy)} symbols where {len(self.sent)} were sent"
                )
            if strange := set(copy) - _WRITABLE:
                raise ValueError(f"the copy of {name!r} holds {min(strange)!r}, not a symbol of the code")
        for name, lags_s in self.lags_s.items():
            if len(lags_s) != len(self.sent):
                raise ValueError(f"{name!r} has {len(lags_s)} lags where {len(self.sent)} symbols were sent")

    @property
    def in_play(self) -> str:
        """Distinct signs that could be written."""
        return "".join(dict.fromkeys(self.keys + self.sent))

    @property
    def met_by(self) -> Sequence[str]:
        """Names of those who met what was introduced."""
        return self.present or tuple(self.copies)
