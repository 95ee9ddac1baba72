"""The evening's plan in a room: what the instructor changes in it, and what copies change."""

from __future__ import annotations

import json

import pytest

from copyroom.core.purpose import PURPOSES, Composed
from copyroom.room.effects import SENDER
from scripted_room import ScriptedRoom, addresses, refusal, sends


def _seconds_to_do(play: ScriptedRoom) -> float:
    return sum(step.step.duration_s for step in play.state.plan if not step.push)


def _plan_and_copy(play: ScriptedRoom, *, dropped: int) -> tuple[float, float]:
    """Plan, drop so many mixes, send and copy one text: seconds still to do before and after it."""
    seats = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.console("plan_evening", minutes=45.0)
    mixes = [step.id for step in play.state.plan if step.step.purpose == "mix"][:dropped]
    play.console("edit_plan", steps=[step.id for step in play.state.plan if step.id not in mixes])
    before = _seconds_to_do(play)
    play.send("KMATN KMATN")
    play.to_tidying()
    for seat in seats:
        play.copies_all(seat, "KMATN" * 2)
    play.console("close")
    play.settle()
    return before, _seconds_to_do(play)


def test_what_the_instructor_drops_is_not_filled_up_again(play: ScriptedRoom) -> None:
    before, after = _plan_and_copy(play, dropped=4)
    assert after <= before
    assert not any(change.key == "to spare" for change in play.state.plan_changes)


def test_a_new_plan_fills_its_minutes_whatever_was_dropped_before(play: ScriptedRoom) -> None:
    _plan_and_copy(play, dropped=4)
    play.console("plan_evening", minutes=40.0)
    assert _seconds_to_do(play) > 0.8 * 40 * 60
    assert play.state.plan_freed_s == 0


def test_dropped_steps_stay_dropped_after_a_restart(play: ScriptedRoom) -> None:
    _plan_and_copy(play, dropped=4)
    assert play.replayed().state.plan_freed_s == play.state.plan_freed_s > 0


def test_advice_goes_on_with_what_the_plan_introduces_next(play: ScriptedRoom) -> None:
    seats = play.seat_three()
    play.console("plan_evening", minutes=45.0)
    coming = [step.step.symbols[0] for step in play.state.plan if step.step.purpose == "meet"]
    met = "".join(coming[:2])
    play.console("set_symbols", symbols=met)
    play.send(f"{met * 3} " * 8)
    play.to_tidying()
    for seat in seats:
        play.copies_all(seat, met * 3 * 8)
    play.console("close")
    play.settle()
    proposed = play.view("advice")["choices"][0]
    assert proposed["action"] == "go on"
    assert list(proposed["introduce"]) == coming[2:4]
    play.console("take_choice", push=1, choice=0, send=False)
    left = [step.step.symbols[0] for step in play.state.plan if step.step.purpose == "meet"]
    assert sorted(left) == sorted(coming), "nothing is introduced twice"


def test_a_stopped_run_that_nobody_heard_is_followed_by_no_advice(play: ScriptedRoom) -> None:
    seats = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.send("KMATN")
    play.to_tidying()
    for seat in seats:
        play.copies_all(seat, "KMATN")
    play.console("close")
    play.send("OOOOO OOOOO")
    play.to_symbol(1)
    play.console("stop")
    play.console("close")
    told = play.view("advice")
    assert (told["push"], told["choices"]) == (2, [])


def test_after_the_first_sound_alone_a_second_is_met_and_nothing_else_proposed(play: ScriptedRoom) -> None:
    seats = play.seat_three()
    play.console("set_symbols", symbols="O")
    play.send("KOKKO")
    play.to_tidying()
    for seat in seats:
        play.copies_all(seat, "K____")
    play.console("close")
    choices = play.view("advice")["choices"]
    assert [choice["action"] for choice in choices] == ["go on"]
    assert len(choices[0]["symbols"]) > 1
    assert choices[0]["sentence"].startswith("O alone would be written without listening: ")


def test_a_mix_put_in_the_plan_says_what_nobody_has_met_and_makes_it_known_when_sent(
    play: ScriptedRoom,
) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="K")
    play.console("add_step", purpose="mix", symbols="KMA", text="KMMKA KAMKA")
    (step,) = play.view("plan")["steps"]
    assert step["reason"] == "You put it here. Not met yet are M, A; known from when this is sent."
    assert play.view("room")["symbols"] == "K"
    play.console("send_step", step=step["step"])
    assert play.view("room")["symbols"] == "KMA"
    assert play.replayed().state.symbols == "KMA"


def test_a_text_sent_by_hand_makes_nothing_known(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="K")
    play.send("KMM")
    assert play.view("room")["symbols"] == "K"


# ------------------------------------------------------------------ until next time


def _copied_evening(play: ScriptedRoom) -> tuple[int, int, int]:
    """One run in which the first seat loses K and the second N."""
    first, second, third = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.send("KMATN KMATN KMATN")
    play.to_tidying()
    for seat, lost in ((first, "K"), (second, "N"), (third, "")):
        play.copies_all(seat, "".join("_" if sign == lost else sign for sign in "KMATN" * 3))
    play.console("close")
    play.settle()
    return first, second, third


