"""An evening in which the class has one stuck sound and one newcomer: each has its answer, by name."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from classroom import Instructor, Learner, Server
from console_page import button, send_own_text, settle, wait_for_silence, write
from learner_page import heading, join

TEXT = "TETAT EITTA TEETI TATET ITTEA TETTI ATETE TITAT EETAT"
"""22 of T among E, A and I, so that it was asked for often enough to be called stuck."""


def test_a_stuck_sound_and_a_newcomer_are_named_each_with_an_answer(
    console: Page,
    server: Server,
    instructor: Instructor,
    class_of: Callable[..., list[Learner]],
    person: Callable[..., Page],
) -> None:
    settle(console)
    instructor.emit("set_symbols", {"symbols": "TEAI"})
    learners = class_of("Ana", "Bo", "Cem", "Dora")
    send_own_text(console, TEXT)
    for learner, instead in zip(learners, "_E_E", strict=True):
        write(learner, TEXT.replace(" ", "").replace("T", instead))
    wait_for_silence(console)
    phone = person()
    join(phone, server, instructor.code, "Nils")
    for step in ("Turn the sound on", "I hear it", re.compile("Type")):
        button(phone, step).click()
    button(console, "Close and show").click()

    advice = console.get_by_role("region", name="Advice")
    expect(advice.locator(".advice-sentence")).to_contain_text(re.compile(r"\bT\b"))
    advice.get_by_text(re.compile("^Why")).click()
    expect(advice.get_by_role("listitem").filter(has_text="Nils")).to_contain_text("has copied nothing yet")

    button(advice, re.compile("^Send now: .*T")).first.click()
    heading(phone, re.compile("."))
    expect(console.get_by_text(re.compile("Named rounds|more of T|T apart")).first).to_be_visible()
