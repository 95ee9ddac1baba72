"""Grammar: rules of which sentences are made, and a sentence of them that known symbols can spell.

A rule stands on a line, "name: one alternative | another". In braces stands the name of another rule. A word
with forms is written "BRING/BRINGS/BROUGHT": the base form (for I, we, they and orders), the one for he, she
and it, and the past; "{name:s}" asks for the second within that rule, "{name:past}" for the third. A word
with fewer forms has its last one for the rest.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

Rules = Mapping[str, Sequence[str]]
FORMS = ("", "s", "past")
_SLOT = re.compile(r"\{(\w+)(?::(\w+))?\}")


def rules(text: str) -> Rules:
    """Rules as they are written down; lines that go on begin with a space or a bar.

    Raises ValueError for a rule that is named in braces and nowhere written.
    """
    made: dict[str, list[str]] = {}
    for line in re.sub(r"\n\s+", " ", text.strip()).split("\n"):
        name, _, alternatives = line.partition(":")
        made[name.strip()] = [one.strip() for one in alternatives.split("|")]
    for alternative in (one for alternatives in made.values() for one in alternatives):
        for name, form in _SLOT.findall(alternative):
            if name not in made or form not in FORMS:
                raise ValueError(f"no rule {name!r} in the form {form!r}, as {alternative!r} wants")
    return made


class Grammar:
    """Rules as far as some known symbols can spell them."""

    def __init__(self, made_of: Rules, known: str) -> None:
        self._rules, self._known = made_of, set(known) | {" "}
        self._able: dict[tuple[str, str], list[str]] = {}

    def can(self, name: str, form: str = "") -> bool:
        """Whether anything can be made of a rule."""
        return bool(self._alternatives(name, form))

    def make(self, name: str, rng: np.random.Generator, form: str = "") -> str:
        """One of the things that can be made of a rule. Raises ValueError when none can."""
        able = self._alternatives(name, form)
        if not able:
            raise ValueError(f"nothing can be made of {name!r}")
        chosen = able[int(rng.integers(len(able)))]
        return _SLOT.sub(lambda slot: self.make(slot[1], rng, slot[2] or form), _plain(chosen, form))

    def _alternatives(self, name: str, form: str) -> list[str]:
        if (name, form) not in self._able:
            self._able[name, form] = [one for one in self._rules[name] if self._is_able(one, form)]
        return self._able[name, form]

    def _is_able(self, alternative: str, form: str) -> bool:
        said = _SLOT.sub("", _plain(alternative, form))
        return self._known.issuperset(said) and all(
            self.can(slot, asked or form) for slot, asked in _SLOT.findall(alternative)
        )


def _plain(alternative: str, form: str) -> str:
    """The alternative with its words in one form."""
    at = FORMS.index(form)
    forms = (word.split("/") for word in alternative.split(" "))
    return " ".join(of[min(at, len(of) - 1)] for of in forms)
