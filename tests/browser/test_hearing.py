"""Ways of hearing, as the pages carry them out: what is really handed to the audio, and when."""

from __future__ import annotations

import itertools
import re
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, WebSocketRoute, expect

from classroom import PATIENCE_S, Instructor, Server
from learner_page import button, heading, join, set_sound, settle, type_along, written

OpenPage = Callable[..., Page]
TEXT = "TAMEN"
LATE_MS = 120
SAME_MS = 15.0
"""A page sees the audio clock in steps of some 10 ms."""
HANDED = """
window.handed = [];
window.contexts = [];
const { start } = AudioBufferSourceNode.prototype;
AudioBufferSourceNode.prototype.start = function (whenS = 0, ...rest) {
  if (!this.loop) {
    const inMs = 1000 * (whenS - this.context.currentTime);
    const held = this.buffer.getChannelData(0).filter((sample) => Math.abs(sample) > 0);
    let crossings = 0;
    for (let k = 1; k < held.length; k += 1) if (held[k] > 0 !== held[k - 1] > 0) crossings += 1;
    const hz = (crossings / 2 / held.length) * this.buffer.sampleRate;
    window.handed.push({ pageMs: performance.now() + inMs, inMs, hz });
  }
  return start.call(this, whenS, ...rest);
};
window.AudioContext = class extends AudioContext {
  constructor(...given) {
    super(...given);
    window.contexts.push(this);
  }
};
"""
"""Notes each sound handed to the output: the page time at which it is due, and its pitch."""


@pytest.fixture
def output() -> str:
    """The browser's own output is what is tested."""
    return ""


@pytest.fixture
def listener(server: Server, code: str, person: OpenPage) -> Callable[..., Page]:
    """Opens the page of one more learner who hears, with `handed` noted on it."""

    def open_page(
        name: str,
        *,
        sounds: bool = True,
        script: str = "",
        route: Callable[[WebSocketRoute], None] | None = None,
    ) -> Page:
        page = person()
        page.add_init_script(HANDED + script)
        if route is not None:
            page.route_web_socket(re.compile("/socket.io/"), route)
        join(page, server, code, name)
        if sounds:
            settle(page)
            until(page, "handed.length > 0")  # the test tones
        else:
            button(page, "Go on").click()
            button(page, re.compile("Type while listening")).click()
        page.evaluate("handed.length = 0")
        return page

    return open_page


def until(page: Page, condition: str) -> None:
    """Wait for a condition on the page. Its rules let no `wait_for_function` in."""
    deadline_s = time.monotonic() + PATIENCE_S
    while not page.evaluate(condition):
        assert time.monotonic() < deadline_s, condition
        page.wait_for_timeout(50)


def handed(page: Page) -> list[dict[str, float]]:
    return page.evaluate("handed")


def onsets_ms(push: dict[str, Any]) -> list[float]:
    return [edges[0] for edges in push["edges"]]


def in_step(sounds: list[dict[str, float]], expected_ms: list[float]) -> bool:
    """Whether the sounds are as far from each other as they should be."""
    off_ms = [sound["pageMs"] - at_ms for sound, at_ms in zip(sounds, expected_ms, strict=True)]
    return max(off_ms) - min(off_ms) < 2 * SAME_MS


def open_more(page: Page, name: str) -> None:
    page.get_by_role("button", name="Settings").click()
    page.get_by_text(name).click()


# ------------------------------------------------------------------ who sounds


def test_every_browser_sounds(instructor: Instructor, listener: Callable[..., Page]) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    push = instructor.send(TEXT)
    instructor.sounded_out(push)
    for page in pages:
        assert in_step(handed(page), onsets_ms(push))


