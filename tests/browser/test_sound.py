"""The page's own sound, rendered by Chromium offline, against the program's numpy rendering and scipy."""

from __future__ import annotations

import base64

import numpy as np
import pytest
import scipy.signal
from playwright.sync_api import Browser, Page

from copyroom.core.bursts import Bursts, Speed, bursts
from copyroom.core.waveform import LEAD_S, RATE_HZ, envelope, render

TONE_PEAK = 0.8
"""Amplitude of a tone at full volume and level; the rest is room for the soft noise."""
PLAY = """
async ({ edges, pitchHz, level, volume, noise, leadS, totalS, haltMs, rateHz }) => {
  const { createVoice } = await import('/static/js/shell/voice.js');
  const { createPlayer } = await import('/static/js/shell/player.js');
  const context = new OfflineAudioContext(1, Math.round(totalS * rateHz), rateHz);
  const voice = createVoice(context);
  voice.setVolume(volume);
  voice.setNoise(noise);
  const player = createPlayer({
    now: () => ({ currentS: 0, lookAheadS: Infinity, roomToAudio: (roomMs) => leadS + roomMs / 1000 }),
    sound: (push, index, startS) => voice.sound({ edges: push.edges[index], pitchHz }, push.level, startS),
    onSounded: () => {},
  });
  player.play({ push: 1, start_room_ms: 0, pitch_hz: pitchHz, level, edges, shifts: [] });
  if (haltMs !== null) player.halt({ push: 1, at_room_ms: haltMs });
  const bytes = new Uint8Array((await context.startRendering()).getChannelData(0).buffer);
  let text = '';
  for (let at = 0; at < bytes.length; at += 32768) {
    text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  }
  return btoa(text);
}
"""


@pytest.fixture(scope="module")
def page(browser: Browser, server) -> Page:
    context = browser.new_context()
    opened = context.new_page()
    opened.goto(f"{server.url}/")
    yield opened
    context.close()


def played(
    page: Page,
    timed: Bursts,
    pitch_hz: float = 600.0,
    *,
    lead_s: float = 0.5,
    level: float = 1.0,
    volume: float = 1.0,
    noise: float = 0.0,
    halt_ms: float | None = None,
) -> np.ndarray:
    """Samples of the push as the page's own modules play it, from `lead_s` before its start."""
    edges = [(1000 * np.column_stack(timed.tones(i)).ravel()).tolist() for i in range(len(timed.symbols))]
    wanted = {
        "edges": edges,
        "pitchHz": pitch_hz,
        "level": level,
        "volume": volume,
        "noise": noise,
        "leadS": lead_s,
        "totalS": lead_s + timed.duration_s + LEAD_S,
        "haltMs": halt_ms,
        "rateHz": RATE_HZ,
    }
    return np.frombuffer(base64.b64decode(page.evaluate(PLAY, wanted)), "<f4")


def half_amplitude_s(height: np.ndarray, rate_hz: float) -> np.ndarray:
    """Instants at which an envelope of full height 1 passes one half."""
    before = np.flatnonzero(np.diff(height >= 0.5))
    return (before + (0.5 - height[before]) / (height[before + 1] - height[before])) / rate_hz


@pytest.mark.parametrize(
    ("text", "speed"),
    [
        ("PARIS 5", Speed(5, 5)),
        ("CQ DE", Speed(20, 10)),
        ("QUICK 0 9 =", Speed(20, 20)),
        ("PARIS?", Speed(40, 40)),
    ],
)
def test_browser_and_numpy_render_a_push_to_the_same_samples(page, text, speed):
    timed = bursts(text, speed)
    ours = np.concatenate(list(render(timed, 613, level=1)))
    theirs = played(page, timed, 613, lead_s=0.5)[round((0.5 - LEAD_S) * RATE_HZ) :] / TONE_PEAK
    assert len(theirs) == pytest.approx(len(ours), abs=1)
    common = min(len(ours), len(theirs))
    assert np.max(np.abs(theirs[:common] - ours[:common])) < 1e-3


@pytest.mark.parametrize("fraction", [0.1, 0.5, 0.999])
def test_a_start_between_two_samples_is_kept_to_the_fraction(page, fraction):
    timed = bursts("PARIS", Speed(20, 20))
    lead_s = 0.5 + fraction / RATE_HZ
    theirs = played(page, timed, 700, lead_s=lead_s) / TONE_PEAK
    at_s = np.arange(len(theirs)) / RATE_HZ - lead_s
    ours = envelope(timed, at_s) * np.sin(2 * np.pi * 700 * at_s)
    assert np.max(np.abs(theirs - ours)) < 1e-3


