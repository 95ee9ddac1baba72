"""How well and how fast copies are aligned, on simulated learners (bench/copyists.py states what is assumed).

    scripts/dev.py bench align [--learners N] [--only accuracy|table|speed|live]

Accuracy: share of marks given the symbol that they answer, and what edit distance (rapidfuzz) makes of the
same copies; the same over substitutions alone, of which the confusion table is made; total variation distance
of the table of all copies of a kind from the true one.
Speed: CPU time of one class, against Biopython's and rapidfuzz's aligners (references for the bench only) on
the same copies, best of three in one run. Biopython is timed in four settings: what an alignment of copies
needs (likeness of sounds, affine gaps), the same without likeness, and two with plain gaps, which fill one
matrix instead of three.
"""

from __future__ import annotations

import argparse
import statistics
import time
import tracemalloc
from collections.abc import Callable
from functools import partial

import numpy as np
from Bio.Align import PairwiseAligner, substitution_matrices
from rapidfuzz.distance import Levenshtein

from bench.copyists import KINDS, LETTERS_AND_FIGURES, Copyist, Kind, Truth, class_of
from copyroom.core.alignment import (
    Aligned,
    Alignment,
    Copy,
    LiveAlignment,
    align,
    align_class,
    align_class_in_slices,
)
from copyroom.core.alphabet import INDEX, RECOMMENDED
from copyroom.core.evidence.mix_ups import MixUps, pairs_worth_teaching
from copyroom.core.record import PastRun
from copyroom.core.similarity import similarity
from copyroom.core.tally import Counts, tally


def _true(sent: str, truth: Truth) -> Alignment:
    answered = {i for i in truth.attribution if i is not None}
    missed = tuple(i for i in range(len(sent)) if i not in answered)
    return Alignment(tuple(truth.attribution), (1.0,) * len(truth.written), missed)


def true_tally(sent: str, truth: Truth) -> Counts:
    return tally(sent, truth.written, _true(sent, truth))


def variation(a: Counts, b: Counts) -> float:
    """Total variation distance of two tables, as shares of all that was sent or written."""
    return float(np.abs(a / a.sum() - b / b.sum()).sum() / 2)


def hits(sent: str, truth: Truth, found: Alignment) -> tuple[list[bool], list[bool]]:
    """Per mark whether it was attributed right, and the same over substitutions alone."""
    right = [a == b for a, b in zip(found.attribution, truth.attribution, strict=True)]
    substituted = [
        ok
        for ok, i, mark in zip(right, truth.attribution, truth.written, strict=True)
        if i is not None and mark not in ("_", sent[i])
    ]
    return right, substituted


def by_edits(sent: str, written: str) -> Alignment:
    """One of the alignments with the fewest edits."""
    attribution: list[int | None] = [None] * len(written)
    for kind, i, _, k, end in Levenshtein.opcodes(sent, written):
        if kind in ("equal", "replace"):
            attribution[k:end] = range(i, i + end - k)
    return Alignment(tuple(attribution), (1.0,) * len(written), ())


def accuracy(learners: int) -> None:
    print(f"{'kind':36}{'marks':>8}{'right':>8}{'edits':>8}{'subst.':>8}{'table':>8}{'sure':>8}")
    macro: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for name, kind in KINDS.items():
        shares, edits, substituted, sure, table, truth_table = [], [], [], [], 0, 0
        for seed in range(learners):
            sent, end_s, (truth,) = class_of(kind, 1, 1000 + seed)
            times = (end_s, truth.at_s) if kind.times else (None, None)
            found = align(sent, times[0], truth.written, times[1])
            right, of_those = hits(sent, truth, found)
            shares.append(np.mean(right))
            edits.append(np.mean(hits(sent, truth, by_edits(sent, truth.written))[0]))
            substituted += of_those
            sure += found.confidence
            table = table + tally(sent, truth.written, found)
            truth_table = truth_table + true_tally(sent, truth)
        macro[kind.times].append((float(np.mean(shares)), float(np.mean(edits))))
        print(
            f"{name:36}{len(sure):8}{np.mean(shares):8.4f}{np.mean(edits):8.4f}{np.mean(substituted):8.4f}"
            f"{variation(table, truth_table):8.4f}{np.mean(sure):8.4f}"
        )
    for what, of_kind in (("timed", macro[True]), ("sheets", macro[False])):
        ours, edit = np.mean(of_kind, axis=0)
        print(f"mean over kinds, {what}: {ours:.4f}; edit distance {edit:.4f}")


def _lawful(pair: tuple[str, str], kind: Kind) -> bool:
    """Whether the simulated learners' own law makes this guess more often than chance."""
    rng = np.random.default_rng(0)
    guesses = [Copyist(kind, rng)._guess(pair[0]) for _ in range(2000)]
    return guesses.count(pair[1]) / len(guesses) > 1 / (len(kind.signs) - 1)


def _named(sent: str, copies: list[str]) -> set[tuple[str, str]]:
    """The pairs that such copies of one text would have named, each copy with one sign for each one sent."""
    mixed = MixUps()
    mixed.take(PastRun(0, sent, {f"s{place}": copy for place, copy in enumerate(copies)}))
    return {(pair.sent, pair.written) for pair in pairs_worth_teaching(mixed).pairs}


def _in_places(sent: str, truth: Truth, found: Alignment) -> str:
    """What was written for each sign sent."""
    places = ["_"] * len(sent)
    for place, mark in zip(found.attribution, truth.written, strict=True):
        if place is not None:
            places[place] = mark
    return "".join(places)


