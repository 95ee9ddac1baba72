"""How well the formula for the likeness of sounds fits a published matrix, and the fit itself.

    scripts/dev.py bench similarity MATRIX.csv [--fit]

MATRIX.csv: a head line of signs, then one line for each first sound with its sign and the share (%) of
"same" for each second sound, as published by E. Z. Rothkopf, J. Exp. Psychol. 53 (1957) 94-101. The matrix
is not part of this project: its public carriers' licences do not allow that. Single values are quoted
below; the fit leaves their cells out, so that the tests hold the formula against values that it has not
seen.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from scipy.stats import spearmanr

from copyroom.core import similarity
from copyroom.core.alphabet import symbol

OFTEN_TAKEN_FOR_THE_SAME = {
    "90": 79.5, "DK": 77, "B6": 77, "BX": 73.5, "CY": 72, "JP": 70.5, "GO": 69, "H5": 68.5, "QZ": 67.5,
    "V4": 67, "78": 65, "67": 65, "12": 62.5, "RW": 61.5, "MN": 60.5, "23": 59, "89": 58.5, "ET": 56.5,
    "45": 55.5, "LZ": 55, "AI": 55, "BL": 54.5, "SU": 53.5,
}  # fmt: skip
"""Published shares of "same" in per cent, mean of both orders."""
SELDOM = {"AB": 4.5, "AC": 5, "EJ": 8, "EO": 6, "TC": 6, "HM": 6.5, "IO": 4.5, "A0": 4, "E0": 3, "N5": 3}
"""The same of pairs that lie far from each other in length or kind."""
QUOTED = {frozenset(pair) for pair in (*OFTEN_TAKEN_FOR_THE_SAME, *SELDOM)}

RANKED = ("DOT", "DASH", "LAST", "POWER", "LONGER", "SHORTER", "ENOUGH")


class Cells(NamedTuple):
    """Off-diagonal cells of the matrix: pairs of element sequences, and their shares, 0..1."""

    pairs: list[tuple[str, str]]
    shares: np.ndarray

    def distances(self) -> np.ndarray:
        return np.array([similarity.distance(a, b) for a, b in self.pairs])

    def rank_correlation(self) -> float:
        return float(spearmanr(-self.distances(), self.shares).statistic)

    def largest_miss(self, scale: float) -> tuple[float, str]:
        """Of the means of both orders, the one that the formula is furthest from, and which pair that is."""
        apart: dict[frozenset[str], float] = {}
        for pair, miss in zip(self.pairs, np.exp(-scale * self.distances()) - self.shares, strict=True):
            apart[frozenset(pair)] = apart.get(frozenset(pair), 0.0) + float(miss) / 2
        worst = max(apart, key=lambda pair: abs(apart[pair]))
        return apart[worst], " and ".join(sorted(worst))

    def rms_error(self, scale: float) -> float:
        return float(np.sqrt(np.mean((np.exp(-scale * self.distances()) - self.shares) ** 2)))


def read(path: Path, *, quoted: bool) -> Cells:
    """The cells of the pairs that are quoted above, or of all others."""
    head, *rows = list(csv.reader(path.open(encoding="utf-8")))
    cells = [
        (symbol(a).elements, symbol(b).elements, float(share) / 100)
        for a, *shares in rows
        for b, share in zip(head[1:], shares, strict=True)
        if a != b and (frozenset((a, b)) in QUOTED) == quoted
    ]
    return Cells([(a, b) for a, b, _ in cells], np.array([share for *_, share in cells]))


def fit(cells: Cells) -> None:
    """Coefficients for the best rank correlation, then the scale for the least squares."""

    def loss(values: np.ndarray) -> float:
        for name, value in zip(RANKED, values, strict=True):
            setattr(similarity, name, float(value))
        return -cells.rank_correlation()

    start = np.array([getattr(similarity, name) for name in RANKED])
    loss(
        found := minimize(
            loss, start, method="Nelder-Mead", options={"maxiter": 1200, "fatol": 1e-5, "adaptive": True}
        ).x
    )
    similarity.SCALE = float(minimize_scalar(cells.rms_error, bounds=(5.0, 20.0)).x)
    coefficients = zip((*RANKED, "SCALE"), (*found, similarity.SCALE), strict=True)
    print("fitted without the quoted pairs:", {name: round(float(value), 3) for name, value in coefficients})


def main(argv: list[str]) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("matrix", type=Path)
    parser.add_argument("--fit", action="store_true")
    options = parser.parse_args(argv)
    fitted, held_out = read(options.matrix, quoted=False), read(options.matrix, quoted=True)
    if options.fit:
        fit(fitted)
    for name, cells in (("fitted", fitted), ("quoted in the tests, not fitted", held_out)):
        print(f"{len(cells.shares)} cells {name}: rank correlation {cells.rank_correlation():.3f}, ", end="")
        miss, pair = cells.largest_miss(similarity.SCALE)
        print(f"rms error {cells.rms_error(similarity.SCALE):.3f}, largest miss {miss:+.2f} ({pair})")


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
