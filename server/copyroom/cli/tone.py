"""`copyroom tone`: render a text as a sound file."""

from __future__ import annotations

import io
import json
import sys
import wave
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from copyroom.core.bursts import Bursts, Speed, bursts
from copyroom.core.text import TextError, normalise
from copyroom.core.waveform import LEAD_S, RATE_HZ, render, sample_count

PITCH_HZ = (300, 1000)
"""500 to 1000 Hz is usual; 300 to 400 Hz may help with hearing loss (W. G. Pierpont, *The Art and Skill of
Radio-Telegraphy*, 2nd rev. ed., ch. 14)."""
LONGEST_S = 6 * 3600
"""Keeps a file far below the 4 GiB that a WAV header can count."""
LONG_S = 60
"""From here on a progress bar is worth its line."""


class _Refused(click.ClickException):
    """The user's error, in one line."""

    exit_code = 2


@click.command()
@click.argument("text")
@click.option("--wpm", type=float, default=18, show_default=True, help="Speed of the characters.")
@click.option("--overall-wpm", type=float, help="Speed with the wider spaces.  [default: as --wpm]")
@click.option(
    "--pitch", "pitch_hz", type=click.FloatRange(*PITCH_HZ), default=600, show_default=True, help="Hz."
)
@click.option(
    "--level", type=click.FloatRange(0, 1, min_open=True), default=0.5, show_default=True, help="Amplitude."
)
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    help="WAV file to write.",
)
@click.option(
    "--edges",
    "edges_path",
    type=click.Path(dir_okay=False, path_type=Path),
    help="JSON file to write: when each symbol's tones begin and end.",
)
def tone(
    text: str,
    wpm: float,
    overall_wpm: float | None,
    pitch_hz: float,
    level: float,
    output: Path,
    edges_path: Path | None,
) -> None:
    """Render TEXT as a WAV file: 16 bit, 48 kHz, one channel.

    The times in the --edges file are seconds from the beginning of the WAV file: a tone has half its
    height at sample 48000 * on_s and again at 48000 * off_s.
    """
    timed = _timed(text, wpm, wpm if overall_wpm is None else overall_wpm)
    try:
        _write_wav(output, timed, render(timed, pitch_hz, level=level))
        if edges_path:
            edges_path.write_text(json.dumps(_edges(timed), ensure_ascii=False), encoding="utf-8")
    except OSError as error:
        raise _Refused(f"Cannot write {error.filename or output}: {error.strerror}.") from None
    click.echo(f"{output}: {len(timed.symbols)} symbols, {timed.duration_s:.2f} s")


def _timed(text: str, wpm: float, overall_wpm: float) -> Bursts:
    try:
        timed = bursts(normalise(text), Speed(wpm, overall_wpm))
    except TextError as error:
        place = f"Character {error.position + 1} of the text: " if error.character else ""
        raise _Refused(f"{place}{error}") from None
    except ValueError as error:
        raise _Refused(str(error)) from None
    if timed.duration_s > LONGEST_S:
        raise _Refused(
            f"That would sound for {timed.duration_s / 3600:.1f} hours; send it in parts of up to 6."
        )
    return timed


def _write_wav(path: Path, timed: Bursts, pieces: Iterable[NDArray[np.float32]]) -> None:
    with path.open("wb") as file, wave.open(file, "wb") as wav, _progress(timed) as progress:
        wav.setnchannels(1)
        wav.setsampwidth(2)
        wav.setframerate(RATE_HZ)
        for piece in pieces:
            wav.writeframesraw(np.rint(piece * 32767).astype("<i2").tobytes())
            progress.update(len(piece))


def _progress(timed: Bursts) -> Any:  # click does not export its bar's type
    quiet = timed.duration_s < LONG_S or not sys.stderr.isatty()
    return click.progressbar(
        length=sample_count(timed), label="Rendering", file=io.StringIO() if quiet else sys.stderr
    )


def _edges(timed: Bursts) -> list[dict[str, Any]]:
    return [
        {
            "symbol": sign,
            "on_s": (LEAD_S + timed.tones(i)[0]).tolist(),
            "off_s": (LEAD_S + timed.tones(i)[1]).tolist(),
            "start_s": LEAD_S + float(timed.start_s[i]),
            "end_s": LEAD_S + float(timed.end_s[i]),
        }
        for i, sign in enumerate(timed.symbols)
    ]
