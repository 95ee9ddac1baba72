"""Samples measured with scipy.signal, not with the program's own envelope."""

import numpy as np
import pytest
import scipy.signal
from scipy.fft import rfft, rfftfreq

from copyroom.core.bursts import Speed, bursts
from copyroom.core.waveform import EDGE_S, LEAD_S, RATE_HZ, envelope, render, sample_count

PROSE = "THE QUICK BROWN FOX JUMPS OVER THE LAZY DOG 0123456789"
PARIS_ON = [0, 2, 6, 10, 14, 16, 22, 24, 28, 32, 34, 38, 40, 42]
PARIS_OFF = [1, 5, 9, 11, 15, 19, 23, 27, 29, 33, 35, 39, 41, 43]
"""P .--. A .- R .-. I .. S ... laid out by hand in units (Recommendation ITU-R M.1677-1 (10/2009))."""


def samples(text: str, speed: Speed, pitch_hz: float = 600, **options) -> np.ndarray:
    return np.concatenate(list(render(bursts(text, speed), pitch_hz, **options)))


def energy_away_from_the_pitch_db(sound: np.ndarray, pitch_hz: float) -> float:
    window = scipy.signal.get_window("blackmanharris", len(sound))
    power = np.abs(rfft(sound.astype(np.float64) * window)) ** 2
    away = np.abs(rfftfreq(len(sound), 1 / RATE_HZ) - pitch_hz) > 250
    return float(10 * np.log10(power[away].sum() / power.sum()))


@pytest.mark.parametrize("pitch_hz", [400, 600, 1000])
def test_next_to_nothing_sounds_away_from_the_pitch(pitch_hz):
    """No published limit fits a loudspeaker: 48 dB is this project's, for edges of 5 ms at 20 wpm."""
    assert energy_away_from_the_pitch_db(samples(PROSE, Speed(20, 20), pitch_hz), pitch_hz) <= -48


def test_hard_edge_would_click():
    """Control: the same measure tells a hard edge, some 24 dB below the whole, from a soft one."""
    hard = energy_away_from_the_pitch_db(samples(PROSE, Speed(20, 20), edge_s=0), 600)
    assert hard == pytest.approx(-24, abs=2)


def test_edge_is_a_raised_cosine():
    """Values of (1 - cos(pi t / T)) / 2 for T = 5 ms at 0, 1.25, 2.5, 3.75 and 5 ms, worked out by hand."""
    rise_s = np.array([0, 0.00125, 0.0025, 0.00375, 0.005]) - EDGE_S / 2
    timed = bursts("E", Speed(20, 20))
    assert envelope(timed, rise_s) == pytest.approx([0, 0.1464, 0.5, 0.8536, 1], abs=5e-5)
    assert envelope(timed, 0.06 + rise_s) == pytest.approx([1, 0.8536, 0.5, 0.1464, 0], abs=5e-5)


def test_rise_from_tenth_to_nine_tenths_takes_2_95_ms():
    """0.5903 T for a raised cosine (worked out by hand)."""
    at_s = np.linspace(-EDGE_S / 2, EDGE_S / 2, 100_001)
    height = envelope(bursts("E", Speed(20, 20)), at_s)
    tenth_s, nine_tenths_s = np.interp([0.1, 0.9], height, at_s)
    assert nine_tenths_s - tenth_s == pytest.approx(0.00295, abs=5e-6)


def test_half_height_stays_within_a_sample_of_its_time_for_ten_minutes():
    """A pitch of a quarter of the rate makes every other sample the bare envelope: no detector needed."""
    word_units = 50
    sound = samples(" ".join(["PARIS"] * 200), Speed(20, 20), RATE_HZ / 4, level=1)
    assert len(sound) / RATE_HZ > 599
    height = np.abs(sound[1::2])
    low = np.flatnonzero(np.diff(height >= 0.5))
    crossing = low + (0.5 - height[low]) / (height[low + 1] - height[low])
    measured = 1 + 2 * crossing
    word_starts = word_units * np.arange(200)[:, None]
    expected_units = np.sort((word_starts + np.array(PARIS_ON + PARIS_OFF)).ravel())
    expected = (LEAD_S + 0.06 * expected_units) * RATE_HZ
    assert measured.shape == expected.shape
    assert np.max(np.abs(measured - expected)) < 1


@pytest.mark.parametrize("chunk", [1, 7, 4096, 10**7])
def test_pieces_of_any_size_join_to_the_same_sound(chunk):
    timed = bursts("EA", Speed(40, 40))
    whole = np.concatenate(list(render(timed, 613)))
    pieces = list(render(timed, 613, chunk=chunk))
    assert all(len(piece) == chunk for piece in pieces[:-1])
    np.testing.assert_array_equal(np.concatenate(pieces), whole)
    assert len(whole) == sample_count(timed)


def test_tone_is_the_sine_asked_for_with_one_phase_throughout():
    """Where the envelope is 1, every tone lies on the same sine wave."""
    timed = bursts("TT", Speed(12, 12))
    sound = np.concatenate(list(render(timed, 600, level=0.25)))
    at_s = np.arange(len(sound)) / RATE_HZ - LEAD_S
    held = envelope(timed, at_s) == 1
    assert held.sum() > 2 * 0.29 * RATE_HZ
    np.testing.assert_allclose(sound[held], 0.25 * np.sin(2 * np.pi * 600 * at_s[held]), atol=1e-6)


def test_level_is_never_exceeded_and_the_ends_are_silent():
    sound = samples(PROSE, Speed(60, 60), level=0.5)
    assert np.max(np.abs(sound)) == pytest.approx(0.5, abs=0.001)
    silent = round((LEAD_S - EDGE_S / 2) * RATE_HZ) - 1
    assert not sound[:silent].any()
    assert not sound[-silent:].any()


@pytest.mark.parametrize(
    ("pitch_hz", "options"),
    [
        (0, {}),
        (24_000, {}),
        (float("nan"), {}),
        (600, {"level": 0}),
        (600, {"level": 1.1}),
        (600, {"edge_s": -0.001}),
        (600, {"edge_s": 0.021}),
    ],
)
def test_sound_that_cannot_be_is_refused_before_the_first_sample(pitch_hz, options):
    with pytest.raises(ValueError, match=r"pitch|level|edges"):
        render(bursts("E E", Speed(60, 60)), pitch_hz, **options)
