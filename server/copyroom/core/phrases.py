"""Figures as the sentences say them, and as the pages write them too."""

from __future__ import annotations


def percent(share: float) -> str:
    """0..1 -> "73 %" (the space is the International System's: ISO 80000-1, 7.1.4, from memory)."""
    return f"{100 * share:.0f} %"


def counted(n: int, noun: str) -> str:
    """1, "sound" -> "1 sound"; 3, "sound" -> "3 sounds"."""
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"
