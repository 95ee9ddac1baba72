"""Sounds and shares in the sentences of advice."""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.core.phrases import listed, named_share

MOST_NAMED = 8
"""Sounds that a sentence names; more are counted."""


def and_list(signs: str) -> str:
    """Sounds in a sentence; many are counted."""
    if len(signs) > MOST_NAMED:
        return f"{', '.join(signs[:3])} and {len(signs) - 3} others"
    return listed(signs) if signs else "nothing"


def named(signs: str, shares: Sequence[float | None]) -> str:
    """Sounds with what the class recalls of each."""
    return ", ".join(named_share(sign, share) for sign, share in zip(signs, shares, strict=True))
