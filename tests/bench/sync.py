"""How close together a class sounds, measured from recorded audio.

    python3 scripts/dev.py bench sync [--browsers N] [--jitter LOW,HIGH] [--latency MS] [--runs K]
    python3 scripts/dev.py bench sync --every [--runs K]      every setting that has limits

The real server, the real learner's page in N Chromium processes, each at its own pitch, all playing into
one null sink whose monitor is recorded; the onset of every symbol is found in each browser's band. The
spread of a symbol is the time from the first browser's onset to the last one's. `--jitter` puts a proxy
before each browser that delays every piece by LOW to HIGH ms each way; `--latency` gives the first
browser's output so much more latency.

Two controls must fail, or nothing was measured: pages that play on arrival (under jitter), and pages that
go by `currentTime` alone (with one slow output).

What this cannot see: loudspeakers, amplifiers and the air; latency that an output does not tell of, as over
Bluetooth; unequal fixed delays of a network's two directions; clocks of several machines (here all browsers
share one); other browsers than Chromium, other systems than Linux.
"""

from __future__ import annotations

import argparse
import asyncio
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bench import sync_rig
from bench.onsets import band_envelope, crossings_s
from bench.sync_class import Setting, assembled, pitch_of
from copyroom.core.bursts import Bursts, Speed, bursts

SPEED = Speed(25.0, 16.0)
SYMBOLS = 40
WARM_UP_S = 25.0
MATCH_S = 0.045
"""Onsets of a dot follow each other after 96 ms at the least."""
FIT_S = 0.01
WITHIN_S = 0.4
FOLLOW = 0.2
JITTER_MS = (20.0, 60.0)
SLOW_OUTPUT_MS = 150.0


@dataclass(frozen=True)
class Heard:
    """onsets_ms : shape (browsers, symbols), from the first one on; NaN where none was heard.
    lengths_ms : of the tones, less what was sent, all browsers in one row.
    """

    setting: Setting
    onsets_ms: NDArray[np.float64]
    lengths_ms: NDArray[np.float64]
    peak: float
    load: float

    @property
    def spread_ms(self) -> NDArray[np.float64]:
        return np.ptp(self.onsets_ms, axis=0)

    @property
    def offsets_ms(self) -> NDArray[np.float64]:
        """Of each browser from the mean of all, as a median over the symbols."""
        return np.nanmedian(self.onsets_ms - np.nanmean(self.onsets_ms, axis=0), axis=1)

    @property
    def missing(self) -> int:
        return int(np.isnan(self.onsets_ms).sum())

    @property
    def median_ms(self) -> float:
        return float(np.nanmedian(self.spread_ms))

    @property
    def p95_ms(self) -> float:
        return float(np.nanpercentile(self.spread_ms, 95))


ARRIVAL = Setting(2, JITTER_MS, warm_up_s=6.0, control=("clock.js", "arrival_clock.js"))
CURRENT_TIME = Setting(
    2, latency_ms=SLOW_OUTPUT_MS, warm_up_s=6.0, control=("anchor.js", "current_time_anchor.js")
)
CONTROL_LIMITS_MS = {ARRIVAL: 8.0, CURRENT_TIME: 40.0}


EVERY = [
    *(
        Setting(browsers, jitter_ms, warm_up_s=WARM_UP_S)
        for jitter_ms in (None, JITTER_MS)
        for browsers in (2, 4, 8)
    ),
    Setting(3, latency_ms=SLOW_OUTPUT_MS, warm_up_s=WARM_UP_S),
]


def limits_ms(setting: Setting) -> tuple[float, float]:
    """The largest median and 95th percentile that the class's spread may have."""
    if setting.latency_ms:
        return 1.0, 2.0
    if setting.jitter_ms:
        return (1.2, 5.0) if setting.browsers <= 4 else (2.0, 10.0)
    return (0.5, 2.0) if setting.browsers <= 4 else (1.0, np.inf)


