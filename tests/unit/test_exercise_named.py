"""Named rounds: only what was answered before the name counts, and nobody is told a name before its time."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from copyroom.core.evidence.slow import Slow
from copyroom.core.rounds import deal
from copyroom.core.steps import TALK_S, timed_step
from copyroom.room import events as ev
from copyroom.room.exercises import EXERCISES, Heard
from copyroom.room.exercises.named import NamedSetup
from copyroom.room.exercises.named.state import SAY_MS, SHOW_MS
from scripted_room import ScriptedRoom, refusal, sends

GAP_MS = 3000.0


def begin(play: ScriptedRoom, **setup: Any) -> ScriptedRoom:
    """Three learners, four known sounds, eight rounds; counted in, so that the first sound begins."""
    if not play.state.seats:
        play.seat_three()
    play.console("set_symbols", symbols="EKNT")
    chosen = {"rounds": 8, "gap_s": 3.0} | setup
    effects = play.console("start_exercise", kind="named", setup=chosen, seed=3)
    assert not refusal(effects), refusal(effects)
    to(play, 0, "sound")
    return play


def to(play: ScriptedRoom, place: int, at: str, more_ms: float = 1.0) -> None:
    """Forward to a moment of a round: "sound", "gap", "over" or "name"."""
    run = play.push
    end_ms = float(run.end_ms[place])
    over_ms = run.state.gap_end_ms(run, place)
    name_ms = over_ms + (SAY_MS if run.state.voice else 0.0)
    moment = {"sound": float(run.start_ms[place]), "gap": end_ms, "over": over_ms, "name": name_ms}[at]
    due_ms = run.start_room_ms + moment + more_ms
    while play.room.wake_at_ms is not None and play.room.wake_at_ms < due_ms:
        play.now_ms = max(play.now_ms, play.room.wake_at_ms)
        play.receive(ev.Tick())
    play.now_ms = due_ms
    play.settle()


def answer(play: ScriptedRoom, seat: int, place: int, sign: str, lag_ms: float = 700.0) -> list[Any]:
    run = play.push
    at_ms = float(run.end_ms[place]) + lag_ms
    return play.learner(seat, "answer_sound", push=run.id, place=place, sign=sign, at_ms=at_ms)


def right(play: ScriptedRoom, seat: int, place: int) -> list[Any]:
    return play.learner(seat, "put_right", push=play.push.id, place=place, sign=play.push.sent[place])


def other_than(sign: str) -> str:
    return next(other for other in "EKNT" if other != sign)


def shown(play: ScriptedRoom, to: int | str) -> dict[str, Any]:
    told = [send.payload["shown"] for send in play.sent if send.name == "exercise" and send.to == to]
    return dict(told[-1])


def test_each_round_is_a_sound_a_gap_and_a_name_before_the_next(play: ScriptedRoom) -> None:
    run = begin(play).push
    between = run.start_ms[1:] - run.end_ms[:-1]
    assert between == pytest.approx(np.full(7, GAP_MS + SHOW_MS), abs=0.01)
    for place in range(8):
        to(play, place, "sound")
        assert shown(play, 1)["round"] == place + 1
        to(play, place, "gap")
        assert shown(play, 1)["name"] == shown(play, "wall")["name"] == ""
        to(play, place, "name")
        assert shown(play, 1)["name"] == shown(play, "wall")["name"] == run.sent[place]


def test_every_known_sound_comes_about_as_often_and_one_leaned_on_twice(play: ScriptedRoom) -> None:
    """Over many rounds: within some, nobody could tell what is still due."""
    run = begin(play, rounds=60).push
    assert sorted(set(run.sent)) == list("EKNT")
    dealt = "".join(deal("EKNT", "", 60, np.random.default_rng(seed)) for seed in range(20))
    assert [dealt.count(sign) / 20 for sign in "EKNT"] == pytest.approx([15] * 4, abs=1.5)
    leaning = [deal("EKNT", "K", 60, np.random.default_rng(seed)) for seed in range(20)]
    assert "".join(leaning).count("K") / 20 == pytest.approx(24, abs=3)
    assert not any(sign * 3 in sent for sign in "ENT" for sent in leaning)


def test_only_first_answers_enter_the_table(play: ScriptedRoom) -> None:
    run = begin(play).push
    wrong = other_than(run.sent[0])
    play.hears(1, 0, 1)
    answer(play, 1, 0, wrong)
    answer(play, 1, 0, run.sent[0], 900.0)  # changed one's mind
    to(play, 0, "name")
    assert not refusal(right(play, 1, 0))
    assert shown(play, 1)["answers"] == wrong
    assert shown(play, 1)["right"] == run.sent[0]
    assert run.state.corrections == {0: {1: run.sent[0]}}
    play.console("stop")
    play.console("reveal")
    play.settle()
    assert play.cells() == {(run.sent[0], wrong): 1}


def test_a_blank_is_an_answer_and_counts_as_a_blank(play: ScriptedRoom) -> None:
    run = begin(play).push
    play.hears(1, 0, 1)
    assert not refusal(answer(play, 1, 0, "_"))
    to(play, 0, "name")
    assert shown(play, "console")["bars"] == [[1, 0, 0, 1]]
    play.console("stop")
    play.console("close")
    assert play.cells() == {(run.sent[0], "_"): 1}


def test_what_comes_after_the_gap_is_no_first_answer(play: ScriptedRoom) -> None:
    run = begin(play).push
    assert refusal(right(play, 1, 0)) == "Its name has not come yet."
    assert refusal(answer(play, 1, 1, "E")) == "That has not sounded yet."
    to(play, 0, "name")
    assert refusal(answer(play, 1, 0, run.sent[0], GAP_MS + 10.0)) == "Its name had come by then."
    assert refusal(answer(play, 1, 0, "Z")) == "That is none of the sounds in these rounds."
    assert run.copies[1].marks == []


def test_an_answer_that_the_network_delayed_counts_with_the_time_at_which_it_was_made(
    play: ScriptedRoom,
) -> None:
    run = begin(play).push
    play.hears(2, 0, 1)
    to(play, 1, "gap")
    assert shown(play, "console")["bars"] == [[1, 0, 0, 0]]
    assert not refusal(answer(play, 2, 0, run.sent[0], 640.0))
    assert shown(play, "console")["bars"] == [[1, 1, 0, 0]]
    line = next(one for one in shown(play, "console")["responses"] if one["sign"] == run.sent[0])
    assert line["dots"] == [[650.0, 1]]
    assert line["median_ms"] is None, "one answer is not enough for a median"


def test_with_a_voice_the_console_has_the_name_first_and_the_screens_when_it_was_said(
    play: ScriptedRoom,
) -> None:
    run = begin(play, voice=True).push
    to(play, 0, "gap")
    assert shown(play, "console")["name"] == run.sent[0]
    assert (shown(play, 1)["name"], shown(play, "wall")["name"]) == ("", "")
    to(play, 0, "over")
    assert shown(play, "console")["step"] == "say"
    assert (shown(play, 1)["name"], shown(play, "wall")["name"]) == ("", "")
    assert refusal(answer(play, 1, 0, "E", GAP_MS + 10.0)) == "Its name had come by then."
    to(play, 0, "name")
    assert (shown(play, 1)["name"], shown(play, "wall")["name"]) == (run.sent[0], run.sent[0])


def test_a_pause_in_a_gap_keeps_what_was_answered_and_the_gap_goes_on_where_it_was_cut(
    play: ScriptedRoom,
) -> None:
    run = begin(play).push
    answer(play, 1, 0, run.sent[0])
    to(play, 0, "gap", 1000.0)
    into_gap_ms = play.now_ms - run.start_room_ms - run.end_ms[0]
    play.console("pause")
    assert shown(play, 1)["held"] == shown(play, "wall")["held"] == "paused"
    play.now_ms += 60_000.0
    play.settle()
    assert shown(play, 1)["name"] == ""
    play.console("go_on")
    assert shown(play, 1)["held"] == ""
    left_ms = shown(play, 1)["over_room_ms"] - play.now_ms
    assert left_ms == pytest.approx(GAP_MS - into_gap_ms, abs=5.0)
    assert shown(play, 1)["answers"] == run.sent[0]
    assert answer(play, 2, 0, run.sent[0], 61_500.0)
    assert run.copies[2].marks[0].at_ms is None, "a pause lies in that time"
    assert run.copies[1].marks[0].at_ms is not None
    to(play, 0, "name")
    assert shown(play, 1)["name"] == run.sent[0]


def test_a_pause_in_a_sound_sounds_it_again_and_asks_for_it_then(play: ScriptedRoom) -> None:
    run = begin(play).push
    place = run.sent.index("K")
    to(play, place, "sound", 20.0)
    play.console("pause")
    assert play.now_ms < run.start_room_ms + run.end_ms[place], "it is cut off"
    play.now_ms += 5_000.0
    play.console("go_on")
    to(play, place, "gap")
    assert shown(play, 1)["round"] == place + 1
    assert not refusal(answer(play, 1, place, "K", 300.0))
    assert run.copies[1].marks[0].at_ms == pytest.approx(float(run.end_ms[place]) + 300.0)


def test_the_turn_passes_each_round_in_order_of_the_seats_to_those_who_are_here(play: ScriptedRoom) -> None:
    begin(play, by_turns=True)
    names = lambda: [turn["name"] for turn in shown(play, 2)["turns"]]  # noqa: E731
    assert names() == ["Amber", "Birch", "Cedar", "Amber"]
    to(play, 1, "sound")
    assert names() == ["Birch", "Cedar", "Amber", "Birch"]
    play.receive(ev.Leave(3))
    to(play, 2, "sound")
    assert names() == ["Amber", "Birch", "Amber", "Birch"], "who is away has no turn"
    play.join("", play.state.seats[3].token)
    to(play, 3, "sound")
    assert "Cedar" not in names()[:3], "who was told of a turn keeps it"
    assert shown(play, "wall")["turns"] == shown(play, 2)["turns"]


def test_a_turn_is_passed_over_or_handed_over(play: ScriptedRoom) -> None:
    begin(play, by_turns=True)
    turns = lambda: [turn["seat"] for turn in shown(play, "console")["turns"]]  # noqa: E731
    assert not refusal(play.console("skip_turn"))
    assert turns()[:3] == [2, 3, 1]
    assert not refusal(play.console("hand_over", seat=2, to=1))
    assert turns()[:3] == [1, 3, 2], "they change places"
    play.join("Dune")
    assert not refusal(play.console("hand_over", seat=3, to=4))
    assert turns()[:3] == [1, 4, 2]
    assert refusal(play.console("hand_over", seat=9, to=1)) == "This learner has no turn now."


def test_without_turns_there_are_none_to_pass_over(play: ScriptedRoom) -> None:
    begin(play)
    assert refusal(play.console("skip_turn")) == "All answer; there are no turns."
    assert shown(play, 1)["turns"] == []


def test_who_writes_along_counts_like_who_has_the_turn(play: ScriptedRoom) -> None:
    run = begin(play, by_turns=True).push
    for seat in (1, 2, 3):
        play.hears(seat, 0, 1)
        answer(play, seat, 0, run.sent[0])
    to(play, 0, "name")
    assert shown(play, "console")["bars"] == [[3, 3, 0, 0]]
    assert "1" not in str(shown(play, "wall")["responses"])


def test_a_restart_in_any_step_goes_on_where_it_was(play: ScriptedRoom) -> None:
    run = begin(play, by_turns=True, voice=True).push
    for place, moment in ((0, "sound"), (0, "gap"), (1, "over"), (2, "name")):
        to(play, place, moment)
        answer(play, 1, place, run.sent[place])
        again = play.replayed()
        assert again.push.state == run.state
    again.now_ms += 60_000.0
    again.settle()
    assert again.push.state.at == len(run.sent) - 1, "what was missed is caught up with"


def test_who_is_taken_out_leaves_no_turn_and_no_correction(play: ScriptedRoom) -> None:
    run = begin(play, by_turns=True).push
    to(play, 0, "name")
    right(play, 1, 0)
    play.console("remove_seats", seats=[1])
    assert 1 not in run.state.turns
    assert run.state.corrections == {0: {}}
    to(play, 1, "sound")
    assert {turn["seat"] for turn in shown(play, 2)["turns"]} == {2, 3}


def test_who_comes_late_joins_in_and_is_not_asked_for_what_was_before(play: ScriptedRoom) -> None:
    run = begin(play).push
    to(play, 1, "gap")
    play.join("Dune")
    play.hears(4, 2, 3)
    to(play, 2, "gap")
    assert not refusal(answer(play, 4, 2, run.sent[2]))
    to(play, 2, "name")
    assert shown(play, "console")["bars"] == [[0, 0, 0, 0], [0, 0, 0, 0], [1, 1, 0, 0]]
    assert shown(play, 4)["answers"] == "  " + run.sent[2]


def test_who_writes_on_paper_is_asked_for_no_key(play: ScriptedRoom) -> None:
    play.seat_three()
    play.learner(1, "choose_way", way="paper")
    begin(play)
    assert shown(play, 1)["on_paper"]
    assert refusal(answer(play, 1, 0, "E")) == "You write on paper."


def test_what_sounded_is_shown_with_ones_own_answers_when_it_is_over(play: ScriptedRoom) -> None:
    run = begin(play).push
    answer(play, 1, 0, "_")
    to(play, 1, "gap")
    play.console("stop")
    assert (shown(play, 1)["held"], shown(play, 1)["sent"]) == ("stopped", "")
    play.console("close")
    assert shown(play, 1)["sent"] == run.sent[0], "the second name has not been given"
    play.console("reveal")
    assert shown(play, 1)["sent"] == run.sent[:2]
    assert shown(play, 1)["answers"] == "_ "


def test_it_needs_two_sounds_at_least(play: ScriptedRoom) -> None:
    play.seat_three()
    setup = {"symbols": "K"}
    said = refusal(play.console("start_exercise", kind="named", setup=setup))
    assert said == "Choose two sounds or more: with one there is nothing to ask."


def test_it_is_proposed_where_sounds_are_slow_and_leans_on_them(play: ScriptedRoom) -> None:
    kind, figures = EXERCISES["named"], play.room.figures
    play.console("set_symbols", symbols="EKNT")
    assert kind.proposed(figures) is None
    figures.slow = [Slow("K", 1.75, 1.4, 12)]
    assert kind.proposed(figures) == NamedSetup(lean="K")


def test_a_simulated_learner_answers_with_what_it_took_the_sound_for_in_its_gap(play: ScriptedRoom) -> None:
    run = begin(play).push
    kind, rng = EXERCISES["named"], np.random.default_rng(1)
    end_ms = float(run.end_ms[0])
    (act,) = kind.hears(shown(play, 1), [Heard(run.id, 0, "_", end_ms, 1.0)], rng)
    assert act.after_s == pytest.approx(0.7)
    assert not refusal(play.learner(1, act.name, **act.fields))
    assert run.copies[1].marks[0].sign == "_"
    assert run.copies[1].marks[0].at_ms == pytest.approx(end_ms + 700.0)
    too_late = [Heard(run.id, 0, "E", end_ms, 9.0)]
    assert kind.hears(shown(play, 1), too_late, rng) == ()
    assert kind.hears(shown(play, 1), [Heard(run.id + 1, 0, "E", end_ms, 1.0)], rng) == ()


def test_it_says_how_long_it_takes(play: ScriptedRoom) -> None:
    assert EXERCISES["named"].lasts_s(NamedSetup(rounds=10, gap_s=3.0)) == pytest.approx(54.0)
    begin(play)
    assert sends(play.sent, "push")[0].payload["shown"] == ""


# ------------------------------------------------------------------ the last round


def test_a_pause_in_the_last_gap_goes_on_where_it_was_cut(play: ScriptedRoom) -> None:
    run = begin(play).push
    last = len(run.sent) - 1
    to(play, last, "gap", 500.0)
    assert run.phase(play.now_ms) == "sounding"
    assert not refusal(play.console("pause"))
    play.now_ms += 60_000.0
    play.settle()
    assert shown(play, 1)["name"] == ""
    assert shown(play, 1)["held"] == "paused"
    play.console("go_on")
    left_ms = shown(play, 1)["over_room_ms"] - play.now_ms
    assert left_ms == pytest.approx(GAP_MS - 500.0, abs=play.state.lead_ms() + 5.0)
    assert shown(play, 1)["name"] == ""
    play.now_ms = shown(play, 1)["over_room_ms"] + 10.0
    play.settle()
    assert shown(play, 1)["name"] == run.sent[last]


def test_nothing_else_is_sent_before_the_last_name_has_come(play: ScriptedRoom) -> None:
    run = begin(play).push
    to(play, len(run.sent) - 1, "gap")
    fields = {"purpose": "own", "symbols": "", "count": 10, "group": 5, "text": "E"}
    sending = {"name_shown": False, "counted": True}
    assert refusal(play.console("send_text", **fields, **sending)) == "A run is sounding. Stop it first."
    to(play, len(run.sent) - 1, "name")
    assert run.phase(play.now_ms) == "sounding", "it stands on the screens"
    play.now_ms = run.start_room_ms + run.over_ms + 1.0
    assert run.phase(play.now_ms) in ("tidying", "waiting")
    assert not refusal(play.console("send_text", **fields, **sending))


# ------------------------------------------------------------------ meeting a sound


def meet(play: ScriptedRoom, known: str) -> ScriptedRoom:
    """K is met by a class that knows these."""
    play.seat_three()
    play.console("set_symbols", symbols=known)
    fields = {"purpose": "meet", "symbols": "K", "count": 15, "group": 5, "text": "", "seed": 2}
    effects = play.console("send_text", **fields, name_shown=True, counted=False)
    assert not refusal(effects), refusal(effects)
    return play


def test_a_new_sound_has_its_name_after_it_and_no_page_has_it_before(play: ScriptedRoom) -> None:
    run = meet(play, "EMT").push
    assert (run.kind, run.name_shown, run.counted, run.title()) == ("named", False, False, "Meet K")
    assert sends(play.sent, "push")[-1].payload["shown"] == ""
    assert run.sent[:3] == "KKK"
    assert 0 < sum(run.sent.count(sign) for sign in "EMT") <= 3
    for place in (0, 3, 8):
        to(play, place, "gap")
        assert (shown(play, 1)["name"], shown(play, "wall")["name"]) == ("", "")
        to(play, place, "name")
        assert shown(play, 1)["name"] == shown(play, "wall")["name"] == run.sent[place]


def test_the_odd_known_sound_in_between_is_really_asked_for_and_counts_nowhere(play: ScriptedRoom) -> None:
    run = meet(play, "EMT").push
    assert shown(play, 1)["symbols"] == "EKMT"
    place = next(i for i, sign in enumerate(run.sent) if sign != "K")
    to(play, place, "gap")
    play.hears(1, 0, place + 1)
    assert not refusal(answer(play, 1, place, run.sent[place]))
    play.console("stop")
    play.console("close")
    assert play.cells("evening") == {}
    assert "K" in play.state.seats[1].met
    assert "K" in play.state.symbols


def test_with_no_known_sound_there_is_nothing_to_ask(play: ScriptedRoom) -> None:
    run = meet(play, "").push
    assert set(run.sent) == {"K"}
    assert not shown(play, 1)["asks"]
    to(play, 0, "gap")
    assert refusal(answer(play, 1, 0, "K")) == "There is nothing to be asked yet: listen."
    to(play, 0, "name")
    assert shown(play, 1)["name"] == "K"
    heard = [Heard(run.id, 0, "K", float(run.end_ms[0]), 1.0)]
    assert EXERCISES["named"].hears(shown(play, 1), heard, np.random.default_rng(1)) == ()


def test_a_meeting_recorded_by_an_older_program_is_replayed_as_it_was(play: ScriptedRoom) -> None:
    """Its record does not say `named`: a copying run with the times of the speed, its name shown."""
    meet(play, "EMT")
    name, body, at_ms = play.journal[-1]
    assert '"named":true' in body
    play.journal[-1] = (name, body.replace(',"named":true', ""), at_ms)
    older = play.replayed().push
    assert (older.kind, older.name_shown) == ("copying", True)
    assert older.text == play.push.text
    assert older.end_ms[-1] < play.push.end_ms[-1]
    play.journal[-1] = (name, body, at_ms)


def test_a_meeting_takes_as_long_as_the_composer_and_the_plan_say(play: ScriptedRoom) -> None:
    play.seat_three()
    fields = {"purpose": "meet", "symbols": "K", "count": 15, "group": 5, "text": "", "seed": 2}
    (proposal,) = sends(play.console("compose", **fields), "proposal")
    play.console("send_text", **fields, name_shown=True, counted=False)
    run = play.push
    to(play, 14, "name", SHOW_MS)
    lasted_s = (run.last_end_ms + run.tidy_ms) / 1000.0
    assert proposal.payload["seconds"] == pytest.approx(lasted_s)
    step = timed_step("meet", run.text, run.speed)
    assert step.duration_s == pytest.approx(TALK_S["meet"] + lasted_s)


def test_a_meeting_can_be_repeated_and_is_a_meeting_again(play: ScriptedRoom) -> None:
    first = meet(play, "EMT").push
    to(play, 2, "gap")
    play.console("stop")
    play.console("close")
    assert not refusal(play.console("repeat"))
    assert play.push.id == first.id + 1
    assert (play.push.kind, play.push.text, play.push.purpose) == ("named", first.text, "meet")
