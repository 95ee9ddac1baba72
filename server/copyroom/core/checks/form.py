"""A form: what one published rule asks of a candidate, as data that an instructor may edit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from copyroom.core.alphabet import INDEX
from copyroom.core.checks.counting import BY_LAW, WORD, Counting

Text = Literal["words", "contact", "letters", "figures", "mixed"]
"""Plain-language words; a contact as on the air; groups of five counted characters."""
SpeedIs = Literal["counted", "keying"]
LONGEST_MIN, FASTEST_WPM = 10.0, 50.0
LETTERS, FIGURES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "0123456789"


@dataclass(frozen=True, slots=True)
class Passing:
    """One way to pass; a form may have several, of which any one will do.

    kind : "errors": at most `amount` in the whole; "unbroken": `amount` minutes of the text without an error;
        "questions": `amount` of `of` answered right; "share": `amount` of the counted characters right, 0..1;
        "words": `amount` of the words right.
    """

    kind: Literal["errors", "unbroken", "questions", "share", "words"]
    amount: float
    of: int = 0


@dataclass(frozen=True, slots=True)
class Form:
    """A rule for one check.

    key, title : its name in the program, and what to call it.
    source : publication or body with its country, and year.
    part : whether the candidate receives or sends.
    speeds_wpm : the speeds that the rule knows.
    speed_is : what those speeds are of: counted characters by five, or keying with PARIS.
    minutes : how long the text lasts; counted : how many counted characters it has, 0: speed times minutes.
    words : how many words it has, 0: as many as fill it.
    required : signs that each must occur; alphabet : signs that may.
    figures : how many figures there are in plain text; -1: any number.
    character_wpm : characters are sent no slower than this.
    warm_up_s, tidy_s : a run to get used to it before, and time to tidy the copy up after.
    forgives_extra : what was written beside the text is no error.
    note : what the source leaves open, and other cautions.
    edited : it is not as shipped.
    """

    key: str
    title: str
    source: str
    part: Literal["receive", "send"]
    text: Text
    speeds_wpm: tuple[float, ...]
    minutes: float
    passes: tuple[Passing, ...]
    speed_is: SpeedIs = "counted"
    counted: int = 0
    words: int = 0
    counting: Counting = BY_LAW
    required: str = ""
    alphabet: str = LETTERS
    figures: int = -1
    character_wpm: float = 0.0
    warm_up_s: float = 60.0
    tidy_s: float = 60.0
    forgives_extra: bool = False
    note: str = ""
    edited: bool = False

    def length(self, wpm: float) -> int:
        """Counted characters of its text at this speed."""
        return self.counted or round(WORD * wpm * self.minutes)

    def unbroken(self, wpm: float, minutes: float) -> int:
        """Counted characters that so many minutes are: 65 at 13 wpm in one."""
        return round(WORD * wpm * minutes)


def faults_of(form: Form) -> tuple[str, ...]:
    """What is wrong with an edited form, a sentence each; () when a text can be made for it."""
    faults = [
        (not form.speeds_wpm, "A form needs a speed."),
        (not all(1 <= wpm <= FASTEST_WPM for wpm in form.speeds_wpm), f"Speeds: 1 to {FASTEST_WPM:g} wpm."),
        (not 0 < form.minutes <= LONGEST_MIN, f"A text lasts at most {LONGEST_MIN:g} minutes."),
        (not form.passes, "A form says what passes."),
        (set(form.required) - set(form.alphabet), "A symbol that must occur is not among those that may."),
        (any(sign not in INDEX for sign in form.alphabet), "Something in the alphabet is no symbol."),
        (form.counted > 1500, "A text has at most 1500 counted characters."),
        (form.text != "contact" and any(p.kind == "questions" for p in form.passes),
         "Questions need a contact to be asked about."),
    ]  # fmt: skip
    found = [sentence for is_so, sentence in faults if is_so]
    if not found and min(form.length(wpm) for wpm in form.speeds_wpm) < form.counting.counted(form.required):
        found.append("The text is too short for the symbols that must occur.")
    return tuple(found)
