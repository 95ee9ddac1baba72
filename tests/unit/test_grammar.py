"""Sentences made by rule: only known symbols, words that agree, and enough of them."""

from __future__ import annotations

import re
import string

import numpy as np
import pytest

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.grammar import Grammar, rules
from copyroom.core.text import normalise
from copyroom.core.themes import THEMES
from copyroom.core.traffic import contact, message, sentences
from copyroom.core.wording import MESSAGES, NAMES, SENTENCES, TOWNS

ALL = "".join(symbol.sign for symbol in RECOMMENDED)
SMALL = rules("""
said: {one} {do:s} | {many} {do} | {one} {do:past}
one: HE | SHE
many: WE
do: {bring} TEA | GO/GOES/WENT
bring: BRING/BRINGS/BROUGHT
""")


def made(name: str, of: dict, known: str = ALL, times: int = 1500) -> list[str]:
    grammar, rng = Grammar(of, known), np.random.default_rng(6)
    return [grammar.make(name, rng) for _ in range(times)]


def test_verbs_agree_with_who_does_it():
    assert set(made("said", SMALL)) == {
        *(f"{who} {does}" for who in ("HE", "SHE") for does in ("BRINGS TEA", "GOES", "BROUGHT TEA", "WENT")),
        *("WE BRING TEA", "WE GO"),
    }


def test_rules_are_cut_to_what_can_be_spelled():
    assert set(made("said", SMALL, "HEGOSNT")) == {"HE GOES", "SHE GOES"} - {
        "HE WENT",
        "SHE WENT",
    }
    assert not Grammar(SMALL, "XYZ").can("said")
    with pytest.raises(ValueError, match="nothing can be made of 'said'"):
        Grammar(SMALL, "XYZ").make("said", np.random.default_rng(0))


def test_a_rule_that_is_written_nowhere_is_refused():
    with pytest.raises(ValueError, match="no rule 'who'"):
        rules("said: {who} GOES")


PAST = set(
    """
    ATE SAT LENT MET SENT WENT HAD KNEW MADE FOUND HEARD SAW TOOK BROUGHT STOOD SLEPT RAN RODE CAME
    WROTE SANG LIT READ
    """.split()
)


def test_after_one_stands_a_verb_for_one_and_after_several_one_for_several():
    for said in made("sentence", SENTENCES, times=4000):
        for verb in re.findall(r"^(?:HE|SHE|THE COOK|A FRIEND) (?!AND)(\w+)", said):
            assert verb.endswith("S") or verb.endswith("ED") or verb in PAST, said
        for verb in re.findall(r"^(?:THEY|WE|I|THE MEN) (\w+)", said):
            assert not verb.endswith("S"), said
        assert not re.search(r"\bA [AEIO]", said), said
        assert not re.search(r"\bAN (?!HOUR)[^AEIO]", said), said
        assert not re.search(r"\b(\w+) AND \1\b", said), said


def test_sentences_and_messages_are_too_many_to_be_learnt():
    """Of 500, hardly any comes again."""
    assert len(set(made("sentence", SENTENCES, times=500))) > 400
    assert len(set(made("message", MESSAGES, times=500))) > 300
    calls = [contact(ALL, 400, np.random.default_rng(seed)).split(" K ")[2] for seed in range(100)]
    assert len({re.sub(r"\S+ DE \S+", "", over) for over in calls}) > 95


def test_eight_letters_give_sentences():
    for known in ("SHEITATNOM", "ETANIMSO"):
        texts = {sentences(known, 40, np.random.default_rng(seed)) for seed in range(30)}
        assert len(texts) > 25


def test_all_words_can_be_sent():
    for text in [*made("sentence", SENTENCES), *made("message", MESSAGES), *NAMES, *TOWNS]:
        assert normalise(text) == text
    for words in THEMES.values():
        assert len(set(words)) == len(words) > 60
        assert all(set(word) <= set(string.ascii_uppercase) and 2 <= len(word) <= 10 for word in words)
        assert [len(word) for word in words] == sorted(map(len, words))
    # Every letter, so that a course's last sounds have words, too.
    assert set(string.ascii_uppercase) <= {
        sign for words in THEMES.values() for word in words for sign in word
    }
    assert set(string.ascii_uppercase) <= set("".join(NAMES)) | set("".join(TOWNS))


@pytest.mark.parametrize("count", [8, 20, 60, 200])
def test_a_message_is_no_longer_than_asked_unless_one_alone_is(count: int):
    for seed in range(5):
        text = message(ALL, count, np.random.default_rng(seed))
        assert len(text.replace(" ", "")) <= count or text.count("NR ") == 1
