"""The console, used as an instructor uses it, for the browser tests."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Locator, Page, expect

from classroom import Learner, keys_for


def button(page: Page | Locator, name: str | re.Pattern[str]) -> Locator:
    return page.get_by_role("button", name=name, exact=isinstance(name, str))


def dialog(page: Page, name: str | re.Pattern[str]) -> Locator:
    return page.get_by_role("dialog", name=name)


def settle(page: Page) -> None:
    """Answer the evening's first question, and make the class's sound a quick one."""
    button(page, "That is how we hear").click()
    button(page, "Sound settings").click()
    for label, value in (("Character speed", "40"), ("Overall speed", "40"), ("Lead-in", "0")):
        page.get_by_role("spinbutton", name=label).fill(value)
    button(page, "Set the sound").click()
    expect(page.get_by_text("40 wpm, overall 40")).to_be_visible()


def choose(page: Page, purpose: str) -> None:
    # The radio button lies unseen over its words.
    page.get_by_role("radio", name=purpose, exact=True).check(force=True)


def send_own_text(page: Page, text: str) -> None:
    choose(page, "Own text")
    page.get_by_role("textbox", name="Text", exact=True).fill(text)
    button(page, re.compile("Send to the class")).click()


def write(learner: Learner, signs: str) -> None:
    """Copy the run at hand, or its beginning: one stroke a sound, each of them heard."""
    push: dict[str, Any] = learner.wait("push")
    begun = push | {"edges": push["edges"][: len(signs)]}
    learner.write(push["push"], keys_for(begun, signs))
    learner.kept(push["push"], len(signs))
    learner.sounded(push["push"], len(signs))


def sounded_some(page: Page) -> None:
    """A run stopped before its first sound would be cancelled."""
    expect(page.get_by_text(re.compile(r"^([2-9]|\d\d) of \d+$"))).to_be_visible()


def wait_for_silence(page: Page) -> None:
    expect(button(page, "Close")).to_be_visible()
