"""Exercises in a large class: an answer makes only its writer's page anew; the others follow soon."""

from __future__ import annotations

import pytest

from copyroom.room.room import SEATS_A_FLUSH
from scripted_room import ScriptedRoom, refusal, sends

LEARNERS = SEATS_A_FLUSH + 1


@pytest.fixture
def large(play: ScriptedRoom) -> ScriptedRoom:
    """More learners than are told of everything at once, in named rounds."""
    play.console("set_class_size", size=2 * LEARNERS)
    for number in range(LEARNERS):
        play.join(f"Learner {number + 1}")
    play.console("set_symbols", symbols="KMAT")
    assert not refusal(play.console("start_exercise", kind="named", setup={"rounds": 4, "by_turns": True}))
    return play


def test_an_answer_is_shown_to_its_learner_at_once_and_to_the_console_with_the_news(
    large: ScriptedRoom,
) -> None:
    run = large.push
    large.now_ms = run.start_room_ms + float(run.end_ms[0]) + 300.0
    large.settle()
    large.hears(2, 0, 1)
    at_ms = float(run.end_ms[0]) + 300.0
    effects = large.learner(2, "answer_sound", push=run.id, place=0, sign="K", at_ms=at_ms)
    assert not refusal(effects)
    assert {send.to for send in sends(effects, "exercise")} == {2}
    before = len(large.sent)
    large.now_ms += 2_000.0
    large.settle()
    told = [send for send in large.sent[before:] if send.name == "exercise" and send.to == "console"]
    assert told
