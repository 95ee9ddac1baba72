"""Where a class stands when somebody asks what to send next, apart from what it knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from copyroom.core.alphabet import BLANK, symbol
from copyroom.core.course import MOST_NEW
from copyroom.core.knowledge import Speeds
from copyroom.core.record import RunKind


@dataclass(frozen=True, slots=True)
class Situation:
    """The question.

    alphabet : distinct signs to be taught in all.
    known : distinct signs introduced so far, in order; those outside `alphabet` stay in play.
    present : names of those here today; at least one.
    today : day number of this meeting.
    sendings_left : sendings left today, texts and introductions together.
    intro_cost : sendings that one introduction uses up.
    min_length, max_length : bounds of the next text.
    new_limit : how many may still be introduced at this meeting.
    later : (day, sendings) of each later meeting.
    kinds : what one sending costs in a run of each kind.
    speeds : tonight's.
    order : signs in the order in which to introduce them; "" leaves the choice open.
    planned : distinct signs that are to be introduced today, in this order, before any others.

    Raises ValueError, in one sentence, for a question that has no answer.
    """

    alphabet: str
    known: str
    present: tuple[str, ...]
    today: int
    sendings_left: int
    intro_cost: int
    min_length: int
    max_length: int
    new_limit: int = MOST_NEW
    later: tuple[tuple[int, int], ...] = ()
    kinds: Mapping[RunKind, float] = field(default_factory=lambda: {"copy": 1.0})
    speeds: Speeds = (None, None)
    order: str = ""
    planned: str = ""

    def __post_init__(self) -> None:
        for name in ("alphabet", "known", "order", "planned"):
            _check_signs(name, getattr(self, name))
        if not self.alphabet and not self.known:
            raise ValueError("alphabet is empty: there is nothing to teach")
        if not self.present:
            raise ValueError("nobody is there to be taught: present is empty")
        if not 1 <= self.min_length <= self.max_length:
            raise ValueError(f"no text is {self.min_length} to {self.max_length} symbols long")
        if self.intro_cost < 0 or self.new_limit < 0 or any(sendings < 0 for _, sendings in self.later):
            raise ValueError("intro_cost, new_limit and the sendings of later meetings must not be negative")
        if not self.kinds or not all(cost > 0 for cost in self.kinds.values()):
            raise ValueError("kinds must say what a sending costs, more than 0, of one kind at least")
        if self.sendings_left < self.min_length:
            raise ValueError(
                f"the meeting is over: {self.sendings_left} sendings are left, and the shortest text has"
                f" {self.min_length}"
            )
        if self.longest(0 if self.known else 1, self.cheapest) < self.min_length:
            raise ValueError(f"{self.sendings_left} sendings left are too few for the next text")

    @property
    def cheapest(self) -> RunKind:
        """The kind of run whose sendings cost least."""
        return min(self.kinds, key=lambda kind: self.kinds[kind])

    def longest(self, introduced: int, kind: RunKind) -> int:
        """How long a text of this kind may be after so many introductions; not under 0."""
        left = max(0, self.sendings_left - self.intro_cost * introduced)
        return min(self.max_length, int(left / self.kinds[kind] + 1e-9))

    @property
    def untaught(self) -> str:
        """Signs still to be introduced, in the asked order, else as in the alphabet."""
        wanted = self.order or self.alphabet
        rest = "".join(sign for sign in self.alphabet if sign not in wanted)
        return "".join(sign for sign in wanted + rest if sign in self.alphabet and sign not in self.known)

    @property
    def room_for_new(self) -> int:
        """How many introductions the rest of today allows before a shortest text."""
        most = min(self.new_limit, len(self.untaught))
        if not self.known:
            most = max(1, most)
        return max(
            (n for n in range(most + 1) if self.longest(n, self.cheapest) >= self.min_length), default=0
        )


def _check_signs(field: str, signs: str) -> None:
    if len(set(signs)) < len(signs):
        raise ValueError(f"{field} has a symbol twice")
    for sign in signs:
        if sign == BLANK:
            raise ValueError(f"{field} holds {BLANK!r}, which stands for a blank and is no symbol")
        symbol(sign)
