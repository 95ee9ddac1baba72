"""Every reason of a course is true, and for the place where its symbol stands.

Each sentence is read back and held against figures that are counted here anew, the slow way.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest

from copyroom.core.alphabet import BY_ELEMENTS, SYMBOLS, symbol
from copyroom.core.course import EMPHASES, EXTENTS, plan_order
from copyroom.core.placement import Placement
from copyroom.core.similarity import similarity
from copyroom.core.usage import EXAMINED_SIGNS, LETTER_SHARES, traffic_pieces
from copyroom.shell.assets import words

WORDS = words()
SPELLED_WITH = [(word, frozenset(word)) for word in WORDS]
Check = Callable[[re.Match[str], str, str, str], None]


def _new_words(known: str, sign: str) -> list[str]:
    able = set(known + sign)
    return [word for word, signs in SPELLED_WITH if sign in signs and signs <= able]


def _alike(a: str, b: str) -> float:
    signs = [s.sign for s in SYMBOLS]
    i, j = signs.index(a), signs.index(b)
    return float(similarity()[i, j] + similarity()[j, i]) / 2


def _share_is_that_of_the_count(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    assert float(match["share"]) == LETTER_SHARES[sign]
    if match["most"]:
        assert all(LETTER_SHARES.get(other, 0) <= LETTER_SHARES[sign] for other in waiting)


def _pieces_hold_it(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    def held(one: str) -> int:
        return sum(one in piece for piece in traffic_pieces())

    assert (int(match["n"]), int(match["of"])) == (held(sign), len(traffic_pieces()))
    assert not match["most"] or all(held(other) <= held(sign) for other in waiting)


def _words_come_with_it(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    new = _new_words(known, sign)
    named = match["words"].split(", ")
    assert int(match["n"]) == len(new)
    assert set(named) <= set(new)
    assert (len(named) == len(new)) == (match["such"] == ":")
    if match["most"]:
        assert all(len(_new_words(known, other)) <= len(new) for other in waiting)


def _letters_are_known(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    assert sign.isdigit()
    assert int(match["n"]) == sum(other.isalpha() and other != "É" for other in known) > 0


def _words_can_be_sent(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    assert symbol(sign).name.lower().startswith(match["name"].lower())
    assert int(match["n"]) == sum(signs <= set(known) for _, signs in SPELLED_WITH) > 0


def _it_is_the_first(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    assert not known
    assert int(match["n"]) == len(symbol(sign).elements)


def _it_sounds_so(match: re.Match[str], sign: str, known: str, waiting: str) -> None:
    recent = known[-4:]
    alike = {other: _alike(sign, other) for other in recent}
    near = match["near"]
    nearest = near if near in alike else next(s.sign for s in SYMBOLS if s.joined == near)
    assert alike[nearest] == max(alike.values())
    assert abs(int(match["share"]) - 100 * alike[nearest]) <= 0.5 + 1e-9
    assert int(match["n"] or 1) == len(recent)
    bounds = {"Unlike": (0, 0.15), "Rather unlike": (0.15, 0.3), "Like": (0.3, 1), "Like one of": (0.3, 1)}
    low, high = bounds[match["verdict"]]
    assert low <= alike[nearest] < high


CHECKS: dict[str, Check] = {
    r"(?P<share>[\d.]+) of 100 letters in English text(?P<most>; no letter still to come is used more)?\.":
        _share_is_that_of_the_count,
    r"In (?P<n>\d+) of (?P<of>\d+) contacts and messages of ours"
    r"(?P<most>; no sound still to come is in more)?\.":
        _pieces_hold_it,
    r"With it (?P<n>\d+) more words? can be spelled(?P<such>, such as|:) (?P<words>[A-Z, ]+)"
    r"(?P<most>; no sound still to come would give more)?\.": _words_come_with_it,
    r"A figure, with (?P<n>\d+) letters? known to put it among\.": _letters_are_known,
    r"(?P<name>[A-Z][a-z ]+): (?P<n>\d+) words? can be sent by now around it\.": _words_can_be_sent,
    r"The first sound, of (?P<n>\d) elements?\.": _it_is_the_first,
    r"(?P<verdict>Unlike|Rather unlike|Like one of|Like) the (?:sound|(?P<n>\d) sounds) just before it:"
    r" (?P<near>.+), the nearest, is (?P<share>\d+) % alike\.": _it_sounds_so,
}  # fmt: skip


def _hold(order: tuple[Placement, ...]) -> set[str]:
    """Hold every reason of an order against its figures; which kinds of sentence there were."""
    seen: set[str] = set()
    signs = "".join(placement.sign for placement in order)
    for i, placement in enumerate(order):
        assert ("You put it here." in placement.reasons) == placement.pinned
        for reason in placement.reasons:
            if reason == "You put it here.":
                continue
            found = [(k, match) for k in CHECKS if (match := re.fullmatch(k, reason))]
            assert len(found) == 1, reason
            CHECKS[found[0][0]](found[0][1], placement.sign, signs[:i], signs[i:])
            seen.add(found[0][0])
    return seen


def test_every_reason_is_true_for_the_place_where_its_symbol_stands() -> None:
    rng = np.random.default_rng(4)
    seen: set[str] = set()
    for emphasis in EMPHASES:
        seen |= _hold(plan_order(EXAMINED_SIGNS, emphasis, WORDS))
        signs = "".join(rng.permutation(list(EXTENTS[1][1]))[: rng.integers(4, 30)])
        pins = {signs[0]: 0, signs[1]: 2, signs[3]: 3}
        seen |= _hold(plan_order(signs, emphasis, WORDS, pins))
    assert seen == set(CHECKS), "each kind of sentence was met"


@pytest.mark.parametrize("elements", ["...-.-", "-...-"])
def test_a_signal_at_the_start_claims_no_words_around_it(elements: str) -> None:
    sign = BY_ELEMENTS[elements].sign
    first = plan_order(EXAMINED_SIGNS, "words", WORDS, {sign: 0, "7": 1})
    assert first[0].reasons[1].startswith("The first sound")
    assert not any("A figure" in reason for reason in first[1].reasons)
