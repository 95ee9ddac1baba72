"""Hearing a key in a sound: simulated hands, rooms and noise; files written by other libraries."""

from __future__ import annotations

import io
import json
import wave

import numpy as np
import pytest
import scipy.io.wavfile
from click.testing import CliRunner, Result
from rapidfuzz.distance import Levenshtein

from bench.hands import Hand, keyed_by, random_text
from bench.sounds import LEAD_S, sound_of
from copyroom.__main__ import main
from copyroom.core.keying import hear, read

RATE_HZ = 8000
HAND = Hand(wpm=20, jitter=0.1)


def run(*arguments: object, given: bytes | None = None) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], input=given)


def errors(text: str, got: str) -> float:
    sent = text.replace(" ", "")
    return Levenshtein.distance(sent, got.replace(" ", "")) / len(sent)


@pytest.mark.parametrize("pitch_hz", [310.0, 603.7, 998.2])
def test_edges_are_heard_within_a_few_milliseconds(pitch_hz):
    rng = np.random.default_rng(1)
    tones = keyed_by(HAND, "PARIS K", rng)
    heard = hear(sound_of(tones, rng, pitch_hz, RATE_HZ), RATE_HZ)
    assert heard.on_s - LEAD_S == pytest.approx(tones.on_s, abs=0.008)
    assert heard.off_s - LEAD_S == pytest.approx(tones.off_s, abs=0.008)


@pytest.mark.parametrize(
    "room", [{}, {"echo_s": 0.4}, {"steady_phase": False}], ids=["air", "echo", "phases"]
)
@pytest.mark.parametrize("seed", [1, 2])
def test_noise_rooms_and_phases_are_heard_through(seed, room):
    """10 dB in 500 Hz; an echo as strong as the direct sound."""
    rng = np.random.default_rng(seed)
    text = random_text(rng, 25)
    tones = keyed_by(HAND, text, rng)
    heard = hear(sound_of(tones, rng, rng.uniform(300, 1000), RATE_HZ, **room), RATE_HZ)
    assert errors(text, read(heard).text) <= 0.1


def test_nobody_is_heard_in_silence_and_in_noise():
    assert len(hear(np.zeros(8000), RATE_HZ).on_s) == 0
    assert len(hear(np.zeros(0), RATE_HZ).on_s) == 0
    for seed in range(3):
        noise = np.random.default_rng(seed).standard_normal(5 * RATE_HZ)
        assert len(hear(noise, RATE_HZ).on_s) == 0


def test_a_hum_is_not_taken_for_the_key():
    rng = np.random.default_rng(3)
    tones = keyed_by(HAND, "CQ DE K", rng)
    sound = sound_of(tones, rng, 700, RATE_HZ)
    hum = 3 * np.sin(2 * np.pi * 250 * np.arange(len(sound)) / RATE_HZ)
    assert read(hear(sound + hum, RATE_HZ)).text == "CQ DE K"


def test_file_of_tone_is_read(tmp_path):
    run("tone", "cq de paris S\u0305K\u0305", "--wpm", "20", "--pitch", "440", "-o", tmp_path / "a.wav")
    result = run("read", "--wav", tmp_path / "a.wav")
    assert result.exit_code == 0, result.output
    assert json.loads(result.output)["text"] == "CQ DE PARIS ␄"


@pytest.mark.parametrize("form", ["uint8", "int16", "int24", "int32", "float32", "float64"])
@pytest.mark.parametrize(("channels", "rate_hz"), [(1, 11_025), (2, 8000)])
def test_every_form_of_sample_is_read(tmp_path, form, channels, rate_hz):
    """Written by scipy.io.wavfile, 24 bit by the standard library's wave."""
    rng = np.random.default_rng(4)
    sound = sound_of(keyed_by(HAND, "TEST", rng), rng, 600, rate_hz, snr_db=30)
    sound = 0.3 * sound / np.max(np.abs(sound))
    sound = np.column_stack([np.zeros(len(sound)), sound])[:, -channels:]
    path = tmp_path / "a.wav"
    if form == "int24":
        with wave.open(str(path), "wb") as file:
            file.setnchannels(channels)
            file.setsampwidth(3)
            file.setframerate(rate_hz)
            wide = (sound * 2**31).astype("<i4").reshape(-1, 1).view(np.uint8)
            file.writeframes(wide[:, 1:].tobytes())
    elif form == "uint8":
        scipy.io.wavfile.write(path, rate_hz, (sound * 127 + 128).astype(np.uint8))
    else:
        scale = 1 if form.startswith("float") else np.iinfo(form).max
        scipy.io.wavfile.write(path, rate_hz, (sound * scale).astype(form))
    assert json.loads(run("read", "--wav", path).output)["text"] == "TEST"


def wav(rate_hz: int = 8000, sound: np.ndarray | None = None) -> bytes:
    opened = io.BytesIO()
    scipy.io.wavfile.write(opened, rate_hz, np.zeros(100, np.int16) if sound is None else sound)
    return opened.getvalue()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (b"", "not a WAV file"),
        (b"[]", "not a WAV file"),
        (wav()[:20], "no sound in it"),
        (wav(100), "samples a second, not 100"),
        (wav(sound=np.full(100, np.nan)), "no numbers"),
        (wav().replace(b"\x01\x00\x01\x00", b"\x06\x00\x01\x00"), "packed"),
        (wav().replace(b"\x01\x00\x01\x00", b"\x01\x00\x00\x00"), "contradicts itself"),
    ],
)
def test_mistake_is_told_in_one_line(given, said):
    result = run("read", "--wav", "-", given=given)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.startswith("Error: ")
    assert len(result.stderr.splitlines()) == 1


def test_a_file_that_was_cut_off_has_what_is_there():
    result = run("read", "--wav", "-", given=wav()[:-51])
    assert (result.exit_code, json.loads(result.output)["text"]) == (0, "")
