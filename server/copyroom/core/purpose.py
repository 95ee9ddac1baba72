"""What is sent to a class, and why: the one vocabulary of composer, plan, advice, runs and journal.

A purpose is worded with the sounds it is sent with where it is shown (`phrases.title`); what it is called is
nobody's key.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Composed = Literal[
    "listen",
    "meet",
    "one",
    "apart",
    "mix",
    "words",
    "calls",
    "sentences",
    "contact",
    "message",
    "own",
]
"""What the instructor can compose."""
Sounding = Literal[Composed, "warm-up", "practise", "longer", "together"]
"""What a run can be sent for: three are made for an evening, and "together" is a group exercise."""
Purpose = Literal[Sounding, "breather", "close"]
"""What a step of an evening can be for: the last two send nothing."""


@dataclass(frozen=True, slots=True)
class Traits:
    """What a purpose is.

    takes : the sounds that are chosen for it: none, one, a few to be told apart, or many.
    shown : sent to be met, not to be copied: it is not counted, and its name may be seen.
    grouped : its groups are made to measure.
    read : a text that means something, made of known sounds alone.
    practice : invented traffic, called practice wherever it is shown: a call may by accident be somebody's.
    composed : the instructor can compose it. silent : it sends nothing.
    """

    takes: Literal["none", "one", "few", "many"]
    shown: bool = False
    grouped: bool = True
    read: bool = False
    practice: bool = False
    composed: bool = True
    silent: bool = False


PURPOSES: Mapping[Purpose, Traits] = {
    "listen": Traits("none", shown=True),
    "meet": Traits("one", shown=True),
    "one": Traits("one", shown=True),
    "apart": Traits("few"),
    "mix": Traits("many"),
    "words": Traits("many", grouped=False, read=True),
    "calls": Traits("many", grouped=False, read=True, practice=True),
    "sentences": Traits("many", grouped=False, read=True),
    "contact": Traits("many", grouped=False, read=True, practice=True),
    "message": Traits("many", grouped=False, read=True, practice=True),
    "own": Traits("none"),
    "warm-up": Traits("many", composed=False),
    "practise": Traits("many", composed=False),
    "longer": Traits("many", composed=False),
    "together": Traits("none", grouped=False, composed=False),
    "breather": Traits("none", composed=False, silent=True),
    "close": Traits("none", composed=False, silent=True),
}

# ------------------------------------------------------------------ why

Action = Literal[
    "begin",
    "sound",
    "ask",
    "catch up",
    "newest",
    "stuck",
    "contrast",
    "support",
    "go on",
    "faster",
    "repeat",
    "go back",
]
"""What can be done after a text: one of each situation of the advice, and two that can always be chosen."""
Why = Literal["usual", "catch hold", "weakest", "all new", "learned", "wanted", Action]
What = Literal["practice first", "another evening", "leaning", "left out", "to spare"]


@dataclass(frozen=True, slots=True)
class Because:
    """Why a step is there: a key with its figures, to be put into words where it is shown.

    signs : the sounds that it is about: the weakest, the new ones, those not met yet.
    shares : the class's recall of each, None where nobody has answered it yet.
    copied : the share of the last text that was copied, where an advice rests on it.
    """

    key: Why
    signs: str = ""
    shares: tuple[float | None, ...] = ()
    copied: float | None = None


USUAL = Because("usual")
"""What its purpose is good for."""


@dataclass(frozen=True, slots=True)
class Recalled:
    """What a class recalls of the sounds it has met, `count` of them.

    share : of those that anybody has answered. untested : the others.
    """

    share: float
    count: int
    untested: str


@dataclass(frozen=True, slots=True)
class Change:
    """What became of a plan, and why: a key with its figures.

    signs : the sounds that it is about; shares : the class's recall of each, as in `Because`.
    weak : newest sounds that are not held yet, which `signs` wait for; `shares` are theirs then.
    recalled, awaited : what the class recalled, and what new sounds waited for; in older journals.
    minutes : to fill, or left. left_out : the purposes of the steps that had to go.
    """

    key: What
    signs: str = ""
    shares: tuple[float | None, ...] = ()
    recalled: Recalled | None = None
    awaited: float = 0.0
    weak: str = ""
    minutes: float = 0.0
    left_out: tuple[Purpose, ...] = ()
