"""Laws of texts: what normalising and composing keep, whatever goes in."""

# ruff: noqa: RUF001 - look-alikes of plain signs are the subject

import unicodedata

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from copyroom.core.alphabet import INDEX, RECOMMENDED
from copyroom.core.composition import known_words, mixed_groups, practice_calls, tell_apart
from copyroom.core.text import TextError, display, normalise

SIGNS = [one.sign for one in RECOMMENDED]
TYPED = st.text(
    st.sampled_from("abKs5 3é%‰½¾′″×—“’…ﬁ\u0305\u0304\u035e\u0301\n/-.'\"") | st.sampled_from(SIGNS)
)
TEXTS = st.lists(st.text(st.sampled_from(SIGNS), min_size=1), min_size=1).map(" ".join)
SEEDS = st.integers(0, 2**32)
KNOWN = st.lists(st.sampled_from(SIGNS), min_size=1, unique=True).map("".join)


def fault(raw: str) -> TextError | None:
    try:
        normalise(raw)
    except TextError as error:
        return error
    return None


@given(st.text() | TYPED)
def test_what_can_be_sent_is_a_text_and_stays_as_it_is(raw):
    assume(fault(raw) is None)
    text = normalise(raw)
    assert text.split(" ") == text.split() != []
    assert set(text) <= INDEX.keys() | {" "}
    assert normalise(text) == text


@given(st.text() | TYPED)
@example("\u0304\u0300")  # a line above nothing, and a mark after it
def test_fault_points_at_the_first_character_that_cannot_be_sent(raw):
    error = fault(raw)
    assume(error is not None and error.character)
    found = unicodedata.normalize("NFD", error.character)
    assert unicodedata.normalize("NFD", raw[error.position]).startswith(found[0])
    before = fault(raw[: error.position])
    # What comes before is sound; only a joined signal may have begun there.
    assert before is None or before.character == "" or "joined" in str(before)


@given(TEXTS)
def test_text_of_signs_is_already_normal(text):
    assert normalise(text) == text
    assert normalise(text.lower()) == text
    assert normalise(display(text)) == text


@given(TYPED)
def test_composed_and_decomposed_writing_are_the_same_text(raw):
    assume(fault(raw) is None)
    assert normalise(unicodedata.normalize("NFD", raw)) == normalise(raw)


@given(KNOWN, st.integers(1, 120), st.integers(1, 9), SEEDS, st.sampled_from([mixed_groups, tell_apart]))
def test_composed_groups_use_only_the_given_symbols_and_the_count(known, count, group, seed, compose):
    text = compose(known, count, np.random.default_rng(seed), group=group)
    assert len(text.replace(" ", "")) == count
    assert set(text) <= set(known) | {" "}
    assert all(len(one) == group for one in text.split()[:-1])
    assert normalise(text) == text


@given(st.lists(st.text("ETAONIS", min_size=1, max_size=6), min_size=1), KNOWN, st.integers(1, 60), SEEDS)
def test_known_words_use_only_known_symbols(words, known, count, seed):
    if not any(set(word) <= set(known) for word in words):
        with pytest.raises(ValueError, match="No word"):
            known_words(words, known, count, np.random.default_rng(seed))
        return
    text = known_words(words, known, count, np.random.default_rng(seed))
    assert set(text.split()) <= set(words)
    assert set(text) <= set(known) | {" "}
    assert len(text.replace(" ", "")) <= count or len(text.split()) == 1


@given(KNOWN, st.integers(1, 60), SEEDS)
def test_practice_calls_use_only_known_symbols(known, count, seed):
    known += "K2"
    text = practice_calls(known, count, np.random.default_rng(seed))
    assert set(text) <= set(known) | {" "}
    assert len(text.replace(" ", "")) <= count or len(text.split()) == 1