def random_text(seed: int, symbols: int = SYMBOLS) -> str:
    """Letters in groups of five: the times between them follow no period that a fault could lock on to."""
    letters = "".join(np.random.default_rng(seed).choice(list("ABCDFGHIJKLMNOPQRSUVWXYZ"), symbols))
    return " ".join(letters[start : start + 5] for start in range(0, symbols, 5))


def place_s(
    found_s: NDArray[np.float64], expected_s: NDArray[np.float64], near_s: float | None = None
) -> float:
    """How much later than expected the whole was recorded: where most onsets fit, not far from `near_s`."""
    shifts_s = found_s[: found_s.size // 2 + 1] - expected_s[0]
    if near_s is not None:
        every_s = (found_s[:, None] - expected_s).ravel()
        shifts_s = np.append(every_s[np.abs(every_s - near_s) < WITHIN_S], near_s)
    fits = [np.sum(np.abs(_nearest(found_s, expected_s + s) - expected_s - s) < FIT_S) for s in shifts_s]
    return float(shifts_s[np.argmax(fits)])


def matched_s(
    found_s: NDArray[np.float64], expected_s: NDArray[np.float64], ahead_s: float
) -> NDArray[np.float64]:
    """For each expected instant the onset found `ahead_s` after it, NaN where there is none.

    From one onset to the next the recording's clock may drift a little.
    """
    matched = np.full(expected_s.size, np.nan)
    for i, at_s in enumerate(expected_s):
        nearest = _nearest(found_s, np.array([at_s + ahead_s]))[0] if found_s.size else np.inf
        if abs(nearest - at_s - ahead_s) < MATCH_S:
            matched[i] = nearest
            ahead_s += FOLLOW * (nearest - at_s - ahead_s)
    return matched


def _nearest(found_s: NDArray[np.float64], to_s: NDArray[np.float64]) -> NDArray[np.float64]:
    return found_s[np.argmin(np.abs(found_s[:, None] - to_s), axis=0)]


async def measure(setting: Setting, seed: int, symbols: int = SYMBOLS) -> Heard:
    """Let a class in this setting hear one text, and find the onsets."""
    text = random_text(seed, symbols)
    async with assembled(setting) as room:
        load = os.getloadavg()[0]
        samples = await room.recorded(text, SPEED)
    return heard(setting, samples, bursts(text, SPEED), load)


def heard(setting: Setting, samples: NDArray[np.float32], sent: Bursts, load: float) -> Heard:
    onsets_ms, lengths_ms = _found_ms(samples, sent, setting.browsers)
    return Heard(setting, onsets_ms, lengths_ms, float(np.abs(samples).max()), load)


def _found_ms(
    samples: NDArray[np.float32], sent: Bursts, browsers: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Each symbol's onset in each browser, and by how much tones are too long."""
    edges_s = [
        crossings_s(band_envelope(samples, pitch_of(i), sync_rig.RATE_HZ), sync_rig.RATE_HZ)
        for i in range(browsers)
    ]
    class_s = place_s(max((on_s for on_s, _ in edges_s), key=len), sent.on_s)
    onsets, lengths = [], []
    for on_s, off_s in edges_s:
        ahead_s = place_s(on_s, sent.on_s, class_s) if on_s.size else class_s
        onset_s = matched_s(on_s, sent.on_s, ahead_s)
        onsets.append(onset_s[sent.first_tone[:-1]])
        lengths.append(matched_s(off_s, sent.off_s, ahead_s) - onset_s - (sent.off_s - sent.on_s))
    found_ms = 1000 * np.array(onsets)
    return found_ms - np.nanmin(found_ms), 1000 * np.concatenate(lengths)


def describe(setting: Setting) -> str:
    words = [f"{setting.browsers} browsers"]
    if setting.jitter_ms:
        words.append(f"jitter {setting.jitter_ms[0]:g}-{setting.jitter_ms[1]:g} ms")
    if setting.latency_ms:
        words.append(f"one output {setting.latency_ms:g} ms late")
    if setting.control:
        words.append(f"control: {setting.control[1].removesuffix('.js').replace('_', ' ')}")
    return ", ".join(words)


def report(heard: Heard) -> None:
    offsets = " ".join(f"{offset:+.2f}" for offset in heard.offsets_ms)
    print(
        f"{describe(heard.setting)}: spread median {heard.median_ms:.2f} ms, 95 % {heard.p95_ms:.2f} ms;"
        f" offsets {offsets}; {heard.missing} onsets missing; tones off their length by at most"
        f" {np.nanmax(np.abs(heard.lengths_ms)):.3f} ms; peak {heard.peak:.2f};"
        f" other load {heard.load:.1f} on {os.cpu_count()} cores",
        flush=True,
    )


def picture(all_heard: Sequence[Heard], path: Path) -> None:
    """Each browser's onsets against the mean of all, one panel a run."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    path.parent.mkdir(parents=True, exist_ok=True)
    figure, axes = pyplot.subplots(len(all_heard), 1, figsize=(9, 2.6 * len(all_heard)), squeeze=False)
    for axis, heard in zip(axes[:, 0], all_heard, strict=True):
        mean = np.nanmean(heard.onsets_ms, axis=0)
        for row in heard.onsets_ms:
            axis.plot(mean / 1000, row - mean, ".-", linewidth=0.5)
        axis.set(title=describe(heard.setting), ylabel="ms from the mean", xlabel="s")
    figure.tight_layout()
    figure.savefig(path, dpi=110)


def judge(runs: Sequence[Heard]) -> bool:
    """Say whether the median of the runs keeps the limits."""
    setting = runs[0].setting
    median, p95 = (float(np.median([getattr(run, name) for run in runs])) for name in ("median_ms", "p95_ms"))
    most_median, most_p95 = limits_ms(setting)
    kept = median <= most_median and p95 <= most_p95 and not any(run.missing for run in runs)
    print(
        f"{describe(setting)}, median of {len(runs)} runs: {median:.2f} ms (limit {most_median:g}),"
        f" 95 % {p95:.2f} ms (limit {most_p95:g}): {'kept' if kept else 'NOT KEPT'}",
        flush=True,
    )
    return kept


def judge_control(control: Heard) -> bool:
    """Say whether a naive way failed as it must."""
    least = CONTROL_LIMITS_MS[control.setting]
    print(f"{describe(control.setting)}: {control.median_ms:.1f} ms, at least {least:g} wanted", flush=True)
    failed = control.median_ms >= least
    if not failed:
        print("VOID: a naive way did as well, so this rig showed nothing")
    return failed


def _options(argv: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="bench sync", description=__doc__.partition("\n")[0])
    parser.add_argument("--browsers", type=int, default=2)
    parser.add_argument("--jitter", help="LOW,HIGH ms each way")
    parser.add_argument("--latency", type=float, default=0.0, help="ms more for the first browser's output")
    parser.add_argument(
        "--every", action="store_true", help="every setting that has limits, one after the other"
    )
    parser.add_argument("--runs", type=int, default=1)
    parser.add_argument("--picture", type=Path, default=Path("bench-out/sync.png"))
    return parser.parse_args(argv)


def _settings(options: argparse.Namespace) -> list[Setting]:
    if options.every:
        return EVERY
    low, _, high = (options.jitter or "").partition(",")
    jitter_ms = (float(low), float(high)) if high else None
    return [Setting(options.browsers, jitter_ms, options.latency, WARM_UP_S)]


def main(argv: Sequence[str]) -> int:
    options = _options(argv)
    if lacking := sync_rig.missing():
        print(f"This bench needs {', '.join(lacking)}: apt-get install pulseaudio pulseaudio-utils chromium")
        return 2
    all_heard, good = [], True
    for setting in [ARRIVAL, CURRENT_TIME, *_settings(options)]:
        runs = []
        for seed in range(1 if setting.control else options.runs):
            runs.append(asyncio.run(measure(setting, seed)))
            report(runs[-1])
        good &= judge_control(runs[0]) if setting.control else judge(runs)
        all_heard += runs
    picture(all_heard, options.picture)
    print(f"onsets: {options.picture}")
    return 0 if good else 1
