"""The evening's plan in a room: what the instructor changes in it, and what copies change."""

from __future__ import annotations

from scripted_room import ScriptedRoom


def _seconds_to_do(play: ScriptedRoom) -> float:
    return sum(step.step.duration_s for step in play.state.plan if not step.push)


def _plan_and_copy(play: ScriptedRoom, *, dropped: int) -> tuple[float, float]:
    """Plan, drop so many mixes, send and copy one text: seconds still to do before and after it."""
    seats = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.console("plan_evening", minutes=45.0)
    mixes = [step.id for step in play.state.plan if step.step.kind == "mix"][:dropped]
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
    assert not any("to spare" in change for change in play.state.plan_changes)


def test_a_new_plan_fills_its_minutes_whatever_was_dropped_before(play: ScriptedRoom) -> None:
    _plan_and_copy(play, dropped=4)
    play.console("plan_evening", minutes=40.0)
    assert _seconds_to_do(play) > 0.8 * 40 * 60
    assert play.state.plan_freed_s == 0


def test_dropped_steps_stay_dropped_after_a_restart(play: ScriptedRoom) -> None:
    _plan_and_copy(play, dropped=4)
    assert play.replayed().state.plan_freed_s == play.state.plan_freed_s > 0
