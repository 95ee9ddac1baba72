"""A run that went wrong, set aside at the console and counted again; the learner's sheet says so."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from classroom import Learner, Server
from console_page import button, dialog, send_own_text, settle, wait_for_silence, write
from learner_page import heading, join
from learner_page import settle as sit_down


def copied(console: Page, ana: Learner) -> None:
    send_own_text(console, "TAT ATA")
    write(ana, "TNTAT_")
    wait_for_silence(console)
    button(console, "Close and show").click()
    expect(console.get_by_role("gridcell", name=re.compile("^sent A, written N: 1 "))).to_be_visible()


def test_a_run_is_set_aside_with_a_reason_and_counts_again_by_one_click(
    console: Page,
    server: Server,
    code: str,
    class_of: Callable[..., list[Learner]],
    person: Callable[..., Page],
) -> None:
    settle(console)
    phone = person()
    join(phone, server, code, "Hana")
    sit_down(phone)
    copied(console, *class_of("Ana"))
    heading(phone, "What was sent")

    table = console.get_by_role("region", name=re.compile("^What the class wrote"))
    button(console, "Set aside run 1, Own text").first.click()
    asked = dialog(console, re.compile("^Set aside: "))
    asked.get_by_role("textbox", name="In your own words").fill("Fire alarm")
    button(asked, "Set it aside").click()
    expect(table.get_by_text("This run is set aside: nothing of it counts.")).to_be_visible()
    expect(console.get_by_role("region", name="Advice")).to_have_count(0)
    expect(phone.get_by_text("This run was set aside: Fire alarm.")).to_be_visible()

    button(console, "Count again: Set aside: Fire alarm").first.click()
    expect(table.get_by_role("gridcell", name=re.compile("^sent A, written N: 1 "))).to_be_visible()
    expect(phone.get_by_text(re.compile("set aside"))).to_have_count(0)


def test_a_part_is_set_aside_for_one_learner_alone(
    console: Page, class_of: Callable[..., list[Learner]]
) -> None:
    settle(console)
    copied(console, *class_of("Ana"))
    button(console, "Set aside run 1, Own text").first.click()
    asked = dialog(console, re.compile("^Set aside: "))
    asked.get_by_role("combobox", name="For whom").select_option("Ana")
    asked.get_by_role("spinbutton", name=re.compile("^From sound")).fill("5")
    button(asked, "Set it aside").click()
    words = "Set aside from sound 5 on for Ana: Loudspeaker off"
    expect(button(console, f"Count again: {words}").first).to_be_visible()
    expect(console.get_by_role("gridcell", name=re.compile("^sent A, written N: 1 of 2"))).to_be_visible()
    expect(console.get_by_role("gridcell", name=re.compile("^sent A, left blank: 1"))).to_have_count(0)
