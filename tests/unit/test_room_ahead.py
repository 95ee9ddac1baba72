"""Sounds are on the wire seconds before they are heard: no sooner, and in time for a break in the Wi-Fi."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, SEATS
from copyroom.room.run import AHEAD_MS, SURELY_AHEAD_MS
from scripted_room import ScriptedRoom, plain, sends

TEXT = "PARIS " * 9 + "PARIS"
BREAK_MS = 6000.0


class Page:
    """What a page knows of a run by the messages that it gets, and when it was told of each sound."""

    def __init__(self) -> None:
        self.edges: list[list[float]] = []
        self.told_ms: list[float] = []

    def hear(self, payload: Any, now_ms: float) -> None:
        first = payload.get("first", 0)
        if first <= len(self.edges):
            self.edges[first:] = payload["edges"]
            self.told_ms += [now_ms] * (len(self.edges) - len(self.told_ms))


@pytest.fixture
def play() -> ScriptedRoom:
    started = ScriptedRoom()
    started.seat_three()
    return started


def begun(play: ScriptedRoom) -> Page:
    page = Page()
    play.send(TEXT)
    (push,) = [send for send in play.sent if (send.name, send.to) == ("push", SEATS)]
    page.hear(push.payload, play.now_ms)
    return page


def listened(play: ScriptedRoom, page: Page, until_ms: float) -> None:
    """Time passes, and the room is woken when it asked to be."""
    while (asked_ms := play.room.wake_at_ms) is not None and asked_ms < until_ms:
        play.now_ms = max(play.now_ms, asked_ms)
        for send in sends(play.receive(ev.Tick()), "more"):
            assert send.to == SEATS
            page.hear(send.payload, play.now_ms)
    play.now_ms = max(play.now_ms, until_ms)


def end_ms(play: ScriptedRoom) -> float:
    return play.push.start_room_ms + play.push.last_end_ms


def test_a_sound_is_told_within_seconds_of_its_time_and_in_time_for_a_break(play: ScriptedRoom) -> None:
    page = begun(play)
    run = play.push
    listened(play, page, end_ms(play))
    assert page.edges == run.edges_ms
    starts_ms = [run.start_room_ms + edges[0] for edges in run.edges_ms]
    ahead_ms = [start - told for start, told in zip(starts_ms, page.told_ms, strict=True)]
    assert max(ahead_ms) <= AHEAD_MS
    assert min(ahead_ms[page.told_ms.count(page.told_ms[0]) :]) >= SURELY_AHEAD_MS - 10.0
    assert SURELY_AHEAD_MS - 10.0 > BREAK_MS
    assert len(set(page.told_ms)) < len(run.edges_ms) / 5, "in parts, not one by one"


def test_the_console_sounds_the_whole_text_and_is_told_of_no_parts(play: ScriptedRoom) -> None:
    begun(play)
    (push,) = [send for send in play.sent if (send.name, send.to) == ("push", CONSOLE)]
    assert push.payload["edges"] == play.push.edges_ms


def test_a_learner_who_comes_back_is_told_what_the_others_were_and_goes_on_with_them(
    play: ScriptedRoom,
) -> None:
    listened(play, begun(play), play.push.start_room_ms + 20_000.0)
    page = Page()
    page.hear(plain(play._welcome(play.state.seats[1]))["push"], play.now_ms)
    assert len(page.edges) < len(play.push.edges_ms)
    assert max(play.push.start_room_ms + edges[0] - play.now_ms for edges in page.edges) <= AHEAD_MS
    listened(play, page, end_ms(play))
    assert page.edges == play.push.edges_ms


def test_while_it_is_paused_nothing_more_is_told_and_the_rest_when_it_goes_on(play: ScriptedRoom) -> None:
    page = begun(play)
    listened(play, page, play.push.start_room_ms + 5000.0)
    play.console("pause")
    known = len(page.edges)
    listened(play, page, play.now_ms + 60_000.0)
    assert len(page.edges) == known
    again, halted_ms = plain(play._welcome(play.state.seats[1]))["push"], play.push.halted_room_ms
    assert halted_ms is not None
    assert play.push.start_room_ms + again["edges"][-1][0] - halted_ms <= AHEAD_MS
    play.console("go_on")
    listened(play, page, end_ms(play))
    assert page.edges == play.push.edges_ms


def test_after_a_restart_the_rest_is_told(play: ScriptedRoom) -> None:
    page = begun(play)
    listened(play, page, play.push.start_room_ms + 5000.0)
    again = play.replayed()
    again.join("", token=play.state.seats[1].token)
    listened(again, page, end_ms(play))
    assert page.edges == again.push.edges_ms
