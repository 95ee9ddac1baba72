"""How a check is set up: its form, as shipped or edited, who sits it, and what is arranged for whom."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta, field

from copyroom.core.checks import FORMS, Counting, Form, Passing, faults_of
from copyroom.core.checks.form import LONGEST_MIN
from copyroom.room.contract import Part, Settled
from copyroom.room.effects import Refused
from copyroom.room.limits import SeatNumber

Said = Annotated[str, Meta(max_length=500)]
Worth = Annotated[int, Meta(ge=0, le=5)]
Signs = Annotated[str, Meta(max_length=64)]
Wpm = Annotated[float, Meta(ge=1.0, le=50.0)]
Seconds = Annotated[float, Meta(ge=0.0, le=600.0)]
By = Literal["sound", "lamp", "vibration"]
LAMP_WPM = 7.2
"""A run of dots at this keying speed flashes three times a second, and no more (WCAG 2.2, 2.3.1)."""


class CheckPassing(Part, frozen=True, kw_only=True):
    """One way to pass."""

    kind: Literal["errors", "unbroken", "questions", "share", "words"]
    amount: Annotated[float, Meta(ge=0.0, le=500.0)]
    of: Annotated[int, Meta(ge=0, le=500)] = 0


class CheckForm(Part, frozen=True, kw_only=True):
    """A form, as `core.checks.Form` has it; `letter` to `signal`: counted characters that each is worth."""

    key: Annotated[str, Meta(max_length=40)]
    title: Annotated[str, Meta(min_length=1, max_length=80)]
    source: Annotated[str, Meta(max_length=120)]
    text: Literal["words", "contact", "letters", "figures", "mixed"]
    speeds_wpm: Annotated[list[Wpm], Meta(min_length=1, max_length=12)]
    speed_is: Literal["counted", "keying"]
    minutes: Annotated[float, Meta(ge=0.2, le=LONGEST_MIN)]
    counted: Annotated[int, Meta(ge=0, le=1500)]
    words: Annotated[int, Meta(ge=0, le=200)]
    letter: Worth
    figure: Worth
    punctuation: Worth
    signal: Worth
    required: Signs
    alphabet: Signs
    figures: Annotated[int, Meta(ge=-1, le=100)]
    character_wpm: Annotated[float, Meta(ge=0.0, le=50.0)]
    warm_up_s: Seconds
    tidy_s: Seconds
    passes: Annotated[list[CheckPassing], Meta(min_length=1, max_length=4)]
    forgives_extra: bool
    note: Said
    edited: bool = False


class CheckFor(Part, frozen=True, kw_only=True):
    """What is arranged for one candidate. 0: as for all.

    by : how it is sent to them; a lamp or vibration only where dots come at 7.2 wpm or slower.
    more_tidy_s : beside the form's time to tidy up.
    """

    seat: SeatNumber
    pitch_hz: Annotated[float, Meta(ge=0.0, le=1000.0)] = 0.0
    character_wpm: Annotated[float, Meta(ge=0.0, le=50.0)] = 0.0
    by: By = "sound"
    more_tidy_s: Seconds = 0.0


class CheckSetup(Part, frozen=True, kw_only=True):
    """A form at one of its speeds, and who sits it: [] all who are here.

    text, warm_up, questions, seats : as drawn when it begins.
    """

    form: CheckForm
    wpm: Wpm
    candidates: Annotated[list[SeatNumber], Meta(max_length=200)] = field(default_factory=list)
    arranged: Annotated[list[CheckFor], Meta(max_length=200)] = field(default_factory=list)
    text: Annotated[str, Meta(max_length=4000), Settled.CHANCE] = ""
    warm_up: Annotated[str, Meta(max_length=1000), Settled.CHANCE] = ""
    questions: Annotated[list[tuple[str, str]], Settled.CHANCE] = field(default_factory=list)
    seats: Annotated[list[SeatNumber], Settled.CHANCE] = field(default_factory=list)


def form_of(shown: CheckForm) -> Form:
    """The form as the core has it. Refused, with its faults, where no text can be made for it."""
    fields: dict[str, Any] = msgspec.structs.asdict(shown)
    counting = Counting(*(fields.pop(kind) for kind in ("letter", "figure", "punctuation", "signal")))
    passes = tuple(Passing(one.kind, one.amount, one.of) for one in fields.pop("passes"))
    speeds = tuple(fields.pop("speeds_wpm"))
    form = Form(**fields, part="receive", speeds_wpm=speeds, passes=passes, counting=counting)
    faults = faults_of(form)
    if faults:
        raise Refused(" ".join(faults))
    return form


def shown_form(form: Form) -> CheckForm:
    """The same for the browser."""
    names = {name for name in CheckForm.__struct_fields__ if hasattr(form, name)} - {"passes", "speeds_wpm"}
    worth = {kind: getattr(form.counting, kind) for kind in ("letter", "figure", "punctuation", "signal")}
    passes = [CheckPassing(kind=one.kind, amount=one.amount, of=one.of) for one in form.passes]
    own = {name: getattr(form, name) for name in names}
    return CheckForm(**own, **worth, passes=passes, speeds_wpm=list(form.speeds_wpm))


def shipped() -> list[CheckForm]:
    """All forms that are received, for the instructor to choose from."""
    return [shown_form(form) for form in FORMS.values() if form.part == "receive"]
