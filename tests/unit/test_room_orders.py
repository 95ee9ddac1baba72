"""Runs that are cancelled before their first sound, and orders on what has just changed."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, SEATS, Save
from scripted_room import ScriptedRoom, addresses, refusal, sends

OWN = {"symbols": "", "count": 10, "group": 5, "text": "", "name_shown": False, "counted": True}

# ------------------------------------------------------------------ cancelled before the first sound


def without_the_run(play: ScriptedRoom) -> dict[str, Any]:
    """All that can be shown but what a new run ends at once."""
    views = play.views()
    for part in ("advice", "findings"):
        views.pop(part)
    return views


@pytest.mark.parametrize("order", ["stop", "close", "reveal", "open_meeting"])
@pytest.mark.parametrize("moment", ["counting in", "first sound", "paused"])
def test_a_run_stopped_before_its_first_sound_is_as_if_it_had_not_been_sent(
    play: ScriptedRoom, order: str, moment: str
) -> None:
    first, *_ = play.seat_three()
    play.send("KMATN")
    play.to_tidying()
    play.copies_all(first, "KMATN")
    play.console("reveal")
    before = without_the_run(play)
    play.send("EAT")
    if moment == "first sound":
        play.now_ms = play.push.start_room_ms + 20.0
        play.learner(first, "write_keys", push=2, first=0, keys=[{"at_ms": 20.0, "sign": "E"}])
    if moment == "paused":
        play.console("pause")
    effects = play.console(order)
    assert addresses(effects, "halt") == [SEATS, CONSOLE]
    assert {
        (h.payload["push"], h.payload["for_good"], h.payload["sent"]) for h in sends(effects, "halt")
    } == {(2, True, 0)}
    assert not sends(effects, "closed") + sends(effects, "reveal"), "there is nothing to tidy up or to show"
    if order != "open_meeting":
        assert without_the_run(play) == before
        assert play.cells() == {(sign, sign): 1 for sign in "KMATN"}


def test_after_the_first_sound_a_stopped_run_is_not_cancelled(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EAT")
    play.to_symbol(1)
    play.console("stop")
    assert (play.view("run")["run"]["sent"], play.push.phase(play.now_ms)) == (1, "stopped")


def test_a_learner_who_comes_after_a_cancelled_run_waits_for_the_next(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EAT")
    play.console("stop")
    welcome = sends(play.join("Dahlia"), "welcome")[0].payload
    assert welcome["push"] is None
    assert play.view("wall")["run"] is None
    assert play.view("run")["run"] is None
    assert not refusal(play.console("send_text", **(OWN | {"purpose": "own", "text": "TEA"})))


def test_a_cancelled_step_is_still_to_do_and_its_sound_not_known(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("plan_evening", minutes=45.0)
    before = play.view("plan")
    first = next(step for step in before["steps"] if step["purpose"] == "meet")
    play.console("send_step", step=first["step"])
    assert play.state.symbols == first["symbols"][:1]
    assert refusal(play.console("send_step", step=first["step"])) == "This step was sent already."
    play.console("stop")
    assert play.view("plan") == before
    assert play.state.symbols == ""
    assert not refusal(play.console("send_step", step=first["step"]))


def test_a_cancelled_introduction_of_a_known_sound_leaves_it_known(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="KM")
    play.send("KKK", purpose="meet", symbols="K", counted=False)
    play.console("stop")
    assert play.state.symbols == "KM"


def test_a_text_that_nobody_heard_can_come_again(play: ScriptedRoom) -> None:
    play.seat_three()
    mix = OWN | {"purpose": "mix", "symbols": "AETN", "seed": 7}
    play.console("send_text", **mix)
    play.console("stop")
    play.console("send_text", **mix)
    assert play.state.runs[0].text == play.state.runs[1].text


# ------------------------------------------------------------------ orders on what has just changed

JUST_CHANGED = "The run had just changed, so nothing was done. Look at it first."


@pytest.mark.parametrize(
    ("orders", "then"),
    [
        (["pause", "pause"], "paused"),
        (["pause", "stop"], "paused"),
        (["stop", "close"], "stopped"),
        (["stop", "repeat"], "stopped"),
    ],
)
def test_an_order_on_what_has_just_changed_does_nothing(
    play: ScriptedRoom, orders: list[str], then: str
) -> None:
    """The second comes of a second click, or of a second console: both were given on a run that sounds."""
    play.seat_three()
    play.send("EATEN")
    play.to_symbol(2)
    first, second = orders
    assert not refusal(play.console(first, push=1, seen="sounding"))
    assert refusal(play.console(second, push=1, seen="sounding")) == JUST_CHANGED
    assert (len(play.state.runs), play.push.phase(play.now_ms)) == (1, then)


def test_an_order_meant_for_an_earlier_run_does_nothing(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EAT")
    play.to_tidying()
    play.send("TEA")
    for order in ("stop", "pause", "close", "reveal"):
        assert refusal(play.console(order, push=1, seen="sounding")) == JUST_CHANGED
    assert play.push.phase(play.now_ms) == "counting in"


@pytest.mark.parametrize(
    ("seen", "order", "now"),
    [
        ("counting in", "pause", "sounding"),
        ("sounding", "stop", "counting in"),
        ("waiting", "close", "tidying"),
    ],
)
def test_an_order_holds_while_a_run_goes_on_by_itself(
    play: ScriptedRoom, seen: str, order: str, now: str
) -> None:
    play.seat_three()
    play.send("EATEN")
    if now == "sounding":
        play.to_symbol(2)
    if now == "tidying":
        play.to_tidying()
    assert not refusal(play.console(order, push=1, seen=seen))


def test_of_two_sendings_at_once_only_the_first_is_sent(play: ScriptedRoom) -> None:
    play.seat_three()
    tea = OWN | {"purpose": "own", "text": "TEA"}
    assert not refusal(play.console("send_text", **tea, after=0))
    play.to_tidying()
    sentence = "Another run was sent meanwhile, so this one was not. Look at it first."
    assert refusal(play.console("send_text", **tea, after=0)) == sentence
    play.console("plan_evening", minutes=45.0)
    step = next(step.id for step in play.state.plan if step.step.text)
    assert refusal(play.console("send_step", step=step, after=0)) == sentence
    assert not refusal(play.console("send_step", step=step, after=1))


def test_the_journal_keeps_orders_without_what_was_seen(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("send_text", **(OWN | {"purpose": "own", "text": "TEA"}), after=0)
    play.to_symbol(1)
    effects = play.console("pause", push=1, seen="sounding")
    assert next(e.event for e in effects if isinstance(e, Save)) == ev.Pause()
