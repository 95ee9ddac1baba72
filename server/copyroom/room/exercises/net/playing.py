"""How simulated learners play in a net: they ask for what they miss, answer, give their R. Invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from copyroom.core.procedure import Part, answer_text, first_gap, question_text, read_question, smallest
from copyroom.room.exercises import Act
from copyroom.room.exercises.net.copied import MISSING
from copyroom.room.keyed.playing import keyed_acts

GREEDY = 0.15
"""How often one asks for all of a part where less would do."""
BY_HAND = 0.2
"""How often one keys it."""
LONGEST_TEXT = 160


def acts(told: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
    """What a learner's page is told, and what they do then."""
    turn = told["turn"]
    if told["key"] is not None:
        return _keys(told, turn, rng)
    if told["hand"] is not None:
        return ()
    if told["phase"] != "fills" or not told["own"]:
        return ()
    if turn is not None:
        return _answer(told, turn, rng) if turn["stage"] == "asked" and turn["to"] in told["own"] else ()
    if told["receipted"]:
        return ()
    after_s = float(rng.uniform(1.0, 6.0))
    text = _question(told, rng)
    if not text:
        return [Act("receipt_net", {}, after_s)]
    if rng.random() < BY_HAND:
        return [Act("take_net_key", {}, after_s)]
    return [Act("ask_fill", {"text": text}, after_s)]


def _question(told: Mapping[str, Any], rng: np.random.Generator) -> str:
    """For what is missing somewhere; "" where nothing is."""
    missing = [row for row in told["rows"] if MISSING in row["states"]]
    if not missing:
        return ""
    row = missing[int(rng.integers(len(missing)))]
    gap = first_gap([i for i, state in enumerate(row["states"]) if state == MISSING])
    wanted = range(len(row["states"])) if rng.random() < GREEDY else gap
    return question_text(row["call"], told["rows"][told["station"]]["call"], smallest(row["groups"], wanted))


def _keys(told: Mapping[str, Any], turn: Mapping[str, Any] | None, rng: np.random.Generator) -> Sequence[Act]:
    """By hand, what would have been composed."""
    if told["key"]["kept"]:
        return ()
    text = _answer_text(told, turn) if turn is not None else _question(told, rng)
    return keyed_acts(told["key"]["turn"], text, 0.0, rng) if text else [Act("leave_net_key", {}, 1.0)]


def _answer(told: Mapping[str, Any], turn: Mapping[str, Any], rng: np.random.Generator) -> Sequence[Act]:
    """Exactly what was asked for, once the question has sounded."""
    after_s = turn["question_ms"] / 1000.0 + float(rng.uniform(1.0, 4.0))
    text = _answer_text(told, turn)
    if text and rng.random() < BY_HAND:
        return [Act("take_net_key", {}, after_s)]
    return [Act("answer_fill", {"text": text}, after_s)] if text else ()


def _answer_text(told: Mapping[str, Any], turn: Mapping[str, Any]) -> str:
    parts = [Part(row["call"], row["groups"]) for row in told["rows"]]
    own, asker = parts[turn["to"]], parts[turn["asker"]]
    question = read_question(turn["text"], [turn["asker"]], parts)
    return (
        answer_text(asker.call, own.call, question, own.groups)[:LONGEST_TEXT] if question.understood else ""
    )
