"""What sounds next: hard to foresee, never absent long."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from copyroom.core.advice.deal import deal
from copyroom.core.advice.needs import weights
from copyroom.core.composition import mixed_groups, tell_apart
from copyroom.core.course import EXAMINED_SIGNS
from copyroom.core.draws import draw, limited, most_chance, own_chance
from guessers import GUESSERS, Evening, longest_gaps, shares

EVENINGS, TEXTS, LENGTH = 10, 6, 45


def _dealt(signs: str, rng: np.random.Generator, needs: np.ndarray) -> list[str]:
    texts: list[str] = []
    for _ in range(TEXTS):
        texts.append(deal(signs, weights(needs, 1 - needs), needs, LENGTH, "".join(texts), texts, rng))
    return texts


def _heard(make, symbols: int) -> dict[str, float]:
    """Shares right over evenings of a random class each."""
    evenings = []
    for seed in range(EVENINGS):
        rng = np.random.default_rng([seed, symbols])
        signs = "".join(EXAMINED_SIGNS[i] for i in rng.permutation(len(EXAMINED_SIGNS))[:symbols])
        evening = Evening(signs, signs[:2])
        for text in make(signs, rng):
            evening.hear(text)
        evenings.append(evening)
    return shares(evenings)


def _even(signs: str, rng: np.random.Generator) -> list[str]:
    return _dealt(signs, rng, np.full(len(signs), 0.5))


def _two_new(signs: str, rng: np.random.Generator) -> list[str]:
    return _dealt(signs, rng, np.concatenate([[0.8, 0.8], 0.4 * rng.random(len(signs) - 2)]))


def _composed(signs: str, rng: np.random.Generator) -> list[str]:
    compose = mixed_groups if len(signs) > 8 else tell_apart
    return [compose(signs, LENGTH, rng).replace(" ", "") for _ in range(TEXTS)]


@pytest.mark.parametrize(
    ("make", "symbols"), list(itertools.product((_even, _two_new, _composed), (8, 20, 43)))
)
def test_who_hears_nothing_does_hardly_better_than_chance(make, symbols: int) -> None:
    found = _heard(make, symbols)
    best = max(found[name] for name in GUESSERS)
    assert best <= 1.25 * found["chance"] + 0.03, found


def test_the_guessers_see_through_an_order_that_can_be_foreseen() -> None:
    """Controls: each of them is right where it should be."""
    keys = "KMRSUATN"
    once_each = _listen(keys, [keys, keys, keys])
    assert once_each["absent longest"] == 1.0
    assert once_each["order 1"] > 0.7
    assert once_each["same place"] > 0.6
    by_turns = _listen(keys, ["KMKMKMKM", "RKMKSMKM"])
    assert by_turns["other new one"] > 0.8
    assert _listen(keys, ["KKKKKKKKKM"])["commonest"] == 0.9
    assert _listen(keys, ["KKMM" * 10])["order 2"] > 0.8 > _listen(keys, ["KKMM" * 10])["order 1"]


def _listen(keys: str, texts: list[str]) -> dict[str, float]:
    evening = Evening(keys, keys[:2])
    for text in texts:
        evening.hear(text)
    return shares([evening])


def test_two_sounds_alone_are_not_told_by_the_one_before() -> None:
    found = _heard(_composed, 2)
    assert max(found[name] for name in GUESSERS) < 0.64


def test_no_chance_is_above_its_limit_and_all_add_up() -> None:
    rng = np.random.default_rng(4)
    for _ in range(200):
        chances = rng.random(9) ** 8
        share = rng.random(9) ** 2
        most = most_chance(share / share.sum())
        found = limited(chances, most)
        assert found.sum() == pytest.approx(1.0)
        assert (found <= most + 1e-9).all()
        free = found < most - 1e-9  # among those below their limit the proportions stay
        np.testing.assert_allclose(found[free] * chances[free].sum(), chances[free] * found[free].sum())


def test_a_symbol_is_absent_for_five_sounds_a_symbol_at_most() -> None:
    """Two or more that are due at once come one after the other."""
    rng = np.random.default_rng(8)
    share = np.array([0.9, *[0.1 / 11] * 11])
    stream = "".join("KMRSUATNOIEG"[i] for i in draw(share, 3000, rng))
    assert longest_gaps([stream], "KMRSUATNOIEG").max() <= 5 * 12 + 11


def test_no_two_texts_of_an_evening_have_the_same_chance() -> None:
    """Not even from a Generator that begins anew each time."""
    earlier: list[str] = []
    for _ in range(6):
        earlier.append("".join(map(str, own_chance(np.random.default_rng(3), earlier).integers(0, 9, 12))))
    assert len(set(earlier)) == 6
    texts: list[str] = []
    for _ in range(4):
        even = np.full(12, 1 / 12)
        texts.append(deal("KMRSUATNOIEG", even, even, 40, "", texts, np.random.default_rng(3)))
    alike = [
        np.mean([a == b for a, b in zip(one, other, strict=True)]) for one, other in itertools.pairwise(texts)
    ]
    assert max(alike) < 0.3