def test_each_learner_is_given_the_own_days_and_nobody_elses(play: ScriptedRoom) -> None:
    first, second, third = _copied_evening(play)
    effects = play.console("give_review", days=7)
    assert addresses(effects, "review") == [first, second, third]
    for send in sends(effects, "review"):
        assert send.payload["seat"] == send.to
        asked = sends(play.console("show_review", days=7, seat=send.to), "review")
        assert [answer.to for answer in asked] == [SENDER]
        assert asked[0].payload == send.payload
    weakest = [send.payload["rows"][0]["signs"][0] for send in sends(effects, "review")]
    assert weakest[:2] == ["K", "N"]


def test_what_was_given_is_there_after_a_break_and_a_restart_and_goes_with_the_next_run(
    play: ScriptedRoom,
) -> None:
    first, *_ = _copied_evening(play)
    given = sends(play.console("give_review", days=7), "review")[0].payload
    token = play.state.seats[first].token
    again = play.replayed()
    assert sends(again.join("", token), "welcome")[0].payload["review"] is None, "figures are not there yet"
    again.settle()
    assert [told.payload for told in sends(again.sent, "review") if told.to == first] == [given]
    for room in (play, again):
        welcome = sends(room.join("", token), "welcome")[0].payload
        assert welcome["review"] == given
    assert play.view("plan")["review_days"] == 7
    play.send("KMATN")
    assert sends(play.join("", token), "welcome")[0].payload["review"] is None
    assert play.view("plan")["review_days"] == 0


def test_nothing_can_be_given_before_anything_is_known(play: ScriptedRoom) -> None:
    play.seat_three()
    assert "no sound is known" in refusal(play.console("give_review", days=7))


INVENTED = [purpose for purpose, traits in PURPOSES.items() if traits.practice]


@pytest.mark.parametrize("purpose", INVENTED)
def test_invented_traffic_is_called_practice_in_plan_on_wall_and_phone(
    play: ScriptedRoom, purpose: Composed
) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.console("plan_evening", minutes=45.0)
    play.console("add_step", purpose=purpose, symbols="KMATN", text="K1ATM")
    step = play.view("plan")["steps"][0]
    assert (step["purpose"], "ractice" in step["title"]) == (purpose, True)
    (pushed, *_) = sends(play.console("send_step", step=step["step"]), "push")
    assert pushed.payload["purpose"] == purpose  # from which the phone's own words follow
    play.to_tidying()
    play.copies_all(1, "K1ATM")
    play.console("close")
    play.settle()
    play.console("reveal")
    assert play.view("wall")["run"]["title"] == step["title"]
    assert play.view("room")["runs"][-1]["title"] == step["title"]
    play.console("repeat")
    assert (play.push.title(), play.push.purpose) == (step["title"], purpose)


def test_a_choice_is_put_in_the_plan_and_sent_by_one_event(play: ScriptedRoom) -> None:
    _copied_evening(play)
    before = len(play.journal)
    choices = play.view("advice")["choices"]
    repeat = next(i for i, choice in enumerate(choices) if choice["action"] == "repeat")
    effects = play.console("take_choice", push=1, choice=repeat, send=True)
    assert not refusal(effects)
    assert [name for name, *_ in play.journal[before:]] == ["SetPlan", "SendText"]
    step = play.view("plan")["steps"][0]
    assert (step["push"], play.push.id, play.push.purpose) == (2, 2, "practise")
    assert step["reason"].startswith("Advice taken after a text of which the class copied 87 %: another text")


def test_a_choice_that_cannot_be_sent_now_stays_next_in_the_plan(play: ScriptedRoom) -> None:
    _copied_evening(play)
    play.send("KMATN")
    assert "sounding" in refusal(play.console("take_choice", push=1, choice=0, send=True))
    assert play.push.id == 2
    assert [step["push"] for step in play.view("plan")["steps"]][:1] == [0]
    assert play.replayed().state.plan == play.state.plan


def test_how_long_an_added_step_takes_is_settled_in_the_journal(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("add_step", purpose="mix", symbols="KMATN", text="kmatn")
    name, body, _ = play.journal[-1]
    planned = json.loads(body)["planned"]
    assert (name, planned["text"], planned["sounds"]) == ("AddStep", "KMATN", 5)
    assert planned["duration_s"] == play.state.plan[0].step.duration_s > 0
    assert "nothing" in refusal(play.console("add_step", purpose="own", symbols="", text=" ")).lower()


@pytest.mark.parametrize("slices", range(8))
def test_copies_that_arrive_as_their_run_is_closed_lead_to_advice(play: ScriptedRoom, slices: int) -> None:
    """However far the reading is when the last strokes come: what was read before them is passed over."""
    seats = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.send("KMATN KMATN")
    play.to_tidying()
    for seat in seats:
        play.copies_all(seat, "KMATNKMAT")
    play.console("close")
    for _ in range(slices):
        play.tick()
    for seat in seats:
        play.types(seat, "N", 9)
    assert play.view("advice")["choices"]
