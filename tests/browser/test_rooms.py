"""The rooms kept on this computer, as the console shows them."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from classroom import Instructor, Learner, Server

LAPTOP = {"width": 1280, "height": 800}
DAY_MS = 86_400_000.0


def keep_old_room(server: Server, code: str, days: float) -> None:
    """As if a course had ended so many days ago."""
    room_ms = time.time() * 1000.0 - days * DAY_MS
    with sqlite3.connect(server.data / "copyroom.sqlite3") as database:
        database.execute("insert into rooms (code, opened_room_ms) values (?, ?)", (code, room_ms))
    database.close()


def test_a_room_that_cannot_be_read_is_listed_as_set_aside(server: Server, code: str, console: Page) -> None:
    keep_old_room(server, "TORN-0003", 1.0)
    with sqlite3.connect(server.data / "copyroom.sqlite3") as database:
        database.execute(
            "insert into events (code, number, form, at_room_ms, name, body)"
            " values ('TORN-0003', 9, 2, 1.0, 'X', '{')"
        )
    database.close()
    console.get_by_role("button", name="Rooms", exact=True).click()
    torn = console.get_by_role("dialog", name="Rooms").get_by_role("listitem").filter(has_text="TORN-0003")
    expect(torn).to_contain_text("set aside")
    expect(torn.get_by_role("button")).to_have_count(0)
    console.goto(f"{server.url}/console?room=TORN-0003")
    expect(console.get_by_text("Room TORN-0003 is set aside")).to_be_visible()


def test_a_room_long_unused_is_due_and_a_click_erases_or_keeps_it(
    server: Server, code: str, console: Page
) -> None:
    keep_old_room(server, "OLD-0001", 75.5)
    keep_old_room(server, "YOUNG-0002", 59.5)
    keep_old_room(server, "OLD-0004", 75.5)
    console.get_by_role("button", name="Rooms", exact=True).click()
    rooms = console.get_by_role("dialog", name="Rooms")
    old = rooms.get_by_role("listitem").filter(has_text="OLD-0001")
    expect(old).to_contain_text("due: not used for 75 days")
    kept = rooms.get_by_role("listitem").filter(has_text="OLD-0004")
    expect(kept).to_contain_text("erased when the server has run for 24 hours more")
    kept.get_by_role("button", name="Keep it").click()
    expect(kept).not_to_contain_text("due")
    expect(rooms.get_by_role("listitem").filter(has_text="YOUNG-0002")).not_to_contain_text("due")
    rooms.get_by_role("button", name="Erase the room that is due").click()
    for words in ("OLD-0001", "clock it is"):
        expect(rooms.get_by_role("alert")).to_contain_text(words)
    rooms.get_by_role("button", name="Keep it", exact=True).click()
    expect(old).to_be_visible()
    rooms.get_by_role("button", name="Erase the room that is due").click()
    rooms.get_by_role("button", name="Erase for good").click()
    expect(old).to_have_count(0)
    expect(rooms.get_by_role("button", name="Erase the")).to_have_count(0)
    expect(kept).not_to_contain_text("due")
    expect(rooms.get_by_role("listitem").filter(has_text=code)).to_contain_text("this one")


def test_what_goes_wrong_in_a_dialog_is_said_in_the_dialog(console: Page) -> None:
    opener = console.get_by_role("button", name="Rooms", exact=True)
    expect(opener).to_be_visible()
    console.route("**/api/rooms", lambda route: route.abort())
    opener.click()
    said = console.get_by_text("The server does not answer.")
    expect(console.get_by_role("dialog", name="Rooms").locator(said)).to_be_visible()
    expect(said).to_have_count(1)


def test_the_header_says_when_the_server_is_gone_and_when_it_is_back(
    tmp_path: Path, person: Callable[..., Page]
) -> None:
    server = Server(tmp_path / "data")
    console = person(LAPTOP)
    console.goto(f"{server.url}/console#{server.secret}")
    header = console.get_by_role("banner").get_by_role("status")
    expect(header).to_contain_text("nobody here yet")
    server.kill()
    expect(header).to_contain_text("not connected")
    expect(header).not_to_contain_text("nobody")
    server.start()
    expect(header).to_contain_text("nobody here yet")
    server.stop()


def test_who_is_long_away_is_folded_and_taken_off_the_list_at_once(
    server: Server, code: str, console: Page, instructor: Instructor
) -> None:
    for name in ("Amber", "Birch"):
        Learner(server, code, name).leave()
    instructor.send("E")
    for event in ("stop", "close", "open_meeting"):
        instructor.emit(event)
    Learner(server, code, "Cedar")
    room = console.get_by_role("region", name="The room")
    expect(room.get_by_role("button", name="Cedar")).to_be_visible()
    expect(room.get_by_role("button", name="Amber")).to_be_hidden()
    room.get_by_text("2 long away").click()
    expect(room.get_by_role("button", name="Amber")).to_be_visible()
    room.get_by_role("button", name="Take them off this list").click()
    expect(room.get_by_role("alert")).to_contain_text("Nothing is erased")
    room.get_by_role("button", name="Take off").click()
    expect(room.get_by_text("long away")).to_have_count(0)
    expect(room.get_by_role("button", name="Amber")).to_have_count(0)
    expect(room.get_by_role("button", name="Cedar")).to_be_visible()
