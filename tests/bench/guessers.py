"""What listeners who hear nothing get right by the order of the sounds alone, over evenings of six texts.

Each line: keys in play, the best constant answer, the best guesser and what it may reach (1.25 times that
chance and .03, asked for from eight keys on), and the longest that any key was absent, in sounds a key.
`--quick` hears fewer evenings.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

import numpy as np

from copyroom.core.advice.deal import deal
from copyroom.core.advice.needs import weights
from copyroom.core.composition import mixed_groups, tell_apart
from copyroom.core.course import EXAMINED_SIGNS
from copyroom.core.rounds import deal as deal_round
from guessers import GUESSERS, Evening, longest_gaps, shares

TEXTS, LENGTH = 6, 45
KEYS = (2, 4, 8, 12, 20, 43)

Make = Callable[[str, np.random.Generator], list[str]]


def _dealt(signs: str, needs: np.ndarray, rng: np.random.Generator) -> list[str]:
    texts: list[str] = []
    for _ in range(TEXTS):
        texts.append(deal(signs, weights(needs, 1 - needs), needs, LENGTH, "".join(texts), texts, rng))
    return texts


def _even(signs: str, rng: np.random.Generator) -> list[str]:
    return _dealt(signs, np.full(len(signs), 0.5), rng)


def _two_new(signs: str, rng: np.random.Generator) -> list[str]:
    return _dealt(signs, np.concatenate([[0.8, 0.8], 0.4 * rng.random(len(signs) - 2)]), rng)


def _apart(signs: str, rng: np.random.Generator) -> list[str]:
    texts: list[str] = []
    for _ in range(TEXTS):
        texts.append(tell_apart(signs, LENGTH, rng, recent="".join(texts)).replace(" ", ""))
    return texts


def _mixed(signs: str, rng: np.random.Generator) -> list[str]:
    texts: list[str] = []
    for _ in range(TEXTS):
        texts.append(mixed_groups(signs, LENGTH, rng, recent="".join(texts)).replace(" ", ""))
    return texts


def _leaning(signs: str, rng: np.random.Generator) -> list[str]:
    return [deal_round(signs, signs[:2], LENGTH, rng) for _ in range(TEXTS)]


MAKES: dict[str, Make] = {
    "practice, even need": _even,
    "practice, two new": _two_new,
    "contrast drill": _apart,
    "mix": _mixed,
    "round leaning on two": _leaning,
}


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench guessers", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="20 evenings instead of --evenings")
    parser.add_argument("--evenings", type=int, default=200)
    args = parser.parse_args(argv)
    evenings = 20 if args.quick else args.evenings
    print(f"{'texts':22}{'keys':>5}{'chance':>8}{'best':>8}{'may':>8}  {'guesser':16}{'longest absent':>15}")
    over = 0
    for name, make in MAKES.items():
        for keys in KEYS:
            over += _line(name, make, keys, evenings)
    return min(over, 1)


def _line(name: str, make: Make, keys: int, evenings: int) -> bool:
    heard, gaps = [], 0.0
    for seed in range(evenings):
        rng = np.random.default_rng([seed, keys])
        signs = "".join(EXAMINED_SIGNS[i] for i in rng.permutation(len(EXAMINED_SIGNS))[:keys])
        evening, texts = Evening(signs, signs[:2]), make(signs, rng)
        for text in texts:
            evening.hear(text)
        heard.append(evening)
        gaps = max(gaps, float(longest_gaps(texts, signs).max()) / keys)
    found = shares(heard)
    best = max(GUESSERS, key=found.__getitem__)
    may = 1.25 * found["chance"] + 0.03
    is_over = keys >= 8 and found[best] > may
    print(
        f"{name:22}{keys:5}{found['chance']:8.3f}{found[best]:8.3f}{may:8.3f}  {best:16}{gaps:15.1f}"
        + ("  OVER" if is_over else "")
    )
    return is_over


if __name__ == "__main__":
    import sys

    raise SystemExit(main(sys.argv[1:]))
