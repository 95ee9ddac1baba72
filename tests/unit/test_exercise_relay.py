"""A relay in the room: legs follow each other, nobody waits for ever, and the tracks tell where signs went.

All names and messages are invented.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from copyroom.room.events import Leave
from copyroom.room.forgetting import without_the_removed
from copyroom.room.journal import from_record, to_record
from relay_room import MESSAGE, RelayRoom
from scripted_room import refusal, sends


@pytest.fixture
def play() -> Iterator[RelayRoom]:
    """Whatever was played, a restarted server has the same runs, copies and chains."""
    scripted = RelayRoom()
    yield scripted
    again = scripted.replayed()
    assert repr(again.state.runs) == repr(scripted.state.runs)


def test_a_message_goes_from_one_to_the_next_as_it_was_copied(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    assert play.leg(first).text == MESSAGE
    play.passes(first, "KMRSTA")
    assert play.leg(second).text == MESSAGE, "the word gap stays, though nobody writes it"
    play.passes(second, "KM_STE")
    assert play.leg(third).text == "KM S TE", "a blank is a pause"
    play.passes(third, "KMSTE")
    assert play.statuses() == ["passed"] * 3
    assert [(row["signs"], row["kinds"], row["in_place"]) for row in play.rows()] == [
        ("KMRSTA", "======", 6),
        ("KM_STE", "==l==c", 4),
        ("KM STE", "==p==p", 4),
    ]
    assert [row["copied"] for row in play.rows()] == [0, 1, 2]


def test_each_leg_sounds_at_its_receiver_alone(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    assert [s.to for s in sends(play.sent, "push")] == [first]
    play.passes(first, "KMRSTA")
    assert [s.to for s in sends(play.sent, "push")] == [first, second]
    assert not sends(play.sent, "sound")


def test_what_was_copied_counts_against_what_was_really_sent(play: RelayRoom) -> None:
    first, second, third = play.begin("KMRS").chain
    play.passes(first, "KMRA")
    play.passes(second, "KMRA")
    play.passes(third, "KMRS")
    assert play.evening() == {
        ("K", "K"): 3, ("M", "M"): 3, ("R", "R"): 3, ("S", "A"): 1, ("A", "A"): 1, ("A", "S"): 1
    }  # fmt: skip


def test_the_tidy_up_time_passes_on_what_stands_there(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.writes(first, "KMR")
    play.now_ms += 60_000.0
    play.settle()
    assert play.leg(second).text == "KMR"


def test_a_hand_in_before_the_sound_is_over_waits_for_its_end(play: RelayRoom) -> None:
    first, _, _ = play.begin().chain
    play.now_ms = play.leg(first).start_room_ms + 1_000.0
    play.learner(first, "hand_in", push=play.leg(first).id)
    play.settle()
    assert not play.leg(first).closed
    play.after_sound(first)
    play.settle()
    assert play.leg(first).closed


@pytest.mark.parametrize("written", ["", "__"])
def test_when_nothing_arrived_the_next_gets_what_the_one_before_had(play: RelayRoom, written: str) -> None:
    first, second, third = play.begin().chain
    play.passes(first, "KMRSTE")
    play.passes(second, written)
    assert play.leg(third).text == "KMRS TE"
    assert play.statuses() == ["passed", "nothing", "copies"]
    assert play.rows()[2]["copied"] == 1
    assert [s["status"] for s in play.told("wall")["paths"][0]["stations"]][1] == "passed", "no matter how"


def test_who_is_away_when_the_time_is_over_is_waited_for(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.writes(first, "KMR")
    play.receive(Leave(first))
    play.now_ms += 120_000.0
    play.settle()
    assert play.statuses() == ["held", "waits", "waits"]
    assert play.told(second)["held"]
    (welcome,) = sends(play.join("", play.state.seats[first].token), "welcome")
    assert welcome.payload["push"]["push"] == play.leg(first).id
    assert [mark[0] for mark in welcome.payload["copy"]["marks"]] == ["K", "M", "R"]
    play.settle()
    assert play.statuses() == ["copies", "waits", "waits"], "there is time to say that it is all"
    play.learner(first, "hand_in", push=play.leg(first).id)
    play.settle()
    assert play.leg(second).text == "KMR"


def test_the_instructor_passes_on_what_somebody_who_is_away_has(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    leg = play.writes(first, "KMR")
    play.receive(Leave(first))
    assert not refusal(play.console("hand_in", push=leg.id, seat=first))
    play.settle()
    assert play.leg(second).text == "KMR"


def test_only_those_who_still_copy_are_turns_before_ones_own(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.console("pass_over_station", seat=second)
    assert (play.told(third)["turns"], play.told(third)["station"], play.told(third)["stations"]) == (1, 3, 3)
    play.console("remove_seats", seats=[first])
    play.settle()
    assert (play.told(third)["role"], play.told(third)["turns"], play.told(third)["stations"]) == (
        "copies",
        0,
        3,
    )


def test_a_held_part_is_handed_to_somebody_who_came_late(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.join("Dahlia")
    assert play.told(4)["role"] == "none"
    play.receive(Leave(first))
    effects = play.console("hand_over", seat=first, to=4)
    assert not refusal(effects)
    play.settle()
    assert play.leg(4).text == MESSAGE
    assert play.chain[0] == 4
    play.passes(4, "KMRSTA")
    assert play.leg(second).text == MESSAGE


def test_who_gets_a_part_and_had_a_later_one_gives_that_up_or_changes_places(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.console("hand_over", seat=second, to=third)
    assert play.chain == [first, third, second]
    play.console("hand_over", seat=first, to=second)
    play.settle()
    assert play.chain == [second, third], "who has heard a part of the message gets no later one"
    assert [row["station"] for row in play.rows()] == [1, 2]


def test_nobody_gets_a_part_who_has_heard_the_message(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.passes(first, "KMRSTA")
    assert refusal(play.console("hand_over", seat=second, to=first)).endswith(
        "has heard this message already."
    )
    assert refusal(play.console("hand_over", seat=first, to=third)) == "That part is over already."
    assert refusal(play.console("hand_over", seat=third, to=third)) == "That turn has not come yet."


def test_a_leg_is_sent_again_by_handing_it_to_the_same_learner(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    before = play.writes(first, "K")
    play.console("hand_over", seat=first, to=first)
    play.settle()
    assert before.closed
    assert play.leg(first) is not before
    play.passes(first, "KMRSTA")
    assert play.leg(second).text == MESSAGE


def test_a_station_is_passed_over_and_the_next_gets_the_version_before(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.passes(first, "KMRSTE")
    play.now_ms = play.leg(second).start_room_ms + 3_000.0
    effects = play.console("skip_turn")
    assert not refusal(effects)
    play.settle()
    assert play.leg(second).stopped
    assert play.leg(third).text == "KMRS TE"
    assert play.statuses() == ["passed", "skipped", "copies"]
    assert play.told(second)["role"] == "passed"


def test_who_waits_can_be_passed_over_too(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.console("pass_over_station", seat=second)
    play.passes(first, "KMRSTE")
    assert play.leg(third).text == "KMRS TE"
    assert (
        refusal(play.console("pass_over_station", seat=second)) == "That learner has no part to come in this."
    )


def test_who_is_taken_out_leaves_no_version_and_the_chain_goes_on(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.passes(first, "KMRSTE")
    play.passes(second, "KMRXTE")
    play.console("remove_seats", seats=[second])
    play.settle()
    assert [row["station"] for row in play.rows()] == [1, 3]
    play.passes(third, "KMRXTE")
    assert [row["kinds"] for row in play.rows()] == ["=====c", "===c=p"]


def test_a_journal_without_who_was_taken_out_tells_the_same_relay(play: RelayRoom) -> None:
    """What was sent on stays as a text that was sent; nothing says any more who had written what."""
    first, second, third = play.begin().chain
    play.passes(first, "KMRSTE")
    play.passes(second, "KMRXTE")
    play.console("remove_seats", seats=[second])
    play.passes(third, "KMRXTE")
    events = [from_record(name, body) for name, body, _ in play.journal]
    left = RelayRoom(play.now_ms)
    for event, (_, _, at_ms) in zip(without_the_removed(events), play.journal, strict=True):
        if event is not None:
            left.journal.append((*to_record(event), at_ms))
    assert len(left.journal) < len(play.journal)
    assert repr(left.replayed().state.runs) == repr(play.state.runs)


def test_who_is_taken_out_in_the_middle_of_a_leg_is_passed_over(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.writes(first, "KM")
    play.console("remove_seats", seats=[first])
    play.settle()
    assert play.leg(second).text == MESSAGE
    assert all(run.closed for run in play.state.runs[1:-1])


def test_a_pause_holds_the_next_leg_back(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    play.after_sound(first)
    play.console("pause")
    play.passes(first, "KMRSTA")
    assert play.leg(first).closed
    assert play.told("console")["paths"][0]["stations"][1]["status"] == "waits"
    play.console("go_on")
    play.settle()
    assert play.leg(second).text == MESSAGE
    play.now_ms = play.leg(second).start_room_ms + 2_000.0
    play.console("pause")
    assert play.leg(second).halted_room_ms is not None
    play.now_ms += 50_000.0
    play.console("go_on")
    play.passes(second, "KMRSTA")
    assert play.leg(third).text == MESSAGE


def test_a_stop_taken_back_sends_a_leg_again_that_had_not_begun(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.passes(first, "KMRSTA")
    play.now_ms = play.leg(second).start_room_ms - 100.0
    play.console("stop")
    cancelled = play.leg(second)
    play.now_ms += 1_000.0
    play.settle()
    assert play.leg(second) is cancelled
    play.console("go_on")
    play.settle()
    assert play.leg(second) is not cancelled
    assert play.statuses() == ["passed", "copies", "waits"]


def test_a_stop_before_the_first_sound_leaves_no_relay(play: RelayRoom) -> None:
    play.begin()
    play.console("stop")
    play.settle()
    assert play.state.run is None
    assert all(run.closed for run in play.state.runs)


def test_the_end_can_come_at_any_time_and_the_tracks_so_far_stand(play: RelayRoom) -> None:
    first, second, _ = play.begin().chain
    play.passes(first, "KMRSTE")
    play.now_ms = play.leg(second).start_room_ms + 3_000.0
    play.console("reveal")
    play.settle()
    assert play.statuses() == ["passed", "cut", "waits"]
    assert play.told("wall")["paths"][0]["stations"][0]["signs"] == "KMRSTE"
    assert all(run.closed for run in play.state.runs)


def test_when_all_are_through_it_closes_by_itself_and_waits_to_be_shown(play: RelayRoom) -> None:
    for seat in play.begin().chain:
        assert not play.push.closed
        play.passes(seat, "KMRSTA")
    assert play.push.closed
    assert not play.push.revealed
    assert play.told(1)["path"] is None
    play.console("reveal")
    assert play.told(1)["path"]["over"]


def test_repeat_draws_another_order_for_the_same_text(play: RelayRoom) -> None:
    for seat in play.begin().chain:
        play.passes(seat, "KMRSTA")
    assert not refusal(play.console("repeat"))
    play.settle()
    assert play.push.state.message == MESSAGE
    assert sorted(play.chain) == [1, 2, 3]


def test_a_copy_whose_sounds_had_all_come_stands_when_the_end_comes(play: RelayRoom) -> None:
    first, _, _ = play.begin().chain
    play.writes(first, "KMRSTE")
    play.console("reveal")
    assert play.statuses() == ["passed", "waits", "waits"]


def test_learners_see_their_place_while_it_runs_and_their_part_afterwards(play: RelayRoom) -> None:
    first, second, third = play.begin().chain
    waiting = play.told(third)
    assert (waiting["role"], waiting["station"], waiting["at"], waiting["turns"]) == ("waits", 3, 1, 2)
    assert waiting["about_s"] > 0.0
    assert play.told(first)["role"] == "copies"
    play.passes(first, "KMRSTE")
    assert play.told(first)["role"] == "passed"
    assert play.told(first)["came"] == play.told(first)["passed"] == ""
    play.passes(second, "KMRSTE")
    play.passes(third, "KMRSTE")
    play.console("reveal")
    play.settle()
    shown = play.told(second)
    assert (shown["came"], shown["passed"]) == ("KMRS TE", "KMRSTE")
    assert [row["kinds"] for row in shown["path"]["stations"]] == ["=====c", "=====p", "=====p"]
    assert sends(play.sent, "reveal")[0].payload["text"] == MESSAGE


@pytest.mark.parametrize("names", [False, True])
def test_names_stand_beside_errors_only_where_the_instructor_wants_it(play: RelayRoom, names: bool) -> None:
    for seat in play.begin(names=names).chain:
        play.passes(seat, "KMRSTE")
    play.console("reveal")
    shown = [s.payload for s in play.sent if s.name == "exercise" and s.to != "console"]
    named = [n for n in ("Amber", "Birch", "Cedar") if n in str(shown)]
    assert named == (["Amber", "Birch", "Cedar"] if names else [])
    assert "Amber" in str(play.told("console"))


def test_a_stuck_key_makes_no_endless_leg(play: RelayRoom) -> None:
    first, second, _ = play.begin("KM").chain
    play.passes(first, "E" * 200)
    assert len(play.leg(second).sent) == 24


def test_on_paper_there_is_time_to_key_the_sheet_in(play: RelayRoom) -> None:
    play.seat_three()
    for seat in (1, 2, 3):
        play.learner(seat, "choose_way", way="paper")
    play.console("start_exercise", kind="relay", setup={"what": "own", "text": MESSAGE})
    play.settle()
    first, second, _ = play.chain
    play.after_sound(first)
    play.now_ms += 35_000.0
    play.settle()
    play.passes(first, "KMRSTA")
    assert play.leg(second).text == MESSAGE