def test_the_first_burst_comes_within_a_second_of_send_and_whole(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    quick = {"wpm": 30.0, "overall_wpm": 30.0, "pitch_hz": 600.0, "lead_in_s": 0.0, "tidy_s": 30.0}
    instructor.emit("set_sound", quick)
    instructor.wait("room", lambda room: room["sound"] == quick)
    for _ in range(3):
        asked_room_ms = instructor.clock()["sent_room_ms"]
        push = instructor.send(TEXT)
        assert push["start_room_ms"] + onsets_ms(push)[0] - asked_room_ms <= 1000.0
        instructor.sounded_out(push)
        for page in pages:
            until(page, f"handed.length === {len(TEXT)}")
            assert handed(page)[0]["inMs"] > 0, "handed over before it is due: nothing of it is cut off"
            page.evaluate("handed.length = 0")
        instructor.emit("close")
        instructor.wait("table", lambda table: table["final"])
        instructor.forget()


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


def test_headphones_sound_on_every_device(instructor: Instructor, listener: Callable[..., Page]) -> None:
    instructor.emit("set_hearing", {"way": "headphones", "source": 0})
    page = listener("Hana")
    push = instructor.send(TEXT)
    instructor.sounded_out(push)
    assert in_step(handed(page), onsets_ms(push))


# ------------------------------------------------------------------ a slow output


def beat_ms(page: Page) -> float:
    """Where in each second of room time the page's beat is handed over."""
    page.evaluate("handed.length = 0")
    button(page, "Play the beat").click()
    until(page, "handed.length >= 5")
    button(page, "Stop the beat").click()
    return statistics.median(sound["pageMs"] % 1000.0 for sound in handed(page))


def test_a_slow_output_set_by_ear_sounds_so_much_earlier_and_is_remembered(
    listener: Callable[..., Page],
) -> None:
    page = listener("Hana")
    open_more(page, "Late or doubled sound")
    before_ms = beat_ms(page)
    page.get_by_role("slider", name="This output is late by").fill(str(LATE_MS))
    earlier_ms = (before_ms - beat_ms(page)) % 1000.0
    assert earlier_ms == pytest.approx(LATE_MS, abs=SAME_MS)
    page.reload()
    open_more(page, "Late or doubled sound")
    expect(page.get_by_role("slider", name="This output is late by")).to_have_value(str(LATE_MS))


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


# ------------------------------------------------------------------ an output taken away


def test_an_interrupted_output_is_seen_and_goes_on_in_step_after_a_tap(
    instructor: Instructor, listener: Callable[..., Page]
) -> None:
    page = listener("Hana")
    set_sound(instructor, wpm=10.0)
    push = instructor.send("TAMENTAMEN")
    until(page, "handed.length >= 2")
    page.evaluate("contexts[0].suspend()")
    expect(page.get_by_text("The sound was interrupted.")).to_be_visible()
    instructor.wait("seats", lambda told: [seat["sound"] for seat in told["seats"]] == ["lost"])
    page.evaluate("handed.length = 0")
    instructor.sounded_out(push, 3)  # the third at least is missed, however quick the tap
    button(page, "Turn it on").click()
    expect(page.get_by_text("The sound was interrupted.")).to_be_hidden()
    instructor.wait("seats", lambda told: [seat["sound"] for seat in told["seats"]] == ["on"])
    instructor.sounded_out(push)
    again = handed(page)
    assert 0 < len(again) < 9, "some were missed, and the rest was heard"
    assert in_step(again, onsets_ms(push)[-len(again) :])
    heard = instructor.view("progress")["copies"][0]["heard"]
    assert len(again) <= heard < 10, "what sounded while the output was away does not count as heard"


# ------------------------------------------------------------------ easier to hear


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


# ------------------------------------------------------------------ what the console says


def test_the_console_says_how_close_the_room_sounds_and_names_the_worst(
    instructor: Instructor, listener: Callable[..., Page], console: Page, pictures: Path
) -> None:
    pages = [listener(name) for name in ("Hana", "Ivo")]
    expect(console.get_by_text(re.compile(r"2 here, the room sounds within \d{1,2} ms"))).to_be_visible()
    console.screenshot(path=pictures / "console_in_step.png")
    instructor.forget()
    button(console, "Sound check").first.click()
    push = instructor.wait("run", lambda told: told["run"] is not None)["run"]
    assert (push["purpose"], push["counted"]) == ("listen", False)
    for page in pages:
        until(page, "handed.length > 0")
