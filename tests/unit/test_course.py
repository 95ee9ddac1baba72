"""The order of a course: computed, explained, and none of six simple ones.

No source says which order is best for a group, so there is nothing outside to hold one against. It is
compared with the six below, and with nothing else: not with the order of any course.
"""

from __future__ import annotations

import itertools
from functools import cache

import pytest

from copyroom.core.alphabet import SYMBOLS, symbol
from copyroom.core.course import (
    EMPHASES,
    EXTENTS,
    drop,
    move,
    own_order,
    plan_order,
    signs_of,
)
from copyroom.core.placement import Placement
from copyroom.core.similarity import similarity
from copyroom.core.usage import EXAMINED_SIGNS, LETTER_SHARES, traffic_counts, traffic_pieces
from copyroom.shell.assets import words

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
WORDS = words()
"""The words that are shipped, which a class is really sent."""


@cache
def placed(emphasis: str) -> tuple[Placement, ...]:
    return plan_order(EXAMINED_SIGNS, emphasis, WORDS)


def planned(emphasis: str = "words", signs: str = EXAMINED_SIGNS, pins: dict[str, int] | None = None) -> str:
    if signs == EXAMINED_SIGNS and not pins:
        return signs_of(placed(emphasis))
    return signs_of(plan_order(signs, emphasis, WORDS, pins))


def _dots(sign: str) -> int:
    """Units of a sound: dot 1, dash 3, gap 1 (Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2)."""
    elements = symbol(sign).elements
    return sum(3 if e == "-" else 1 for e in elements) + len(elements) - 1


SIMPLE_ORDERS = {
    "alphabet": sorted,
    "table": lambda signs: [s.sign for s in SYMBOLS if s.sign in signs],
    "frequency": lambda signs: sorted(signs, key=lambda s: (-LETTER_SHARES.get(s, 0.0), s)),
    "units": lambda signs: sorted(signs, key=lambda s: (_dots(s), s)),
    "elements": lambda signs: sorted(signs, key=lambda s: (len(symbol(s).elements), symbol(s).elements)),
    "dots first": lambda signs: sorted(signs, key=lambda s: (symbol(s).elements.count("-"), _dots(s), s)),
}


def _agreement(one: str, other: str) -> float:
    """Kendall's rank correlation: 1 the same order, -1 the reverse."""
    places = {sign: i for i, sign in enumerate(other)}
    signs = [1 if places[a] < places[b] else -1 for a, b in itertools.combinations(one, 2)]
    return sum(signs) / len(signs)


@pytest.mark.parametrize("simple", SIMPLE_ORDERS)
@pytest.mark.parametrize("emphasis", EMPHASES)
def test_no_emphasis_reproduces_a_simple_order(emphasis: str, simple: str) -> None:
    ours = planned(emphasis)
    for signs in (EXAMINED_SIGNS, LETTERS):
        order = "".join(s for s in ours if s in signs)
        known = "".join(SIMPLE_ORDERS[simple](signs))
        assert order[:4] not in (known[:4], known[::-1][:4])
        assert abs(_agreement(order, known)) < 0.85


def test_emphases_differ_from_each_other() -> None:
    orders = [planned(emphasis) for emphasis in EMPHASES]
    for one, other in itertools.combinations(orders, 2):
        assert _agreement(one, other) < 0.85


@pytest.mark.parametrize("emphasis", EMPHASES)
def test_every_sign_is_placed_once_with_reasons(emphasis: str) -> None:
    order = placed(emphasis)
    assert sorted(signs_of(order)) == sorted(EXAMINED_SIGNS)
    assert all(placement.reasons and all(r.endswith(".") for r in placement.reasons) for placement in order)


def test_order_does_not_depend_on_how_the_signs_are_listed() -> None:
    assert planned(signs=EXAMINED_SIGNS[::-1]) == planned()


def _words_spelled(order: str, known: int) -> int:
    return sum(set(word) <= set(order[:known]) for word in WORDS)


def test_words_soon_spells_words_sooner_than_the_others() -> None:
    spelled = {e: _words_spelled(planned(e), 8) for e in EMPHASES}
    assert spelled["words"] > max(spelled["unlike"], spelled["traffic"])
    assert _words_spelled(planned(), 4) >= 3


def test_unlike_first_keeps_neighbours_less_alike_than_the_others() -> None:
    def neighbours(order: str) -> float:
        table = {
            (a.sign, b.sign): similarity()[i, j] for i, a in enumerate(SYMBOLS) for j, b in enumerate(SYMBOLS)
        }
        return sum(table[a, b] + table[b, a] for a, b in itertools.pairwise(order[:26]))

    alike = {e: neighbours(planned(e)) for e in EMPHASES}
    assert alike["unlike"] < min(alike["words"], alike["traffic"])


