"""Hearing: from a sound to the times at which the key went down and up.

A room answers each tone with an echo at the same pitch. Its level does not tell key down from key up: at
some pitches the echo cancels the tone that it follows, and is louder when the key is up. What tells them
apart is that the direct sound comes and goes at once, by one and the same step; an echo grows and fades.

So: find the pitch about, mix it down to a complex envelope, a value in 4 ms, and find its steps. Up and down
they are a number and its opposite; their squares all point one way, which gives the exact pitch. The
likeliest row of alternating steps (A. J. Viterbi, IEEE Trans. Inf. Theory 13, 1967) is a first guess of the
key. From the key the echo follows by least squares, and from the echo the key again, by a search of which
each path carries its own echo (A. Duel-Hallen and C. Heegard, IEEE Trans. Commun. 37, 1989); four rounds.

A key whose tone begins at a new phase each time has no common step. For it there is a search by power alone,
in which the echo is noise that fades. What makes the envelope most likely is taken, which can also be that
nobody sent anything. What this cannot do: an echo as strong as the direct sound together with new phases
leaves a third of the symbols wrong; that echo alone one in twenty, new phases alone none (60 texts each,
`scripts/dev.py bench keying`).

Tried first, and dropped as the first guess: power alone. It read a third of the symbols wrong with an echo as
strong as the direct sound (12 texts; with decision feedback after it, one in eight).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from copyroom.core.keying.keyed import Keyed
from copyroom.core.keying.lattice import Floats
from copyroom.core.slices import Slices, at_once

Complexes = NDArray[np.complex128]
Key = NDArray[np.bool_]

PITCH_HZ = (200.0, 2500.0)
FRAME_S = 0.1
STEP_S = 0.004
OFF_PITCH_HZ = 15.0
"""How far the first guess of the pitch may lie from the tone: an echo may leave only its sidebands."""
ECHO_S = 0.45
ECHO_FADES_S = 0.8
"""By 60 dB, at the most; what is longer than `ECHO_S` is noise."""
ROUNDS = 4
CHANGE_COST = 7.0
"""Minus the log probability that the key changes at one step: rather less than in a hand's 250 steps a
second, since noise makes short pulses and hands do not."""
STEP_CHANGE_COST = 2.0
STEP_WIDTH = 2
ECHOES = (0.0, 0.3, 1.0, 3.0)
"""Power of the echo by that of the direct sound, tried when only power is looked at; it fades in `ROOM_S`."""
ROOM_S = 0.4
FLOOR = 1e-4
"""Noise, at the least, by the strongest: digital silence is not infinitely sure."""
BLOCK = 4096


def hear_in_slices(sound: NDArray[np.floating], rate_hz: float) -> Slices[Keyed]:
    """Hear one key in a sound; yields now and then.

    sound : shape (samples,), any scale. rate_hz : at least 1000.
    """
    found, step_s = _envelope(sound, rate_hz, _pitch_hz(sound, rate_hz))
    strongest = float(np.max(np.abs(found), initial=0.0))
    if len(found) <= 4 * STEP_WIDTH or not strongest > 0:
        return Keyed(np.empty(0), np.empty(0))
    found = found / strongest
    yield
    power = np.abs(found) ** 2
    best = -len(power) * (1 + np.log(max(power.mean(), FLOOR))), np.zeros(len(power), np.bool_)
    best = max(best, _by_power(power, step_s), key=_likelihood)
    yield
    found = found * np.exp(-2j * np.pi * _off_pitch_hz(found, step_s) * step_s * np.arange(len(found)))
    for sign in (1, -1):
        key = _by_steps(found, sign)
        for _ in range(ROUNDS):
            if not key.any():
                break
            before, (score, key) = key, _with_echo(found, key, step_s)
            best = max(best, (score, key), key=_likelihood)
            yield
            if np.array_equal(before, key):
                break
    changes = np.diff(np.concatenate([[0], best[1].astype(int), [0]]))
    at_s = ((np.flatnonzero(changes) + 0.5) * step_s).astype(np.float64)
    return Keyed(at_s[::2], at_s[1::2])


hear = at_once(hear_in_slices)


def _likelihood(found: tuple[float, Key]) -> float:
    return found[0]


def _pitch_hz(sound: NDArray[np.floating], rate_hz: float) -> float:
    """Where the spectrum comes and goes most: a hum stays."""
    length = int(rate_hz * FRAME_S)
    if len(sound) < length:
        sound = np.pad(sound, (0, length - len(sound)))
    frames = np.lib.stride_tricks.sliding_window_view(sound, length)[:: max(1, length // 2)]
    window, size = np.hanning(length), 1 << (2 * length - 1).bit_length()
    total = squares = np.zeros(size // 2 + 1)
    for i in range(0, len(frames), 64):
        power = np.abs(np.fft.rfft(frames[i : i + 64] * window, size)) ** 2
        total, squares = total + power.sum(axis=0), squares + (power**2).sum(axis=0)
    hertz = np.fft.rfftfreq(size, 1 / rate_hz)
    varying = squares - total**2 / len(frames)
    heard = (hertz >= PITCH_HZ[0]) & (hertz <= PITCH_HZ[1])
    return float(hertz[np.argmax(np.where(heard, varying, -1.0))])


def _envelope(sound: NDArray[np.floating], rate_hz: float, pitch_hz: float) -> tuple[Complexes, float]:
    """Envelope at a pitch, by windows of two steps; value i is about (i + 1) * step. Also the step."""
    step = max(1, round(rate_hz * STEP_S))
    window = np.hanning(2 * step + 1)[:-1]
    window /= window.sum()
    rows = sound[: len(sound) // step * step].reshape(-1, step)
    within = np.exp(-2j * np.pi * pitch_hz * np.arange(step) / rate_hz)
    halves = np.stack([window[step:] * within, window[:step] * within], axis=1)
    parts = [rows[i : i + BLOCK] @ halves for i in range(0, len(rows), BLOCK)]
    mixed = np.concatenate([*parts, np.zeros((1, 2), np.complex128)])
    mixed *= np.exp(-2j * np.pi * pitch_hz * step / rate_hz * np.arange(len(mixed)))[:, None]
    return mixed[1:, 0] + mixed[:-1, 1], step / rate_hz


def _steps(found: Complexes) -> tuple[Complexes, Key]:
    """At each value, the mean of the next few less that of the last few; and whether that is a peak."""
    w = STEP_WIDTH
    sums = np.concatenate([[0], np.cumsum(np.pad(found, w + 1))])
    i = np.arange(len(found)) + w + 1
    steps = (sums[i + 1 + w] - sums[i + 1] - sums[i] + sums[i - w]) / w
    height = np.abs(steps)
    peak = np.ones(len(steps), np.bool_)
    for shift in range(1, w + 1):
        peak[shift:] &= height[shift:] >= height[:-shift]
        peak[:-shift] &= height[:-shift] > height[shift:]
    return steps, peak


def _off_pitch_hz(found: Complexes, step_s: float) -> float:
    """How far the tone is above the pitch: squared, steps up and down turn alike, twice as fast."""
    steps, peak = _steps(found)
    size = 1 << (8 * len(found) - 1).bit_length()
    lines = np.abs(np.fft.fft(np.where(peak, steps**2, 0), size))
    hertz = np.fft.fftfreq(size, step_s)
    return float(hertz[np.argmax(np.where(np.abs(hertz) <= 2 * OFF_PITCH_HZ, lines, 0))]) / 2


def _by_steps(found: Complexes, sign: int) -> Key:
    """The likeliest row of steps up and down. Which way is up is not known: a sign, to be tried both."""
    steps, peak = _steps(found)
    height = np.abs(steps)
    highest = np.sort(height[peak])[::-1]
    usual = float(np.median(highest[: max(1, len(highest) // 3)]))
    squares = steps[peak & (height > usual / 2)] ** 2
    up = sign * usual * np.exp(0.5j * np.angle(squares.sum()))
    noise = max(float(np.median(height**2)) / np.log(2), FLOOR)
    key = np.zeros(len(found), np.bool_)
    for _ in range(ROUNDS):
        stays = np.where(peak, -(height**2) / noise, 0.0)
        rises = np.where(peak, -(np.abs(steps - up) ** 2) / noise, -np.inf) - STEP_CHANGE_COST
        falls = np.where(peak, -(np.abs(steps + up) ** 2) / noise, -np.inf) - STEP_CHANGE_COST
        key = _best_way(stays.tolist(), rises.tolist(), falls.tolist())
        changes = np.diff(key.astype(int), prepend=0)
        if not key.any():
            break
        up = np.sum(steps * changes) / np.count_nonzero(changes)
        rest = np.where(changes != 0, np.abs(steps - changes * up), height)
        noise = max(float(np.mean(rest[peak] ** 2)), FLOOR)
    return key


def _best_way(stays: list[float], rises: list[float], falls: list[float]) -> Key:
    """Up or down at each value, beginning and ending down."""
    down, up = 0.0, -np.inf
    changed = []
    for stay, rise, fall in zip(stays, rises, falls, strict=True):
        fell, rose = up + fall, down + rise
        changed.append((fell > down + stay, rose > up + stay))
        down, up = max(down + stay, fell), max(up + stay, rose)
    return _backwards(changed, 0)


def _backwards(changed: list[tuple[bool, bool]], state: int) -> Key:
    """Follow the changes of a search from its end."""
    key = np.zeros(len(changed), np.bool_)
    for i in range(len(changed) - 1, -1, -1):
        key[i] = state
        state ^= changed[i][state]
    return key


def _with_echo(found: Complexes, key: Key, step_s: float) -> tuple[float, Key]:
    """The echo that goes with a key, and the key that goes with this echo. Also its log likelihood."""
    length = int(ECHO_S / step_s)
    size = 1 << (len(found) + length).bit_length()
    keyed = np.fft.fft(key.astype(float), size)
    own = np.fft.ifft(np.abs(keyed) ** 2).real[:length]
    lags = np.arange(length)
    with_found = np.fft.ifft(np.conj(keyed) * np.fft.fft(found, size))[:length]
    faded = 2.0 * np.exp(lags * step_s * np.log(1e6) / ECHO_FADES_S)
    normal = own[np.abs(lags[:, None] - lags)] + np.diag(faded)
    answer = np.linalg.solve(normal, with_found).astype(np.complex128)
    rest = found - np.fft.ifft(keyed * np.fft.fft(answer, size))[: len(found)]
    noise = max(float(np.mean(np.abs(rest) ** 2)), FLOOR)
    score, better = _fed_back(found, answer, noise)
    return score - len(found) * np.log(noise) - length * np.log(len(found)), better


def _fed_back(found: Complexes, answer: Complexes, noise: float) -> tuple[float, Key]:
    """The likeliest key, each of the two paths with the echo of its own past."""
    past = len(answer) - 1
    direct, tail = complex(answer[0]), answer[:0:-1].copy()
    keys = np.zeros((2, len(found) + past))
    down, up = 0.0, -CHANGE_COST
    changed = []
    for i, value in enumerate(found.tolist()):
        fell, rose = up - CHANGE_COST > down, down - CHANGE_COST > up
        if fell:
            keys[0, i : i + past], down = keys[1, i : i + past], up - CHANGE_COST
        if rose:
            keys[1, i : i + past], up = keys[0, i : i + past], down - CHANGE_COST
        changed.append((fell, rose))
        echo_down, echo_up = (keys[:, i : i + past] @ tail).tolist()
        down -= abs(value - echo_down) ** 2 / noise
        up -= abs(value - echo_up - direct) ** 2 / noise
        keys[1, i + past] = 1.0
    return max(down, up), _backwards(changed, int(up > down))


def _log_bessel(x: Floats) -> Floats:
    """Logarithm of the modified Bessel function of order 0, near enough."""
    close: Floats = x - 0.5 * np.log1p(2 * np.pi * x)
    return close


def _by_power(power: Floats, step_s: float) -> tuple[float, Key]:
    """The likeliest key when phases tell nothing: a tone in noise and a fading echo, which is noise too."""
    tone, noise = _levels(power)
    echoes = np.array(ECHOES)
    direct, kept = tone / (1 + echoes), 10.0 ** (-6 * step_s / ROOM_S)
    fed = np.array([0 * echoes, (1 - kept) * echoes * direct])
    echo, scores = np.zeros((2, len(echoes))), np.zeros((2, len(echoes)))
    changed = np.empty((len(power), 2, len(echoes)), np.bool_)
    for i, value in enumerate(power):
        other = scores[::-1] - CHANGE_COST
        changed[i] = other > scores
        scores, echo = np.where(changed[i], other, scores), np.where(changed[i], echo[::-1], echo)
        level = noise + echo
        scores = scores - value / level - np.log(level)
        scores[1] += _log_bessel(2 * np.sqrt(direct * value) / level[1]) - direct / level[1]
        echo = kept * echo + fed
    which = int(np.argmax(scores.max(axis=0)))
    own = [(bool(down), bool(up)) for down, up in changed[:, :, which]]
    return float(scores[:, which].max()), _backwards(own, int(scores[1, which] > scores[0, which]))


def _levels(power: Floats) -> tuple[float, float]:
    """Power of the tone and of the noise, by expectation and maximisation."""
    noise, tone = max(float(np.quantile(power, 0.2)), FLOOR), max(float(np.quantile(power, 0.9)), FLOOR)
    for _ in range(30):
        more = np.clip(_log_bessel(2 * np.sqrt(tone * power) / noise) - tone / noise, -50, 50)
        up = 1 / (1 + np.exp(-more))
        noise = max(float(np.sum((1 - up) * power) / np.sum(1 - up)), FLOOR)
        tone = max(float(np.sum(up * power) / np.sum(up)) - noise, FLOOR)
    return tone, noise
