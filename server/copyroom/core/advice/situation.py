"""Where a class stands when somebody asks what to send next."""

from __future__ import annotations

from dataclasses import dataclass

from copyroom.core.alphabet import BLANK, symbol


@dataclass(frozen=True, slots=True)
class Situation:
    """The question, apart from the record.

    alphabet : distinct signs to be taught in all.
    known : distinct signs introduced so far, in order; those outside `alphabet` stay in play.
    present : names of those here today; everybody enrolled when nobody has been counted yet.
    sendings_left : sendings left today, texts and introductions together.
    sendings_later : sendings planned for later meetings.
    intro_cost : sendings that one introduction uses up.
    min_length, max_length : bounds of the next text.
    order : signs in the order in which to introduce them; "" leaves the choice open.
    planned : distinct signs that are to be introduced today, in this order, before any others.

    Raises ValueError, in one sentence, for a question that has no answer.
    """

    alphabet: str
    known: str
    present: tuple[str, ...]
    sendings_left: int
    sendings_later: int
    intro_cost: int
    min_length: int
    max_length: int
    order: str = ""
    planned: str = ""

    def __post_init__(self) -> None:
        for field in ("alphabet", "known", "order", "planned"):
            _check_signs(field, getattr(self, field))
        if not self.alphabet and not self.known:
            raise ValueError("alphabet is empty: there is nothing to teach")
        if not self.present:
            raise ValueError("nobody is there to be taught: students and present are empty")
        if not 1 <= self.min_length <= self.max_length:
            raise ValueError(f"no text is {self.min_length} to {self.max_length} symbols long")
        if self.intro_cost < 0 or self.sendings_later < 0:
            raise ValueError("intro_cost and the sendings of the plan must not be negative")
        needed = self.min_length + (0 if self.known else self.intro_cost)
        if self.sendings_left < needed:
            raise ValueError(
                f"{self.sendings_left} sendings left are too few: the next exercise needs {needed}"
            )

    @property
    def untaught(self) -> str:
        """Signs still to be introduced, in the asked order, else as in the alphabet."""
        wanted = self.order or self.alphabet
        rest = "".join(sign for sign in self.alphabet if sign not in wanted)
        return "".join(sign for sign in wanted + rest if sign in self.alphabet and sign not in self.known)

    @property
    def room_for_new(self) -> int:
        """How many introductions today's sendings allow before a shortest text."""
        if self.intro_cost == 0:
            return len(self.untaught)
        return (self.sendings_left - self.min_length) // self.intro_cost


def _check_signs(field: str, signs: str) -> None:
    if len(set(signs)) < len(signs):
        raise ValueError(f"{field} has a symbol twice")
    for sign in signs:
        if sign == BLANK:
            raise ValueError(f"{field} holds {BLANK!r}, which stands for a blank and is no symbol")
        symbol(sign)
