"""The sound of a hand in a room: a tone, an echo that fades by 60 dB in a given time, noise."""

from __future__ import annotations

import numpy as np
from scipy.signal import fftconvolve

from copyroom.core.keying import Keyed

LEAD_S = 0.3
RISE_S = 0.005


def sound_of(
    tones: Keyed,
    rng: np.random.Generator,
    pitch_hz: float,
    rate_hz: int = 16_000,
    snr_db: float = 10.0,
    echo_s: float = 0.0,
    direct_db: float = 0.0,
    steady_phase: bool = True,
) -> np.ndarray:
    """Samples.

    snr_db : power of the tone by that of white noise in 500 Hz.
    echo_s : time in which the echo, noise that fades exponentially, falls by 60 dB; 0: none.
    direct_db : power of the direct sound by that of the echo.
    steady_phase : whether the tone goes on behind the key, or begins anew each time.
    """
    at_s = np.arange(int((tones.off_s[-1] + 2 * LEAD_S + echo_s) * rate_hz)) / rate_hz
    key, phase = np.zeros(len(at_s)), 2 * np.pi * pitch_hz * at_s
    for on_s, off_s in zip(tones.on_s + LEAD_S, tones.off_s + LEAD_S, strict=True):
        own = slice(int((on_s - RISE_S) * rate_hz), int((off_s + RISE_S) * rate_hz) + 1)
        way = np.minimum(at_s[own] - on_s, off_s - at_s[own]) / RISE_S
        key[own] += 0.5 + 0.5 * np.sin(np.pi / 2 * np.clip(2 * way, -1, 1))
        if not steady_phase:
            phase[own] += rng.uniform(0, 2 * np.pi)
    sound = key * np.sin(phase + rng.uniform(0, 2 * np.pi))
    if echo_s:
        tail_s = np.arange(int(echo_s * rate_hz)) / rate_hz
        tail = rng.standard_normal(len(tail_s)) * 10 ** (-3 * tail_s / echo_s)
        tail *= np.sqrt(10 ** (-direct_db / 10) / np.sum(tail**2))
        tail[0] += 1
        sound = fftconvolve(sound, tail)[: len(sound)]
    power = np.mean(sound[key > 0.5] ** 2) * 10 ** (-snr_db / 10) * rate_hz / 2 / 500
    return sound + np.sqrt(power) * rng.standard_normal(len(sound))
