"""Texts that mean something: only known symbols, cut to length, and the forms of the trade."""

import re
import string

import numpy as np
import pytest

from copyroom.core.alphabet import RECOMMENDED
from copyroom.core.text import normalise
from copyroom.core.traffic import contact, message, sentences

ALL = "".join(symbol.sign for symbol in RECOMMENDED)


def sounds(text: str) -> int:
    return len(text.replace(" ", ""))


@pytest.mark.parametrize("make", [sentences, contact, message])
@pytest.mark.parametrize("seed", range(20))
def test_a_text_is_ready_to_send_repeatable_and_no_longer_than_asked(make, seed):
    text = make(ALL, 150, np.random.default_rng(seed))
    assert text == make(ALL, 150, np.random.default_rng(seed))
    assert normalise(text) == text
    assert 20 <= sounds(text) <= 150


def test_sentences_use_only_known_symbols():
    for known in ("SHEITATNOM", "THEISNATORMWDLY"):
        text = sentences(known, 60, np.random.default_rng(3))
        assert set(text) - {" "} <= set(known)


def test_what_is_still_missing_is_said():
    with pytest.raises(ValueError, match="No sentence can be made of XZ"):
        sentences("XZ", 60, np.random.default_rng(0))
    with pytest.raises(ValueError, match=r"needs .* as well"):
        message(string.ascii_uppercase, 60, np.random.default_rng(0))


def test_a_message_counts_its_own_groups():
    # GRn before the text gives the number of groups (Navy manual, as quoted: NAVEDTRA 14243/14244).
    for seed in range(20):
        text = message(ALL, 60, np.random.default_rng(seed))
        groups, body = re.match(r"NR \d+ GR (\d+) = \w+ \w+ = ([A-Z0-9 ]+) = ", text).groups()
        assert int(groups) == len(body.split())


def test_a_contact_opens_with_a_call_to_all_and_ends_with_end_of_work():
    for seed in range(20):
        text = contact(ALL, 400, np.random.default_rng(seed))
        # CQ all stations, DE from: Recommendation ITU-R M.1172.
        first, second = re.match(r"(?:CQ ){2,3}DE (\S+) \1 K \1 DE (\S+)(?: \2)? K", text).groups()
        assert first != second
        assert re.search(r" 73 (ES GL \w+ )?␄$", text)
