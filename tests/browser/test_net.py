"""A net in real Chromium: three stations ask and answer, by taps and at the key; console and wall follow."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from console_page import settle as settle_console
from learner_page import button, heading, join, key, settle

WALL = {"width": 1920, "height": 1080}
QUICK = {"wpm": 60.0, "overall_wpm": 60.0, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 0.0}
NET = {"kind": "net", "setup": {"stations": [1, 2, 3], "groups": 2, "chance": 0.0}}


def part(page: Page, call: str) -> Any:
    """One station's part as a learner has it."""
    return page.get_by_role("listitem").filter(has_text=call).filter(has_text=re.compile(r"\d of 2"))


def gaps(page: Page, call: str) -> Any:
    return part(page, call).get_by_role("button")


def compose_all_of(page: Page, call: str) -> None:
    """Ask for all of a part: a tap on a gap says whose, the procedure's word says what."""
    gaps(page, call).first.click()
    expect(page.get_by_text(f"You ask {call}. Choose one of the words below.")).to_be_visible()
    button(page, re.compile(r"^\?")).click()
    expect(page.get_by_text(f"asks {call} for all of the part: 2 groups")).to_be_visible()


def it_is_shown(page: Page, wall: Page, told: dict[str, Any]) -> None:
    """What was missing stands under its gap, and the parts on the wall."""
    first, second = told["stations"][:2]
    expect(part(page, first["call"])).to_contain_text(first["groups"][0])
    expect(wall.get_by_text(" ".join(second["groups"]))).to_be_visible()


def test_three_stations_ask_answer_and_receipt(
    console: Page,
    server: Server,
    code: str,
    instructor: Instructor,
    person: Callable[..., Page],
    pictures: Path,
) -> None:
    instructor.emit("set_sound", QUICK)
    instructor.emit("set_symbols", {"symbols": "EITANS5"})
    first, second, third = pages = [person() for _ in range(3)]
    for page, name in zip(pages, ("Wren", "Otter", "Heron"), strict=True):
        join(page, server, code, name)
        settle(page)
    wall = person(WALL)
    wall.goto(server.wall_url(code))
    settle_console(console)
    console.get_by_role("radio", name="A net with fills").check(force=True)
    expect(button(console, re.compile("^Begin"))).to_be_enabled()  # as it is set up from the start
    instructor.emit("start_exercise", NET)
    told = instructor.wait("exercise", lambda told: told["shown"]["phase"] == "fills")["shown"]
    calls = [station["call"] for station in told["stations"]]
    groups = told["stations"][1]["groups"]

    for page in pages:
        heading(page, "Ask for what you miss")
    expect(part(first, calls[1])).to_contain_text("0 of 2")
    compose_all_of(first, calls[1])
    first.screenshot(path=pictures / "net-asking.png")
    button(first, "Send it").click()

    heading(second, f"{calls[0]} asks you")
    expect(second.get_by_text("Answer with exactly that, nothing more")).to_be_visible()
    gaps(second, calls[1]).first.click()
    expect(second.get_by_text("2 groups asked, 1 group in your answer.")).to_be_visible()
    gaps(second, calls[1]).last.click()
    expect(second.get_by_text("2 groups asked, 2 groups in your answer")).to_be_visible()
    second.screenshot(path=pictures / "net-answering.png")
    expect(wall.get_by_role("heading", name=f"{calls[1]} is to answer {calls[0]}")).to_be_visible()
    console.screenshot(path=pictures / "net-console.png")
    wall.screenshot(path=pictures / "net-wall.png")
    button(second, "Send the answer").click()
    for page in (first, third):  # who overhears it has it, too
        expect(part(page, calls[1])).to_contain_text(groups[1])
        expect(part(page, calls[1])).to_contain_text("2 of 2")

    button(first, "Receipt: R").click()
    expect(first.get_by_text(f"{calls[2]} gave GR 2, and you have 0")).to_be_visible()

    third.reload()
    expect(third.get_by_text("You have 4 of 6 groups.")).to_be_visible()
    expect(part(third, calls[1])).to_contain_text("2 of 2")
    button(third, "Key it by hand").click()
    heading(third, "Key your question")
    expect(button(first, "Key it by hand")).to_have_count(0)  # the channel is the third's
    third.screenshot(path=pictures / "net-keying.png")
    key(third, f"{calls[0]} DE {calls[2]} AGN K", slower=0.25)
    button(third, "That is my question").click()
    expect(third.get_by_text("the right form")).to_be_visible()
    wrong = console.get_by_role("row").filter(has_text="AGN")
    expect(wrong).to_contain_text(f"{calls[0]} DE {calls[2]} ? K")

    expect(button(console, re.compile("^Stop"))).to_be_visible()
    instructor.emit("reveal")
    it_is_shown(third, wall, told)
    for page, name in ((third, "shown"), (wall, "wall-shown"), (console, "console-shown")):
        page.screenshot(path=pictures / f"net-{name}.png")
