"""A key of one's own through the audio input: a sound file stands in for a real Chromium's microphone."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect

from chromium_flags import LEAN
from classroom import Instructor, Server
from copyroom.core.bursts import Speed, bursts
from copyroom.core.waveform import RATE_HZ, render
from learner_page import button, heading, join, set_sound, settle

TEXT = "TEA"
QUIET_S = 1.5


def as_heard(path: Path) -> Path:
    """The text by the program's own rendering, held to the standard elsewhere, over a noisy line."""
    tones = np.concatenate(list(render(bursts(TEXT, Speed(15.0, 15.0)), 650.0)))
    quiet = np.zeros(int(QUIET_S * RATE_HZ))
    samples = np.concatenate([quiet, 0.4 * tones, np.zeros(20 * RATE_HZ)])
    samples += np.random.default_rng(5).normal(0.0, 0.01, samples.size)
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE_HZ, 0, "NONE", "not compressed"))
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return path


@pytest.fixture
def sender(tmp_path: Path, browser: Browser, chromium: str) -> Iterator[tuple[Server, str, Page]]:
    """A learner's page in a browser of its own, whose microphone plays the file once it is opened."""
    heard = as_heard(tmp_path / "key.wav")
    server = Server(tmp_path / "data")
    flags = [
        "--no-sandbox",
        "--disable-gpu",
        LEAN,
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={heard}%noloop",
    ]
    own = browser.browser_type.launch(executable_path=chromium, args=flags)
    context = own.new_context(viewport={"width": 360, "height": 640}, permissions=["microphone"])
    yield server, server.open_room(), context.new_page()
    own.close()
    server.stop()


def test_tones_at_the_audio_input_are_keyed_and_read(sender: tuple[Server, str, Page]) -> None:
    server, code, page = sender
    instructor = Instructor(server, code)
    set_sound(instructor)
    join(page, server, code, "Wren")
    settle(page)
    setup = {"senders": [1], "text": "given", "given": TEXT, "gap_s": 5}
    instructor.emit("start_exercise", {"kind": "key", "setup": setup})
    heading(page, "Send this")
    page.get_by_text("own key").click()
    expect(page.get_by_role("group", name="Own key")).to_be_visible()
    expect(page.locator("[data-is=sent]")).to_have_text(TEXT)  # as many tones as the text has
    button(page, "I have sent it all").click()
    instructor.emit("skip_turn", {})
    heading(page, "Your fist")
    expect(page.get_by_role("img", name="T E A, as meant and as sent")).to_be_visible()
