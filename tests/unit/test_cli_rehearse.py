"""`copyroom rehearse`: what a user gets wrong is said in one line."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from copyroom.cli.rehearse import rehearse


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "Say which room"),
        (["http://127.0.0.1:1"], "Say which room"),
        (["ftp://127.0.0.1/r/WREN-0001"], "is not an address"),
        (["--url", "127.0.0.1:8000", "--code", "WREN-0001"], "is not an address"),
        (["--code", "WREN-0001", "--learners", "0"], "--learners"),
    ],
)
def test_a_users_error_is_one_clear_line_and_exit_code_2(arguments: list[str], words: str) -> None:
    ran = CliRunner().invoke(rehearse, arguments)
    assert ran.exit_code == 2
    assert words in ran.output.splitlines()[-1]
