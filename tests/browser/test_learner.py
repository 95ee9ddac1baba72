"""The learner's page as a learner meets it: what is on it, what it keeps, what it says."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from classroom import PATIENCE_S, Instructor, Server
from learner_page import button, heading, join, marks, set_sound, settle, type_along, written

TEXT = "TAMEN WORDS"
OpenPage = Callable[..., Page]


def test_a_typed_copy_comes_back_under_what_was_sent(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    push = instructor.send(TEXT)
    type_along(page, instructor, push, "TAM_NWO.DS")
    heading(page, re.compile("Tidy up"))
    button(page, "Hand in").click()
    heading(page, "Handed in")
    instructor.emit("close")
    instructor.wait("table", lambda table: table["final"] and table["cells"])
    instructor.emit("reveal")
    heading(page, "8 of 10 heard right")
    answers = page.get_by_role("group", name="Sent above, yours below").get_by_role("listitem")
    names = [answer.get_attribute("aria-label") for answer in answers.all()]
    assert names[:5] == ["T, right", "A, right", "M, right", "E, you wrote blank", "N, right"]
    assert names[7] == "R, nothing written"


def test_while_the_sound_runs_nothing_goes_back_and_afterwards_it_does(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    instructor.send(TEXT)
    heading(page, "Write what you hear")
    page.keyboard.type("TAM")
    page.keyboard.press("Backspace")
    expect(page.get_by_text("No going back while the sound runs")).to_be_visible()
    heading(page, re.compile("Tidy up"))
    button(page, "T, place 1").click()
    button(page, "S").click()
    button(page, "Insert").click()
    button(page, "blank").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    written(instructor, 3)
    button(page, "Hand in").click()
    assert marks(page) == "_SA"


def test_a_reload_in_the_middle_keeps_the_seat_and_every_mark(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    page.get_by_role("button", name="Settings").click()
    page.get_by_role("checkbox", name=re.compile("Cover")).uncheck()
    page.keyboard.press("Escape")
    set_sound(instructor, wpm=5.0)
    instructor.send(TEXT)
    heading(page, "Write what you hear")
    page.keyboard.type("TAMEN")
    page.reload()  # before the last batch can have been acknowledged
    page.keyboard.type("W")  # before the page is back at its sheet
    page.reload()
    page.keyboard.type("O")
    heading(page, "Write what you hear")
    written(instructor, 7)
    assert marks(page) == "TAMENWO"
    assert len(instructor.view("seats")["seats"]) == 1


def test_a_killed_server_costs_no_stroke(tmp_path: Path, person: OpenPage) -> None:
    server = Server(tmp_path / "data")
    try:
        code = server.open_room()
        instructor = Instructor(server, code)
        set_sound(instructor, wpm=5.0)
        page = person()
        join(page, server, code)
        settle(page)
        instructor.send(TEXT)
        heading(page, "Write what you hear")
        page.keyboard.type("TA")
        written(instructor, 2)
        server.kill()
        expect(page.get_by_text("No connection.")).to_be_visible()
        page.keyboard.type("MEN")
        server.start()
        expect(page.get_by_text("No connection.")).to_be_hidden()
        written(Instructor(server, code), 5)
    finally:
        server.stop()


def test_a_sheet_of_paper_is_keyed_in_after_the_sound(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page, "Pencil and paper")
    instructor.send(TEXT)
    heading(page, "Write on paper")
    heading(page, "Key your sheet in")
    page.get_by_role("textbox", name="Key your sheet in").fill("tam_n wo%ds")
    expect(page.get_by_text("% is not in the code and left out")).to_be_visible()
    button(page, "R").click()
    written(instructor, 10)
    button(page, "Hand in").click()
    heading(page, "Handed in")
    instructor.emit("close")
    instructor.wait("table", lambda table: table["final"] and table["cells"])
    instructor.emit("reveal")
    heading(page, re.compile("of 10 heard right"))


def test_a_second_tab_asks_before_it_takes_the_seat(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    second = page.context.new_page()
    second.goto(f"{server.url}/r/{code}")
    heading(second, "Your seat is open in another tab")
    button(second, "Use this page").click()
    heading(second, "Morse class")
    heading(page, "Your seat is open in another tab")
    assert len(instructor.view("seats")["seats"]) == 1


def test_two_learners_may_share_a_browser(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    second = page.context.new_page()
    second.goto(f"{server.url}/r/{code}")
    button(second, "Join as somebody else").click()
    second.get_by_role("textbox", name="Nickname or seat number").fill("Ivo")
    button(second, "Join").click()
    heading(second, "First, the sound")
    second.reload()
    heading(second, "First, the sound")
    assert [seat["name"] for seat in instructor.view("seats")["seats"]] == ["Hana", "Ivo"]


def test_a_learner_waits_to_be_let_in_and_is_told_when_taken_out(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    instructor.emit("hold_at_door", {"on": True})
    page = person()
    join(page, server, code)
    heading(page, "Hello, Hana")
    instructor.emit("let_in", {"seat": 1})
    heading(page, "First, the sound")
    instructor.emit("remove_seats", {"seats": [1]})
    heading(page, "This seat is gone")


A_NEW_REPORT = """() => {
  Object.defineProperty(document, 'hidden', { value: true });
  document.dispatchEvent(new Event('visibilitychange'));
}"""
"""The page says anew how it stands: in the background, and its sound on."""


def test_who_cannot_hear_is_seen_by_the_instructor_until_they_hear_or_are_seen_to(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    console = person({"width": 1280, "height": 800})
    console.goto(f"{server.url}/console?room={code}#{server.secret}")
    header = console.get_by_role("banner").get_by_text("Hana cannot hear")
    sees = page.get_by_role("status").filter(has_text="Your instructor sees that").first

    button(page, "I can’t hear").click()  # noqa: RUF001 - as it stands on the page
    expect(sees).to_be_visible()
    expect(header).to_be_visible()
    button(page.get_by_role("dialog"), "Play test tones").click()
    page.keyboard.press("Escape")
    page.evaluate(A_NEW_REPORT)
    instructor.wait(
        "seats", lambda told: ("on", False) in [(s["sound"], s["visible"]) for s in told["seats"]]
    )
    expect(sees).to_be_visible()
    expect(header).to_be_visible()

    button(page, "I hear it now").click()
    expect(sees).to_have_count(0)
    expect(header).to_have_count(0)

    button(page, "I can’t hear").click()  # noqa: RUF001 - as it stands on the page
    button(console, "Seen to Hana").click()
    expect(header).to_have_count(0)
    expect(sees).to_have_count(0)


def test_who_writes_on_paper_sees_what_was_sent_and_hands_in_a_count(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page, "paper")
    push = instructor.send(TEXT)
    instructor.sounded_out(push)
    instructor.emit("reveal")
    heading(page, "What was sent")
    sheet = page.get_by_role("group", name="What was sent: mark what you missed")
    assert sheet.inner_text().replace("\n", "") == TEXT.replace(" ", "")
    sounds = sheet.get_by_role("button")
    for place in (1, 4):
        sounds.nth(place).click()
    sounds.nth(4).click()
    expect(sounds.nth(1)).to_have_attribute("aria-pressed", "true")
    count = page.get_by_role("textbox", name=re.compile("Right of 10"))
    expect(count).to_have_value("9")
    count.fill("11")
    expect(button(page, "Hand in the count")).to_be_disabled()
    count.fill("8")
    button(page, "Hand in the count").click()
    heading(page, "8 of 10 right, by your own count")
    instructor.wait("progress", lambda told: told["copies"] and told["copies"][0]["own_count"] == [8, 10])
    width = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    assert len(set(page.evaluate(width))) == 1


def test_beside_one_loudspeaker_a_silent_page_still_counts_as_having_heard(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    instructor.emit("set_hearing", {"way": "loudspeaker", "source": 0})
    page = person()
    join(page, server, code)
    button(page, "Go on").click()
    button(page, re.compile("Type while listening")).click()
    push = instructor.send(TEXT)
    type_along(page, instructor, push, TEXT.replace(" ", ""))
    instructor.wait("progress", lambda told: told["copies"] and told["copies"][0]["heard"] == 10)


def test_forty_symbols_leave_the_sheet_in_sight_on_a_small_phone(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    symbols = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789?/=+"
    fields = {"purpose": "own", "symbols": symbols, "count": 1, "group": 5, "text": TEXT}
    instructor.emit("send_text", fields | {"name_shown": False, "counted": True, "seed": 0})
    heading(page, "Write what you hear")
    sheet = page.get_by_role("group", name="Your copy").bounding_box()
    keys = page.get_by_role("group", name="Symbols").get_by_role("button")
    boxes = [key.bounding_box() for key in keys.all()]
    assert len(boxes) == 41
    assert sheet is not None
    assert sheet["height"] >= 100  # two ruled lines
    for box in boxes:
        assert box is not None
        # 36 px where there are many; WCAG 2.2, 2.5.8 asks for 24.
        assert min(box["width"], box["height"]) >= 35.9
        assert box["y"] + box["height"] <= 640
        assert box["y"] >= sheet["y"] + sheet["height"]


def test_a_first_meeting_shows_the_symbol_while_it_sounds(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    fields = {"purpose": "one", "symbols": "W", "count": 5, "group": 5, "text": ""}
    instructor.emit("send_text", fields | {"name_shown": True, "counted": False, "seed": 0})
    expect(page.get_by_text("Just listen.")).to_be_visible(timeout=PATIENCE_S * 1000)
    expect(page.get_by_text("W", exact=True)).to_be_visible()
    expect(page.get_by_text("That was it.")).to_be_visible()


def test_invented_calls_are_called_practice_before_they_sound_and_at_the_reveal(
    server: Server, code: str, instructor: Instructor, person: OpenPage
) -> None:
    page = person()
    join(page, server, code)
    settle(page)
    set_sound(instructor, tidy_s=0.0)
    calls = {"purpose": "calls", "symbols": "AKNT5", "count": 6, "group": 5, "text": "", "seed": 1}
    push = instructor.ask("send_text", calls | {"name_shown": False, "counted": True}, "push")
    practice = page.get_by_text("Practice calls, all invented.")
    expect(practice).to_be_visible()
    type_along(page, instructor, push, "A" + "." * (len(push["edges"]) - 1))
    instructor.sounded_out(push)
    instructor.emit("reveal")
    heading(page, re.compile("heard right"))
    expect(practice).to_be_visible()
