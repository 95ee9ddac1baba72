"""How simulated learners play in a net: they ask for what they miss, answer, give their R. Invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from copyroom.core.procedure import Part, answer_text, first_gap, question_text, read_question, smallest
from copyroom.room.exercises import Act
from copyroom.room.exercises.net.copied import MISSING

GREEDY = 0.15
"""How often one asks for all of a part where less would do."""
LONGEST_TEXT = 160


def acts(told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
    """What a learner's page is told, and what they do then."""
    turn = told["turn"]
    if told["phase"] != "fills" or not told["own"]:
        return ()
    if turn is not None:
        return _answer(told, turn, rng) if turn["stage"] == "asked" and turn["to"] in told["own"] else ()
    if told["receipted"]:
        return ()
    missing = [row for row in told["rows"] if MISSING in row["states"]]
    after_s = float(rng.uniform(1.0, 6.0))
    if not missing:
        return [Act("receipt_net", {}, after_s)]
    row = missing[int(rng.integers(len(missing)))]
    gap = first_gap([i for i, state in enumerate(row["states"]) if state == MISSING])
    wanted = range(len(row["states"])) if rng.random() < GREEDY else gap
    own = told["rows"][told["station"]]["call"]
    text = question_text(row["call"], own, smallest(row["groups"], wanted))
    return [Act("ask_fill", {"text": text}, after_s)]


def _answer(told: Mapping[str, Any], turn: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
    """Exactly what was asked for, once the question has sounded."""
    parts = [Part(row["call"], row["groups"]) for row in told["rows"]]
    own, asker = parts[turn["to"]], parts[turn["asker"]]
    question = read_question(turn["text"], [turn["asker"]], parts)
    if not question.understood:
        return ()
    text = answer_text(asker.call, own.call, question, own.groups)[:LONGEST_TEXT]
    return [Act("answer_fill", {"text": text}, turn["question_ms"] / 1000.0 + float(rng.uniform(1.0, 4.0)))]
