"""The console and the wall as an instructor meets them. Controls are found by role and name only."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect

import learner_page
from classroom import Learner, Server
from console_page import button, choose, dialog, send_own_text, settle, sounded_some, wait_for_silence, write

OpenPage = Callable[..., Page]
WALL = {"width": 1920, "height": 1080}


def test_secret_leaves_the_address_bar_and_is_needed_once(console: Page, server: Server, code: str) -> None:
    expect(button(console, re.compile("join with"))).to_contain_text(code)
    assert server.secret not in console.url
    console.goto(f"{server.url}/console?room={code}")
    expect(button(console, re.compile("join with"))).to_contain_text(code)


def test_without_the_link_nothing_of_the_class_is_shown(server: Server, code: str, person: OpenPage) -> None:
    for path in ("console", "wall"):
        page = person()
        page.goto(f"{server.url}/{path}?room={code}")
        expect(page.get_by_role("heading", name=re.compile("This page is the instructor"))).to_be_visible()
        expect(page.get_by_text(code)).to_have_count(0)


def test_before_anyone_is_in_the_way_in_is_shown(console: Page, code: str) -> None:
    expect(console.get_by_role("heading", name="Nobody is in yet")).to_be_visible()
    expect(console.get_by_role("img", name=re.compile("QR code of http.*" + code))).to_be_visible()
    expect(console.get_by_text("Only this computer can open this address.")).to_be_visible()


def test_matrix_is_what_the_class_wrote(console: Page, class_of: Callable[..., list[Learner]]) -> None:
    settle(console)
    ana, ben = class_of("Ana", "Ben")
    send_own_text(console, "TAT ATA")
    write(ana, "TNTAT_")
    write(ben, "TATATA")
    wait_for_silence(console)
    button(console, "Close").click()
    cell = console.get_by_role("gridcell", name="sent A, written N: 1 of 6, 17 percent")
    expect(cell).to_be_visible()
    expect(console.get_by_role("gridcell", name="sent A, written A: 4 of 6, 67 percent")).to_be_visible()
    expect(console.get_by_role("gridcell", name="sent A, left blank: 1 of 6, 17 percent")).to_be_visible()
    expect(console.get_by_role("gridcell", name="sent T, written T: 6 of 6, 100 percent")).to_be_visible()

    cell.click()
    behind = dialog(console, "A written as N")
    expect(behind.get_by_role("row", name=re.compile("Ana"))).to_have_count(1)
    expect(behind.get_by_role("row", name=re.compile("Ben"))).to_have_count(0)
    console.keyboard.press("Escape")
    expect(behind).to_be_hidden()

    button(console, "Show to the learners").click()
    assert ana.wait("reveal")["right"] == 4
    assert ben.wait("reveal")["right"] == 6
    expect(button(console, "Next")).to_be_visible()


STARTED = """
window.started = [];
const { start } = AudioBufferSourceNode.prototype;
AudioBufferSourceNode.prototype.start = function (...given) {
  if (!this.loop) window.started.push(this.buffer.duration);
  return start.apply(this, given);
};
"""
"""Notes the length of each sound handed to the output."""


def test_few_sendings_are_counted_and_get_no_share(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Ana")
    send_own_text(console, "TTTTTTE")
    write(ana, "TTTTTT_")
    wait_for_silence(console)
    button(console, "Close").click()
    row = console.get_by_role("row", name=re.compile("^E "))
    expect(row.get_by_role("gridcell").last).to_have_text("0 of 1")
    expect(console.get_by_role("row", name=re.compile("^T ")).get_by_role("gridcell").last).to_contain_text(
        "100 %, 6 of 6"
    )


def test_both_sounds_of_a_pair_are_heard_by_resting_on_it_and_by_the_keyboard(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    console.add_init_script(STARTED)
    console.reload()
    settle(console)
    learners = class_of("Ana", "Ben", "Cem", "Dora")
    send_own_text(console, "TAT ATA NET ATA")
    for learner in learners:
        write(learner, "TATATANETATA".replace("A", "N"))
    wait_for_silence(console)
    button(console, "Close").click()
    pair = console.get_by_text("A heard as N")
    hear = button(console, "Hear both, A and N")
    console.mouse.move(5, 5)
    console.evaluate("started.length = 0")

    pair.hover()
    console.mouse.move(5, 5)  # only passing by
    console.wait_for_timeout(900)
    assert console.evaluate("started.length") == 0

    pair.hover()
    expect(hear).to_have_attribute("aria-pressed", "true")
    both_s = console.evaluate("started.reduce((sum, length) => sum + length, 0)")
    assert both_s > 0.6, "two sounds and the silence between them"
    expect(hear).to_have_attribute("aria-pressed", "false")

    console.mouse.move(5, 5)
    heard = console.evaluate("started.length")
    console.keyboard.press("Tab")
    for _ in range(60):
        if hear.evaluate("own => own === document.activeElement"):
            break
        console.keyboard.press("Tab")
    expect(hear).to_be_focused()
    expect(hear).to_have_attribute("aria-pressed", "true")
    assert console.evaluate("started.length") > heard


def test_matrix_is_walked_by_arrow_keys(console: Page, class_of: Callable[..., list[Learner]]) -> None:
    settle(console)
    (ana,) = class_of("Ana")
    send_own_text(console, "AN")
    write(ana, "NN")
    wait_for_silence(console)
    button(console, "Close").click()
    grid = console.get_by_role("grid", name=re.compile("What the class wrote"))
    first = grid.get_by_role("gridcell", name=re.compile("sent A, written A"))
    first.focus()
    console.keyboard.press("ArrowRight")
    expect(grid.get_by_role("gridcell", name=re.compile("sent A, written N"))).to_be_focused()
    console.keyboard.press("Enter")
    expect(dialog(console, "A written as N")).to_be_visible()
    console.keyboard.press("Escape")
    expect(grid.get_by_role("gridcell", name=re.compile("sent A, written N"))).to_be_focused()
    console.keyboard.press("ArrowDown")
    expect(grid.get_by_role("gridcell", name=re.compile("sent N, written N"))).to_be_focused()


def test_run_pauses_goes_on_and_stops_by_escape(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Ana")
    send_own_text(console, "PARIS " * 30)
    ana.wait("push")
    button(console, "Pause").click()
    assert not ana.wait("halt")["for_good"]
    button(console, "Go on").click()
    ana.wait("shift")
    expect(button(console, "Pause")).to_be_visible()
    sounded_some(console)
    console.keyboard.press("Escape")
    ana.wait("halt", lambda halt: halt["for_good"])
    wait_for_silence(console)
    button(console, "Go on").click()  # the stop is taken back
    ana.wait("shift", lambda shift: len(shift["shifts"]) == 2)
    expect(button(console, "Pause")).to_be_visible()
    console.keyboard.press("Escape")
    wait_for_silence(console)
    expect(button(console, "Go on")).to_be_hidden(timeout=8_000)


def place(button: Locator) -> dict[str, float]:
    box = button.bounding_box()
    assert box is not None
    return dict(box)


def test_a_second_click_does_nothing_and_no_control_takes_the_place_of_another(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Ana")
    choose(console, "Own text")
    console.get_by_role("textbox", name="Text", exact=True).fill("PARIS " * 30)
    expect(button(console, re.compile("Send to the class"))).to_be_enabled()
    for _ in range(2):
        console.keyboard.press("Control+Enter")
    push = ana.wait("push")
    stop = button(console, re.compile("^Stop the sound"))
    pause = button(console, "Pause")
    where = place(pause)
    assert ana.clock()["sent_room_ms"] < push["start_room_ms"] + push["edges"][-1][-1]
    assert not ana.all("halt"), "sent, and not stopped by the second press"

    sounded_some(console)
    pause.dblclick()
    assert not ana.wait("halt")["for_good"]
    go_on = button(console, "Go on")
    expect(go_on).to_be_disabled()  # for a second
    assert place(go_on) == where
    expect(go_on).to_be_enabled()
    halts = {(halt["at_room_ms"], halt["for_good"]) for halt in ana.all("halt")}  # each may be said twice
    assert [for_good for _, for_good in halts] == [False], "paused, and not stopped or gone on"

    stopped = place(stop)
    stop.dblclick()
    ana.wait("halt", lambda halt: halt["for_good"])
    close = button(console, "Close")
    expect(close).to_be_visible()
    for other in (close, button(console, "Repeat"), button(console, "Close and show")):
        box = place(other)
        assert box["y"] > stopped["y"] or box["x"] >= stopped["x"] + stopped["width"]
        assert box["y"] > where["y"] or box["x"] >= where["x"] + where["width"]
    with_second_click = console.get_by_text("The run had just changed")
    expect(with_second_click).to_have_count(0)


def test_a_run_stopped_before_its_first_sound_leaves_nothing_to_tidy_up(
    console: Page, server: Server, code: str, person: OpenPage
) -> None:
    button(console, "That is how we hear").click()
    phone = person()
    learner_page.join(phone, server, code)
    learner_page.settle(phone)
    send_own_text(console, "PARIS")
    learner_page.heading(phone, re.compile("It starts in"))
    expect(button(console, re.compile("^Stop the sound"))).to_be_visible()
    console.keyboard.press("Escape")
    expect(phone.get_by_text("The next run starts by itself")).to_be_visible()
    expect(console.get_by_role("heading", name="What comes next")).to_be_visible()
    expect(button(console, re.compile("Send to the class"))).to_be_enabled()
    expect(console.get_by_role("list").filter(has_text="Own text")).to_have_count(0)


def test_nothing_scrolls_while_a_run_sounds(console: Page, class_of: Callable[..., list[Learner]]) -> None:
    settle(console)
    learners = class_of(*(f"Seat {n}" for n in range(1, 15)))
    send_own_text(console, "THE QUICK BROWN FOX JUMPS OVER THE LAZY DOG " * 3)
    write(learners[0], "THEQUICKBROWNFOXJUMPSOVERTHELAZYDOG")
    expect(console.get_by_text(re.compile("1 copy"))).to_be_visible()
    hidden = console.evaluate(
        "[document.documentElement, ...document.querySelectorAll('main, [aria-labelledby=room-title]')]"
        ".map(box => box.scrollHeight - box.clientHeight)"
    )
    assert max(hidden) == 0, hidden
    sounded_some(console)
    console.keyboard.press("Escape")
    wait_for_silence(console)


def test_newcomers_wait_at_the_door_until_they_are_let_in(
    console: Page, server: Server, code: str, class_of: Callable[..., list[Learner]]
) -> None:
    console.get_by_role("checkbox", name="Newcomers wait at the door").check()
    expect(console.get_by_role("checkbox", name="Newcomers wait at the door")).to_be_checked()
    class_of("Early")
    button(console, "Let in Early").click()
    expect(button(console, "Let in Early")).to_have_count(0)
    expect(console.get_by_text("1 typing")).to_be_visible()


def test_call_for_help_is_shown_until_seen(console: Page, class_of: Callable[..., list[Learner]]) -> None:
    (ana,) = class_of("Ana")
    ana.emit("cannot_hear")
    in_header = console.get_by_role("banner").get_by_text("Ana cannot hear")
    expect(in_header).to_be_visible()
    ana.sound_on()  # its browser says that it sounds: nobody knows whether Ana hears it
    expect(console.get_by_text("cannot hear", exact=True)).to_be_visible()
    expect(in_header).to_be_visible()
    button(console, "Seen to Ana").click()
    expect(console.get_by_text("cannot hear")).to_have_count(0)


def test_a_call_for_help_moves_nothing_under_the_pointer(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    calling = class_of("Ana Longfellow", "Ben Longfellow")
    expect(console.get_by_text("2 here")).to_be_visible()
    plan = button(console, "Plan this evening")
    before = plan.bounding_box()
    for learner in calling:
        learner.emit("cannot_hear")
    expect(
        console.get_by_role("banner").get_by_text("Ana Longfellow, Ben Longfellow cannot hear")
    ).to_be_visible()
    assert plan.bounding_box() == before


def test_seat_is_renamed_and_removed_only_when_confirmed(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    (ana,) = class_of("Ana")
    button(console, "Ana").click()
    button(console, "Rename").click()
    console.get_by_role("textbox", name="New name for Ana").fill("Anna")
    button(console, "Save the name").click()
    assert ana.wait("renamed")["name"] == "Anna"
    button(console, "Remove").click()
    expect(console.get_by_text("Remove Anna?")).to_be_visible()
    button(console, "Keep the seat").click()
    button(console, "Remove").click()
    button(console, "Remove Anna").click()
    ana.wait("removed")
    expect(console.get_by_text("Nobody is in yet. Each learner")).to_be_visible()


def test_sheet_of_a_seat_without_device_counts(console: Page) -> None:
    settle(console)
    button(console, "Add a seat without a device").click()
    console.get_by_role("textbox", name="Nickname or seat number").fill("Table 4")
    button(console, "Add the seat").click()
    send_own_text(console, "AN AN")
    wait_for_silence(console)
    button(console, "Table 4").click()
    button(console, "Key in the sheet").click()
    sheet = dialog(console, "The sheet of Table 4")
    sheet.get_by_role("textbox").fill("an a_")
    button(sheet, "Hand the sheet in").click()
    expect(console.get_by_text("4 handed in")).to_be_visible()
    button(console, "Close").click()
    expect(console.get_by_role("gridcell", name="sent A, written A: 2 of 2, 100 percent")).to_be_visible()
    expect(console.get_by_role("gridcell", name="sent N, left blank: 1 of 2, 50 percent")).to_be_visible()

    button(console, "Add a seat without a device").click()
    console.get_by_role("textbox", name="Nickname or seat number").fill("Table 5")
    button(console, "Add the seat").click()
    button(console, "Show to the learners").click()
    button(console, "Table 5").click()
    button(console, "Count of the sheet").click()
    console.get_by_role("spinbutton", name="Right of 4").fill("3")
    button(console, "Keep the count").click()
    expect(console.get_by_text("3 of 4, own count")).to_be_visible()


def test_nickname_is_text_never_markup(console: Page, class_of: Callable[..., list[Learner]]) -> None:
    class_of("<b>Bold</b>")
    expect(button(console, "<b>Bold</b>")).to_be_visible()


def test_two_consoles_show_the_same_class(
    console: Page, server: Server, code: str, person: OpenPage, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    class_of("Ana")
    second = person({"width": 1280, "height": 800})
    second.goto(f"{server.url}/console?room={code}#{server.secret}")
    expect(button(second, "Ana")).to_be_visible()
    send_own_text(console, "PARIS " * 20)
    sounded_some(second)
    button(second, re.compile("Stop the sound")).click()
    wait_for_silence(console)


def test_wall_shows_no_name_ever_and_no_text_before_its_time(
    console: Page, server: Server, code: str, person: OpenPage, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Anastasia")
    wall = person(WALL)
    wall.goto(server.wall_url(code))
    expect(wall.get_by_role("img", name=re.compile("QR code"))).to_be_visible()
    expect(wall.get_by_text("1 is in.")).to_be_visible()
    send_own_text(console, "KMKMKM KMKMKM")
    expect(
        wall.get_by_role("heading", name=re.compile("Write what you hear|Tidy up your sheet"))
    ).to_be_visible()
    assert "KMKM" not in wall.content()
    write(ana, "KMKMKMKMKMKK")
    wait_for_silence(console)
    button(console, "Close and show").click()
    expect(wall.get_by_role("table", name="What the class wrote")).to_be_visible()
    expect(wall.get_by_role("heading", name=re.compile("What we wrote"))).to_be_visible()
    sent = wall.get_by_role("region", name="What was sent")
    assert "".join(sent.inner_text().split()) == "KMKMKMKMKMKM"
    expect(wall.get_by_text("In this run most of us had K.")).to_be_visible()
    assert "Anastasia" not in wall.content()


def test_room_is_erased_only_when_confirmed(console: Page, code: str) -> None:
    button(console, "Rooms").click()
    rooms = dialog(console, "Rooms")
    button(rooms, re.compile("Erase this room")).click()
    button(rooms, "Keep it").click()
    button(rooms, re.compile("Erase this room")).click()
    button(rooms, f"Erase {code} for good").click()
    expect(button(console, re.compile("join with"))).not_to_contain_text(code)


def test_printed_table_has_title_and_figures_and_no_names(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Anastasia")
    send_own_text(console, "AN AN")
    write(ana, "ANNN")
    wait_for_silence(console)
    button(console, "Close").click()
    expect(console.get_by_role("gridcell", name="sent A, written N: 1 of 2, 50 percent")).to_be_visible()
    console.emulate_media(media="print")
    console.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    expect(console.get_by_role("heading", name="Morse class: what the class wrote")).to_be_visible()
    expect(console.get_by_role("table", name="What the class wrote")).to_be_visible()
    expect(console.get_by_text("Anastasia").filter(visible=True)).to_have_count(0)


def test_console_is_the_loudspeaker_once_tapped(console: Page) -> None:
    missing = console.get_by_text("its sound is not on")
    console.get_by_role("radio", name=re.compile("One loudspeaker")).check()
    button(console, "That is how we hear").click()
    expect(console.get_by_title("How the class hears")).to_have_text(re.compile("One loudspeaker"))
    expect(missing).to_have_count(0)
    console.reload()
    expect(missing).to_be_visible()
    button(console, "Turn the sound on").click()
    expect(missing).to_have_count(0)


def test_two_sounds_are_heard_one_after_the_other(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    (ana,) = class_of("Ana")
    send_own_text(console, "VV")
    write(ana, "VU")
    wait_for_silence(console)
    button(console, "Close").click()
    console.get_by_role("gridcell", name="sent V, written U: 1 of 2, 50 percent").click()
    both = button(dialog(console, "V written as U"), "Hear both, V and U")
    both.click()
    expect(both).to_have_attribute("aria-pressed", "true")
    expect(both).to_have_attribute("aria-pressed", "false")
    expect(console.get_by_text("That cannot be heard now")).to_have_count(0)


def test_console_on_a_phone_has_all_within_its_width(
    server: Server, code: str, person: OpenPage, class_of: Callable[..., list[Learner]]
) -> None:
    page = person({"width": 360, "height": 740})
    page.goto(f"{server.url}/console?room={code}#{server.secret}")
    settle(page)
    (ana,) = class_of("Ana")
    send_own_text(page, "ABCDE FGHIK")
    write(ana, "ABCDEFGHIK")
    wait_for_silence(page)
    button(page, "Close").click()
    expect(page.get_by_role("gridcell", name="sent A, written A: 1 of 1, 100 percent")).to_be_visible()
    width = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    assert len(set(page.evaluate(width))) == 1
    button(page, "Show to the learners").click()
    expect(page.get_by_text("Closed, and shown to the learners")).to_be_visible()
    assert len(set(page.evaluate(width))) == 1


def test_a_run_says_where_it_stands_in_a_line_or_two_on_a_narrow_laptop(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    console.set_viewport_size({"width": 1160, "height": 800})
    settle(console)
    class_of("Ana")
    send_own_text(console, "TETETETETE" * 6)
    button(console, "Pause").click()
    words = console.get_by_text("The cut-off sound comes again.")
    assert words.bounding_box()["height"] < 50
