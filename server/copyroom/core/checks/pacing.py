"""The pace of a text: which keying and spacing make it last as its rule asks, and both speeds in words."""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.core.alphabet import WORD_SPACE, symbol
from copyroom.core.bursts import CHARACTER_WPM, Speed
from copyroom.core.checks.counting import WORD
from copyroom.core.checks.form import Form


@dataclass(frozen=True, slots=True)
class Pace:
    """How a text is sent.

    speed : keying and spacing.
    counted_wpm : counted characters by five a minute.
    lasts_s : the whole text, a word space behind it.
    """

    speed: Speed
    counted_wpm: float
    lasts_s: float

    def stated(self) -> str:
        """Both speeds, so that nobody takes one for the other."""
        keyed = f"characters keyed at {self.speed.wpm:.3g} wpm (PARIS)"
        spaced = (
            "" if self.speed.overall_wpm == self.speed.wpm else f", spaced for {self.speed.overall_wpm:.3g}"
        )
        return f"{self.counted_wpm:.3g} wpm by counted characters, five a word; {keyed}{spaced}"


def pace_of(form: Form, text: str, wpm: float, character_wpm: float = 0.0) -> Pace:
    """The pace at which this text is sent at `wpm`.

    Keying speed: `wpm` is that of the dots, spaces are those of PARIS at `wpm`, and the text lasts as long as
    it happens to. Counted speed: the text lasts exactly its counted characters by five by `wpm`; characters
    are keyed at what the form or the seat asks, or faster where that leaves less than the usual spaces.

    character_wpm : what a seat asks beyond the form's own.
    """
    inside, spaces = _units(text)
    own_wpm = max(form.character_wpm, character_wpm)
    if form.speed_is == "keying":
        speed = Speed(max(wpm, own_wpm, CHARACTER_WPM[0]), wpm)
        lasts_s = inside * speed.dot_s + spaces * speed.space_unit_s
        return Pace(speed, form.counting.counted(text) / WORD / lasts_s * 60.0, lasts_s)
    lasts_s = form.counting.counted(text) / WORD / wpm * 60.0
    keying_wpm = max(own_wpm, (inside + spaces) * 1.2 / lasts_s, CHARACTER_WPM[0])
    dot_s = 1.2 / keying_wpm
    overall_wpm = 60.0 / (31 * dot_s + 19 * (lasts_s - inside * dot_s) / spaces)
    if abs(overall_wpm - keying_wpm) < 1e-9:
        overall_wpm = keying_wpm
    return Pace(Speed(keying_wpm, min(overall_wpm, keying_wpm)), wpm, lasts_s)


def _units(text: str) -> tuple[int, int]:
    """Units inside characters, and of spaces (Recommendation ITU-R M.1677-1 (10/2009))."""
    groups = text.split(WORD_SPACE)
    elements = [symbol(sign).elements for sign in text.replace(WORD_SPACE, "")]
    inside = sum(3 * own.count("-") + own.count(".") + len(own) - 1 for own in elements)
    return inside, 3 * (len(elements) - len(groups)) + 7 * len(groups)
