"""A copy check in real Chromium: two candidates on phones, the console, the wall. All invented."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import msgspec
from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from copyroom.core.checks import FORMS
from copyroom.room.exercises.check.setup import shown_form
from learner_page import button, heading, join, settle

LAPTOP, WALL = {"width": 1280, "height": 800}, {"width": 1920, "height": 1080}
SHORT = {
    **msgspec.to_builtins(shown_form(FORMS["nz-5"])),
    "counted": 6, "figures": 0, "warm_up_s": 0.0, "tidy_s": 60.0, "character_wpm": 0.0, "edited": True,
    "speeds_wpm": [40.0], "passes": [{"kind": "errors", "amount": 0, "of": 0}],
}  # fmt: skip
PRINT = (
    "() => { window.print = () => { window.printed = document.querySelector('.check-print').textContent }; }"
)
"""In place of the browser's dialog."""


def test_a_check_is_sat_marked_overruled_and_shown(
    server: Server, code: str, console: Page, person: Callable[..., Page], pictures: Path
) -> None:
    instructor = Instructor(server, code)
    instructor.emit(
        "set_sound", {"wpm": 30.0, "overall_wpm": 30.0, "pitch_hz": 600.0, "lead_in_s": 1.0, "tidy_s": 30.0}
    )
    first, second, wall = person(), person(), person(WALL)
    for page, name in ((first, "Wren"), (second, "Otter")):
        join(page, server, code, name)
        settle(page)
    wall.goto(server.wall_url(code))
    instructor.emit("start_exercise", {"kind": "check", "setup": {"form": SHORT, "wpm": 40.0}, "seed": 5})
    heading(first, "The text comes next")
    expect(first.get_by_role("textbox", name="Your copy")).to_be_disabled()
    button(console, "Begin the text").click()
    heading(first, "Tidy up")
    heading(second, "Tidy up")
    shown = instructor.wait("exercise", lambda told: told["shown"] and told["shown"]["text"])["shown"]
    text = shown["text"]
    assert shown["missed"] == 0
    first.get_by_role("textbox", name="Your copy").fill(text.lower())
    wrong = ("T" if text[0] != "T" else "E") + text[1:]
    second.get_by_role("textbox", name="Your copy").fill(wrong)
    first.screenshot(path=pictures / "check-phone.png")
    button(first, "Hand in").click()
    heading(first, "Handed in")
    assert text not in first.inner_text("main")
    button(second, "Hand in").click()
    expect(console.get_by_text("meets the form", exact=True)).to_be_visible()
    button(console.get_by_role("main"), "Otter").click()
    copy = console.get_by_role("region", name=re.compile("^Otter.s copy"))
    expect(copy.get_by_text("1 error; 0 allowed")).to_be_visible()
    copy.get_by_role("button", name=re.compile(": wrong$")).click()
    copy.get_by_role("textbox", name="Reason").fill("read back")
    button(copy, "Count it as right").click()
    expect(copy.get_by_role("heading", name="Otter: meets the form")).to_be_visible()
    expect(copy.get_by_role("button", name=re.compile("the examiner: right, read back$"))).to_be_visible()
    console.screenshot(path=pictures / "check-console.png")
    wall.screenshot(path=pictures / "check-wall.png")
    assert not re.search(f"Wren|Otter|{text}", wall.inner_text("main"))

    console.evaluate(PRINT)
    button(copy, "Print this sheet").click()
    printed = console.evaluate("window.printed")
    for part in ("New Zealand", "edited by the examiner", text, "read back", "Examiner", "It is no licence"):
        assert part in printed
    console.emulate_media(media="print")
    console.screenshot(path=pictures / "check-print.png", full_page=True)
    console.emulate_media(media="screen")
    console.evaluate("dispatchEvent(new Event('afterprint'))")

    instructor.emit("reveal")
    heading(first, "Your copy meets the form")
    heading(second, "Your copy meets the form")
    second.screenshot(path=pictures / "check-result.png", full_page=True)
    assert "Otter" not in first.inner_text("main")
