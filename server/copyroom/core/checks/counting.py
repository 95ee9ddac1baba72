"""Counting: what each character is worth by a rule, and the longest stretch copied without an error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import WORD_SPACE, symbol

WORD = 5
"""Counted characters that are one word, in every rule that is shipped."""


@dataclass(frozen=True, slots=True)
class Counting:
    """Counted characters that a letter, figure, punctuation mark and procedural signal are worth.

    "Each 5 letters of the alphabet count as 1 word, each numeral, punctuation mark and prosign as 2 letters":
    47 CFR 97.507(d) (2007). Spaces count nothing.
    """

    letter: int = 1
    figure: int = 2
    punctuation: int = 2
    signal: int = 2

    def of(self, sign: str) -> int:
        """What one sign is worth. AR and BT are procedural signals that have a sign of their own: + and =."""
        kind = "signal" if sign in "+=" else symbol(sign).kind
        return int(getattr(self, kind))

    def worth(self, signs: str) -> NDArray[np.int64]:
        """Per sign, shape (n,)."""
        return np.array([self.of(sign) for sign in signs], dtype=np.int64)

    def counted(self, text: str) -> int:
        """Counted characters of a text."""
        return int(self.worth(text.replace(WORD_SPACE, "")).sum())


BY_LAW = Counting()
"""As 47 CFR 97.507(d) (2007) has it."""
EACH_ONE = Counting(figure=1, punctuation=1, signal=1)
"""Every character counts one."""


def longest_run(sent: str, written: str, counting: Counting) -> tuple[int, int]:
    """The stretch of `sent` worth most that stands unbroken in `written`: its first symbol and its end.

    sent, written : signs without spaces. (0, 0) when not one symbol is right.
    """
    reach = np.concatenate(([0], np.cumsum(counting.worth(sent))))
    letters = np.array(list(written))
    best, most = (0, 0), 0
    lengths = np.zeros(len(written) + 1, dtype=np.int64)
    for end, sign in enumerate(sent, 1):
        # Length of the stretch that ends with this symbol, for each place in what was written.
        lengths[1:] = np.where(letters == sign, lengths[:-1] + 1, 0) if len(written) else 0
        first = end - int(lengths.max())
        if reach[end] - reach[first] > most:
            best, most = (first, end), int(reach[end] - reach[first])
    return best
