"""The odd one in real Chromium: three phones, console, wall, a lost connection and a killed server."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from learner_page import button, heading, join, settle

LAPTOP, WALL = {"width": 1280, "height": 800}, {"width": 1920, "height": 1080}
SETUP = {"pairs": ["FL"], "rows": 1, "sounds": 6, "gap_s": 0.5}
FIELD = re.compile("hand is up|Hand up", re.IGNORECASE)


RAISE = """(target, [dues, type]) => {
  const made = () => (type === 'keydown' ? new KeyboardEvent(type, { key: ' ', bubbles: true })
    : new PointerEvent(type, { bubbles: true }));
  for (const dueMs of dues) setTimeout(() => target.dispatchEvent(made()), dueMs - Date.now());
}"""
"""Hands by the page's own timers: on a busy machine a real click takes longer than a sound lasts. On one
machine the room's time is the wall clock's."""


def after_sound(instructor: Instructor, run: dict[str, Any], place: int, ms: float = 200.0) -> None:
    """Wait until so long after a sound's end, by the server's clock."""
    due_room_ms = run["start_room_ms"] + run["edges"][place][-1] + ms
    while (left_ms := due_room_ms - instructor.clock()["sent_room_ms"]) > 0.0:
        time.sleep(left_ms / 1000.0)


def hands(instructor: Instructor, wanted: list[int]) -> None:
    """Wait until the console is shown these hands."""
    instructor.wait("exercise", lambda told: told["shown"] and told["shown"]["hands"] == wanted)


def test_hands_go_up_on_three_phones_and_none_is_lost_nor_counted_twice(
    tmp_path: Path, person: Callable[..., Page], pictures: Path
) -> None:
    server = Server(tmp_path / "data")
    try:
        code = server.open_room()
        instructor = Instructor(server, code)
        sound = {"wpm": 40.0, "overall_wpm": 40.0, "pitch_hz": 600.0, "lead_in_s": 3.0, "tidy_s": 30.0}
        instructor.emit("set_sound", sound)
        pages = [person() for _ in range(3)]
        for page, name in zip(pages, ("Wren", "Otter", "Heron"), strict=True):
            join(page, server, code, name)
            settle(page)
        first, second, third = pages
        console, wall = person(LAPTOP), person(WALL)
        console.goto(f"{server.url}/console?room={code}#{server.secret}")
        wall.goto(server.wall_url(code))
        instructor.emit("start_exercise", {"kind": "odd", "setup": SETUP, "seed": 5})
        run = instructor.wait("run", lambda told: told["run"])["run"]
        odd = [place for place, sign in enumerate(run["text"]) if sign == "F"]
        for page in pages:
            heading(page, re.compile("It starts in|Hand up"))
        second.context.set_offline(True)
        dues = [run["start_room_ms"] + run["edges"][place][-1] + 150.0 for place in (1, 2)]
        # A second hand at one sound is none.
        first.locator("body").evaluate(RAISE, [[dues[0], dues[0] + 20.0, *dues[1:]], "keydown"])
        # Kept on the phone until it is connected again.
        button(second, FIELD).evaluate(RAISE, [dues, "pointerdown"])
        for page in pages:
            heading(page, "Hand up when it is another sound")
        expect(wall.get_by_role("heading", name="Raise your hand when another one comes")).to_be_visible()
        expected = [0, 1, 1, 0, 0, 0]
        hands(instructor, expected)
        third.get_by_role("button", name=re.compile("can.t hear|help", re.IGNORECASE)).first.focus()
        after_sound(instructor, run, 3, 100.0)
        third.keyboard.press("Space")  # wherever the focus is
        expected[3] += 1
        hands(instructor, expected)
        for name, page in (("phone", first), ("console", console), ("wall", wall)):
            page.screenshot(path=pictures / f"odd-{name}.png")
        text = " ".join([first.inner_text("main"), wall.inner_text("main")])
        assert re.search(r"\b[FL]\b", text) is None, "no symbol stands there before it is shown"

        server.kill()
        second.context.set_offline(False)
        server.start()
        instructor = Instructor(server, code)
        expected[1], expected[2] = 2, 2
        hands(instructor, expected)
        second.reload()
        heading(second, "That was the last sound")
        after_sound(instructor, run, 5)
        instructor.emit("reveal")
        hits = sum(expected[place] for place in odd)
        expect(first.get_by_text("The odd ones stand in a box")).to_be_visible()
        heading(first, f"{sum(place in (1, 2) for place in odd)} of {len(odd)} odd ones")
        expect(console.get_by_role("row", name=re.compile(rf"F among L {hits} of "))).to_be_visible()
        expect(wall.get_by_role("row", name=re.compile(rf"F among L {hits} of "))).to_be_visible()
        wall.screenshot(path=pictures / "odd-wall-shown.png")
        console.screenshot(path=pictures / "odd-console-shown.png")
        assert not re.search("Wren|Otter|Heron", wall.inner_text("main"))
    finally:
        server.stop()
