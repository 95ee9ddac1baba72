"""Copies on their way in, and the tables they make: nothing lost, nothing twice, nothing unheard."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.room import events as ev
from scripted_room import ScriptedRoom, kept, refusal, sends

TEXT = "KMATNRS"


@pytest.fixture
def running(play: ScriptedRoom) -> ScriptedRoom:
    """Three learners (seats 1 to 3) and one run whose sound is over."""
    play.seat_three()
    play.send(TEXT)
    play.to_tidying()
    return play


def right(signs: str, count: int = 1) -> dict[tuple[str, str], int]:
    return {(sign, sign): count for sign in signs}


# ------------------------------------------------------------------ acknowledged, and once


def test_an_acknowledgement_stands_behind_its_save(running: ScriptedRoom) -> None:
    effects = running.types(1, TEXT)
    assert [type(effect).__name__ for effect in effects[:2]] == ["Save", "Send"]
    assert kept(effects) == len(TEXT)


def test_batches_sent_again_or_overlapping_count_once(running: ScriptedRoom) -> None:
    keys = running.keys(TEXT)
    for first, stop, acknowledged in [(0, 3, 3), (0, 3, 3), (1, 5, 5), (0, 2, 5), (4, 7, 7), (0, 7, 7)]:
        batch = keys[first:stop]
        assert kept(running.learner(1, "write_keys", push=1, first=first, keys=batch)) == acknowledged
    running.hears(1)
    running.console("close")
    assert running.cells() == right(TEXT)


def test_a_gap_is_refused_until_it_is_filled(running: ScriptedRoom) -> None:
    keys = running.keys(TEXT)
    running.learner(1, "write_keys", push=1, first=0, keys=keys[:2])
    gap = running.learner(1, "write_keys", push=1, first=4, keys=keys[4:])
    assert refusal(gap) == "Strokes 2 to 3 have not come yet."
    assert not sends(gap, "kept")
    assert kept(running.learner(1, "write_keys", push=1, first=2, keys=keys[2:])) == len(TEXT)


@pytest.mark.parametrize(
    "key",
    [
        {"at_ms": 100.0},
        {"at_ms": 100.0, "sign": ""},
        {"at_ms": 100.0, "sign": " "},
        {"at_ms": 100.0, "sign": "#"},
        {"at_ms": 100.0, "sign": "k"},
        {"at_ms": 1e5, "change": 0},
        {"at_ms": 1e5, "before": 0, "sign": ""},
        {"at_ms": 1e5, "erase": 0, "sign": "K"},
        {"at_ms": 1e5, "change": 0, "erase": 1},
        {"at_ms": 1e5, "change": 0, "before": 1, "sign": "K"},
    ],
)
def test_a_stroke_that_says_nothing_clear_is_refused_with_its_batch(
    running: ScriptedRoom, key: dict[str, Any]
) -> None:
    running.types(1, "KM")
    batch = [running.keys("A", 2)[0], key]
    assert refusal(running.learner(1, "write_keys", push=1, first=2, keys=batch))
    assert running.copies[1, 1].written == "KM"


def test_no_copy_is_begun_for_a_run_that_a_seat_was_not_in_for(running: ScriptedRoom) -> None:
    running.console("close")
    running.send("TEA")
    running.join("Dahlia")
    keys = [{"at_ms": 500.0, "sign": "K"}]
    for effects in (
        running.learner(4, "write_keys", push=1, first=0, keys=keys),
        running.learner(4, "report_sounded", push=1, spans=[[0, 7]]),
        running.learner(4, "hand_in", push=1),
    ):
        assert refusal(effects) == "You were not in the room for that run."
    assert refusal(running.learner(4, "write_keys", push=3, first=0, keys=keys)) == (
        "There is no such run in this room."
    )


def test_marks_of_a_run_that_sounds_are_only_added_to(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(4)
    play.types(1, "KMAT")
    at_ms = play.now_ms - play.push.start_room_ms
    for key in ({"erase": 3}, {"change": 0, "sign": "T"}, {"before": 1, "sign": "T"}):
        effects = play.learner(
            1, "write_keys", push=1, first=0 + kept_so_far(play), keys=[{"at_ms": at_ms} | key]
        )
        assert refusal(effects) == "While the sound runs there is no going back. You can tidy up afterwards."
        assert sends(effects, "kept")
    assert play.copies[1, 1].written == "KMAT"


def kept_so_far(play: ScriptedRoom) -> int:
    return play.copies[1, 1].strokes


def test_tidying_up_changes_the_copy_and_its_figures(running: ScriptedRoom) -> None:
    running.copies_all(1, "KMETNRS")
    assert running.cells()["A", "E"] == 1
    at_ms = running.now_ms - running.push.start_room_ms
    running.learner(1, "write_keys", push=1, first=7, keys=[{"at_ms": at_ms, "sign": "A", "change": 2}])
    assert running.cells() == right(TEXT)
    running.console("close")
    assert running.cells() == right(TEXT)


@pytest.mark.parametrize("slices", range(0, 30, 3))
@pytest.mark.parametrize("closed", [False, True])
def test_whenever_a_copy_is_tidied_up_while_it_is_counted_it_counts_as_it_ends(
    running: ScriptedRoom, closed: bool, slices: int
) -> None:
    running.copies_all(1, "KMETNRS")
    running.cells()
    at_ms = running.now_ms - running.push.start_room_ms
    if closed:
        running.console("close")
        running.cells()
    for stroke, change in enumerate([{"change": 2, "sign": "T"}, {"change": 2, "sign": "A"}], start=7):
        running.learner(1, "write_keys", push=1, first=stroke, keys=[{"at_ms": at_ms} | change])
        for _ in range(slices):
            running.tick()
    assert running.cells() == right(TEXT)


@pytest.mark.parametrize("slices", range(0, 30, 3))
def test_whenever_the_last_mark_goes_while_a_copy_is_aligned_nothing_of_it_counts(
    running: ScriptedRoom, slices: int
) -> None:
    running.copies_all(1, "K")
    running.console("close")
    running.cells()
    at_ms = running.now_ms - running.push.start_room_ms
    running.learner(1, "write_keys", push=1, first=1, keys=[{"at_ms": at_ms, "change": 0, "sign": "M"}])
    for _ in range(slices):
        running.tick()
    running.learner(1, "write_keys", push=1, first=2, keys=[{"at_ms": at_ms, "erase": 0}])
    assert running.cells() == {}


def test_handing_in_is_acknowledged_and_seen(running: ScriptedRoom) -> None:
    running.types(2, TEXT)
    assert sends(running.learner(2, "hand_in", push=1), "handed_in")[0].payload == {"push": 1, "seat": 2}
    handed_in = {c["seat"]: c["handed_in"] for c in running.view("progress")["copies"]}
    assert handed_in == {1: False, 2: True, 3: False}


def test_writing_on_takes_the_handing_in_back_and_sending_again_does_not(running: ScriptedRoom) -> None:
    running.types(2, TEXT)
    running.learner(2, "hand_in", push=1)
    running.learner(2, "write_keys", push=1, first=0, keys=running.keys(TEXT))
    assert running.copies[1, 2].handed_in
    running.learner(2, "write_keys", push=1, first=len(TEXT), keys=running.keys(TEXT)[:1])
    assert not running.copies[1, 2].handed_in


# ------------------------------------------------------------------ late


def test_a_late_copy_counts_until_the_reveal(running: ScriptedRoom) -> None:
    running.copies_all(1, TEXT)
    running.console("close")
    assert running.cells() == right(TEXT)
    running.copies_all(2, TEXT)
    assert running.cells() == right(TEXT, 2)


def test_a_copy_that_comes_while_the_run_is_being_aligned_counts(running: ScriptedRoom) -> None:
    for seat in (1, 2, 3):
        running.hears(seat)
        running.types(seat, TEXT[:5])
    running.console("close")
    running.tick()
    running.types(3, TEXT[5:], start=5)
    running.settle()
    running.console("reveal")
    assert running.cells() == right("KMATN", 3) | right("RS") | {("R", ""): 2, ("S", ""): 2}


def test_a_sheet_erased_while_the_run_is_being_aligned_breaks_nothing(running: ScriptedRoom) -> None:
    running.learner(3, "choose_way", way="paper")
    for seat in (1, 2, 3):
        running.copies_all(seat, TEXT)
    running.console("close")
    running.tick()
    erasures = [{"at_ms": 0.0, "erase": place} for place in reversed(range(7))]
    running.learner(3, "write_keys", push=1, first=7, keys=erasures)
    assert running.cells() == right(TEXT, 2)
    assert running.view("table")["copies"] == 2


def test_late_copy_after_reveal_stands_on_the_sheet_and_leaves_the_tally_unchanged(
    running: ScriptedRoom,
) -> None:
    running.copies_all(1, TEXT)
    running.copies_all(2, TEXT[:4])
    running.console("reveal")
    before = running.view("table")
    running.sent.clear()
    effects = running.types(2, TEXT[4:], start=4)
    assert (refusal(effects), kept(effects)) == ("", len(TEXT))
    running.settle()
    (shown,) = [send.payload for send in running.sent if (send.to, send.name) == (2, "reveal")]
    assert (shown["marks"], shown["late"], shown["right"]) == (TEXT[:4], TEXT[4:], 4)
    at_ms = running.keys("T")[0]["at_ms"]
    out_of_time = [{"at_ms": 300_000.0, "sign": "T"}, {"at_ms": at_ms, "erase": 0}]
    assert kept(running.learner(2, "write_keys", push=1, first=7, keys=out_of_time)) == 9
    assert [mark.sign for mark in running.copies[1, 2].late] == list(TEXT[4:])
    running.hears(3)
    running.learner(2, "report_sounded", push=1, spans=[[0, 7]])
    assert running.view("table") == before


def test_a_known_batch_after_the_reveal_is_just_acknowledged(running: ScriptedRoom) -> None:
    running.copies_all(1, TEXT)
    running.console("reveal")
    effects = running.learner(1, "write_keys", push=1, first=0, keys=running.keys(TEXT))
    assert (refusal(effects), kept(effects)) == ("", len(TEXT))


@pytest.mark.parametrize("closed_first", [True, False])
def test_what_was_written_in_time_counts_for_who_was_away_when_it_was_shown(
    running: ScriptedRoom, closed_first: bool
) -> None:
    running.copies_all(1, TEXT)
    running.types(2, TEXT[:4])
    running.receive(ev.Leave(2))
    if closed_first:
        running.console("close")
    running.console("reveal")
    running.settle()
    welcome = next(send for send in sends(running.join("", running.state.seats[2].token), "welcome"))
    assert (welcome.payload["reveal"], welcome.payload["copy"]["kept"]) == (None, 4)
    running.hears(2)
    running.types(2, TEXT[4:], start=4)
    running.sent.clear()
    running.sound(2, "on")
    running.settle()
    (shown,) = [send.payload for send in running.sent if (send.to, send.name) == (2, "reveal")]
    assert (shown["marks"], shown["right"], shown["late"]) == (TEXT, len(TEXT), "")
    assert running.cells() == right(TEXT, 2)
    running.sound(2, "on")
    running.types(2, "T")
    assert running.cells() == right(TEXT, 2), "shown by now"
    assert [mark.sign for mark in running.copies[1, 2].late] == ["T"]
    assert (
        sends(running.join("", running.state.seats[2].token), "welcome")[0].payload["reveal"]["late"] == "T"
    )


def test_what_was_written_in_time_counts_when_it_comes_after_the_next_run_began(
    running: ScriptedRoom,
) -> None:
    running.copies_all(1, TEXT)
    running.receive(ev.Leave(2))
    running.console("reveal")
    first = running.push
    running.send("TEA")
    running.join("", running.state.seats[2].token)
    running.of = first
    running.hears(2)
    running.types(2, TEXT)
    running.of = None
    running.sound(2, "on")
    running.settle()
    assert running.cells("evening") == right(TEXT, 2)


def test_who_stays_from_one_evening_to_the_next_is_noted_when_they_come_back(running: ScriptedRoom) -> None:
    running.console("open_meeting")
    running.receive(ev.Leave(1))
    before = len(running.journal)
    running.join("", running.state.seats[1].token)
    running.join("", running.state.seats[1].token)
    assert len(running.journal) == before + 1


def test_nothing_that_the_room_knows_is_journaled(running: ScriptedRoom) -> None:
    """A page says it all again after every break; five of them wrote gigabytes an hour."""
    running.copies_all(1, TEXT)
    running.learner(1, "hand_in", push=1)
    running.learner(1, "choose_way", way="paper")
    before = len(running.journal)
    token = running.state.seats[1].token
    for _ in range(3):
        running.receive(ev.Leave(1))
        running.join("", token)
        assert kept(running.learner(1, "write_keys", push=1, first=0, keys=running.keys(TEXT))) == 7
        running.hears(1)
        running.learner(1, "choose_way", way="paper")
        running.learner(1, "hand_in", push=1)
    assert len(running.journal) == before


def test_strokes_made_after_their_time_are_left_out_but_acknowledged(running: ScriptedRoom) -> None:
    running.types(1, TEXT[:3])
    effects = running.learner(1, "write_keys", push=1, first=3, keys=[{"at_ms": 300_000.0, "sign": "T"}])
    assert "The time for this copy is over" in refusal(effects)
    assert (kept(effects), running.copies[1, 1].written) == (4, "KMA")


# ------------------------------------------------------------------ heard, answered, missed


def test_what_a_late_joiner_did_not_hear_is_outside_every_figure(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(4)
    play.join("Dahlia")
    play.hears(4, 4)
    play.to_tidying()
    play.types(4, "N_", start=4)
    play.console("reveal")
    # 4 symbols before Dahlia came in are in no cell; R was left blank, S missed
    assert play.cells() == {("N", "N"): 1, ("R", "_"): 1, ("S", ""): 1}
    shown = next(s.payload for s in sends(play.sent, "reveal") if s.to == 4)
    assert (shown["right"], shown["of"], shown["unheard"]) == (1, 3, [0, 1, 2, 3])
    progress = play.view("progress")
    assert progress["answered"] == [0, 0, 0, 0, 1, 0, 0]
    assert progress["right"] == [0, 0, 0, 0, 1, 0, 0]


def test_a_mark_for_an_unheard_symbol_is_in_no_live_figure(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(7)
    play.now_ms += 1_000.0
    play.types(1, TEXT)  # the neighbour's loudspeaker was on
    play.hears(1, 3)
    assert play.cells() == right(TEXT[3:])
    assert play.view("progress")["right"] == [0, 0, 0, 1, 1, 1, 1]


def test_copies_wait_for_the_report_of_what_sounded(running: ScriptedRoom) -> None:
    running.types(1, TEXT)
    assert running.cells() == {}
    running.hears(1, 0, 4)
    assert running.cells() == right(TEXT[:4])
    running.hears(1, 2, 7)
    assert running.cells() == right(TEXT)


def test_not_yet_answered_is_not_missed(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KMATN" * 4)
    play.to_symbol(5)
    play.hears(1, 0, 5)
    play.types(1, "KMA")
    assert play.cells() == right("KMA")
    play.to_symbol(20)
    play.now_ms += 60_000.0
    play.hears(1)
    missed = {sent: count for (sent, written), count in play.cells().items() if written == ""}
    assert missed == {"K": 3, "M": 3, "A": 3, "T": 4, "N": 4}


def test_after_a_pause_what_sounds_then_is_not_missed_at_once(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KMATNRSUDL")
    play.to_symbol(3)
    play.hears(1, 0, 3)
    play.types(1, "KMA")
    play.settle()
    play.console("pause")
    play.now_ms += 120_000.0
    play.console("go_on")
    play.to_symbol(5)
    play.hears(1, 3, 5)
    assert play.cells() == right("KMA")
    play.types(1, "T", start=3)
    assert play.cells() == right("KMAT")


def test_a_sheet_being_keyed_in_misses_only_what_was_passed_over(running: ScriptedRoom) -> None:
    running.learner(1, "choose_way", way="paper")
    running.hears(1)
    keys = [{"at_ms": 0.0, "sign": sign} for sign in "KMTN"]
    running.learner(1, "write_keys", push=1, first=0, keys=keys)
    assert running.cells() == right("KMTN") | {("A", ""): 1}
    running.console("close")
    assert running.cells() == right("KMTN") | {("A", ""): 1, ("R", ""): 1, ("S", ""): 1}


def test_who_wrote_nothing_has_no_copy_in_the_table(running: ScriptedRoom) -> None:
    running.copies_all(1, TEXT)
    running.hears(2)
    running.console("reveal")
    assert running.view("table")["copies"] == 1
    assert running.cells() == right(TEXT)


def test_a_blank_is_an_answer_and_an_extra_mark_answers_nothing(running: ScriptedRoom) -> None:
    running.learner(1, "choose_way", way="paper")
    running.hears(1)
    keys = [{"at_ms": 0.0, "sign": sign} for sign in "KM_TNRSEEE"]
    running.learner(1, "write_keys", push=1, first=0, keys=keys)
    running.console("close")
    assert running.cells() == right("KMTNRS") | {("A", "_"): 1, ("", "E"): 3}


@pytest.mark.parametrize("at_ms", [-2_000.0, 0.0, 3_600_000.0])
def test_strange_times_stop_no_table(play: ScriptedRoom, at_ms: float) -> None:
    """A page with a clock gone wrong harms its own copy at most."""
    play.seat_three()
    play.send(TEXT)
    play.to_symbol(3)
    play.console("pause")
    for seat in (1, 2):
        play.hears(seat, 0, 3)
    play.types(2, "KMA")
    keys = [{"at_ms": at_ms, "sign": sign} for sign in "KMA"]
    play.learner(1, "write_keys", push=1, first=0, keys=keys)
    play.learner(1, "write_keys", push=1, first=3, keys=[{"at_ms": -1_000.0, "sign": "E"}])  # backwards
    assert all(play.cells()[sign, sign] >= 1 for sign in "KMA")
    play.console("reveal")
    assert all(play.cells()[sign, sign] >= 1 for sign in "KMA")


# ------------------------------------------------------------------ runs add up


def test_the_evenings_table_is_the_sum_of_its_counted_runs(play: ScriptedRoom) -> None:
    play.seat_three()
    total: dict[tuple[str, str], int] = {}
    for text, copies, counted in [
        ("KMATN", ("KMATN", "KMETN", "KM_TN"), True),
        ("EEEEE", ("EEEEE", "TTTTT", "EEEEE"), False),
        ("NTAMK", ("NTAMK", "NTAM", "NTAMK"), True),
    ]:
        play.send(text, counted=counted)
        play.to_tidying()
        for seat, signs in enumerate(copies, 1):
            play.copies_all(seat, "") if not signs else play.hears(seat)
            play.types(seat, signs)
        play.console("reveal")
        cells = play.cells()
        assert sum(cells.values()) == 15
        if counted:
            total = {cell: total.get(cell, 0) + cells.get(cell, 0) for cell in {*total, *cells}}
    assert play.cells("evening") == total
    runs = play.view("room")["runs"]
    assert [(run["right"], run["of"]) for run in runs] == [(13, 15), (0, 0), (14, 15)]


def test_a_new_meeting_has_a_table_of_its_own_and_the_course_keeps_all(play: ScriptedRoom) -> None:
    play.seat_three()
    for text in ("KMATN", "NTAMK"):
        play.receive(ev.OpenMeeting(20_000 + len(play.state.runs)))
        play.send(text)
        play.to_tidying()
        play.copies_all(1, text)
        play.console("reveal")
    assert play.cells("evening") == right("KMATN")
    assert play.cells("course") == right("KMATN", 2)
    assert [meeting["runs"] for meeting in play.view("room")["meetings"]] == [1, 1]
