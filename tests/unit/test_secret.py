"""What guards a room: the console's secret, codes, tokens, the cookie."""

from __future__ import annotations

import itertools
import math
import os
import re
import stat
from pathlib import Path

import pytest
from rapidfuzz.distance import Levenshtein

from copyroom.room.classroom import MAX_SEATS
from copyroom.shell import secret
from copyroom.shell.assets import code_words
from copyroom.shell.sessions import Sessions
from copyroom.shell.sockets import WRONG_CODES_A_MINUTE
from copyroom.wire import Sender, decode


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.skipif(os.name == "nt", reason="Windows has no permission bits of this kind")
@pytest.mark.parametrize("umask", [0o000, 0o022, 0o077])
def test_the_secrets_file_is_its_owners_alone(tmp_path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        secret.console_secret(tmp_path)
    finally:
        os.umask(before)
    assert mode(tmp_path / "console-secret") == 0o600


def test_the_secret_stays_the_same_and_differs_between_folders(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    first = secret.console_secret(tmp_path)
    assert secret.console_secret(tmp_path) == first
    assert secret.console_secret(tmp_path / "other") != first
    assert len(first) >= 22, "128 bits and more, in base 64"


@pytest.mark.parametrize("left", ["", "\n", "   "])
def test_a_file_that_a_crash_left_empty_is_no_secret(tmp_path: Path, left: str) -> None:
    """Otherwise the empty word would open the console."""
    (tmp_path / "console-secret").write_text(left, "ascii")
    made = secret.console_secret(tmp_path)
    assert len(made) >= 22
    assert secret.console_secret(tmp_path) == made


def test_only_the_secret_opens_the_console(tmp_path: Path) -> None:
    made, sessions = secret.console_secret(tmp_path), Sessions(tmp_path, lambda: 0.0)
    assert sessions.admits(made)
    for wrong in ("", made[:-1], made + "x", made.swapcase(), "ünïcode"):
        assert not sessions.admits(wrong)


def test_only_what_was_given_out_is_a_session_and_the_file_gives_none_away(tmp_path: Path) -> None:
    sessions = Sessions(tmp_path, lambda: 0.0)
    shown = sessions.open("A browser")
    assert sessions.valid(shown)
    assert Sessions(tmp_path, lambda: 0.0).valid(shown), "it outlives a restart"
    file = tmp_path / "console-sessions.json"
    assert mode(file) == 0o600 or os.name == "nt"
    for forged in (
        "",
        shown[:-1],
        shown + "x",
        *(one.id for one in sessions.open_now()),
        file.read_text("utf-8"),
    ):
        assert not sessions.valid(forged)
    assert shown not in file.read_text("utf-8")


def test_a_damaged_file_of_sessions_asks_everybody_to_sign_in_again(tmp_path: Path) -> None:
    shown = Sessions(tmp_path, lambda: 0.0).open("A browser")
    (tmp_path / "console-sessions.json").write_text('[{"id": 1', "utf-8")
    sessions = Sessions(tmp_path, lambda: 0.0)
    assert not sessions.valid(shown)
    assert sessions.valid(sessions.open("A browser"))


def test_a_links_key_is_of_one_room_one_kind_and_one_secret(tmp_path: Path) -> None:
    keys = secret.LinkKeys(tmp_path)
    key = keys.key("door", "HERON-0417")
    assert keys.opens("door", "HERON-0417", key)
    assert len(key) == 20, "120 bits in base 64"
    for kind, code, tried in (
        ("wall", "HERON-0417", key),
        ("door", "HERON-0418", key),
        ("door", "HERON-0417", ""),
    ):
        assert not keys.opens(kind, code, tried)
    secret.new_secret(tmp_path)
    assert not keys.opens("door", "HERON-0417", key)


def test_codes_are_two_words_and_figures_and_fit_the_join_form() -> None:
    for _ in range(300):
        code = secret.room_code()
        assert re.fullmatch(r"[A-Z]{3,7}-[A-Z]{3,7}-[0-9]{3}", code), code
        decode("join", {"code": code, "name": "Amber", "token": ""}, Sender(False, None))
    longest = max(code_words(), key=len)
    decode("join", {"code": f"{longest}-{longest}-000", "name": "Amber", "token": ""}, Sender(False, None))


def test_there_are_as_many_codes_as_is_said_and_too_many_to_guess() -> None:
    words = code_words()
    codes = len(set(words)) ** 2 * 1000
    assert round(math.log2(codes), 1) == secret.CODE_BITS
    minutes = 0.5 * codes / WRONG_CODES_A_MINUTE
    assert 6 < minutes / 60 / 24 / 365 < 7
    assert 2 < minutes / 60 / 24 / 1000 < 3


def test_no_word_of_a_code_is_a_slip_away_from_another() -> None:
    words = code_words()
    assert list(words) == sorted(set(words))
    assert [(a, b) for a, b in itertools.combinations(words, 2) if Levenshtein.distance(a, b) < 2] == []


def test_tokens_and_seeds_do_not_repeat() -> None:
    tokens = {secret.token() for _ in range(MAX_SEATS)}
    assert len(tokens) == MAX_SEATS
    assert all(22 <= len(token) <= 64 for token in tokens)
    seeds = {secret.seed() for _ in range(1000)}
    assert len(seeds) == 1000
    assert all(0 <= seed < 2**53 for seed in seeds)
