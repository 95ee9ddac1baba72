"""A sound file's samples: WAV with whole numbers of 8 to 32 bit or floating point, any rate and channels.

Form of the file: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991,
and the later extensible header (from memory).
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

WHOLE, FLOATING, EXTENSIBLE = 1, 3, 0xFFFE
RATE_HZ = (6000, 400_000)
LONGEST_S = 3600
"""An hour: what an ordinary computer has the memory for."""


def samples(data: bytes) -> tuple[NDArray[np.float64], int]:
    """Samples of the loudest channel, and their rate. A file that was cut off has what is there.

    Raises ValueError, in one sentence, for what is no such file.
    """
    if len(data) < 12 or data[:4] != b"RIFF" or data[8:12] != b"WAVE":
        raise ValueError("This is not a WAV file.")
    chunks = _chunks(data)
    if len(chunks.get(b"fmt ", b"")) < 16 or b"data" not in chunks:
        raise ValueError("This WAV file has no sound in it.")
    form, channels, rate_hz, _, frame, bits = struct.unpack("<HHIIHH", chunks[b"fmt "][:16])
    if form == EXTENSIBLE and len(chunks[b"fmt "]) >= 26:
        (form,) = struct.unpack("<H", chunks[b"fmt "][24:26])
    if not RATE_HZ[0] <= rate_hz <= RATE_HZ[1]:
        raise ValueError(f"The sound must have {RATE_HZ[0]} to {RATE_HZ[1]} samples a second, not {rate_hz}.")
    if not channels or frame != channels * (bits // 8):
        raise ValueError("The head of this WAV file contradicts itself.")
    sound = chunks[b"data"]
    count = len(sound) // frame
    if count > LONGEST_S * rate_hz:
        raise ValueError("The sound is longer than an hour: read it in parts.")
    values = _values(sound[: count * frame], form, bits).reshape(count, channels)
    if not np.isfinite(values).all():
        raise ValueError("The sound has samples that are no numbers.")
    return values[:, int(np.argmax(np.sum(values**2, axis=0)))], rate_hz


def _chunks(data: bytes) -> dict[bytes, bytes]:
    """The first chunk of each name."""
    found: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(data):
        name, (size,) = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])
        found.setdefault(name, data[at + 8 : at + 8 + size])
        at += 8 + size + size % 2
    return found


def _values(sound: bytes, form: int, bits: int) -> NDArray[np.float64]:
    if form == FLOATING and bits in (32, 64):
        return np.frombuffer(sound, f"<f{bits // 8}").astype(np.float64)
    if form == WHOLE and bits == 8:
        return np.frombuffer(sound, np.uint8).astype(np.float64) - 128
    if form == WHOLE and bits in (16, 32):
        return np.frombuffer(sound, f"<i{bits // 8}").astype(np.float64)
    if form == WHOLE and bits == 24:
        wide = np.zeros((len(sound) // 3, 4), np.uint8)
        wide[:, 1:] = np.frombuffer(sound, np.uint8).reshape(-1, 3)
        return wide.view("<i4")[:, 0].astype(np.float64)
    raise ValueError("The sound is packed: save it as plain WAV with 8, 16, 24 or 32 bit.")
