"""What screen readers and voices go by: each state of a page has a heading, names hold what is seen."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from learner_page import button, heading, join, settle

MISNAMED = r"""() => {
  const seen = (element) => {
    const copy = element.cloneNode(true);
    copy.querySelectorAll('[aria-hidden=true], .unseen').forEach((part) => part.remove());
    return copy.textContent.replace(/[^\p{L}\p{N}]+/gu, ' ').trim().toLowerCase();
  };
  const plain = (text) => text.replace(/[^\p{L}\p{N}]+/gu, ' ').trim().toLowerCase();
  return [...document.querySelectorAll('[aria-label]')]
    .filter((one) => one.matches('button, a, [role=gridcell], summary') && seen(one).length > 1)
    .filter((one) => !plain(one.ariaLabel).includes(seen(one)))
    .map((one) => `${one.ariaLabel} / ${seen(one)}`);
}"""
"""WCAG 2.2, 2.5.3: who says what stands on a button means that button. One sign may be spoken otherwise."""


def sound(page: Page) -> None:
    """This state of a page is in order."""
    expect(page.get_by_role("heading", level=1)).to_have_count(1)
    assert page.evaluate(MISNAMED) == []


def test_each_state_of_a_learners_page_has_a_heading_and_names_that_hold_what_is_seen(
    server: Server, code: str, instructor: Instructor, person: Callable[..., Page]
) -> None:
    page = person()
    page.goto(f"{server.url}/r/{code}")
    heading(page, "Join the class")
    sound(page)
    join(page, server, code)
    heading(page, "First, the sound")
    sound(page)
    settle(page)
    sound(page)
    named = {"purpose": "meet", "symbols": "K", "count": 2, "group": 5, "text": ""}
    instructor.emit("send_text", {**named, "name_shown": True, "counted": False, "seed": 1})
    heading(page, "Just listen.")
    sound(page)
    heading(page, "That was it. Your instructor goes on.")
    instructor.send("TAMEN TAMEN")
    heading(page, "Write what you hear")
    sound(page)
    instructor.emit("close")
    heading(page, "This run is over")
    sound(page)


def test_sound_that_is_off_has_one_way_to_turn_it_on(
    server: Server, code: str, person: Callable[..., Page]
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    page.reload()
    expect(button(page, "Turn it on")).to_have_count(1)
    sound(page)


def test_who_comes_in_mid_run_is_told_that_the_run_sounds_and_when_test_tones_come(
    server: Server, code: str, instructor: Instructor, person: Callable[..., Page]
) -> None:
    instructor.send("TAMEN " * 40)
    page = person()
    join(page, server, code)
    expect(page.get_by_text("one tap, and you hear it")).to_be_visible()
    button(page, "Turn the sound on").click()
    heading(page, re.compile("Can you hear the class.s run"))
    tones = button(page, "Play the test tones")
    expect(tones).to_be_disabled()
    expect(page.get_by_text("Test tones can be played when it is over.")).to_be_visible()
    sound(page)
    instructor.emit("stop")
    heading(page, "Can you hear the test tones?")
    expect(tones).to_be_enabled()
    instructor.send("TAMEN " * 40)
    button(page, "I hear it").click()
    button(page, re.compile("Type while listening")).click()
    heading(page, "Write what you hear")
    button(page, re.compile("I can.t hear")).click()
    expect(button(page, "Play test tones")).to_be_disabled()
    expect(page.get_by_text("While the class sounds, test tones keep quiet")).to_be_visible()


def test_each_state_of_the_wall_has_a_heading(
    server: Server, code: str, instructor: Instructor, person: Callable[..., Page]
) -> None:
    wall = person({"width": 1920, "height": 1080})
    wall.goto(server.wall_url(code))
    expect(wall.get_by_role("img", name=re.compile("QR code"))).to_be_visible()
    sound(wall)
    instructor.send("TAMEN TAMEN")
    heading(wall, re.compile("Get ready|Write what you hear"))
    sound(wall)
    instructor.emit("close")
    wall.goto(f"{server.url}/wall#{server.secret}")  # on the instructor's own computer
    expect(wall.get_by_role("heading", level=1)).not_to_have_text(re.compile("instructor"))
    wall.goto(f"{server.url}/wall?room=HERON-MAPLE-000")
    heading(wall, re.compile("There is no room with that code"))
    sound(wall)


def test_each_state_of_the_console_has_a_heading_and_names_that_hold_what_is_seen(console: Page) -> None:
    expect(console.get_by_role("heading", name="How does the class hear tonight?")).to_be_visible()
    sound(console)
    button(console, "That is how we hear").click()
    for opener in ("Rooms", "Sound settings", "Change the known sounds", "Course"):
        button(console, opener).click()
        expect(console.get_by_role("dialog")).to_be_visible()
        sound(console)
        console.keyboard.press("Escape")
    button(console, re.compile("change the title")).click()
    expect(console.get_by_role("textbox", name="Title of the class")).to_be_visible()
    sound(console)
    console.keyboard.press("Escape")
    button(console, "Plan this evening").click()
    expect(button(console, re.compile("^Send it: "))).to_be_visible()
    sound(console)
