"""How well the formula for the likeness of sounds fits a published matrix, and the fit itself.

    scripts/dev.py bench similarity MATRIX.csv [--fit]

MATRIX.csv: a head line of signs, then one line for each first sound with its sign and the share (%) of "same"
for each second sound, as published by Rothkopf, J. Exp. Psychol. 53 (1957) 94-101. The matrix is not part of
this project: its public carriers' licences do not allow that.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.stats import spearmanr

from copyroom.core import similarity
from copyroom.core.alphabet import symbol

RANKED = ("DOT", "DASH", "LAST", "POWER", "LONGER", "SHORTER")


def read(path: Path) -> tuple[list[tuple[str, str]], np.ndarray]:
    """The matrix's off-diagonal cells: pairs of element sequences, shares 0..1."""
    head, *rows = list(csv.reader(path.open(encoding="utf-8")))
    cells = [
        (a, b, float(share))
        for a, *shares in rows
        for b, share in zip(head[1:], shares, strict=True)
        if a != b
    ]
    return [(symbol(a).elements, symbol(b).elements) for a, b, _ in cells], np.array(
        [c[2] for c in cells]
    ) / 100


def rank_correlation(pairs: list[tuple[str, str]], shares: np.ndarray) -> float:
    return float(spearmanr([-similarity.distance(a, b) for a, b in pairs], shares).statistic)


def fit(pairs: list[tuple[str, str]], shares: np.ndarray) -> None:
    def loss(values: np.ndarray) -> float:
        for name, value in zip(RANKED, values, strict=True):
            setattr(similarity, name, float(value))
        return -rank_correlation(pairs, shares)

    start = np.array([getattr(similarity, name) for name in RANKED])
    found = minimize(loss, start, method="Nelder-Mead", options={"maxiter": 400, "fatol": 1e-4})
    print(
        "fitted",
        dict(zip(RANKED, found.x.round(3).tolist(), strict=True)),
        f"rank correlation {-found.fun:.4f}",
    )


def main(argv: list[str]) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("matrix", type=Path)
    parser.add_argument("--fit", action="store_true")
    options = parser.parse_args(argv)
    pairs, shares = read(options.matrix)
    modelled = np.exp(-similarity.SCALE * np.array([similarity.distance(a, b) for a, b in pairs]))
    print(f"{len(shares)} cells, rank correlation {rank_correlation(pairs, shares):.4f}, ", end="")
    print(f"rms error {np.sqrt(np.mean((modelled - shares) ** 2)):.4f}")
    if options.fit:
        fit(pairs, shares)


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
