"""Ways of hearing, as the pages carry them out: what is really handed to the audio, and when."""

from __future__ import annotations

import re
import statistics
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from classroom import Instructor
from learner_page import button, set_sound
from listener_page import SAME_MS, handed, in_step, onsets_ms, open_more, until

TEXT = "TAMEN"
LATE_MS = 120


@pytest.fixture
def output() -> str:
    """The browser's own output is what is tested."""
    return ""


# ------------------------------------------------------------------ who sounds


def test_every_browser_sounds(instructor: Instructor, listener: Callable[..., Page]) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    push = instructor.send(TEXT)
    instructor.sounded_out(push)
    for page in pages:
        assert in_step(handed(page), onsets_ms(push))


def test_the_first_burst_comes_within_a_second_of_send_and_whole(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    quick = {"wpm": 30.0, "overall_wpm": 30.0, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 30.0}
    instructor.emit("set_sound", quick)
    instructor.wait("room", lambda room: room["sound"] == quick)
    for _ in range(3):
        asked_room_ms = instructor.clock()["sent_room_ms"]
        push = instructor.send(TEXT)
        assert push["start_room_ms"] + onsets_ms(push)[0] - asked_room_ms <= 1000.0
        instructor.sounded_out(push)
        for page in pages:
            until(page, f"handed.length === {len(TEXT)}")
            assert handed(page)[0]["inMs"] > 0, "handed over before it is due: nothing of it is cut off"
            page.evaluate("handed.length = 0")
        instructor.emit("close")
        instructor.wait("table", lambda table: table["final"])
        instructor.forget()


def test_headphones_sound_on_every_device(instructor: Instructor, listener: Callable[..., Page]) -> None:
    instructor.emit("set_hearing", {"way": "headphones", "source": 0})
    page = listener("Hana")
    push = instructor.send(TEXT)
    instructor.sounded_out(push)
    assert in_step(handed(page), onsets_ms(push))


# ------------------------------------------------------------------ a slow output


def beat_ms(page: Page) -> float:
    """Where in each second of room time the page's beat is handed over."""
    page.evaluate("handed.length = 0")
    button(page, "Play the beat").click()
    until(page, "handed.length >= 5")
    button(page, "Stop the beat").click()
    return statistics.median(sound["pageMs"] % 1000.0 for sound in handed(page))


def test_a_slow_output_set_by_ear_sounds_so_much_earlier_and_is_remembered(
    listener: Callable[..., Page],
) -> None:
    page = listener("Hana")
    open_more(page, "Late or doubled sound")
    before_ms = beat_ms(page)
    page.get_by_role("slider", name="This output is late by").fill(str(LATE_MS))
    earlier_ms = (before_ms - beat_ms(page)) % 1000.0
    assert earlier_ms == pytest.approx(LATE_MS, abs=SAME_MS)
    page.reload()
    open_more(page, "Late or doubled sound")
    expect(page.get_by_role("slider", name="This output is late by")).to_have_value(str(LATE_MS))


# ------------------------------------------------------------------ an output taken away


def test_an_interrupted_output_is_seen_and_goes_on_in_step_after_a_tap(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    page = listener("Hana")
    set_sound(instructor, wpm=10.0)
    push = instructor.send("TAMENTAMEN")
    until(page, "handed.length >= 2")
    page.evaluate("contexts[0].suspend()")
    expect(page.get_by_text("The sound was interrupted.")).to_be_visible()
    instructor.wait("seats", lambda told: [seat["sound"] for seat in told["seats"]] == ["lost"])
    page.evaluate("handed.length = 0")
    instructor.sounded_out(push, 3)  # the third at least is missed, however quick the tap
    button(page, "Turn it on").click()
    expect(page.get_by_text("The sound was interrupted.")).to_be_hidden()
    instructor.wait("seats", lambda told: [seat["sound"] for seat in told["seats"]] == ["on"])
    instructor.sounded_out(push)
    again = handed(page)
    assert 0 < len(again) < 9, "some were missed, and the rest was heard"
    assert in_step(again, onsets_ms(push)[-len(again) :])
    heard = instructor.view("progress")["copies"][0]["heard"]
    assert len(again) <= heard < 10, "what sounded while the output was away does not count as heard"


# ------------------------------------------------------------------ what the console says


def test_the_console_says_how_close_the_room_sounds_and_names_the_worst(
    instructor: Instructor, listener: Callable[..., Page], console: Page, pictures: Path
) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    expect(console.get_by_text(re.compile(r"2 here, the room sounds within \d{1,2} ms"))).to_be_visible()
    console.screenshot(path=pictures / "console_in_step.png")
    instructor.forget()
    button(console, "Sound check").first.click()
    push = instructor.wait("run", lambda told: told["run"] is not None)["run"]
    assert (push["purpose"], push["counted"]) == ("listen", False)
    for page in pages:
        until(page, "handed.length > 0")
