"""`copyroom evidence`: one JSON object in, one out, a line each."""

from __future__ import annotations

import json
import select
import subprocess
import sys
from copy import deepcopy
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from bench.classes import Simulated, simulated
from copyroom.cli.evidence import evidence
from copyroom.core.evidence.mix_ups import MixUps, pairs_worth_teaching
from copyroom.core.knowledge import Knowledge
from copyroom.core.record import PastRun

REQUEST: dict[str, Any] = {
    "class": "monday",
    "symbols": "ETAN",
    "ask": {"day": 14, "wpm": 18, "overall_wpm": 8},
    "meetings": [
        {
            "day": 0,
            "present": ["s1", "s2", "s3"],
            "runs": [
                {"introduce": "ETA", "sent": "ETAETAET", "copies": {"s1": "ETA_TAET", "s2": "________"}}
            ],
        },
        {"day": 7, "runs": [{"sent": "EEAT", "copies": {"s2": "EEAT"}, "kind": "named", "wpm": 15}]},
    ],
}


def _lines(*lines: str) -> list[dict[str, Any]]:
    result = CliRunner().invoke(evidence, input="".join(line + "\n" for line in lines))
    assert result.exit_code == 0, result.output
    return [json.loads(line) for line in result.stdout.splitlines()]


def _changed(**fields: Any) -> str:
    return json.dumps(REQUEST | fields)


def _with_run(**fields: Any) -> str:
    """The request with its first run changed."""
    changed = deepcopy(REQUEST)
    changed["meetings"][0]["runs"][0] |= fields
    return json.dumps(changed)


def _one(line: str) -> dict[str, Any]:
    (got,) = _lines(line)
    assert "error" not in got, got
    return got


def _request(made: Simulated) -> dict[str, Any]:
    """A simulated class as a request."""
    days = dict.fromkeys(run.day for run in made.runs)

    def as_json(run: PastRun) -> dict[str, Any]:
        fields = {"sent": run.sent, "copies": run.copies, "kind": run.kind}
        more = {"introduce": run.introduce, "keys": run.keys, "wpm": run.wpm, "overall_wpm": run.overall_wpm}
        return fields | {name: value for name, value in more.items() if value}

    meetings = [
        {
            "day": day,
            "present": list(next(run.present for run in made.runs if run.day == day)),
            "runs": [as_json(run) for run in made.runs if run.day == day],
        }
        for day in days
    ]
    ask = {"day": made.day, "wpm": made.speeds[0], "overall_wpm": made.speeds[1]}
    return {"class": "x", "symbols": made.signs, "ask": ask, "meetings": meetings}


def test_everybody_who_came_and_every_symbol_have_bounds_around_a_mean() -> None:
    got = _one(json.dumps(REQUEST))
    assert set(got) == {"learners", "class", "pairs", "slow"}
    assert set(got["learners"]) == {"s1", "s2", "s3"}
    for of in (*got["learners"].values(), got["class"]):
        assert list(of) == list("ETAN")
        for low, mean, high in of.values():
            assert 0.0 <= low <= mean <= high <= 1.0
    assert got["pairs"] == []
    assert got["slow"] == []


def test_the_class_is_the_mean_of_its_learners() -> None:
    got = _one(json.dumps(REQUEST))
    for sign, (_, mean, _) in got["class"].items():
        assert mean == pytest.approx(np.mean([of[sign][1] for of in got["learners"].values()]), abs=2e-4)


@pytest.mark.parametrize("kind", ["pairs", "all"])
def test_it_says_what_the_model_and_the_test_of_pairs_say(kind: str) -> None:
    made = simulated(kind, 1)
    got = _one(json.dumps(_request(made)))
    knowledge, mixed = Knowledge(), MixUps()
    knowledge.learn(made.runs)
    for run in made.runs:
        mixed.take(run)
    chances = knowledge.believe(made.day, made.signs, made.speeds).learners
    for row, name in enumerate(knowledge.names):
        for column, sign in enumerate(made.signs):
            low, mean, high = (part[row, column] for part in (chances.low, chances.mean, chances.high))
            assert got["learners"][name][sign] == pytest.approx([low, mean, high], abs=6e-5)
    pairs = [(pair.sent, pair.written, pair.learners) for pair in pairs_worth_teaching(mixed).pairs]
    assert [(pair["sent"], pair["written"], pair["learners"]) for pair in got["pairs"]] == pairs
    assert pairs


def test_symbols_come_as_a_string_or_as_a_list() -> None:
    in_lists = _with_run(introduce=["E", "T", "A"], sent=list("ETAETAET"), keys=["N", "E"])
    in_strings = _with_run(introduce="ETA", sent="ETAETAET", keys="NE")
    assert _one(in_lists) == _one(in_strings)
    assert _one(_changed(symbols=list("ETAN"))) == _one(json.dumps(REQUEST))


