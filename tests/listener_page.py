"""The page of a learner who hears, watched for what it hands to the browser's audio."""

from __future__ import annotations

import time
from typing import Any

from playwright.sync_api import Page

from classroom import PATIENCE_S

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