@pytest.mark.parametrize("wpm", [5, 13, 20, 30, 40])
def test_elements_are_as_long_as_the_standard_says_at_half_amplitude(page, wpm):
    """P .--. by Recommendation ITU-R M.1677-1 (10/2009): dot 1, gap 1, dash 3; a dot is 1.2 s / wpm (PARIS).

    A pitch of a quarter of the rate makes every other sample the bare envelope: no detector is needed.
    """
    units = np.array([0, 1, 2, 5, 6, 9, 10, 11])
    theirs = played(page, bursts("P", Speed(wpm, wpm)), RATE_HZ / 4, lead_s=0.5)
    edges_s = half_amplitude_s(np.abs(theirs[1::2]) / TONE_PEAK, RATE_HZ / 2) + 1 / RATE_HZ - 0.5
    assert edges_s == pytest.approx(1.2 / wpm * units, abs=1e-4)


def test_a_tone_rises_in_five_ms_as_a_raised_cosine(page):
    """10 to 90 % take 0.5903 T (worked out by hand): T is 5 ms, give or take half a ms."""
    theirs = np.abs(played(page, bursts("T", Speed(12, 12)), RATE_HZ / 4)[1::2]) / TONE_PEAK
    rising = theirs[: np.argmax(theirs > 0.999)]
    tenth, nine_tenths = np.interp([0.1, 0.9], rising[rising > 1e-3], np.flatnonzero(rising > 1e-3))
    assert (nine_tenths - tenth) / (RATE_HZ / 2) / 0.5903 == pytest.approx(0.005, abs=0.0005)


@pytest.mark.parametrize("pitch_hz", [300, 613, 1000])
def test_the_pitch_is_right_to_a_tenth_of_a_hertz(page, pitch_hz):
    tone = played(page, bursts("T", Speed(5, 5)), pitch_hz)
    held = tone[round(0.51 * RATE_HZ) : round(1.2 * RATE_HZ)].astype(np.float64)
    phase = np.unwrap(np.angle(scipy.signal.hilbert(held)))[2400:-2400]
    slope = np.polyfit(np.arange(phase.size) / RATE_HZ, phase, 1)[0]
    assert slope / (2 * np.pi) == pytest.approx(pitch_hz, abs=0.1)


def energy_away_db(sound: np.ndarray, pitch_hz: float) -> float:
    """Energy further than 250 Hz from the pitch, below the whole."""
    window = scipy.signal.get_window("blackmanharris", len(sound))
    power = np.abs(np.fft.rfft(sound.astype(np.float64) * window)) ** 2
    away = np.abs(np.fft.rfftfreq(len(sound), 1 / RATE_HZ) - pitch_hz) > 250
    return float(10 * np.log10(power[away].sum() / power.sum()))


def test_nothing_clicks(page):
    """48 dB is this project's own limit, as for the sound file; a hard edge comes to about 24 dB."""
    assert energy_away_db(played(page, bursts("QUICK BROWN FOX 09", Speed(20, 20))), 600) < -48


@pytest.mark.parametrize("halt_ms", [100.0, 171.3, 402.0])
def test_a_halt_silences_within_ten_ms_and_without_a_click(page, halt_ms):
    sound = played(page, bursts("TTT", Speed(20, 20)), halt_ms=halt_ms)
    halted = round((0.5 + halt_ms / 1000) * RATE_HZ)
    assert np.max(np.abs(sound[halted + RATE_HZ // 100 :])) < 1e-4
    assert np.max(np.abs(sound[:halted])) > 0.7
    assert energy_away_db(sound, 600) < -40, "one more edge in a very short sound"


@pytest.mark.parametrize("noise", [0.0, 1.0])
@pytest.mark.parametrize("volume", [0.05, 0.5, 1.0])
def test_no_volume_clips(page, volume, noise):
    sound = played(page, bursts("PARIS", Speed(20, 20)), volume=volume, noise=noise)
    assert np.max(np.abs(sound)) < 1
    tone = sound[round(0.51 * RATE_HZ) : round(0.55 * RATE_HZ)] if noise == 0 else None
    if tone is not None:
        assert np.max(np.abs(tone)) == pytest.approx(TONE_PEAK * volume**2, rel=0.01)


def test_between_runs_the_output_is_neither_silent_nor_heard(page):
    """An output that gets only zeros may be parked; -96 dB of full scale is below 16 bits."""
    sound = played(page, bursts("E", Speed(20, 20)))
    before = sound[1000 : round(0.4 * RATE_HZ)]
    assert 0 < np.max(np.abs(before)) < 10 ** (-96 / 20)
