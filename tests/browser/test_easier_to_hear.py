"""What makes hearing easier or possible, and what a page does about it, whatever the output is worth."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, WebSocketRoute, expect

from classroom import Instructor
from learner_page import button, heading, set_sound, type_along, written
from listener_page import handed, in_step, onsets_ms, open_more, until

TEXT = "TAMEN"


def test_with_one_loudspeaker_only_its_seat_sounds_and_all_keep_time(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    loud = listener("Hana")
    instructor.emit("set_hearing", {"way": "loudspeaker", "source": 1})
    silent = listener("Ivo", sounds=False)
    push = instructor.send(TEXT)
    type_along(silent, instructor, push, TEXT)
    instructor.wait("progress", lambda told: [copy["written"] for copy in told["copies"]] == [0, len(TEXT)])
    assert len(handed(loud)) == len(TEXT)
    assert handed(silent) == []
    instructor.emit("close")
    instructor.wait("table", lambda table: table["final"] and table["cells"])
    instructor.emit("reveal")
    heading(silent, "5 of 5 heard right")


def test_at_home_each_browser_sounds_and_a_slow_line_costs_nothing(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    """Half a second each way: keys carry their own time, and what is on its way at the end still counts."""
    instructor.emit("set_hearing", {"way": "home", "source": 0})
    set_sound(instructor, tidy_s=3.0)
    slow_line = """
      const Real = WebSocket;
      window.WebSocket = class extends Real {
        send(...given) { setTimeout(() => super.send(...given), 500); }
        set onmessage(listener) { super.onmessage = (event) => setTimeout(() => listener(event), 500); }
      };
    """
    page = listener("Hana", script=slow_line)
    push = instructor.send(TEXT)
    type_along(page, instructor, push, TEXT)
    written(instructor, len(TEXT))
    assert in_step(handed(page), onsets_ms(push))
    heading(page, "Handed in")
    instructor.emit("close")
    instructor.wait("table", lambda table: table["final"] and table["cells"])
    instructor.emit("reveal")
    heading(page, "5 of 5 heard right")


def test_a_device_that_may_be_out_of_step_says_so_and_can_be_silenced(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    """Clock answers as over a very uneven network; nothing is really slow."""

    def uneven(route: WebSocketRoute) -> None:
        server = route.connect_to_server()
        chance = iter(range(1, 10**6))

        def answer(message: str | bytes) -> None:
            if isinstance(message, str) and '"sent_room_ms"' in message:
                message = re.sub(
                    r'("received_room_ms":)([\d.]+)',
                    lambda found: f"{found[1]}{float(found[2]) + 1997.0 * (next(chance) * 0.618 % 1.0):.3f}",
                    message,
                )
            route.send(message)

        server.on_message(answer)

    page = listener("Hana", route=uneven)
    banner = page.get_by_text(re.compile(r"may sound \d+ ms out of step"))
    expect(banner).to_be_visible(timeout=60_000)
    button(page, "Keep it silent").click()
    expect(banner).to_be_hidden()
    instructor.wait("seats", lambda told: [seat["sound"] for seat in told["seats"]] == ["silent"])


def test_own_pitch_noise_and_volume_are_the_learners_own(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    page = listener("Hana")
    open_more(page, "Easier to hear")
    page.get_by_role("checkbox", name="My own pitch").check()
    page.get_by_role("slider", name="Pitch").fill("400")
    page.get_by_role("slider", name="Soft noise").fill("0.5")
    page.keyboard.press("Escape")
    push = instructor.send("TTT")
    instructor.sounded_out(push)
    assert [sound["hz"] for sound in handed(page)] == pytest.approx([400.0] * 3, rel=0.02)


def test_the_lamp_is_off_until_asked_for_and_warns(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    page = listener("Hana")
    expect(page.locator(".lamp")).to_have_count(0)
    open_more(page, "Easier to hear")
    expect(page.get_by_text("Flashing light:")).to_be_visible()
    page.get_by_role("checkbox", name=re.compile("small lamp")).check()
    page.keyboard.press("Escape")
    set_sound(instructor, wpm=8.0)
    page.evaluate(
        """() => { window.lit = 0; new MutationObserver((seen) => {
          for (const { target } of seen) window.lit += target.hasAttribute('data-lit') ? 1 : 0;
        }).observe(document, { subtree: true, attributes: true, attributeFilter: ['data-lit'] }); }"""
    )
    push = instructor.send("TT")
    heading(page, "Write what you hear")
    box = page.locator(".lamp").bounding_box()
    assert box is not None
    # WCAG 2.2, 2.3.1: flashing does no harm on less than a quarter of 341 x 256 px (10 degrees of a screen).
    assert box["width"] * box["height"] < 341 * 256 / 4
    instructor.sounded_out(push)
    assert page.evaluate("lit") == 2


def test_a_device_that_can_vibrate_does_so_with_the_tones(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    page = listener(
        "Hana", script="window.shaken = []; navigator.vibrate = (lengths) => shaken.push(lengths);"
    )
    open_more(page, "Easier to hear")
    page.get_by_role("checkbox", name="Vibrate with the tones").check()
    page.keyboard.press("Escape")
    push = instructor.send("AT")
    instructor.sounded_out(push)
    until(page, "shaken.length >= 2")
    rounded = [[round(off - on) for on, off in itertools.pairwise(edges)] for edges in push["edges"]]
    assert page.evaluate("shaken") == rounded
