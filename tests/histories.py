"""Records of invented classes, as the tests of knowledge, advice, plan and review write them down."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from copyroom.cli.advise import answer
from copyroom.cli.lines import Kept
from copyroom.core.advice.grounds import Grounds, grounds_after
from copyroom.core.advice.situation import Situation
from copyroom.core.advice.standing import Standing
from copyroom.core.record import PastRun

WORDS = tuple(
    "THE OF AND TO IN IS IT HE WAS FOR ON ARE AS WITH HIS AT BE THIS FROM HAVE OR ONE HAD BY BUT NOT WHAT"
    " ALL WERE WE WHEN YOUR CAN SAID USE AN EACH SHE DO HOW THEIR IF WILL UP OUT MANY THEN THEM SO SOME HER"
    " LIKE HIM INTO TIME HAS LOOK TWO MORE GO SEE NO WAY MY THAN BEEN CALL WHO ITS NOW FIND LONG DOWN DAY"
    " DID GET COME MADE MAY PART TEA TEN EAT SET SEA RAIN TREE NAME READ HOME TENT CAMP FIRE NEWS RADIO"
    " STATION".split()
)
"""A few short words for evenings in tests: of the list that is shipped, not all of which a test needs."""

Chance = float | Mapping[str, float] | Callable[[str, str], float]
"""Of a right answer: the same for all, by sound ("" for all others), or by learner and sound."""


def chance_of(chance: Chance, name: str, sign: str) -> float:
    """What it is of one learner for one sound."""
    if callable(chance):
        return chance(name, sign)
    return chance.get(sign, chance.get("", 0.95)) if isinstance(chance, Mapping) else chance


@dataclass
class Class:
    """A class whose record is written meeting by meeting, in the words of the filters.

    wrong : what is written for a sound that was not caught; "_" by default, "*" for any other key in play.
    """

    names: Sequence[str] = tuple(f"s{i}" for i in range(1, 13))
    alphabet: str = "ETANIMSORKDLUPHWGFVCBYXQZJ0123456789.,?/=+"
    known: str = ""
    wrong: str | Mapping[str, str] = "_"
    seed: int = 0
    meetings: list[dict[str, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        self._kept = Kept(grounds_after)

    @property
    def day(self) -> int:
        """Of the last meeting."""
        return int(self.meetings[-1]["day"]) if self.meetings else 0

    def meet(self, day: int, present: Sequence[str] | None = None) -> Class:
        """A meeting begins; those who follow belong to it."""
        self.meetings.append({"day": day, "present": list(present or self.names), "runs": []})
        return self

    def copy(
        self, chance: Chance, signs: str = "", length: int = 50, introduce: str = "", **fields: Any
    ) -> Class:
        """Introduce, and copy a random text on these sounds (else on all that are known)."""
        self.known += "".join(sign for sign in introduce if sign not in self.known)
        text = "".join(self.rng.choice(list(signs or self.known), length))
        return self.send(text, chance, introduce, **fields)

    def send(self, text: str, chance: Chance, introduce: str = "", **fields: Any) -> Class:
        """Copy this text."""
        self.known += "".join(sign for sign in introduce if sign not in self.known)
        keys = "".join(dict.fromkeys(text))
        copies = {
            name: "".join(
                sign if self.rng.random() < chance_of(chance, name, sign) else self._instead(sign, keys)
                for sign in text
            )
            for name in self.meetings[-1]["present"]
        }
        run = {"introduce": introduce, "sent": text, "copies": copies} | fields
        self.meetings[-1]["runs"].append(run)
        return self

    def _instead(self, sign: str, keys: str) -> str:
        wrong = self.wrong if isinstance(self.wrong, str) else self.wrong.get(sign, "_")
        return str(self.rng.choice(list(keys))) if wrong == "*" else wrong

    def ask(self, **fields: Any) -> dict[str, Any]:
        """What the filter answers, tonight in the last meeting unless `today` says another day.

        Whatever it answers must be lawful.
        """
        request: dict[str, Any] = {
            "class": "class",
            "alphabet": self.alphabet,
            "known": self.known,
            "learners": list(self.names),
            "present": self.meetings[-1]["present"] if self.meetings else list(self.names),
            "today": self.day,
            "sendings_left": 250,
            "intro_cost": 12,
            "min_length": 25,
            "max_length": 80,
            "kinds": {"copy": 1.0, "named": 2.5},
            "meetings": self.meetings,
        } | fields
        got = answer(json.dumps(request), self._kept, self.rng)
        lawful(request, got)
        return got

    def runs(self) -> list[PastRun]:
        """The record as the core has it."""
        return [
            PastRun(
                meeting["day"],
                run["sent"],
                run["copies"],
                tuple(meeting["present"]),
                run["introduce"],
                run.get("kind", "copy"),
            )
            for meeting in self.meetings
            for run in meeting["runs"]
        ]


def lawful(request: Mapping[str, Any], got: Mapping[str, Any]) -> None:
    """An answer keeps to what was asked for."""
    new, text, kind = got["introduce"], got["text"], got["kind"]
    known = request["known"]
    assert len(set(new)) == len(new)
    assert set(new) <= set(request["alphabet"]) - set(known)
    assert set(text) <= {*known, *new}
    assert known or new
    assert kind in request["kinds"]
    assert request["min_length"] <= len(text) <= request["max_length"]
    cost = len(text) * request["kinds"][kind] + request["intro_cost"] * len(new)
    assert cost <= request["sendings_left"]
    if "new_limit" in request:
        assert len(new) <= max(request["new_limit"], 0 if known else 1)
    assert set(got["about"]["symbols"]) <= {*known, *new}
    assert set(got["about"]["learners"]) <= set(request["present"])
    assert got["reasons"]
    assert all(reason.endswith(".") for reason in got["reasons"])


def situation(alphabet: str, known: str, present: Sequence[str], **fields: Any) -> Situation:
    """A question with usual figures, but for these."""
    usual = {
        "today": 0,
        "sendings_left": 250,
        "intro_cost": 12,
        "min_length": 25,
        "max_length": 80,
        "kinds": {"copy": 1.0, "named": 2.5},
    }
    return Situation(alphabet, known, tuple(present), **usual | fields)


def standing_of(situation: Situation, runs: Iterable[PastRun] = ()) -> Standing:
    """Where a class with this record stands."""
    return grounds_after(None, list(runs)).standing(situation)


def grounds_of(runs: Iterable[PastRun]) -> Grounds:
    """What is learned of a record."""
    return grounds_after(None, list(runs))
