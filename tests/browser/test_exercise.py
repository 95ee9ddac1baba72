"""An exercise that the program does not know: phones, console and wall play it, from one file each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from classroom import Instructor, Server
from learner_page import button, heading, join, settle

LAPTOP = {"width": 1280, "height": 800}
FOLDER = Path(__file__).parent.parent / "exercises"


def test_three_phones_the_console_and_the_wall_play_an_exercise_of_one_file_each(
    tmp_path: Path, person: Callable[..., Page]
) -> None:
    server = Server(tmp_path / "data", "--exercises", str(FOLDER))
    try:
        code = server.open_room()
        instructor = Instructor(server, code)
        pages = [person() for _ in range(3)]
        for page, name in zip(pages, ("Wren", "Otter", "Heron"), strict=True):
            join(page, server, code, name)
            settle(page)
        console, wall = person(LAPTOP), person(LAPTOP)
        console.goto(f"{server.url}/console?room={code}#{server.secret}")
        wall.goto(server.wall_url(code))
        expect(console.get_by_role("heading", name="The room")).to_be_visible()
        instructor.emit("start_exercise", {"kind": "clap", "setup": {"hears": 1}})
        first, second, third = pages
        heading(first, "Listen")
        for page in (second, third):
            heading(page, "Clap")
        button(second, "Clap now").click()
        heading(second, "You clapped")
        expect(console.get_by_text("1 clapped")).to_be_visible()
        expect(wall.get_by_role("heading", name="1 have clapped")).to_be_visible()
        second.reload()
        heading(second, "You clapped")
        button(third, "Clap now").click()
        expect(console.get_by_text("2 clapped")).to_be_visible()
        server.kill()
        server.start()
        heading(third, "You clapped")
        expect(wall.get_by_role("heading", name="2 have clapped")).to_be_visible()
    finally:
        server.stop()
