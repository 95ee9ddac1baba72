"""`copyroom tone` and `copyroom symbols`, run as a user runs them."""

import json
from pathlib import Path

import numpy as np
import pytest
import scipy.io.wavfile
import scipy.signal
from click.testing import CliRunner, Result

from copyroom.__main__ import main
from copyroom.core.alphabet import RECOMMENDED


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_file_holds_each_edge_where_the_edges_file_says(tmp_path):
    """Read with scipy.io.wavfile, heights measured on the analytic signal."""
    wav, edges = tmp_path / "out.wav", tmp_path / "out.json"
    text = "paris S\u0305K\u0305"
    result = run(
        "tone", text, "--wpm", "18", "--overall-wpm", "8", "-o", wav, "--edges", edges, "--level", "1"
    )
    assert result.exit_code == 0, result.output
    rate_hz, sound = scipy.io.wavfile.read(wav)
    assert (rate_hz, sound.dtype, sound.ndim) == (48_000, np.int16, 1)
    height = np.abs(scipy.signal.hilbert(sound / 32767))
    measured = np.flatnonzero(np.diff(height >= 0.5)) + 0.5
    listed = json.loads(edges.read_text(encoding="utf-8"))
    assert [one["symbol"] for one in listed] == list("PARIS␄")
    expected = np.ravel([edge for one in listed for edge in zip(one["on_s"], one["off_s"], strict=True)])
    assert measured.shape == expected.shape == (2 * (14 + 6),)
    assert np.max(np.abs(measured - expected * 48_000)) < 1.5
    assert all(one["start_s"] == one["on_s"][0] and one["end_s"] == one["off_s"][-1] for one in listed)


def test_pitch_and_level_are_those_asked_for(tmp_path):
    run("tone", "TTTTT", "--pitch", "440", "--level", "0.25", "-o", tmp_path / "a.wav")
    _, sound = scipy.io.wavfile.read(tmp_path / "a.wav")
    frequency_hz, power = scipy.signal.periodogram(sound.astype(float), 48_000)
    assert frequency_hz[np.argmax(power)] == pytest.approx(440, abs=1)
    assert np.max(np.abs(sound)) == pytest.approx(0.25 * 32767, rel=0.001)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["HI Ä"], "Character 4 of the text: Ä has no signal in the code: send AE or A."),
        ([""], "There is nothing to send"),
        (["HI", "--wpm", "61"], "The character speed must be 5 to 60 wpm, not 61."),
        (
            ["HI", "--overall-wpm", "0"],
            "The overall speed must be 1 wpm to the character speed (18 wpm), not 0.",
        ),
        (["HI", "--pitch", "299"], "299"),
        (["HI", "--level", "0"], "--level"),
        (["E" * 9000, "--overall-wpm", "1"], "send it in parts"),
    ],
)
def test_mistake_is_told_in_one_line_and_leaves_no_file(tmp_path, arguments, said):
    result = run("tone", *arguments, "-o", tmp_path / "out.wav")
    assert result.exit_code == 2
    assert said in result.stderr
    assert len([line for line in result.stderr.splitlines() if line.startswith("Error: ")]) == 1
    assert not list(tmp_path.iterdir())


def test_folder_that_does_not_exist_is_a_plain_error(tmp_path):
    result = run("tone", "HI", "-o", tmp_path / "none" / "out.wav")
    assert result.exit_code == 2
    assert result.stderr.startswith("Error: Cannot write ")
    assert len(result.stderr.splitlines()) == 1


def test_table_of_symbols_has_one_line_for_each():
    lines = run("symbols").output.splitlines()
    assert len(lines) == 1 + 55
    assert lines[-2].split() == ["␄", "U+2404", "...-.-", "SK", "VA", "end", "of", "work"]


def test_symbols_as_json_are_the_alphabet():
    listed = json.loads(run("symbols", "--json").output)
    assert [(one["sign"], one["elements"], one["kind"]) for one in listed] == [
        (one.sign, one.elements, one.kind) for one in RECOMMENDED
    ]
    assert {"joined": ["KA", "CT"], "code_point": "U+2401"}.items() <= listed[-1].items()
