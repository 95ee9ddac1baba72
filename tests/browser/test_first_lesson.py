"""A whole exercise in real browsers: one instructor, three learners, from joining to each copy revealed.

The truth is known because the test decides what each learner presses, and when: half a second after the
end of each sound, timed from the standard's durations, as people do who keep up.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from classroom import Server
from copyroom.core.bursts import Speed, bursts

OpenPage = Callable[..., Page]

TEXT = "TEAM MATE"
SPEED_WPM = 15
TYPED = {
    "Ana": "TEAMMATE",  # all right
    "Ben": "TIA_MATE",  # I for E, and a blank for the first M
}
ON_PAPER = "te am _ate"  # Cara: a blank for the second M

# Sent T E A M M A T E by three learners: T, A, T, A, E all right; E once as I; M twice left blank of six.
TRUTH = {
    ("T", "T"): 6,
    ("E", "E"): 5,
    ("E", "I"): 1,
    ("A", "A"): 6,
    ("M", "M"): 4,
    ("M", "_"): 2,
}


def button(page: Page, name: str | re.Pattern[str]) -> None:
    page.get_by_role("button", name=name, exact=isinstance(name, str)).click()


def join(page: Page, server: Server, code: str, name: str, way: str) -> None:
    page.goto(f"{server.url}/r/{code}")
    page.get_by_role("textbox", name="Nickname or seat number").fill(name)
    button(page, "Join")
    button(page, "Turn the sound on")
    button(page, "I hear it")
    button(page, re.compile(way))
    expect(page.get_by_text("sound is on")).to_be_visible()


def set_up(console: Page) -> None:
    button(console, "That is how we hear")
    button(console, "Sound settings")
    for label, value in (("Character speed", str(SPEED_WPM)), ("Overall speed", str(SPEED_WPM))):
        console.get_by_role("spinbutton", name=label).fill(value)
    button(console, "Set the sound")


def send(console: Page, text: str = TEXT) -> None:
    console.get_by_role("radio", name="Own text", exact=True).check(force=True)
    console.get_by_role("textbox", name="Text", exact=True).fill(text)
    # I is no part of the text: it comes into play as a sound that somebody took it for.
    button(console, re.compile("Send to the class"))


def type_along(pages: dict[str, Page]) -> None:
    """Press each learner's keys in time. The count-in ends when the heading says so."""
    timing = bursts(TEXT, Speed(SPEED_WPM, SPEED_WPM))
    for page in pages.values():
        expect(page.get_by_role("heading", name="Write what you hear")).to_be_visible()
    begun_s = time.monotonic()
    for i, end_s in enumerate(timing.end_s):
        time.sleep(max(0.0, begun_s + float(end_s) + 0.5 - time.monotonic()))
        for name, page in pages.items():
            page.keyboard.press("Space" if TYPED[name][i] == "_" else TYPED[name][i].lower())


def cells(console: Page) -> dict[tuple[str, str], int]:
    """The table as a screen reader has it, without empty cells."""
    found: dict[tuple[str, str], int] = {}
    for label in console.get_by_role("gridcell", name=re.compile("^sent")).evaluate_all(
        "cells => cells.map((cell) => cell.getAttribute('aria-label'))"
    ):
        match = re.fullmatch(
            r"sent (.+), (written (.+?)|left blank|missed|written another sign): (\d+).*", label
        )
        assert match, label
        count = int(match[4])
        written = match[3] or {"left blank": "_", "missed": ""}.get(match[2], "?")
        if count:
            found[match[1], written] = count
    return found


def test_a_whole_exercise_from_joining_to_the_own_copy(
    server: Server, code: str, console: Page, person: OpenPage, pictures: Path
) -> None:
    set_up(console)
    typing = {name: person() for name in TYPED}
    cara = person()
    for name, page in typing.items():
        join(page, server, code, name, "Type while listening")
    join(cara, server, code, "Cara", "Pencil and paper")
    room = console.get_by_role("region", name="The room")
    for name in (*TYPED, "Cara"):
        expect(room.get_by_role("button", name=name)).to_be_visible()

    send(console)
    type_along(typing)
    for page in typing.values():
        button(page, "Hand in")
    cara.get_by_role("textbox", name="Key your sheet in").fill(ON_PAPER)
    button(cara, "Hand in")
    expect(cara.get_by_role("heading", name="Handed in")).to_be_visible()

    button(console, "Close")
    expect(console.get_by_role("button", name="Show to the learners")).to_be_visible()
    expect(console.get_by_role("gridcell", name=re.compile("^sent M, left blank: 2"))).to_be_visible()
    assert cells(console) == TRUTH
    button(console, "Show to the learners")

    for page, right in ((typing["Ana"], 8), (typing["Ben"], 6), (cara, 7)):
        expect(page.get_by_role("heading", name=f"{right} of 8 heard right")).to_be_visible()
    expect(typing["Ben"].get_by_role("listitem", name=re.compile("E.*I"))).to_be_visible()
    typing["Ben"].screenshot(path=pictures / "reveal_phone.png")
    console.screenshot(path=pictures / "console_closed.png")


def test_a_reload_in_the_middle_loses_nothing_and_counts_nothing_twice(
    server: Server, code: str, console: Page, person: OpenPage
) -> None:
    set_up(console)
    page = person()
    join(page, server, code, "Ana", "Type while listening")
    send(console, f"{TEXT} " * 10)  # it sounds until it is stopped
    expect(page.get_by_role("heading", name="Write what you hear")).to_be_visible()
    for key in "tea":
        page.keyboard.press(key)
    page.reload()
    sheet = page.get_by_role("group", name="Your copy")
    expect(sheet).to_be_visible()
    button(console, re.compile("Stop the sound"))
    expect(sheet).to_have_text(re.compile(r"^\s*T\s*E\s*A\s*$"))