def test_most_confused_published_pairs_are_introduced_apart() -> None:
    # E. Z. Rothkopf, J. Exp. Psychol. 53:94-101 (1957): the six pairs taken for the same most often.
    order = planned("unlike")
    for one, other in ("90", "DK", "B6", "BX", "CY", "JP"):
        assert abs(order.index(one) - order.index(other)) >= 3


def test_traffic_first_brings_figures_and_signals_before_the_others_do() -> None:
    def first_marks(order: str) -> int:
        return sum(not sign.isalpha() for sign in order[:20])

    marks = {e: first_marks(planned(e)) for e in EMPHASES}
    assert marks["traffic"] > max(marks["words"], marks["unlike"])


def test_traffic_first_counts_a_sample_that_holds_every_letter_and_figure_several_times() -> None:
    assert all(traffic_counts()[sign] >= 5 for sign in EXTENTS[1][1])
    assert all(traffic_counts()[sign] == sum(sign in piece for piece in traffic_pieces()) for sign in "DO=7")


def test_traffic_first_does_not_teach_last_what_nearly_all_traffic_needs() -> None:
    order = planned("traffic")
    needed = [sign for sign in order if traffic_counts()[sign] > 0.7 * len(traffic_pieces())]
    assert {"D", "O"} <= set(needed)
    assert max(order.index(sign) for sign in needed) < len(needed) + 6


def test_letters_alone_or_with_figures_make_a_course_of_their_own() -> None:
    for _, signs in EXTENTS:
        for emphasis in EMPHASES:
            assert sorted(planned(emphasis, signs)) == sorted(signs)


def test_a_word_list_of_other_words_leads_to_another_order() -> None:
    dental = signs_of(plan_order(EXAMINED_SIGNS, "words", ["KX", "KXZ", "KXZQ"]))
    assert set(dental[:6]) > set("KX")


def test_figures_wait_for_letters_when_words_come_soon() -> None:
    order = planned()
    assert all(sign.isalpha() for sign in order[:10])


def test_letter_shares_are_those_of_the_source() -> None:
    """P. Norvig, "English Letter Frequency Counts" (2012), second-hand: typed anew, and its sum."""
    typed = {"E": 12.49, "T": 9.28, "A": 8.04, "O": 7.64, "I": 7.57, "N": 7.23, "S": 6.51, "R": 6.28}
    typed |= {"H": 5.05, "L": 4.07, "U": 2.73, "Y": 1.66, "V": 1.05, "J": 0.16, "Z": 0.09}
    assert {letter: LETTER_SHARES[letter] for letter in typed} == typed
    assert sum(LETTER_SHARES.values()) == pytest.approx(99.98)


def test_letter_shares_come_near_an_older_count() -> None:
    """The old printers' order of letters by use (from memory) and ours agree but for neighbours."""
    by_use = "".join(sorted(LETTER_SHARES, key=lambda letter: -LETTER_SHARES[letter]))
    assert _agreement(by_use, "ETAOINSHRDLUCMFWYPVBGKQJXZ") > 0.85


def test_pinned_signs_stand_where_they_were_put() -> None:
    order = plan_order(EXAMINED_SIGNS, "words", WORDS, {"Q": 0, "5": 3})
    assert (order[0].sign, order[3].sign) == ("Q", "5")
    assert order[0].pinned
    assert "You put it here." in order[3].reasons
    assert not order[1].pinned


def test_moved_sign_is_pinned_and_the_rest_keeps_its_order() -> None:
    order = placed("words")
    moved = move(order, "Z", 1)
    assert (moved[1].sign, moved[1].pinned) == ("Z", True)
    assert signs_of(moved).replace("Z", "") == signs_of(order).replace("Z", "")


def test_dropped_sign_is_gone() -> None:
    assert signs_of(drop(placed("words"), "Q")) == planned().replace("Q", "")


def test_own_order_is_taken_as_it_is() -> None:
    assert signs_of(own_order("QZ 5\n+")) == "QZ5+"


@pytest.mark.parametrize(
    ("bad", "named"),
    [("ABA", "'A' comes twice"), ("AB_", "'_' is not a symbol"), ("ab", "'a' is not"), (" ", "at least one")],
)
def test_own_order_that_cannot_be_is_refused_by_name(bad: str, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        own_order(bad)


@pytest.mark.parametrize("pins", [{"A": 0, "B": 0}, {"A": 99}, {"A": -1}, {"É": 0}])
def test_pin_without_a_place_is_refused(pins: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="pinned"):
        planned(pins=pins)


def test_unknown_names_are_refused() -> None:
    with pytest.raises(ValueError, match="emphasis"):
        planned("speed")
    with pytest.raises(ValueError, match="not in the order"):
        drop(own_order("AB"), "C")
    with pytest.raises(ValueError, match="places 1 to 2"):
        move(own_order("AB"), "A", 2)
