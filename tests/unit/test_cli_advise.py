"""`copyroom advise`: one JSON object in, one out, a line each."""

from __future__ import annotations

import json
import select
import subprocess
import sys
import time
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from copyroom.cli.advise import advise, answer
from copyroom.cli.lines import Kept
from copyroom.core.advice.grounds import grounds_after

REQUEST: dict[str, Any] = {
    "class": "monday",
    "alphabet": ["Q", "E", "T", "A", "N", "+"],
    "known": ["E", "T", "A"],
    "learners": ["s1", "s2"],
    "present": ["s1"],
    "today": 7,
    "sendings_left": 120,
    "intro_cost": 12,
    "min_length": 25,
    "max_length": 80,
    "later": [[14, 300], [21, 300]],
    "meetings": [
        {
            "day": 0,
            "runs": [{"introduce": "ETA", "sent": "ETAE", "copies": {"s1": "ETA_", "s2": "____"}}],
        },
        {"day": 7, "runs": []},
    ],
}


def _run(*lines: str) -> list[dict[str, Any]]:
    result = CliRunner().invoke(advise, ["--seed", "1"], input="".join(line + "\n" for line in lines))
    assert result.exit_code == 0
    return [json.loads(line) for line in result.stdout.splitlines()]


def _changed(**fields: Any) -> str:
    return json.dumps(REQUEST | fields)


def test_one_line_gets_one_lawful_answer() -> None:
    (got,) = _run(json.dumps(REQUEST))
    assert set(got) == {"introduce", "kind", "text", "about", "reasons"}
    assert set(got["about"]) == {"symbols", "learners"}
    assert got["kind"] == "copy"
    assert set(got["introduce"]) <= {"Q", "N", "+"}
    assert set(got["text"]) <= {"E", "T", "A", *got["introduce"]}
    assert 25 <= len(got["text"]) <= min(80, 120 - 12 * len(got["introduce"]))
    assert all(isinstance(reason, str) for reason in got["reasons"])


def test_first_request_introduces_something() -> None:
    (got,) = _run(_changed(known=[], meetings=[{"day": 7, "runs": []}]))
    assert len(got["introduce"]) >= 1


def test_strings_serve_as_lists_of_signs() -> None:
    assert "text" in _run(_changed(alphabet="QETAN+", known="ETA"))[0]


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("{", "truncated"),
        ("nonsense", "malformed"),
        ("[]", "object"),
        ("", "truncated"),
        ("{}", "missing required field `class`"),
        (_changed(today="7"), "$.today"),
        (_changed(known=["E", "_"]), "blank"),
        (_changed(alphabet=["EE"]), "one code point"),
        (_changed(alphabet=["ä"]), "not a symbol"),
        (_changed(sendings_left=3), "the meeting is over"),
        (_changed(seats_left=3), "unknown field `seats_left`"),
        (_changed(today=0), "before the last meeting"),
        (_changed(kinds={"listen": 1}), "listen"),
        (_changed(kinds={"copy": 0}), "more than 0"),
        (_changed(new_limit=-1), "negative"),
        (_changed(min_length=99), "no text is 99 to 80"),
        (_changed(learners=[], present=[]), "nobody"),
        (
            _changed(meetings=[{"day": 0, "runs": [{"sent": "ET", "copies": {"s1": "E"}}]}]),
            "has 1 symbols where 2 were sent",
        ),
    ],
)
def test_bad_line_gets_one_sentence_and_the_next_is_served(line: str, complaint: str) -> None:
    bad, good = _run(line, json.dumps(REQUEST))
    assert set(bad) == {"error"}
    assert complaint in bad["error"]
    assert "\n" not in bad["error"]
    assert "text" in good


def test_restart_changes_nothing_but_draws() -> None:
    grown = REQUEST | {"meetings": [*REQUEST["meetings"][:1], {"day": 7, "runs": [
        {"introduce": "", "sent": "ETAETAET", "copies": {"s1": "ETAET__T"}}]}]}  # fmt: skip
    kept = Kept(grounds_after)
    answer(json.dumps(REQUEST), kept, np.random.default_rng(1))
    went_on = answer(json.dumps(grown), kept, np.random.default_rng(3))
    assert went_on == answer(json.dumps(grown), Kept(grounds_after), np.random.default_rng(3))


def test_mixed_classes_are_told_apart() -> None:
    other = _changed(**{"class": "daily", "meetings": [], "known": []})
    first, second, third = _run(json.dumps(REQUEST), other, json.dumps(REQUEST))
    assert first["reasons"] == third["reasons"] != second["reasons"]


def test_each_answer_is_flushed_before_the_next_line_comes() -> None:
    command = [sys.executable, "-m", "copyroom", "advise"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for _ in range(2):
            process.stdin.write(json.dumps(REQUEST).encode() + b"\n")
            process.stdin.flush()
            assert select.select([process.stdout], [], [], 60)[0], "no answer within a minute"
            assert "text" in json.loads(process.stdout.readline())
        process.stdin.close()
        assert process.wait(60) == 0


def test_meetings_without_runs_say_who_came() -> None:
    """Those who came met what was introduced, though nothing of it was copied."""
    told = {"day": 0, "present": ["s1"], "runs": [{"introduce": "ETA", "sent": "ETA" * 9, "copies": {}}]}
    (got,) = _run(_changed(present=["s1", "s2"], meetings=[told, {"day": 7, "runs": []}]))
    assert "text" in got


def _whole_course() -> str:
    """25 learners, 43 signs, 12 meetings of 9 texts: a request as large as they come."""
    rng = np.random.default_rng(2)
    signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,?/+=␄"
    names = [f"s{i}" for i in range(25)]

    def copied(text: str) -> str:
        return "".join(s if rng.random() < 0.8 else "_" for s in text)

    def exercise() -> dict[str, Any]:
        text = "".join(rng.choice(list(signs), 50))
        return {"introduce": "", "sent": text, "copies": {name: copied(text) for name in names}}

    meetings = [{"day": 7 * i, "runs": [exercise() for _ in range(9)]} for i in range(12)]
    return _changed(
        alphabet=list(signs),
        known=list(signs[:40]),
        learners=names,
        present=names,
        today=77,
        meetings=meetings,
    )


def test_answer_that_goes_on_takes_a_quarter_of_one_from_nothing_at_most() -> None:
    """Both are timed in one run: a request carries the whole course, but only what is new is worked out."""
    line, kept, rng = _whole_course(), Kept(grounds_after), np.random.default_rng(0)
    spent_ms = []
    for _ in range(6):
        start_ms = time.thread_time() * 1000
        assert "text" in answer(line, kept, rng)
        spent_ms.append(time.thread_time() * 1000 - start_ms)
    assert sorted(spent_ms[1:])[2] <= spent_ms[0] / 4
