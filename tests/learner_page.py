"""A learner's page, used as a learner uses it, for the browser tests."""

from __future__ import annotations

import re
import time
from typing import Any

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from keyed_turns import tones_of


def set_sound(instructor: Instructor, wpm: float = 30.0, tidy_s: float = 30.0) -> None:
    sound = {"wpm": wpm, "overall_wpm": wpm, "pitch_hz": 600.0, "lead_in_s": 1.5, "tidy_s": tidy_s}
    instructor.emit("set_sound", sound)
    instructor.wait("room", lambda room: room["sound"] == sound)


def button(page: Page, name: str | re.Pattern[str]) -> Any:
    return page.get_by_role("button", name=name, exact=isinstance(name, str))


def join(page: Page, server: Server, code: str, name: str = "Hana") -> None:
    page.goto(f"{server.url}/r/{code}")
    page.get_by_role("textbox", name="Nickname or seat number").fill(name)
    button(page, "Join").click()


def settle(page: Page, way: str = "Type while listening") -> None:
    button(page, "Turn the sound on").click()
    button(page, "I hear it").click()
    button(page, re.compile(way)).click()
    expect(page.get_by_text("sound is on")).to_be_visible()


def heading(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def marks(page: Page) -> str:
    """The sheet as it is read aloud."""
    return page.get_by_role("group", name="Your copy").inner_text().replace("\n", "").replace("blank", "_")


def type_along(page: Page, instructor: Instructor, push: dict[str, Any], keys: str) -> None:
    """Press one key after each sound, as a learner who keeps up; "." presses none."""
    for edges, key in zip(push["edges"], keys, strict=True):
        due_room_ms = push["start_room_ms"] + edges[-1] + 100.0
        while (left_ms := due_room_ms - instructor.clock()["sent_room_ms"]) > 0.0:
            time.sleep(left_ms / 1000.0)
        if key != ".":
            page.keyboard.press("Space" if key == "_" else key)


def written(instructor: Instructor, count: int) -> None:
    """Wait until the server holds so many marks of the first seat."""
    instructor.wait("progress", lambda told: told["copies"] and told["copies"][0]["written"] == count)


PRESS = """async (tones) => {
  const begun = performance.now();
  const until = (ms) => new Promise((done) => setTimeout(done, begun + ms - performance.now()));
  const press = (type, ms) => {
    const event = new KeyboardEvent(type, { key: ' ', cancelable: true });
    Object.defineProperty(event, 'timeStamp', { value: begun + ms });
    window.dispatchEvent(event);
  };
  for (const [on, off] of tones) {
    await until(on);
    press('keydown', on);
    window.dispatchEvent(new KeyboardEvent('keydown', { key: ' ', repeat: true, cancelable: true }));
    await until(off);
    press('keyup', off);
  }
}"""


def key(page: Page, text: str, *, slower: float = 1.25) -> None:
    """The space bar is held for each tone, with the repetitions that a held key makes.

    Each press is of the time that was meant, even where a busy machine comes to it late: what is tested is
    not this script's hand.
    """
    tones = tones_of(text, at_ms=50.0)
    page.evaluate(PRESS, [[round(edge * slower, 1) for edge in tone] for tone in tones])