def table(classes: int) -> None:
    kind = Kind(LETTERS_AND_FIGURES, 0.30, 250)
    for seed in range(classes):
        sent, end_s, truths = class_of(kind, 20, 2000 + seed)
        copies = [Copy(truth.written, truth.at_s) for truth in truths]
        found = align_class(sent, end_s, copies)
        tables = np.stack([tally(sent, t.written, a.alignment) for t, a in zip(truths, found, strict=True)])
        true = np.stack([true_tally(sent, t) for t in truths])
        pairs = _named(sent, [_in_places(sent, t, a.alignment) for t, a in zip(truths, found, strict=True)])
        known = _named(sent, [_in_places(sent, t, _true(sent, t)) for t in truths])
        false = [pair for pair in pairs if not _lawful(pair, kind)]
        print(
            f"class of 20 x 250 at 30 % errors: total variation {variation(tables.sum(0), true.sum(0)):.4f}; "
            f"{len(pairs)} pairs named, {len(false)} of them not in the learners' law, "
            f"{len(known & pairs)} of {len(known)} that the truth would name"
        )


def _cpu_s(work: Callable[[], object], times: int = 3) -> float:
    best = float("inf")
    for _ in range(times):
        start_s = time.process_time()
        work()
        best = min(best, time.process_time() - start_s)
    return best


def _biopython() -> dict[str, PairwiseAligner]:
    """Its aligner as one would set it up for copies, and as it comes."""
    affine = {"mode": "global", "open_gap_score": -1.2, "extend_gap_score": -0.4}
    signs = "".join(s.sign for s in RECOMMENDED if s.sign.isascii()) + "_"
    matrix = substitution_matrices.Array(signs, 2)
    for a in signs:
        for b in signs:
            alike = 0.1 if "_" in (a, b) else similarity()[INDEX[a], INDEX[b]]
            matrix[a, b] = 2.0 if a == b else float(np.log(0.05 + alike))
    return {
        "Biopython, likeness and affine gaps": PairwiseAligner(substitution_matrix=matrix, **affine),
        "Biopython, affine gaps": PairwiseAligner(match_score=1.0, mismatch_score=-0.9, **affine),
        "Biopython, edit costs": PairwiseAligner(match_score=0.0, mismatch_score=-1.0, gap_score=-1.0),
        "Biopython, its defaults": PairwiseAligner(),
    }


def speed() -> None:
    sent, end_s, truths = class_of(Kind(LETTERS_AND_FIGURES, 0.30, 500), 300, 3000)
    first = [Copy(truth.written, truth.at_s) for truth in truths]
    known = [
        Copy(c.written, c.at_s, a.habits) for c, a in zip(first, align_class(sent, end_s, first), strict=True)
    ]
    ours = {
        "re-scored, habits known": _cpu_s(lambda: align_class(sent, end_s, known)),
        "for the first time": _cpu_s(lambda: align_class(sent, end_s, first)),
        "sheets": _cpu_s(lambda: align_class(sent, None, [Copy(c.written) for c in first]), 1),
    }
    theirs = {
        name: _cpu_s(partial(_all_aligned, aligner, sent, first)) for name, aligner in _biopython().items()
    }
    theirs["rapidfuzz edit distance"] = _cpu_s(lambda: [Levenshtein.editops(sent, c.written) for c in first])
    print("300 copies x 500 symbols, CPU seconds, and how many times those of the others:")
    print(" " * 47 + "".join(f"{name:>26}" for name in ours))
    print(f"  {'ours':36}{'':9}" + "".join(f"{seconds:26.3f}" for seconds in ours.values()))
    for name, theirs_s in theirs.items():
        ratios = "".join(f"{seconds / theirs_s:24.3f} x" for seconds in ours.values())
        print(f"  {name:36}{theirs_s:9.3f}{ratios}")
    print(f"  longest slice {_longest_slice_s(sent, end_s, known) * 1e3:.1f} ms of CPU", end="; ")
    tracemalloc.start()
    align_class(sent, end_s, known)
    print(f"peak memory {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB")
    tracemalloc.stop()


def _all_aligned(aligner: PairwiseAligner, sent: str, copies: list[Copy]) -> None:
    for copy in copies:
        _ = aligner.align(sent, copy.written)[0].coordinates


def _longest_slice_s(sent: str, end_s: list[float], copies: list[Copy]) -> float:
    """CPU time for which an event loop would wait at most, best of three."""
    longest = []
    for _ in range(3):
        slices, lengths = align_class_in_slices(sent, end_s, copies), []
        found: list[Aligned] = []
        while not found:
            start_s = time.process_time()
            try:
                next(slices)
            except StopIteration as stop:
                found = stop.value
            lengths.append(time.process_time() - start_s)
        longest.append(max(lengths))
    return min(longest)


def live(learners: int) -> None:
    for name, kind in KINDS.items():
        if not kind.times:
            continue
        took_s, right = [], []
        for seed in range(learners):
            sent, end_s, (truth,) = class_of(kind, 1, 4000 + seed)
            seat = LiveAlignment(sent, end_s)
            for mark, at_s in zip(truth.written, truth.at_s, strict=True):
                start_s = time.thread_time()
                seat.write(mark, at_s)
                took_s.append(time.thread_time() - start_s)
            right.append(np.mean(hits(sent, truth, seat.current())[0]))
        print(f"live, {name:36} {statistics.median(took_s) * 1e6:6.1f} us a key, right {np.mean(right):.4f}")


def main(argv: list[str]) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--learners", type=int, default=20, help="learners of each kind")
    parser.add_argument("--only", choices=["accuracy", "table", "speed", "live"])
    options = parser.parse_args(argv)
    parts: dict[str, Callable[[], None]] = {
        "accuracy": lambda: accuracy(options.learners),
        "table": lambda: table(3),
        "speed": speed,
        "live": lambda: live(max(1, options.learners // 4)),
    }
    for name, part in parts.items():
        if options.only in (None, name):
            part()
