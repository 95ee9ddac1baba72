"""A relay in real Chromium: three phones, the console and the wall."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from learner_page import button, heading, join, key, settle

LAPTOP = {"width": 1280, "height": 800}
WALL = {"width": 1920, "height": 1080}
MESSAGE = "KMKM TA"
TONES = 13


def turns(phones: list[Page]) -> tuple[Page, Page, Page]:
    """Who copies, who is next, and who comes last; their order was drawn."""
    first = next(page for page in phones if page.get_by_text("That is what I have").count() == 1)
    second = next(page for page in phones if page.get_by_role("heading", name="You are next").count() == 1)
    (third,) = (page for page in phones if page not in (first, second))
    return first, second, third


def pass_on(page: Page, signs: str) -> None:
    expect(button(page, "That is what I have: pass it on")).to_be_visible()
    button(page, signs[0]).click()
    page.keyboard.type(signs[1:])
    button(page, "That is what I have: pass it on").click()


@pytest.fixture
def own_server(tmp_path: Path) -> Iterator[Server]:
    """One that a test may kill."""
    server = Server(tmp_path / "data")
    yield server
    server.stop()


def test_three_phones_pass_a_message_on_and_all_see_where_it_changed(
    own_server: Server, person: Callable[..., Page], pictures: object
) -> None:
    server, code = own_server, own_server.open_room()
    instructor = Instructor(server, code)
    console = person(LAPTOP)
    console.goto(f"{server.url}/console?room={code}#{server.secret}")
    sound: dict[str, Any] = {"wpm": 60.0, "overall_wpm": 60.0, "pitch_hz": 600.0, "lead_in_s": 0.3}
    instructor.emit("set_sound", sound | {"tidy_s": 120.0})
    instructor.emit("set_symbols", {"symbols": "KMAT"})
    phones = [person() for _ in range(3)]
    for page, name in zip(phones, ("Wren", "Otter", "Heron"), strict=True):
        join(page, server, code, name)
        settle(page)
    wall = person(WALL)
    wall.goto(server.wall_url(code))
    button(console, "That is how we hear").click()
    console.get_by_role("radio", name="Relay").check(force=True)
    expect(console.get_by_role("group", name=re.compile("Who takes part"))).to_be_visible()
    console.get_by_role("radio", name="a text of your own").check(force=True)
    console.get_by_role("textbox", name="Text", exact=True).fill(MESSAGE)
    console.get_by_role("radio", name="by hand").check(force=True)
    button(console, re.compile("^Begin")).click()
    expect(wall.get_by_role("heading", name="The message is on its way")).to_be_visible()
    for page in phones:
        expect(
            page.get_by_text(re.compile("That is what I have|You are next|2 stations before you"))
        ).to_be_visible()
    first, second, third = turns(phones)
    heading(third, "2 stations before you")
    first.screenshot(path=f"{pictures}/relay-phone-copies.png")
    pass_on(first, "KMKMTA")
    heading(first, "Send what you have")
    expect(second.get_by_text("Sent by hand, by station 1.")).to_be_visible()
    expect(console.get_by_role("heading", name=re.compile("Station 1 keys, station 2"))).to_be_visible()
    first.screenshot(path=f"{pictures}/relay-phone-keys.png")
    key(first, MESSAGE, slower=0.25)  # as quick as what the machine sends
    instructor.wait("progress", lambda told: [copy["heard"] for copy in told["copies"]] == [TONES])
    second.keyboard.type("KMTMTA")
    button(first, "I have sent it all").click()
    heading(first, "Your part is done")
    button(second, "That is what I have: pass it on").click()
    button(second, "Let the machine send").click()
    expect(console.get_by_role("heading", name=re.compile("copies station 2"))).to_be_visible()
    console.screenshot(path=f"{pictures}/relay-console.png")
    expect(button(third, "That is what I have: pass it on")).to_be_visible()
    server.kill()
    server.start()
    pass_on(third, "KMTMTA")
    for page in phones:
        heading(page, "The relay is over")
    button(console, "Show to the learners").click()
    expect(wall.get_by_role("heading", name="How the message travelled")).to_be_visible()
    expect(
        wall.get_by_text("5 of 6 characters arrived. “K” went first: it came out as “T” at station 2.")
    ).to_be_visible()
    expect(wall.get_by_role("row")).to_have_count(5)
    expect(wall.get_by_role("cell", name="T changed here")).to_have_count(1)
    expect(wall.get_by_role("cell", name="T passed on as received")).to_have_count(1)
    for name in ("Wren", "Otter", "Heron"):
        expect(wall.get_by_text(name)).to_have_count(0)
    expect(second.get_by_text("station 2 of 3")).to_be_visible()
    expect(second.get_by_role("group", name=re.compile("The way of the message"))).to_be_visible()
    for page, name in ((wall, "wall"), (second, "phone")):
        page.screenshot(path=f"{pictures}/relay-{name}-shown.png")
