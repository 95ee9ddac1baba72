"""A push's times: the sound of a text, shifted by pauses, cut short by a stop.

Dot lengths: the standard word PARIS has 50 units, so a unit lasts 1.2 s / wpm; between characters 3
units, between words 7 (Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2, second-hand).
"""

from __future__ import annotations

import pytest

from copyroom.core.bursts import Speed
from copyroom.room.copies import Copy
from copyroom.room.messages.running import push_to_console
from copyroom.room.run import GRACE_MS, Run
from scripted_room import ScriptedRoom, plain, refusal, sends

START_MS = 50_000.0
DOT_MS = 60.0  # 1.2 s / 20 wpm


def a_push(text: str = "ETE", overall_wpm: float = 20.0) -> Run:
    return Run(1, "own", "ET", text, Speed(20.0, overall_wpm), 600.0, START_MS, 30_000.0, False, True)


def heard_at(push: Run) -> list[float]:
    """When each symbol begins for a browser, from what it is told alone: edges and shifts."""
    view = plain(push_to_console(push, push.start_room_ms))
    shift = [0.0] * len(view["edges"])
    for told in view["shifts"]:
        shift[told["first"] :] = [told["shift_ms"]] * (len(shift) - told["first"])
    return [edges[0] + more for edges, more in zip(view["edges"], shift, strict=True)]


def test_symbols_last_as_the_standard_says() -> None:
    push = a_push()
    # E = 1 unit, space 3, T = 3 units, space 3, E = 1 unit
    assert push.start_ms.tolist() == pytest.approx([0 * DOT_MS, 4 * DOT_MS, 10 * DOT_MS])
    assert push.end_ms.tolist() == pytest.approx([1 * DOT_MS, 7 * DOT_MS, 11 * DOT_MS])


@pytest.mark.parametrize(
    ("after_start_ms", "phase"),
    [(-1.0, "counting in"), (0.0, "sounding"), (659.0, "sounding"), (660.0, "tidying"), (1e6, "tidying")],
)
def test_phase_follows_the_sound(after_start_ms: float, phase: str) -> None:
    assert a_push().phase(START_MS + after_start_ms) == phase


@pytest.mark.parametrize(
    ("halted_after_ms", "complete"),
    [(-500.0, 0), (0.0, 0), (59.0, 0), (60.0, 1), (239.0, 1), (300.0, 1), (420.0, 2), (659.0, 2), (660.0, 3)],
)
def test_only_symbols_sounded_to_their_end_are_complete(halted_after_ms: float, complete: int) -> None:
    assert a_push().complete_at(START_MS + halted_after_ms) == complete


def test_go_on_starts_with_the_symbol_that_was_cut_off() -> None:
    push = a_push()
    push.halted_room_ms = START_MS + 300.0  # inside T
    push.go_on(START_MS + 10_000.0)
    assert push.shifts == [(1, 10_000.0 - 240.0)]
    assert push.start_ms.tolist() == pytest.approx([0.0, 10_000.0, 10_360.0])
    assert push.end_ms.tolist() == pytest.approx([60.0, 10_180.0, 10_420.0])


def test_second_pause_adds_to_the_first_for_what_is_left() -> None:
    push = a_push("ETET")
    for halted_ms, on_ms in ((300.0, 5_000.0), (5_200.0, 9_000.0)):
        push.halted_room_ms = START_MS + halted_ms
        push.go_on(START_MS + on_ms)
    # E at 0; T at 5000, ended 5180; the second pause falls into the gap before E, which starts at 9000
    assert push.start_ms.tolist() == pytest.approx([0.0, 5_000.0, 9_000.0, 9_000.0 + 4 * DOT_MS])
    assert [first for first, _ in push.shifts] == [1, 2]
    assert heard_at(push) == pytest.approx(push.start_ms.tolist())


def test_a_timed_silence_that_was_cut_has_its_rest_before_the_next_sound() -> None:
    """Where the speed alone makes the times, and where a sound was cut off, nothing is waited for."""
    fields = {"id": 1, "purpose": "own", "symbols": "ET", "text": "ETE", "speed": Speed(20.0, 20.0)}
    more = {"pitch_hz": 600.0, "start_room_ms": 1000.0, "tidy_ms": 0.0, "name_shown": False, "counted": True}
    timed = Run(**fields, **more, begins_ms=(0.0, 4000.0, 8000.0))  # type: ignore[arg-type]
    assert timed.rest_ms == 0.0
    timed.halted_room_ms = 1000.0 + 3000.0
    assert timed.rest_ms == 1000.0
    timed.halted_room_ms = 1000.0 + 4001.0
    assert timed.rest_ms == 0.0
    timed.halted_room_ms = 1000.0 + 9000.0
    assert timed.rest_ms == 0.0
    spoken = a_push()
    spoken.halted_room_ms = 1000.0 + 80.0
    assert spoken.rest_ms == 0.0


