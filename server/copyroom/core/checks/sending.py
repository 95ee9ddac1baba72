"""Sending checks: what a hand sent, as it was read, with its own corrections taken as such."""

from __future__ import annotations

from copyroom.core.alphabet import BY_ELEMENTS, WORD_SPACE
from copyroom.core.checks.counting import WORD
from copyroom.core.checks.form import Form

ERROR = BY_ELEMENTS["........"].sign
"""The error signal of Recommendation ITU-R M.1677-1 (10/2009): the word before it is sent again."""


def as_meant(read: str) -> str:
    """What was read, without each word that an error signal takes back.

    The signal takes back the word that it ends, or the one before when it stands alone (common practice).
    """
    words: list[str] = []
    for word in read.split(WORD_SPACE):
        *taken_back, kept = word.split(ERROR)
        if taken_back and not any(taken_back) and words:
            words.pop()
        if kept:
            words.append(kept)
    return WORD_SPACE.join(words)


def sent_wpm(form: Form, text: str, lasted_s: float) -> float:
    """Counted characters by five a minute of what was asked, in the time that its sending took."""
    return form.counting.counted(text) / WORD / lasted_s * 60.0
