"""Named rounds in real browsers: set up in two clicks, answered, put right, cut by a power cut, and shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from console_page import button, choose
from learner_page import heading, join, set_sound, settle

LAPTOP = {"width": 1280, "height": 800}
BEAMER = {"width": 1920, "height": 1080}
SYMBOLS = "AKR"
ROUNDS = 12


def begin(console: Page) -> None:
    """As an instructor sets it up: what is proposed, shorter, and by turns."""
    button(console, "That is how we hear").click()
    choose(console, "Named rounds")
    expect(console.get_by_text("Sounds: A, K and R")).to_be_visible()
    for label, value in (("Rounds", str(ROUNDS)), ("Gap", "2")):
        console.get_by_role("spinbutton", name=label).fill(value)
        console.keyboard.press("Tab")
    choose(console, "By turns")
    button(console, re.compile("Begin")).click()


def in_gap(page: Page) -> None:
    """The field of the gap is the one at hand."""
    expect(page.locator('.named-fields > [data-is="gap"][data-now]')).to_be_visible()


def other_than(sign: str) -> str:
    return next(other for other in SYMBOLS if other != sign)


def names_on(page: Page) -> str:
    """What stands where a name would come."""
    return page.locator(".named-sign, .named-wall-sign").inner_text().strip("?")


def first_round(pages: list[Page], wall: Page, sent: str) -> None:
    """One right, one wrong and put right, one blank; and no name before its time."""
    wren, otter, heron = pages
    heading(wren, re.compile("you answer", re.IGNORECASE))
    expect(wren.get_by_role("list", name="Whose turn it is")).to_contain_text("you")
    in_gap(wall)
    assert [page.locator(".named-sign").count() for page in pages] == [0, 0, 0]
    assert names_on(wall) == ""
    wren.get_by_role("button", name=sent, exact=True).click()
    otter.keyboard.press(other_than(sent).lower())
    heron.keyboard.press("Space")
    for page in pages:
        expect(page.locator('.named-own[data-is="kept"]')).to_be_visible()
    expect(wall.get_by_text("3 have answered")).to_be_visible()
    for page in pages:
        expect(page.locator(".named-sign")).to_have_text(sent)
    heading(wren, "Right")
    otter.keyboard.press(sent.lower())
    expect(otter.get_by_text(f"put right: {sent}")).to_be_visible()
    expect(wall.locator(".named-wall-sign")).to_have_text(sent)


def after_a_power_cut(server: Server, page: Page, sent: str) -> None:
    """What was answered in the gap is held by the room that comes back."""
    heading(page, re.compile("Listen|What was it"))
    in_gap(page)
    page.keyboard.press(sent.lower())
    expect(page.locator('.named-own[data-is="kept"]')).to_have_text(sent)
    server.kill()
    server.start()


def a_meeting_asks_for_another_one(instructor: Instructor, console: Page, pages: list[Page]) -> None:
    """The name comes after the sound, and a sound that is known already is really asked for."""
    meeting = {"purpose": "meet", "symbols": "M", "count": 3, "group": 3, "text": "MKM"}
    instructor.emit("send_text", meeting | {"name_shown": True, "counted": False})
    expect(console.get_by_role("heading", name="All listen; who knows it answers")).to_be_visible()
    first = pages[0]
    expect(first.locator(".named-sign")).to_have_text("M")
    heading(first, "The new one, or another?")
    first.keyboard.press("k")
    expect(first.locator(".named-sign")).to_have_text("K")
    heading(first, "Right")
    expect(first.get_by_text("3rd of 3")).to_be_visible()
    expect(first.locator(".named-sign")).to_have_text("M")
    expect(console.get_by_text("Sound over")).to_have_count(0)  # its name is still on the screens
    heading(first, re.compile("That was it"))
    expect(console.get_by_text("Sound over")).to_be_visible()


def by_voice(instructor: Instructor, console: Page, pages: list[Page]) -> None:
    """The console has the name first, with the time to say it."""
    setup = {"symbols": SYMBOLS, "rounds": 4, "gap_s": 1, "voice": True}
    instructor.emit("start_exercise", {"kind": "named", "setup": setup, "seed": 3})
    name = instructor.wait("exercise", lambda told: told["shown"]["voice"] and told["shown"]["name"])["shown"]
    expect(console.locator(".named-say .named-sign")).to_have_text(name["name"])
    assert pages[0].locator(".named-sign").count() == 0
    heading(pages[0], "Your instructor says it")
    expect(pages[0].locator(".named-sign")).to_have_text(name["name"])


def test_three_phones_a_console_and_the_wall_play_named_rounds_through_a_power_cut(
    tmp_path: Path, person: Callable[..., Page], pictures: Path
) -> None:
    server = Server(tmp_path / "data")
    try:
        code = server.open_room()
        instructor = Instructor(server, code)
        set_sound(instructor, wpm=20.0)
        instructor.emit("set_symbols", {"symbols": SYMBOLS})
        console, wall = person(LAPTOP), person(BEAMER)
        console.goto(f"{server.url}/console?room={code}#{server.secret}")
        wall.goto(server.wall_url(code))
        pages = [person() for _ in range(3)]
        for page, name in zip(pages, ("Wren", "Otter", "Heron"), strict=True):
            join(page, server, code, name)
            settle(page)
        begin(console)
        told: dict[str, Any] = instructor.wait("run", lambda told: told["run"] is not None)
        text = told["run"]["text"]
        assert len(text) == ROUNDS
        expect(console.get_by_role("heading", name="Wren answers, two write along")).to_be_visible()
        first_round(pages, wall, text[0])
        pages[0].screenshot(path=pictures / "named-phone.png")
        expect(console.get_by_role("heading", name="Otter answers, two write along")).to_be_visible()
        after_a_power_cut(server, pages[0], text[1])
        button(console, "Go on").click()  # what sounded comes back paused
        rounds = console.get_by_role("list", name="The rounds so far").get_by_role("listitem")
        expect(rounds.nth(1)).to_contain_text(re.compile(rf"{text[1]}1 of \d right"))
        console.screenshot(path=pictures / "named-console.png", full_page=True)
        wall.screenshot(path=pictures / "named-wall.png")
        button(console, re.compile("Stop the sound")).click()
        button(console, re.compile("Close and show")).click()
        for page in pages:
            heading(page, "The rounds are over")
        expect(pages[0].get_by_text(re.compile("Known before its name: 2 of "))).to_be_visible()
        answers = pages[1].get_by_role("list", name="What sounded, and what you answered")
        expect(answers.get_by_role("listitem").first).to_have_attribute("data-is", "another")
        heading(wall, "How fast we know them")
        expect(wall.get_by_role("table")).to_be_visible()
        for name in ("Wren", "Otter", "Heron"):
            expect(wall.locator("main")).not_to_contain_text(name)
        pages[1].screenshot(path=pictures / "named-after.png")
        wall.screenshot(path=pictures / "named-wall-after.png")
        instructor = Instructor(server, code)
        a_meeting_asks_for_another_one(instructor, console, pages)
        by_voice(instructor, console, pages)
    finally:
        server.stop()
