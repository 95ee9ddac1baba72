"""Listeners who hear nothing: each writes, before a sound, what the order of the sounds so far suggests.

What they get right beyond chance looks like knowledge and is none. Chance is the best constant answer.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

import numpy as np

GUESSERS = ("absent longest", "other new one", "same place", "commonest", "order 1", "order 2")


class Evening:
    """One evening heard by all of them: `hear` each text in turn, then ask for `right` of `total`.

    keys : the signs that can be written. new : up to two that were introduced before the first text.
    """

    def __init__(self, keys: str, new: str = "") -> None:
        self.keys, self.new = keys, new
        self.right: Counter[str] = Counter()
        self.counts: Counter[str] = Counter()
        self._last = dict.fromkeys(keys, -1)
        self._places: list[Counter[str]] = []
        self._after: defaultdict[str, Counter[str]] = defaultdict(Counter)

    @property
    def total(self) -> int:
        """Sounds heard."""
        return self.counts.total()

    def hear(self, text: str) -> None:
        """One text without spaces: each guesser answers each sound before it is known."""
        for place, sign in enumerate(text):
            self.right.update(name for name, guess in self._guesses(text[:place]).items() if guess == sign)
            for order in (1, 2):
                if place >= order:
                    self._after[text[place - order : place]][sign] += 1
            self._last[sign] = self.total
            self.counts[sign] += 1
        self._places += [Counter() for _ in range(len(text) - len(self._places))]
        for place, sign in enumerate(text):
            self._places[place][sign] += 1

    def _guesses(self, so_far: str) -> Mapping[str, str]:
        commonest = _first(self.counts) or self.keys[0]
        by_one = _first(self._after[so_far[-1:]]) if so_far else ""
        by_two = _first(self._after[so_far[-2:]]) if len(so_far) > 1 else ""
        place = self._places[len(so_far)] if len(so_far) < len(self._places) else Counter()
        return {
            "absent longest": min(self.keys, key=self._last.__getitem__),
            "other new one": self._other_new(commonest),
            "same place": _first(place) or commonest,
            "commonest": commonest,
            "order 1": by_one or commonest,
            "order 2": by_two or by_one or commonest,
        }

    def _other_new(self, otherwise: str) -> str:
        return min(self.new, key=self._last.__getitem__) if len(self.new) > 1 else otherwise


def _first(counts: Counter[str]) -> str:
    """The commonest, of equals the one counted first; "" for none."""
    return max(counts, key=counts.__getitem__) if counts else ""


def shares(evenings: Sequence[Evening]) -> dict[str, float]:
    """What share of the sounds each guesser had right over all evenings; under "chance" the best constant."""
    total = sum(evening.total for evening in evenings)
    found = {name: sum(evening.right[name] for evening in evenings) / total for name in GUESSERS}
    return found | {"chance": sum(max(evening.counts.values()) for evening in evenings) / total}


def longest_gaps(texts: Sequence[str], keys: str) -> np.ndarray:
    """The longest that each key was not heard over the texts joined, in sounds; shape (len(keys),)."""
    stream = "".join(texts)
    gaps = []
    for key in keys:
        places = [-1, *(place for place, sign in enumerate(stream) if sign == key), len(stream)]
        gaps.append(int(np.diff(places).max()) - 1)
    return np.array(gaps)