def test_without_present_who_has_a_copy_in_that_meeting_was_there() -> None:
    changed = deepcopy(REQUEST)
    del changed["meetings"][0]["present"]
    got = _one(json.dumps(changed))
    assert set(got["learners"]) == {"s1", "s2"}
    changed["meetings"][0]["present"] = ["s1", "s2"]
    assert _one(json.dumps(changed)) == got


def test_who_was_there_without_a_copy_met_the_sounds_and_who_came_later_did_not() -> None:
    got = _one(_changed(meetings=[*REQUEST["meetings"], {"day": 14, "present": ["s4"], "runs": []}]))
    assert got["learners"]["s4"]["E"][1] < got["learners"]["s3"]["E"][1]


def test_an_empty_record_and_no_symbols_are_answered() -> None:
    assert _one(_changed(meetings=[])) == {"learners": {}, "class": {}, "pairs": [], "slow": []}
    assert _one(_changed(symbols=""))["learners"] == {"s1": {}, "s2": {}, "s3": {}}


def test_slow_sounds_are_named_where_lags_are_given() -> None:
    rng = np.random.default_rng(0)
    runs = []
    for _ in range(8):
        sent = "".join(rng.choice(list("ETAN"), 40))
        lags = {
            f"s{i}": [(2.0 if s == "A" else 0.7) * float(np.exp(rng.normal(0, 0.3))) for s in sent]
            for i in range(6)
        }
        runs.append({"sent": sent, "copies": dict.fromkeys(lags, sent), "lags_s": lags})
    assert _one(_changed(meetings=[{"day": 0, "runs": runs}]))["slow"] == ["A"]
    for run in runs:
        run["lags_s"] = {name: [None] * 40 for name in run["lags_s"]}
    assert _one(_changed(meetings=[{"day": 0, "runs": runs}]))["slow"] == []


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("{", "truncated"),
        ("nonsense", "malformed"),
        ("[]", "object"),
        ("", "truncated"),
        ("{}", "missing required field `class`"),
        (_changed(ask={"day": "7"}), "$.ask.day"),
        (_changed(ask={"day": 3}), "comes before the last meeting"),
        (_changed(colour="red"), "unknown field `colour`"),
        (_changed(ask={"day": 14, "speed": 18}), "unknown field `speed`"),
        (_with_run(seats=3), "unknown field `seats`"),
        (_changed(students=["s1"]), "unknown field `students`"),
        (_changed(meetings=[{"day": 0, "exercises": []}]), "`exercises`"),
        (_changed(symbols="E_"), "blank"),
        (_changed(symbols=["EE"]), "one code point"),
        (_changed(symbols="Eä"), "not a symbol"),
        (_changed(symbols="EE"), "twice"),
        (_with_run(sent="E T"), "not a symbol"),
        (_with_run(copies={"s1": "ETA"}), "has 3 symbols where 8 were sent"),
        (_with_run(copies={"s1": "ETAETA E"}), "not a symbol"),
        (_with_run(kind="shouted"), "shouted"),
        (_with_run(wpm=0), "more than 0"),
        (_with_run(lags_s={"s1": [0.5]}), "1 lags where 8"),
        (_changed(meetings=[{"day": 7, "runs": []}, {"day": 0, "runs": []}]), "oldest first"),
    ],
)
def test_bad_line_gets_one_sentence_and_the_next_is_served(line: str, complaint: str) -> None:
    bad, good = _lines(line, json.dumps(REQUEST))
    assert set(bad) == {"error"}
    assert complaint in bad["error"]
    assert "\n" not in bad["error"]
    assert "learners" in good


def test_mixed_classes_are_told_apart_and_a_restart_changes_nothing() -> None:
    made, other = simulated("days", 2), json.dumps(REQUEST)
    whole = _request(made)
    shorter = [
        json.dumps(whole | {"meetings": whole["meetings"][:n], "ask": whole["ask"] | {"day": made.day}})
        for n in range(1, len(whole["meetings"]) + 1)
    ]
    mixed = _lines(*(line for pair in ((one, other) for one in shorter) for line in pair))
    assert mixed[0::2] == [_one(line) for line in shorter]
    assert mixed[1::2] == [_one(other)] * len(shorter)


def test_a_record_that_was_corrected_is_believed_as_it_now_stands() -> None:
    before, corrected = json.dumps(REQUEST), _with_run(copies={"s1": "ETAETAET"})
    assert _lines(before, corrected)[1] == _one(corrected) != _one(before)


def test_each_answer_is_flushed_before_the_next_line_comes() -> None:
    command = [sys.executable, "-m", "copyroom", "evidence"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for _ in range(2):
            process.stdin.write(json.dumps(REQUEST).encode() + b"\n")
            process.stdin.flush()
            assert select.select([process.stdout], [], [], 60)[0], "no answer within a minute"
            assert "learners" in json.loads(process.stdout.readline())
        process.stdin.close()
        assert process.wait(60) == 0
