"""`copyroom read`, run as a user runs it."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from copyroom.__main__ import main


def run(*arguments: str | Path, given: str | None = None) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], input=given)


def test_edges_that_tone_wrote_are_read_from_file_and_from_standard_input(tmp_path):
    edges = tmp_path / "edges.json"
    wav = tmp_path / "a.wav"
    run("tone", "cq de paris S\u0305K\u0305", "--overall-wpm", "8", "-o", wav, "--edges", edges)
    for result in (run("read", edges), run("read", "-", given=edges.read_text("utf-8"))):
        assert result.exit_code == 0, result.output
        read = json.loads(result.output)
        assert read["text"] == "CQ DE PARIS ␄"
        assert len(read["confidence"]) == len("CQDEPARIS␄")
        assert min(read["confidence"]) > 0.99


def test_borders_and_symbols_of_the_file_are_not_used():
    """One S with a tone in two parts and in the wrong order."""
    tones = [
        {"on_s": [0.4], "off_s": [0.5], "symbol": "E", "start_s": 9},
        {"on_s": 0.0, "off_s": 0.1},
        {"on_s": [0.2, 0.25], "off_s": [0.25, 0.3]},
    ]
    read = json.loads(run("read", "-", given=json.dumps(tones)).output)
    assert read["text"] == "S"


def test_nothing_sent_is_an_empty_text():
    assert json.loads(run("read", "-", given="[]").output) == {"text": "", "confidence": []}


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("E T", "This is not JSON"),
        ("[" * 100_000, "This is not JSON"),
        ("{}", "must hold a list"),
        ("[1]", "Entry 1 has no 'on_s'"),
        ('[{"on_s": 0}]', "Entry 1 has no 'off_s'"),
        ('[{"on_s": 0, "off_s": "1"}]', "'off_s' of entry 1 is not a number"),
        ('[{"on_s": 0, "off_s": true}]', "'off_s' of entry 1 is not a number"),
        ('[{"on_s": [0, 1], "off_s": [0.5]}]', "2 beginnings and 1 ends"),
        ('[{"on_s": 1, "off_s": 0}]', "must end after"),
        ('[{"on_s": 0, "off_s": 2}, {"on_s": 1, "off_s": 3}]', "overlaps"),
        ('[{"on_s": NaN, "off_s": 2}]', "finite"),
        ('[{"on_s": 0, "off_s": Infinity}]', "finite"),
        ('[{"on_s": 0, "off_s": 1' + "0" * 400 + "}]", "finite"),
    ],
)
def test_mistake_is_told_in_one_line(given, said):
    result = run("read", "-", given=given)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.startswith("Error: ")
    assert len(result.stderr.splitlines()) == 1


def test_file_that_cannot_be_read_is_a_plain_error(tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        result = run("read", path)
        assert result.exit_code == 2
        assert len(result.stderr.splitlines()) == 1
