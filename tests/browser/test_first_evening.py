"""A whole first evening in the browser, with a simulated class: from one button to what to review next week.

The class is `copyroom rehearse` over real connections; the plan is cut short, so that it takes a minute.
"""

from __future__ import annotations

import datetime
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from classroom import Server

LAPTOP = {"width": 1280, "height": 800}
LEARNERS = 6
ORDINARY = 3
"""Of these; of the others one comes late, one loses the network, one writes on paper."""
SPEED_WPM = "40"
MINUTES = "6"
MOST_STEPS = 12
LONGEST_RUN_MS = 40_000


@pytest.fixture
def simulated_class(server: Server, code: str) -> Iterator[None]:
    rehearse = [sys.executable, "-m", "copyroom", "rehearse", "--url", server.url, "--code", code]
    options = ["--learners", str(LEARNERS), "--seed", "1"]
    running = subprocess.Popen([*rehearse, *options], stdout=subprocess.DEVNULL)
    yield
    running.terminate()
    running.wait()


def button(page: Page | Locator, name: str | re.Pattern[str]) -> Locator:
    return page.get_by_role("button", name=name, exact=isinstance(name, str))


def settle(console: Page) -> None:
    button(console, "That is how we hear").click()
    button(console, "Sound settings").click()
    for label, value in (("Character speed", SPEED_WPM), ("Overall speed", SPEED_WPM), ("Lead-in", "0")):
        console.get_by_role("spinbutton", name=label).fill(value)
    button(console, "Set the sound").click()


def plan_with_one_button(console: Page, evening: Locator) -> None:
    expect(evening.get_by_text("Start quietly")).to_be_visible()
    evening.get_by_role("spinbutton", name="Minutes").fill(MINUTES)
    button(evening, "Plan this evening").click()
    expect(evening.get_by_text(f"{MINUTES} of {MINUTES} min left")).to_be_visible()


def drop_and_take_back(evening: Locator) -> None:
    """A dropped step comes back by Undo; dropped again by keyboard, it stays away."""
    longer = button(evening, re.compile("^A longer copy"))
    longer.click()
    button(evening, "Drop").click()
    expect(longer).to_have_count(0)
    button(evening, "Undo").click()
    expect(longer).to_be_visible()
    longer.press("Delete")
    expect(longer).to_have_count(0)


def move_by_keyboard(evening: Locator) -> None:
    """Alt and an arrow move a step; the first is then the next to send."""
    rows = evening.get_by_role("listitem")
    second = rows.nth(1).get_by_role("button").first
    title = re.split(r"\s*by ear", second.inner_text())[0].strip()
    second.press("Alt+ArrowUp")
    expect(rows.first).to_contain_text(title)
    expect(button(rows.first, re.compile("^Send it"))).to_be_enabled()


def assert_page_does_not_scroll(console: Page) -> None:
    """However long the plan is, its column scrolls and not the page: a low window stands for a long plan."""
    console.set_viewport_size({"width": 1280, "height": 300})
    height, in_sight = console.evaluate("[document.documentElement.scrollHeight, innerHeight]")
    console.set_viewport_size(LAPTOP)
    assert height <= in_sight


def cut_short(evening: Locator) -> None:
    """Drop what is still to do but the close, line by line."""
    undone = evening.get_by_role("button", name=re.compile(", (next|later)$"))
    for line in undone.all_inner_texts()[:-1]:
        title = line.splitlines()[0].split(" \N{MULTIPLICATION SIGN}")[0]
        undone.first.press("Delete")
        expect(evening.get_by_text(f"Dropped: {title}")).to_be_visible()
    expect(undone).to_have_count(1)
    expect(undone).to_contain_text("End of the evening")


def copy_out(console: Page) -> None:
    """Let the run sound to its end, with copies coming in, and close it."""
    expect(console.get_by_text(re.compile("^Sound over"))).to_be_visible(timeout=LONGEST_RUN_MS)
    room = console.get_by_role("region", name="The room")
    expect(room.get_by_text(re.compile("[1-9][0-9]* (written|handed in)")).nth(ORDINARY - 1)).to_be_visible()
    button(console, "Close").click()


