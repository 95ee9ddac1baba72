"""`copyroom align`: one copy in, its alignment out; what is wrong gets one line and exit code 2."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from copyroom.__main__ import main

SENT = [{"symbol": s, "start_s": 1.0 + 1.5 * i, "end_s": 1.3 + 1.5 * i} for i, s in enumerate("KEMLU")]
TIMED = [{"symbol": s, "at_s": 2.2 + 1.5 * i} for i, s in ((0, "K"), (1, "_"), (3, "L"), (4, "U"))]


def run(given: object, *args: str) -> Result:
    text = given if isinstance(given, str) else json.dumps(given)
    return CliRunner().invoke(main, ["align", *args], input=text)


@pytest.mark.parametrize("args", [[], ["-"]])
def test_a_timed_copy_from_standard_input(args):
    result = run({"id": "x", "sent": SENT, "copy": TIMED}, *args)
    assert result.exit_code == 0
    found = json.loads(result.stdout)
    assert found["attribution"] == [0, 1, 3, 4]
    assert found["missed"] == [2]
    assert all(0 <= c <= 1 for c in found["confidence"])
    assert list(found) == ["attribution", "confidence", "missed"]


def test_a_sheet_is_a_list_of_bare_signs():
    assert json.loads(run({"sent": SENT, "copy": list("KEMU")}).stdout)["attribution"] == [0, 1, 2, 4]


def test_a_file_is_read(tmp_path):
    (tmp_path / "copy.json").write_text(json.dumps({"sent": SENT, "copy": TIMED}), encoding="utf-8")
    result = CliRunner().invoke(main, ["align", str(tmp_path / "copy.json")])
    assert json.loads(result.stdout)["missed"] == [2]


def test_an_edited_mark_has_null_for_its_time():
    edited = [TIMED[0], {"symbol": "E", "at_s": None}, *TIMED[2:]]
    assert json.loads(run({"sent": SENT, "copy": edited}).stdout)["attribution"] == [0, 1, 3, 4]


def test_a_word_space_keeps_its_place_and_answers_nothing():
    spaced = [*TIMED[:2], {"symbol": " ", "at_s": 4.0}, *TIMED[2:]]
    assert json.loads(run({"sent": SENT, "copy": spaced}).stdout)["attribution"] == [0, 1, None, 3, 4]


def test_symbols_beyond_letters_and_figures_are_read():
    sent = [{"symbol": s, "end_s": 1.0 + 2 * i} for i, s in enumerate("É␄=(@")]
    assert json.loads(run({"sent": sent, "copy": list("É␄=(@")}).stdout)["attribution"] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(
    ("given", "complaint"),
    [
        ("{", "not JSON"),
        ("[]", "'sent'"),
        ({"copy": []}, "the file has no 'sent'"),
        ({"sent": SENT}, "the file has no 'copy'"),
        ({"sent": SENT, "copy": "KEM"}, "'copy' is not a list"),
        ({"sent": [{"symbol": "AB", "end_s": 1}], "copy": []}, "'AB', which is no symbol"),
        ({"sent": [{"symbol": "A", "end_s": "1"}], "copy": []}, "'end_s' of sent symbol 0 is not a number"),
        ({"sent": SENT, "copy": [{"symbol": "ß", "at_s": 1}]}, "mark 0 of the copy is 'ß'"),
        ({"sent": SENT, "copy": [{"at_s": 1}]}, "mark 0 of the copy has no 'symbol'"),
        ({"sent": SENT, "copy": [7]}, "mark 0 of the copy has no 'symbol'"),
        ({"sent": SENT, "copy": [{"symbol": "K", "at_s": True}]}, "not a number of seconds"),
        ({"sent": SENT, "copy": [{"symbol": "K", "at_s": 1e9}]}, "this copy is not of this push"),
        ('{"sent": [], "copy": [{"symbol": "A", "at_s": NaN}]}', "not a number of seconds"),
        ({"sent": SENT[::-1], "copy": TIMED}, "ascending"),
        ({"sent": SENT, "copy": [{"symbol": "K", "at_s": 10**400}]}, "too large"),
    ],
)
def test_a_bad_file_gets_one_clear_line_and_exit_code_2(given, complaint):
    result = run(given)
    assert result.exit_code == 2
    assert complaint in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_a_missing_file_gets_exit_code_2():
    assert CliRunner().invoke(main, ["align", "no-such-file.json"]).exit_code == 2


def test_a_file_that_is_not_there_gets_one_clear_line(tmp_path):
    result = CliRunner().invoke(main, ["align", str(tmp_path / "none.json")])
    assert result.exit_code == 2
    assert result.stderr.splitlines() == [
        f"Error: {tmp_path / 'none.json'} cannot be read: No such file or directory"
    ]
