"""The course in the browser: its order, advice by one click, the next meeting, progress on paper too."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from classroom import Instructor, Learner, Server, keys_for
from learner_page import heading, join, settle

KNOWN = "ANTE"
NAMES = ("Hana", "Ivo", "Juna", "Kasimir")


@pytest.fixture
def instructor(server: Server, code: str) -> Iterator[Instructor]:
    """Sends what a test says, beside the console that is clicked."""
    second = Instructor(server, code)
    second.set_sound()
    second.emit("set_symbols", {"symbols": KNOWN})
    yield second
    server.send_home()


@pytest.fixture
def learners(server: Server, code: str, instructor: Instructor) -> list[Learner]:
    people = [Learner(server, code, name) for name in NAMES]
    for person in people:
        person.sound_on()
    return people


def button(page: Page | Locator, name: str | re.Pattern[str]) -> Locator:
    return page.get_by_role("button", name=name, exact=isinstance(name, str))


def run(instructor: Instructor, learners: list[Learner], text: str, written: dict[str, str]) -> None:
    """One run, in which everybody writes the same, and its end."""
    push: dict[str, Any] = instructor.send(text)
    signs = "".join(written.get(sign, sign) for sign in text.replace(" ", ""))
    for learner in learners:
        learner.write(push["push"], keys_for(push, signs))
        learner.sounded(push["push"], len(push["edges"]))
        learner.kept(push["push"], len(signs))
    instructor.sounded_out(push)
    instructor.emit("close")


def courses(console: Page) -> Locator:
    button(console, "That is how we hear").click()
    button(console, "Course").click()
    return console.get_by_role("dialog", name="The course")


def order_of(course: Locator) -> list[str]:
    labels = (
        course.get_by_role("toolbar")
        .get_by_role("button")
        .evaluate_all("all => all.map((one) => one.getAttribute('aria-label'))")
    )
    return [re.sub(r"^\d+: ", "", label).split(",")[0] for label in labels]


def test_a_sound_is_moved_and_pinned_by_keyboard_left_out_and_taken_in_again(console: Page) -> None:
    course = courses(console)
    bar = course.get_by_role("toolbar", name="The order of the course")
    expect(bar.get_by_role("button").first).to_be_visible()
    first, second, third, *_ = order_of(course)
    bar.get_by_role("button").first.focus()
    console.keyboard.press("ArrowRight")
    console.keyboard.press("ArrowRight")
    console.keyboard.press("Alt+ArrowLeft")
    expect(bar.get_by_role("button", name=f"2: {third}, pinned")).to_be_focused()
    why = course.get_by_role("region", name=f"Why {third} stands here")
    expect(why).to_contain_text("is number 2 of")
    expect(why.get_by_role("listitem").first).not_to_be_empty()
    assert order_of(course)[0] == first

    button(why, "Leave it out").click()
    expect(course.get_by_role("group", name="Left out")).to_contain_text(third)
    assert third not in order_of(course)
    button(course.get_by_role("group", name="Left out"), re.compile(f"^Take in {third}")).click()
    expect(bar.get_by_role("button", name=re.compile(rf"^\d+: {third}\b"))).to_have_count(1)
    assert second in order_of(course)

    course.get_by_role("radio", name="Letters", exact=True).check(force=True)
    expect(bar.get_by_role("button")).to_have_count(26)
    course.get_by_role("spinbutton", name="Meetings in all").fill("3")
    expect(course.get_by_text("Too short: 26 sounds are still to be met")).to_be_visible()


def test_an_own_order_is_pasted_and_the_evening_begins_with_it(console: Page, instructor: Instructor) -> None:
    instructor.emit("set_symbols", {"symbols": ""})
    course = courses(console)
    course.get_by_role("radio", name="An order of your own").check(force=True)
    course.get_by_role("textbox", name="Your order").fill("q z ~ 7 k")
    expect(course.get_by_text("Not a sound: ~")).to_be_visible()
    expect(course.get_by_role("toolbar").get_by_role("button")).to_have_count(4)
    assert order_of(course) == ["Q", "Z", "7", "K"]
    button(course, "Choose this course").click()
    evening = console.get_by_role("region", name="This evening")
    button(evening, "Plan this evening").click()
    expect(evening.get_by_role("listitem").first).to_contain_text("Meet Q")
    expect(evening.get_by_role("listitem").nth(1)).to_contain_text("Meet Z")


def test_a_step_is_dragged_to_the_place_of_another(console: Page, instructor: Instructor) -> None:
    instructor.emit("set_symbols", {"symbols": ""})
    button(console, "That is how we hear").click()
    evening = console.get_by_role("region", name="This evening")
    button(evening, "Plan this evening").click()
    rows = evening.get_by_role("listitem")
    expect(rows.first).to_be_visible()
    titles = [text.splitlines()[1] for text in rows.all_inner_texts()]
    rows.nth(3).locator(".mark").drag_to(rows.nth(1))
    expect(rows.nth(1)).to_contain_text(titles[3])
    expect(rows.nth(2)).to_contain_text(titles[1])
    expect(rows.first).to_contain_text(titles[0])


def test_sounds_that_the_class_mixes_up_are_put_side_by_side_by_one_click(
    console: Page, instructor: Instructor, learners: list[Learner]
) -> None:
    button(console, "That is how we hear").click()
    run(instructor, learners, "ANTE NATE ANET AANN ATEN NATA", {"N": "A"})
    advice = console.get_by_role("region", name="Advice")
    apart = button(advice, re.compile("A, N apart|N, A apart"))
    apart.click()
    expect(button(console, re.compile("^Stop the sound"))).to_be_visible()
    sent = instructor.wait("run", lambda told: told["run"] and told["run"]["title"] == "A and N apart")["run"]
    assert set(sent["text"].replace(" ", "")) == {"A", "N"}


def test_a_lost_class_is_led_back_by_one_click(
    console: Page, instructor: Instructor, learners: list[Learner]
) -> None:
    instructor.emit("set_symbols", {"symbols": "ANTEISRO"})
    button(console, "That is how we hear").click()
    run(instructor, learners, "ANTE ISRO NATE SIRO TENA ORIS", dict.fromkeys("ISRONA", "_"))
    advice = console.get_by_role("region", name="Advice")
    back = button(advice, re.compile(r"^Send now: back to \d sounds"))
    back.click()
    expect(button(console, re.compile("^Stop the sound"))).to_be_visible()
    sent = instructor.wait("run", lambda told: told["run"] and told["run"]["purpose"] == "practise")["run"]
    assert {"T", "E"} <= set(sent["text"]) < set("ANTEISRO ")


def test_a_new_day_asks_for_the_next_meeting_and_warms_up_on_what_was_weak(
    console: Page, instructor: Instructor, learners: list[Learner]
) -> None:
    button(console, "That is how we hear").click()
    run(instructor, learners, "ANTE NATE ANET AANN ATEN NATA", {"E": "_"})
    expect(console.get_by_role("region", name="Advice")).to_be_visible()
    console.clock.set_fixed_time(datetime.datetime.now() + datetime.timedelta(days=7))
    console.reload()
    evening = console.get_by_role("region", name="This evening")
    button(evening, "Start meeting 2").click()
    button(evening, "Plan this evening").click()
    warm_up = evening.get_by_role("listitem").first
    expect(warm_up).to_contain_text("Warm up")
    expect(warm_up).to_contain_text("E")


def test_each_learner_is_shown_what_to_hear_again_at_home(
    console: Page,
    instructor: Instructor,
    learners: list[Learner],
    person: Callable[..., Page],
    server: Server,
    code: str,
    pictures: Path,
) -> None:
    page = person()
    join(page, server, code, "Lena")
    settle(page)
    button(console, "That is how we hear").click()
    run(instructor, learners, "ANTE NATE ANET", {"N": "_"})
    heading(page, "This run is over")
    button(console, "Review").click()
    until_next = console.get_by_role("dialog", name="Until next time")
    button(until_next, "Show each learner their own").click()
    expect(until_next.get_by_text("until you send something again")).to_be_visible()

    heading(page, "Until next time")
    tomorrow = datetime.date.today() + datetime.timedelta(days=1)
    first_day = page.get_by_role("listitem").first
    expect(first_day.locator("time")).to_have_attribute("datetime", str(tomorrow))
    button(first_day, re.compile("^Hear ")).click()
    page.screenshot(path=pictures / "until_next_time_phone.png")
    console.screenshot(path=pictures / "until_next_time_console.png")
    page.reload()
    heading(page, "Until next time")
    button(page, "Put it away").click()
    heading(page, "This run is over")


def test_progress_is_drawn_over_the_meetings_on_screen_and_on_paper(
    console: Page, instructor: Instructor, learners: list[Learner], pictures: Path
) -> None:
    button(console, "That is how we hear").click()
    run(instructor, learners, "ANTE NATE ANET", {"N": "A", "E": "_"})
    instructor.emit("open_meeting")
    instructor.wait("room", lambda room: len(room["meetings"]) == 2)
    run(instructor, learners, "ANTE NATE ANET", {"N": "A"})
    button(console, "Progress").click()
    shown = console.get_by_role("dialog", name="Progress")
    expect(shown.get_by_role("row", name=re.compile("^E "))).to_contain_text("100")
    shown.get_by_role("combobox", name="Look at").select_option("E")
    drawn = shown.get_by_role("img", name=re.compile("^E over the meetings"))
    expect(drawn.locator("canvas")).to_be_visible()

    light = drawn.locator("canvas").evaluate("canvas => canvas.toDataURL()")
    console.emulate_media(color_scheme="dark")
    console.wait_for_function(
        "was => document.querySelector('dialog canvas')?.toDataURL() !== was", arg=light
    )
    console.emulate_media(media="print", color_scheme="dark")
    console.evaluate("dispatchEvent(new Event('beforeprint'))")
    paper = console.locator("#paper")
    only = paper.get_by_role("img", name=re.compile("over the meetings"))
    expect(only).to_have_accessible_name(re.compile("^E over the meetings"))
    for chosen, names, others in (("Learners", NAMES, ()), ("Sounds", KNOWN, NAMES)):
        console.evaluate("dispatchEvent(new Event('afterprint'))")
        console.emulate_media(media="screen")
        shown.get_by_role("radio", name=chosen).check(force=True)
        console.emulate_media(media="print")
        console.evaluate("dispatchEvent(new Event('beforeprint'))")
        for name in names:
            expect(paper.get_by_role("img", name=f"{name} over the meetings", exact=True)).to_be_visible()
        for name in others:
            expect(paper.get_by_text(name)).to_have_count(0)
    inks = paper.locator("canvas").evaluate_all(
        """all => all.map((canvas) => {
          const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
          let dark = 0;
          for (let i = 0; i < data.length; i += 4) {
            dark += data[i + 3] > 200 && data[i] + data[i + 1] + data[i + 2] < 200;
          }
          return dark;
        })"""
    )
    assert len(inks) == 1 + len(KNOWN)
    assert min(inks) > 100, "lines are drawn in ink, whatever the screen's theme"
    console.screenshot(path=pictures / "progress_on_paper.png", full_page=True)