def meet_some(console: Page) -> None:
    """A new sound is named after each time that it comes; two times are enough here."""
    expect(console.get_by_text(re.compile("^3rd of 15"))).to_be_visible()
    button(console, re.compile("^Stop the sound")).click()


def test_a_first_evening_from_one_button_to_next_week(
    simulated_class: None, console: Page, pictures: Path
) -> None:
    expect(console.get_by_text(re.compile("[3-6] here"))).to_be_visible()
    settle(console)
    evening = console.get_by_role("region", name="This evening")
    plan_with_one_button(console, evening)
    drop_and_take_back(evening)
    move_by_keyboard(evening)

    met, advised = [], 0
    for _ in range(MOST_STEPS):
        step = button(evening, re.compile("^(Send it|Done): "))
        title = str(step.get_attribute("aria-label")).split(": ")[1]
        if button(evening, re.compile("^Done: ")).count():
            step.click()
            if title == "End of the evening":
                break
            continue
        step.click()
        expect(button(console, "Stop the sound Esc").or_(button(console, "Stop the sound"))).to_be_visible()
        assert_page_does_not_scroll(console)
        if title.startswith("Meet "):
            met.append(title.removeprefix("Meet "))
            meet_some(console)
            continue
        copy_out(console)
        advice = console.get_by_role("region", name="Advice")
        expect(advice.locator(".advice-sentence")).to_contain_text(re.compile(r"\w.*[.]$"))
        advised += 1
        if advised == 1:  # a text is sent as soon as it is chosen
            console.screenshot(path=pictures / "first_evening_advice.png")
            button(advice, re.compile("^Send now: once more")).click()
            expect(button(console, re.compile("^Stop the sound"))).to_be_visible()
            expect(advice).to_have_count(0)
            expect(console.get_by_role("heading", name=re.compile("^Practise"))).to_be_visible()
            copy_out(console)
        button(advice, "Not now").click()
        expect(advice).to_have_count(0)
        cut_short(evening)

    assert len(met) >= 2
    assert advised >= 1
    expect(evening.get_by_text("The evening is over.")).to_be_visible()
    next_week(console, evening, met, pictures)
    progress(console, evening, met, pictures)


def next_week(console: Page, evening: Locator, met: list[str], pictures: Path) -> None:
    """Every sound of tonight comes up between today and the day a week from now."""
    button(evening, "Until next time").click()
    calendar = console.get_by_role("dialog", name="Until next time")
    days = calendar.get_by_role("listitem")
    expect(days).to_have_count(8)
    today = datetime.date.today()
    dates = calendar.locator("time").evaluate_all("all => all.map((one) => one.dateTime)")
    assert dates == [str(today + datetime.timedelta(days=n)) for n in range(8)]
    expect(days.last).to_contain_text("the next meeting")
    due = "".join(calendar.locator(".due").all_inner_texts())
    assert set(met) <= set(due)
    console.screenshot(path=pictures / "first_evening_review.png")
    console.keyboard.press("Escape")


def progress(console: Page, evening: Locator, met: list[str], pictures: Path) -> None:
    """The curve is drawn, and the table beside it has a figure for each sound, and the learners by name."""
    button(evening, "Progress").click()
    shown = console.get_by_role("dialog", name="Progress")
    expect(shown.locator("canvas")).to_be_visible()
    for sign in met:
        figures = re.compile(r"\d+ \(\d+ to \d+\) of \d+")
        expect(shown.get_by_role("row", name=re.compile(f"^{sign} "))).to_contain_text(figures)
    console.screenshot(path=pictures / "first_evening_progress.png")
    shown.get_by_role("radio", name="Learners").check(force=True)
    whole, *names = shown.locator("tbody th").all_inner_texts()
    assert whole == "The class"
    assert ORDINARY <= len(names) <= LEARNERS
    assert names == sorted(names)
    shown.get_by_role("combobox", name="Look at").select_option(index=1)
    expect(shown.get_by_text("One meeting so far")).to_be_visible()
