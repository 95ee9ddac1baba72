"""At the key in real Chromium: a hand on the space bar, two who copy it, a killed server in the middle."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from learner_page import button, heading, join, key, set_sound, settle

LAPTOP = {"width": 1280, "height": 800}


def heard(instructor: Instructor, tones: int) -> None:
    """Wait until both copiers' pages have told that they sounded so many tones."""
    instructor.wait("progress", lambda told: [copy["heard"] for copy in told["copies"]] == [tones, tones])


@pytest.fixture
def class_of_three(tmp_path: Path, person: Callable[..., Page]):
    server = Server(tmp_path / "data")
    code = server.open_room()
    instructor = Instructor(server, code)
    set_sound(instructor, wpm=14.0)
    pages = [person() for _ in range(3)]
    for page, name in zip(pages, ("Wren", "Otter", "Heron"), strict=True):
        join(page, server, code, name)
        settle(page)
    yield server, code, instructor, pages
    server.stop()


def test_a_hand_is_heard_copied_and_shown_through_a_killed_server(
    class_of_three: tuple[Server, str, Instructor, list[Page]], person: Callable[..., Page]
) -> None:
    server, code, instructor, (wren, otter, heron) = class_of_three
    console, wall = person(LAPTOP), person(LAPTOP)
    console.goto(f"{server.url}/console?room={code}#{server.secret}")
    wall.goto(server.wall_url(code))
    expect(console.get_by_role("heading", name="The room")).to_be_visible()
    setup = {"senders": [1, 2], "text": "given", "given": "TEA AT", "gap_s": 60}
    instructor.emit("start_exercise", {"kind": "key", "setup": setup})
    heading(wren, "Send this")
    expect(wren.get_by_text("key up")).to_be_visible()
    expect(console.get_by_role("heading", name="Wren sends, 2 copy")).to_be_visible()
    expect(wall.get_by_role("heading", name="Wren sends")).to_be_visible()
    for page in (otter, heron):
        heading(page, "Write what you hear")
    key(wren, "TEA")
    expect(wren.locator("[aria-current=step]")).to_have_text("AT")
    heard(instructor, 4)
    for page, signs in ((otter, "TEA"), (heron, "TEN")):
        page.keyboard.type(signs)
    server.kill()
    for page in (wren, otter, heron):
        expect(page.get_by_text("No connection")).to_be_visible()
    server.start()
    for page in (wren, otter, heron):
        expect(page.get_by_text("No connection")).to_have_count(0)
    instructor = Instructor(server, code)
    key(wren, "AT")
    heard(instructor, 7)
    for page in (otter, heron):
        page.keyboard.type("AT")
    button(wren, "I have sent it all").click()
    heading(wren, "Sent")
    instructor.emit("skip_turn", {})
    heading(wren, "Your fist")
    expect(wren.get_by_role("img", name="T E A A T, as meant and as sent")).to_be_visible()
    heading(otter, "5 of 5 heard right")
    expect(console.get_by_role("heading", name="Wren: meant, keyed, copied")).to_be_visible()
    expect(wall.get_by_text("A hand that may be seen")).to_have_count(0)
    heading(heron, "4 of 5 heard right")
    expect(heron.get_by_role("listitem", name="A meant, and keyed, N written")).to_be_visible()
