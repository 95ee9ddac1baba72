"""What a class knows tonight, as advice needs it: the belief, the runs behind it, who is new and what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from copyroom.core.advice.situation import Situation
from copyroom.core.alphabet import BLANK
from copyroom.core.evidence.mix_ups import Pair
from copyroom.core.knowledge import Belief
from copyroom.core.record import PastRun

Floats = NDArray[np.float64]

KNOWN = 0.5
"""A sound that the class believes itself to write less often than this is not known yet."""
NEWEST = 4
"""The sounds met last, by which going on is judged."""
AMONG = 4
"""So many others make a mixed text of what was just met."""
FEW_KEYS = 6
"""A run of so few sounds, of more that are known, is made for some of them."""

MOST_NAMED = 8
"""Learners that a sentence names; more are counted."""


@dataclass(frozen=True)
class Standing:
    """Where a class stands.

    believed : of those present, for the known signs, tonight; None where nothing is known.
    runs : the record, oldest first.
    pairs : mix-ups worth teaching, the most worth first.
    callings : what people call those whom the record names otherwise.
    """

    situation: Situation
    believed: Belief | None
    runs: Sequence[PastRun] = ()
    pairs: Sequence[Pair] = field(default=())
    callings: Mapping[str, str] = field(default_factory=dict)

    def called(self, names: Sequence[str]) -> str:
        """Learners in a sentence for the instructor, by what people call them; many are counted."""
        if len(names) > MOST_NAMED:
            return f"{len(names)} learners"
        *most, last = (self.callings.get(name, name) for name in names)
        return f"{', '.join(most)} and {last}" if most else last

    @property
    def known(self) -> str:
        """Signs introduced so far."""
        return self.situation.known

    @cached_property
    def shares(self) -> Floats:
        """Chance of each learner to write each known sign, shape (L, S)."""
        if self.believed is None:
            return np.zeros((len(self.situation.present), 0))
        return self.believed.learners.mean

    @cached_property
    def counted(self) -> NDArray[np.bool_]:
        """Who has a copy of something, shape (L,): the others do not count as the class."""
        if self.believed is None:
            return np.zeros(len(self.situation.present), bool)
        have_copies: NDArray[np.bool_] = self.believed.tested.sum(axis=1) > 0.0
        return have_copies

    @cached_property
    def newcomers(self) -> tuple[str, ...]:
        """Those here who have no copy of anything."""
        here = zip(self.situation.present, self.counted, strict=True)
        return tuple(name for name, has_copies in here if not has_copies)

    @property
    def counted_shares(self) -> Floats:
        """Their chances, shape (C, S); of everybody while nobody has a copy."""
        return self.shares[self.counted] if self.counted.any() else self.shares

    @cached_property
    def of_class(self) -> Floats:
        """Mean chance of each known sign over those who have a copy of something, shape (S,)."""
        mean: Floats = self.counted_shares.mean(axis=0)
        return mean

    @cached_property
    def tested(self) -> Floats:
        """How often each known sign was sent to a learner, in the mean over those counted, shape (S,)."""
        if self.believed is None or not self.counted.any():
            return np.zeros(len(self.known))
        mean: Floats = self.believed.tested[self.counted].mean(axis=0)
        return mean

    @cached_property
    def newest(self) -> str:
        """The known signs that were met last."""
        return self.known[-NEWEST:]

    @cached_property
    def unknown(self) -> str:
        """Known signs, by name, that the class does not know yet, the best known first."""
        order = np.argsort(-self.of_class, kind="stable")
        return "".join(self.known[i] for i in order if self.of_class[i] < KNOWN)

    @cached_property
    def tonight(self) -> list[PastRun]:
        """Tonight's runs that somebody copied."""
        return [run for run in self.runs if run.day == self.situation.today and run.copies and run.sent]

    @cached_property
    def days_since(self) -> int | None:
        """Days from the last run that was copied; None when there was none."""
        copied = [run.day for run in self.runs if run.copies]
        return self.situation.today - copied[-1] if copied else None

    @property
    def days_away(self) -> int | None:
        """Days from the last run that was copied at an earlier meeting; None when there was none."""
        before = [run.day for run in self.runs if run.copies and run.day < self.situation.today]
        return self.situation.today - before[-1] if before else None

    @property
    def recent(self) -> str:
        """What was sent last, newest last."""
        return "".join(run.sent for run in self.runs[-6:])

    @property
    def earlier(self) -> list[str]:
        """Tonight's texts."""
        return [run.sent for run in self.tonight]

    def at(self, signs: str) -> list[int]:
        """Columns of these known signs."""
        return [self.known.index(sign) for sign in signs]

    def share_of(self, sign: str) -> float | None:
        """The class's chance of a known sign; None where nobody was asked for it."""
        i = self.known.index(sign)
        return float(self.of_class[i]) if self.tested[i] > 0.0 else None

    @cached_property
    def narrow(self) -> list[PastRun]:
        """The copied runs that were made for some sounds: few, of more that were known then."""
        introduced = {sign for run in self.runs for sign in run.introduce}
        met = {sign for sign in self.known if sign not in introduced}
        made: list[PastRun] = []
        for run in self.runs:
            met |= {*run.introduce, *run.in_play}
            few = len(run.in_play) <= min(FEW_KEYS, len(met) - 2)
            if few and run.copies and run.sent and not run.introduce:
                made.append(run)
        return made

    def is_narrow(self, run: PastRun) -> bool:
        """Whether this is one of them."""
        return any(one is run for one in self.narrow)

    def is_for_some(self, run: PastRun) -> bool:
        """Whether a run was made for some: of few sounds, or with each named."""
        return run.kind == "named" or self.is_narrow(run)

    def drilled(self, signs: str, most_keys: int | None = None) -> int:
        """How many runs were made for these signs; with all of them in play."""
        most = most_keys or FEW_KEYS
        return sum(set(signs) <= set(run.in_play) and len(run.in_play) <= most for run in self.narrow)

    def drilled_tonight(self, signs: str) -> bool:
        """Whether one of tonight's runs was made for these signs."""
        return any(self.is_narrow(run) and set(signs) <= set(run.in_play) for run in self.tonight)

    @cached_property
    def mixed_in(self) -> set[str]:
        """The signs that were copied among others: after they were met, or then among enough known ones."""
        since: set[str] = set()
        for run in self.runs:
            since -= set(run.introduce)
            if run.copies and not self.is_narrow(run):
                others = len(run.in_play) - len(run.introduce)
                since |= set(run.sent) - set(run.introduce if others < AMONG else "")
        return since

    def evenings_of(self, sign: str) -> int:
        """At how many meetings a sign was copied."""
        return len({run.day for run in self.runs if run.copies and sign in run.sent})

    @cached_property
    def blank(self) -> tuple[str, ...]:
        """Those present who left nearly all of tonight's last run blank."""
        return self._blank_in(self.tonight[-1]) if self.tonight else ()

    @cached_property
    def newly_blank(self) -> tuple[str, ...]:
        """Those of them who did not do so in the run before."""
        before = self._blank_in(self.tonight[-2]) if len(self.tonight) > 1 else ()
        return tuple(name for name in self.blank if name not in before)

    def _blank_in(self, run: PastRun) -> tuple[str, ...]:
        copies = run.copies
        return tuple(
            name
            for name in self.situation.present
            if (copy := copies.get(name)) and len(copy) >= 8 and copy.count(BLANK) >= 0.9 * len(copy)
        )