def test_browsers_can_compute_the_shifted_times_from_the_view() -> None:
    push = a_push("EEE TTT ETETE")
    for halted_ms in (100.0, 2_000.0, 2_100.0, 6_000.0):
        push.halted_room_ms = START_MS + halted_ms
        push.go_on(START_MS + halted_ms + 400.0)
        assert heard_at(push) == pytest.approx(push.start_ms.tolist())
        assert (push.end_ms[1:] > push.end_ms[:-1]).all()
        assert (push.start_ms[1:] > push.end_ms[:-1]).all()


def test_pause_while_counting_in_counts_in_again() -> None:
    push = a_push()
    push.halted_room_ms = START_MS - 500.0
    assert push.phase(START_MS) == "paused"
    push.go_on(START_MS + 20_000.0)
    assert heard_at(push)[0] == pytest.approx(20_000.0)
    assert push.phase(START_MS + 19_999.0) == "counting in"
    assert push.phase(START_MS + 20_001.0) == "sounding"


def test_a_stopped_push_has_only_what_sounded() -> None:
    push = a_push()
    push.halted_room_ms = push.stopped_room_ms = START_MS + 430.0
    assert (push.sent_count, push.last_end_ms) == (2, pytest.approx(420.0))
    push.halted_room_ms = START_MS - 1.0
    assert (push.sent_count, push.last_end_ms) == (0, 0.0)


@pytest.mark.parametrize(
    ("at_ms", "stroke", "edit"),
    [
        (-GRACE_MS - 1, False, False),
        (-GRACE_MS, True, False),
        (659.0, True, False),
        (661.0, True, True),
        (30_660.0 + GRACE_MS, True, True),
        (30_661.0 + GRACE_MS, False, False),
    ],
)
def test_strokes_have_their_time_and_edits_theirs(at_ms: float, stroke: bool, edit: bool) -> None:
    push = a_push()
    assert (push.takes_stroke_at(at_ms), push.takes_edit_at(at_ms)) == (stroke, edit)


def test_a_run_sent_by_hand_has_sheets_and_knows_how_long_it_stood_still() -> None:
    push = a_push("")
    assert not push.is_copied
    push.unread = True
    assert push.is_copied
    for halted_ms, on_ms in ((1_000.0, 3_000.0), (4_000.0, 4_500.0)):
        push.halted_room_ms = START_MS + halted_ms
        push.go_on(START_MS + on_ms)
    assert push.paused_ms == 2_500.0
    push.text = "E"
    push.halted_room_ms = START_MS + 5_000.0
    push.go_on(START_MS + 6_000.0)
    assert push.paused_ms == 2_500.0, "symbols that are known are shifted themselves"


def test_a_copy_grows_by_what_it_hears_where_nobody_knows_how_much_there_will_be() -> None:
    copy = Copy("typing", bytearray())
    copy.hear(((0, 2), (4, 5)))
    assert not copy.heard
    copy.hear(((0, 2), (4, 5)), grows=True)
    assert copy.heard == b"\x01\x01\x00\x00\x01"


def test_pause_and_go_on_in_a_room(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("ETETE")
    play.to_symbol(2)
    halted_ms = play.now_ms
    (halt,) = {str(s.payload) for s in sends(play.console("pause"), "halt")}
    assert halt == str({"push": 1, "at_room_ms": halted_ms, "for_good": False, "sent": 5})
    assert play.view("run")["run"]["phase"] == "paused"
    assert refusal(play.console("pause")) == "No run is sounding."

    play.now_ms += 60_000.0
    shift = sends(play.console("go_on"), "shift")[0].payload["shifts"][0]
    assert shift["first"] == 2
    third_starts_ms = play.push.start_room_ms + heard_at(play.push)[2]
    assert play.now_ms < third_starts_ms <= play.now_ms + 3_000.0
    assert refusal(play.console("go_on")) == "No run is sounding."


def test_key_times_keep_their_meaning_through_a_pause(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("ATNKMR")
    play.to_symbol(3)
    play.types(first, "ATN")
    play.console("pause")
    play.now_ms += 120_000.0
    play.console("go_on")
    play.to_tidying()
    assert not refusal(play.types(first, "KMR", start=3))
    play.hears(first)
    play.console("close")
    assert play.cells() == {(sign, sign): 1 for sign in "ATNKMR"}


def test_strokes_written_during_a_pause_count(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("ATNKMR")
    play.to_symbol(3)
    play.console("pause")
    play.now_ms += 300_000.0
    late = [{"at_ms": play.now_ms - play.push.start_room_ms, "sign": sign} for sign in "ATN"]
    assert not refusal(play.learner(first, "write_keys", push=1, first=0, keys=late))
    assert play.copies[1, first].written == "ATN"
