"""Two circles in real Chromium: three phones, the console and the wall."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from console_page import settle as settle_console
from learner_page import button, heading, join, settle

WALL = {"width": 1920, "height": 1080}
BOTH: dict[str, Any] = {
    "circles": [
        {"name": "By the window", "sign": "window", "symbols": "KM", "wpm": 20.0, "overall_wpm": 12.0},
        {"name": "By the door", "sign": "door", "symbols": "AT", "wpm": 25.0, "overall_wpm": 20.0},
    ],
    "lasts_s": 20.0,
}


def test_two_circles_copy_at_once_and_a_learner_changes_circle(
    console: Page,
    server: Server,
    code: str,
    instructor: Instructor,
    person: Callable[..., Page],
    pictures: object,
) -> None:
    instructor.emit("set_symbols", {"symbols": "KMAT"})
    phones = [person() for _ in range(3)]
    for page, name in zip(phones, ("Wren", "Otter", "Heron"), strict=True):
        join(page, server, code, name)
        settle(page)
    wall = person(WALL)
    wall.goto(server.wall_url(code))
    settle_console(console)
    console.get_by_role("radio", name="Circles").check(force=True)
    expect(console.get_by_role("group", name=re.compile("By the door"))).to_have_count(2)
    instructor.emit("start_exercise", {"kind": "circles", "setup": BOTH})
    expect(phones[0].get_by_text("Your circle: By the window")).to_be_visible()
    expect(phones[1].get_by_text("Your circle: By the door")).to_be_visible()
    for page, own, others in ((phones[0], "KM", "AT"), (phones[1], "AT", "KM")):
        for sign in own:
            expect(page.get_by_role("button", name=sign, exact=True)).to_be_visible()
        for sign in others:
            expect(page.get_by_role("button", name=sign, exact=True)).to_have_count(0)
    expect(wall.get_by_role("heading", name=re.compile("Write what your circle hears"))).to_be_visible()
    button(phones[0], "K").click()
    button(phones[1], "A").click()
    window = console.get_by_role("region", name="By the window")
    expect(window.get_by_role("table")).to_be_visible()
    console.get_by_role("combobox", name=re.compile("Circle of Wren")).select_option(label="By the door")
    expect(phones[0].get_by_text("By the door, from the next start on")).to_be_visible()
    console.screenshot(path=f"{pictures}/circles-console.png")
    wall.screenshot(path=f"{pictures}/circles-wall.png")
    phones[0].screenshot(path=f"{pictures}/circles-phone.png")
    instructor.emit("stop")
    instructor.emit("reveal")
    expect(wall.get_by_role("heading", name="What the circles wrote")).to_be_visible()
    expect(wall.get_by_role("table")).to_have_count(2)
    wall.screenshot(path=f"{pictures}/circles-wall-shown.png")
    console.screenshot(path=f"{pictures}/circles-console-shown.png")
    button(console, "Repeat").click()
    expect(phones[0].get_by_text("Your circle: By the door")).to_be_visible()
    at_the_key(instructor, console, phones, pictures)


def at_the_key(instructor: Instructor, console: Page, phones: list[Page], pictures: object) -> None:
    """The circle by the door keys now, and the one by the window copies on."""
    for order in ("stop", "reveal"):
        instructor.emit(order)
    key = BOTH["circles"][1] | {"kind": "key", "setup": {"text": "given", "given": "TEA"}}
    instructor.emit(
        "start_exercise", {"kind": "circles", "setup": BOTH | {"circles": [BOTH["circles"][0], key]}}
    )
    wren, otter, heron = phones
    heading(wren, "Send this")
    expect(otter.get_by_text("Wren")).to_be_visible()
    heading(otter, "Write what you hear")
    expect(heron.get_by_text("Your circle: By the window")).to_be_visible()
    door = console.get_by_role("region", name="By the door")
    expect(door.get_by_text("Wren sends, 1 copies")).to_be_visible()
    expect(door.get_by_role("button", name="Skip this turn")).to_be_visible()
    console.screenshot(path=f"{pictures}/circles-key.png", full_page=True)
