"""Evenings whose mix-ups are known: practices of few keys, contrast drills, mixes of all. Invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from copyroom.core.record import PastRun

COURSE = "KMRSUAPTLOWIHNEDGBFVCXYZQJ"
Mixed = Mapping[str, tuple[str, float]]
"""What is sent -> what is written for it instead, and in which part of the sendings."""


def copied(
    sent: str,
    rng: np.random.Generator,
    *,
    right: float = 0.85,
    blank: float = 0.0,
    keys: Sequence[str] = (),
    weights: Sequence[float] | None = None,
    mixed: Mixed | None = None,
) -> str:
    """Somebody's copy: mix-ups first, then right or lost; what is lost is blank or any of the keys.

    keys : "" is those of the text. weights : a habit of answering, one for each key.
    """
    keys = list(keys or dict.fromkeys(sent))
    written = []
    for sign in sent:
        other, share = (mixed or {}).get(sign, ("", 0.0))
        if rng.random() < share:
            written.append(other)
        elif rng.random() < right:
            written.append(sign)
        elif rng.random() < blank:
            written.append("_")
        else:
            chance = None if weights is None else np.array(weights) / np.sum(weights)
            written.append(str(rng.choice(keys, p=chance)))
    return "".join(written)


def text(signs: str, length: int, rng: np.random.Generator) -> str:
    return "".join(rng.choice(list(signs), length))


def run(
    day: int, signs: str, length: int, learners: int, rng: np.random.Generator, **copying: object
) -> PastRun:
    """Some sounds at random, copied by all."""
    sent = text(signs, length, rng)
    return PastRun(day, sent, {f"s{i}": copied(sent, rng, **copying) for i in range(learners)})  # type: ignore[arg-type]


def evening(rng: np.random.Generator, day: int = 0, learners: int = 12, known: int = 8) -> list[PastRun]:
    """The newest four practised, and two of them drilled against each other; nothing is mixed up."""
    newest = COURSE[max(0, known - 4) : known]
    return [run(day, newest, 60, learners, rng), run(day, newest[-2:], 40, learners, rng)]


def course(rng: np.random.Generator, meetings: int = 11, learners: int = 12) -> list[list[PastRun]]:
    """Evenings of a course, two more sounds at each, with a mix of all at its end; nothing is mixed up."""
    return [
        [*evening(rng, 7 * i, learners, 4 + 2 * i), run(7 * i, COURSE[: 4 + 2 * i], 60, learners, rng)]
        for i in range(meetings)
    ]
