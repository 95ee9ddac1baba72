"""How much later than a bare oscillator the key's own tone is heard, recorded from the sound server.

Both hear the same pointer events on one page: the product's key, and an oscillator whose gate the handler
opens with nothing around it. Each has an AudioContext and a pitch of its own, so that one recording holds
both, told apart by their bands. Which handler runs first changes with every press. Two contexts' streams may
lie some milliseconds apart by chance, as they were started; so there are several pairs, and in every other
one the key's is started first.
"""

from __future__ import annotations

import argparse
import asyncio
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from playwright.async_api import async_playwright

from bench import sync_rig
from bench.onsets import band_envelope, crossings_s
from classroom import Server

LIMIT_MS = 2.0
BARE_HZ, KEY_HZ = 500.0, 900.0
SHORTEST_TONE_S = 0.05
PLAY = """async ({ presses, bareHz, keyHz, keyFirst }) => {
  const { createSidetone } = await import('/static/js/shell/sidetone.js');
  const { createKey } = await import('/static/js/shell/key.js');
  let sidetone = keyFirst ? createSidetone({ volume: 1, pitchHz: keyHz }) : null;
  const context = new AudioContext({ latencyHint: 'interactive' });
  const oscillator = new OscillatorNode(context, { frequency: bareHz });
  const gate = new GainNode(context, { gain: 0 });
  oscillator.connect(gate).connect(context.destination);
  oscillator.start();
  sidetone ??= createSidetone({ volume: 1, pitchHz: keyHz });
  const key = createKey({ sidetone, onTone() {}, onDown() {}, onFlood() {} });
  await Promise.all([context.resume(), sidetone.wake()]);
  const wait = (ms) => new Promise((done) => setTimeout(done, ms));
  await wait(700);
  const pad = document.body.appendChild(document.createElement('button'));
  const set = (on) => gate.gain.setValueAtTime(on ? 0.8 : 0, context.currentTime);
  let bareFirst = true;
  const both = (bare, own) => (bareFirst ? (bare(), own()) : (own(), bare()));
  pad.addEventListener('pointerdown', (event) => both(() => set(true), () => key.press(event.timeStamp)));
  pad.addEventListener('pointerup', (event) => both(() => set(false), () => key.lift(event.timeStamp)));
  for (let n = 0; n < presses; n += 1) {
    bareFirst = n % 2 === 0;
    pad.dispatchEvent(new PointerEvent('pointerdown'));
    await wait(90 + 20 * Math.random());
    pad.dispatchEvent(new PointerEvent('pointerup'));
    await wait(90 + 20 * Math.random());
  }
  await wait(400);
  await context.close();
  sidetone.close();
}"""


def later_ms(recording: NDArray[np.float32]) -> NDArray[np.float64]:
    """Per press, how much later the key's tone passes half of its height than the bare one's, ms."""
    bare_s, own_s = (_onsets_s(recording, hz) for hz in (BARE_HZ, KEY_HZ))
    nearest = np.abs(own_s[:, None] - bare_s[None, :]).argmin(axis=1)
    found: NDArray[np.float64] = (own_s - bare_s[nearest]) * 1000.0
    return found[np.abs(found) < 60.0]


def _onsets_s(recording: NDArray[np.float32], hz: float) -> NDArray[np.float64]:
    """Beginnings of whole tones; the clicks of the other one's hard gate are none."""
    up_s, down_s = crossings_s(band_envelope(recording, hz, sync_rig.RATE_HZ), sync_rig.RATE_HZ)
    ends_s = down_s[np.minimum(np.searchsorted(down_s, up_s), down_s.size - 1)]
    return up_s[ends_s - up_s > SHORTEST_TONE_S]


async def recorded_pairs(url: str, folder: Path, pairs: int, presses: int) -> list[NDArray[np.float64]]:
    """Each pair of contexts in a page of its own."""
    found = []
    with sync_rig.sound_server() as sound:
        async with async_playwright() as playwright:
            for n in range(pairs):
                async with sync_rig.browser_page(playwright, sound) as page:
                    await page.goto(url)
                    sound.hurry_audio_threads()
                    with sound.recording(folder / f"{n}.f32"):
                        heard = {"presses": presses, "bareHz": BARE_HZ, "keyHz": KEY_HZ}
                        await page.evaluate(PLAY, heard | {"keyFirst": n % 2 == 1})
                found.append(later_ms(sync_rig.recorded(folder / f"{n}.f32")))
    return found


def main(args: Sequence[str]) -> int:
    """Print it for each pair and over all; 1 when the median is beyond the limit."""
    parser = argparse.ArgumentParser(prog="dev.py bench sidetone", description=__doc__)
    parser.add_argument("--pairs", type=int, default=6)
    parser.add_argument("--presses", type=int, default=24)
    chosen = parser.parse_args(args)
    if lacking := sync_rig.missing():
        print(f"Sound cannot be recorded here: {', '.join(lacking)} not installed.")
        return 1
    with tempfile.TemporaryDirectory(prefix="copyroom-sidetone-") as name:
        folder = Path(name)
        server = Server(folder / "data")
        try:
            pairs = asyncio.run(recorded_pairs(f"{server.url}/", folder, chosen.pairs, chosen.presses))
        finally:
            server.stop()
    for n, found in enumerate(pairs, start=1):
        low, middle, high = np.quantile(found, (0.25, 0.5, 0.75))
        print(
            f"pair {n}: {found.size} onsets, median {middle:+.2f}, half of them {low:+.2f} to {high:+.2f} ms"
        )
    median = float(np.median([np.median(found) for found in pairs]))
    print(f"the key's tone comes {median:+.2f} ms after a bare oscillator's; limit {LIMIT_MS:g} ms")
    return int(median > LIMIT_MS)
