"""A copy check in the room: sound a few seconds ahead, copies, marks that an examiner overrules. Invented."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from copyroom.core.checks import FORMS
from copyroom.room.exercises.check.setup import shown_form
from copyroom.room.exercises.check.state import AHEAD_MS
from copyroom.shell.assets import words
from scripted_room import ScriptedRoom, refusal, sends

SHORT = {
    **msgspec.to_builtins(shown_form(FORMS["nz-5"])),
    "minutes": 0.4, "figures": 1, "warm_up_s": 0.0, "tidy_s": 20.0, "edited": True,
    "passes": [{"kind": "errors", "amount": 1, "of": 0}, {"kind": "unbroken", "amount": 0.2, "of": 0}],
}  # fmt: skip


def begun(play: ScriptedRoom, **setup: Any) -> ScriptedRoom:
    play.room.classroom.words = words()
    play.seat_three()
    chosen = {"form": SHORT, "wpm": 5.0} | setup
    assert not refusal(play.console("start_exercise", kind="check", setup=chosen))
    return play


@pytest.fixture
def check(play: ScriptedRoom) -> ScriptedRoom:
    return begun(play)


def shown(play: ScriptedRoom, to: int | str) -> dict[str, Any]:
    return [s.payload["shown"] for s in sends(play.sent, "exercise") if s.to == to][-1]


def sound(play: ScriptedRoom) -> None:
    """From the beginning of the text to its end."""
    assert not refusal(play.console("begin_check", push=1))
    settled(play, "tidying")


def settled(play: ScriptedRoom, stage: str) -> None:
    for _ in range(300):
        if play.push.state.stage == stage:
            return
        play.now_ms = max(play.now_ms, play.room.wake_at_ms or play.now_ms)
        play.tick()
    raise AssertionError(f"it never came to {stage}, but stays at {play.push.state.stage}")


def until(play: ScriptedRoom, room_ms: float) -> None:
    """As time goes on until then."""
    while play.room.wake_at_ms is not None and play.room.wake_at_ms <= room_ms:
        play.now_ms = max(play.now_ms, play.room.wake_at_ms)
        play.tick()
    play.now_ms = room_ms


def text_of(play: ScriptedRoom) -> str:
    return str(play.push.state.setup.text)


def test_nothing_of_the_text_leaves_the_room_more_than_five_seconds_before_it_sounds(
    check: ScriptedRoom,
) -> None:
    assert not refusal(check.console("begin_check", push=1))
    seen = 0
    while check.push.state.stage == "sounding":
        check.now_ms = max(check.now_ms, check.room.wake_at_ms or check.now_ms)
        before = len(check.sent)
        check.tick()
        told = check.sent[before:]
        for part in sends(told, "sound"):
            starts = [part.payload["start_room_ms"] + edges[0] for edges in part.payload["edges"]]
            assert all(check.now_ms < start < check.now_ms + AHEAD_MS for start in starts)
            seen += len(starts) if part.to == 1 else 0
        if check.push.state.stage == "sounding":
            assert text_of(check)[:6] not in str(told)
    assert seen == len(text_of(check).replace(" ", ""))
    assert check.push.state.missed == 0
    assert shown(check, "console")["text"] == text_of(check)
    assert shown(check, 1)["text"] == ""


def test_a_text_meets_the_edited_form_and_a_second_check_has_another(check: ScriptedRoom) -> None:
    first = text_of(check)
    assert check.push.state.form.counting.counted(first) == 10
    sound(check)
    check.console("close")
    assert not refusal(check.console("start_exercise", kind="check", setup={"form": SHORT, "wpm": 5.0}))
    assert text_of(check) != first


def test_a_form_that_cannot_be_is_refused_with_its_fault(play: ScriptedRoom) -> None:
    play.seat_three()
    crowded = SHORT | {"required": "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
    why = refusal(play.console("start_exercise", kind="check", setup={"form": crowded, "wpm": 5.0}))
    assert "too short" in why


def test_a_warm_up_comes_first_and_the_text_waits_for_its_end(play: ScriptedRoom) -> None:
    begun(play, form=SHORT | {"warm_up_s": 12.0})
    assert play.push.state.stage == "warming up"
    assert "warm-up still sounds" in refusal(play.console("begin_check", push=1))
    assert "not begun" in refusal(play.learner(1, "write_check", push=1, copy="E"))
    settled(play, "ready")
    assert not refusal(play.console("begin_check", push=1))


def test_copies_are_taken_while_there_is_time_and_marked(check: ScriptedRoom) -> None:
    sound(check)
    text = text_of(check)
    assert not refusal(check.learner(1, "hand_in_check", push=1, copy=text.lower(), answers=[]))
    assert not refusal(check.learner(2, "write_check", push=1, copy=f"{text[:3]}~"))
    assert "handed in" in refusal(check.learner(1, "write_check", push=1, copy=""))
    assert "does not sit" not in refusal(check.learner(3, "write_check", push=1, copy=""))
    settled(check, "over")
    assert "over" in refusal(check.learner(2, "write_check", push=1, copy=text))
    one, two, three = shown(check, "console")["candidates"]
    assert one["result"]["meets"]
    assert one["result"]["ways"][0] == {"said": "0 errors; 1 allowed", "met": True}
    assert set(one["result"]["verdicts"]) == {"r"}
    assert (two["result"]["meets"], two["copy"]) == (False, f"{text[:3]}_")
    assert set(three["result"]["verdicts"]) == {"m"}
    assert [shown(check, seat)["result"] for seat in (1, 2, 3)] == [None] * 3


def test_an_examiner_overrules_with_a_reason_and_both_decisions_stay(check: ScriptedRoom) -> None:
    sound(check)
    text = text_of(check)
    check.learner(1, "hand_in_check", push=1, copy="__" + text.replace(" ", "")[2:], answers=[])
    decide = {
        "push": 1,
        "seat": 1,
        "number": 0,
        "right": True,
        "reason": "Read back.",
        "of_question": False,
        "undo": False,
    }
    assert "not handed in" in refusal(check.console("overrule_check", **decide | {"seat": 2}))
    assert not refusal(check.console("overrule_check", **decide))
    result = shown(check, "console")["candidates"][0]["result"]
    assert (result["verdicts"][0], result["overruled"]) == (
        "m", [{"number": 0, "right": True, "reason": "Read back."}],
    )  # fmt: skip
    assert (result["meets"], result["ways"][0]["said"]) == (True, "1 error; 1 allowed")
    check.console("overrule_check", **decide | {"undo": True})
    result = shown(check, "console")["candidates"][0]["result"]
    assert (result["ways"][0]["said"], result["overruled"]) == ("2 errors; 1 allowed", [])
    assert "no such decision" in refusal(check.console("overrule_check", **decide | {"number": 999}))


def test_what_is_arranged_for_a_seat_changes_its_sound_and_not_its_length(play: ScriptedRoom) -> None:
    begun(play, arranged=[
        {"seat": 1, "pitch_hz": 450.0, "character_wpm": 18.0, "more_tidy_s": 60.0}, {"seat": 2, "by": "lamp"},
    ])  # fmt: skip
    play.console("begin_check", push=1)
    until(play, play.push.state.part_room_ms + 100.0)
    mine, usual = (next(s.payload for s in sends(play.sent, "sound") if s.to == to) for to in (1, 3))
    assert (mine["pitch_hz"], usual["pitch_hz"]) == (450.0, 600.0)
    assert mine["edges"][0][1] < usual["edges"][0][1]
    assert not [s for s in sends(play.sent, "sound") if s.to == 2], "a lamp makes no sound"
    assert shown(play, 2)["flashes"]
    assert shown(play, 1)["flashes"] == []
    slow = play.push.state.line_of(2).pace.speed.wpm
    assert slow <= 7.2, "three flashes a second: WCAG 2.2, 2.3.1"
    ends = [line.pace.lasts_s for line in play.push.state.lines]
    assert max(ends) == pytest.approx(min(ends))
    settled(play, "tidying")
    assert shown(play, 1)["ends_room_ms"] == shown(play, 3)["ends_room_ms"] + 60_000.0


def test_a_lamp_is_refused_where_it_would_flash_more_than_three_times_a_second(play: ScriptedRoom) -> None:
    play.room.classroom.words = words()
    play.seat_three()
    setup = {"form": SHORT, "wpm": 12.0, "arranged": [{"seat": 2, "by": "lamp"}]}
    assert "7.2 wpm or slower" in refusal(play.console("start_exercise", kind="check", setup=setup))


def test_a_pause_cuts_what_was_sent_ahead_and_the_symbol_cut_comes_again(check: ScriptedRoom) -> None:
    check.console("begin_check", push=1)
    line = check.push.state.lines[0]
    at = line.edges[1][0] + 20.0
    until(check, check.push.state.part_room_ms + at)
    assert not refusal(check.console("pause"))
    check.now_ms += 30_000.0
    check.settle()
    assert line.sent < len(line.edges)
    assert not refusal(check.console("go_on"))
    check.tick()
    assert line.edges[1][0] == pytest.approx(at, abs=1.0)
    settled(check, "tidying")
    assert check.push.state.missed == 0
    heard = [edges for s in sends(check.sent, "sound") if s.to == 1 for edges in s.payload["edges"]]
    assert len(heard) >= len(line.edges) + 1


def test_a_restart_finds_the_check_where_it_was(check: ScriptedRoom) -> None:
    check.console("begin_check", push=1)
    check.now_ms = check.push.state.part_room_ms + 3_000.0
    check.settle()
    check.learner(1, "write_check", push=1, copy="E")
    again = check.replayed()
    assert msgspec.to_builtins(again.state.runs[0].state) == msgspec.to_builtins(check.push.state)


def test_what_nobody_heard_while_the_server_was_away_is_said(check: ScriptedRoom) -> None:
    check.console("begin_check", push=1)
    check.settle()
    check.now_ms = check.push.state.part_room_ms + 12_000.0
    check.tick()
    assert check.push.state.missed > 0
    assert shown(check, "console")["missed"] == check.push.state.missed


def test_nobody_sees_a_result_before_it_is_shown_and_then_only_the_own(check: ScriptedRoom) -> None:
    sound(check)
    text = text_of(check)
    check.learner(1, "hand_in_check", push=1, copy=text, answers=[])
    check.console("close")
    assert shown(check, 1)["result"] is None
    check.console("reveal")
    assert shown(check, 1)["result"]["meets"]
    assert shown(check, 1)["text"] == text
    assert not shown(check, 2)["result"]["meets"]
    assert "Amber" not in str(shown(check, "wall"))


def test_who_is_taken_out_leaves_no_copy_behind(check: ScriptedRoom) -> None:
    sound(check)
    check.learner(1, "write_check", push=1, copy="EEE")
    check.console("remove_seats", seats=[1])
    assert sorted(check.push.state.candidates) == [2, 3]
    assert all(1 not in line.seats for line in check.push.state.lines)
