"""How well the model of a class meets the truth, on classes whose truth is known (bench/classes.py).

    scripts/dev.py bench evidence [--classes N] [--first-seed N] [--only kinds|pairs|calibration]

kinds: divergence from the truth relative to that of shrunken shares, (k + 3 q) / (n + 3), by kind of class;
the share of truths within the bounds of 80 % and how wide these are, of each learner and of the class's mean.
pairs: false pairs a class; of true ones that cost a tenth of the sendings and more, with twelve learners or
more and each sign sent ten times, how many are named; then evenings without any: practices of four keys,
drills of two, whole courses. "by all signs" is a plain test against 1 in all signs there are.
calibration: classes drawn from the model's own prior; where the truth falls in what is believed.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from scipy.stats import binom, kstest

from bench.calibration import drawn
from bench.classes import KINDS, Simulated, divergence, shrunken_shares, simulated
from bench.evenings import course, evening, run
from copyroom.core.evidence.mix_ups import TEACHABLE, MixUps, benjamini_hochberg, pairs_worth_teaching
from copyroom.core.knowledge import Knowledge
from copyroom.core.record import PastRun

Named = set[tuple[str, str]]


class Score(NamedTuple):
    """Of one class. `ours`, `shares`: divergence; `held`, `wide`: of bounds; `_all`: of the class's mean."""

    ours: float
    shares: float
    held: float
    wide: float
    high: float
    held_all: float
    wide_all: float


def score(made: Simulated) -> Score:
    """What is believed of a class, against its truth."""
    knowledge = Knowledge()
    knowledge.learn(made.runs)
    believed = knowledge.believe(made.day, made.signs, made.speeds, made.names)
    truth, each, together = made.truth, believed.learners, believed.together
    mean = truth.mean(axis=0)
    return Score(
        divergence(truth, each.mean),
        divergence(truth, shrunken_shares(made)),
        float(np.mean((each.low <= truth) & (truth <= each.high))),
        float(np.mean(each.high - each.low)),
        float(np.mean(each.mean - truth)),
        float(np.mean((together.low <= mean) & (mean <= together.high))),
        float(np.mean(together.high - together.low)),
    )


def kinds(classes: int, first: int) -> None:
    titles = ["ratio", "in 80 %", "width", "too high", "class: in", "width"]
    print(f"{'kind':10}" + "".join(f"{title:>11}" for title in titles))
    rows = []
    for kind in KINDS:
        scores = np.array([score(simulated(kind, first + i)) for i in range(classes)])
        mean = scores.mean(axis=0)
        rows.append([mean[0] / mean[1], *mean[2:]])
        print(f"{kind:10}" + "".join(f"{x:11.3f}" for x in rows[-1]), flush=True)
    print(f"{'mean':10}" + "".join(f"{x:11.3f}" for x in np.mean(rows, axis=0)))


def named(runs: Sequence[PastRun]) -> Named:
    """The pairs that the program names."""
    mixed = MixUps()
    for one in runs:
        mixed.take(one)
    return {(pair.sent, pair.written) for pair in pairs_worth_teaching(mixed).pairs}


def by_all_signs(runs: Sequence[PastRun]) -> Named:
    """What a plain test would name: of the substitutions of a sign, more than one in all other signs."""
    made: dict[tuple[str, str], set[str]] = {}
    count: dict[tuple[str, str], int] = {}
    of_sent: dict[str, int] = {}
    for one in runs:
        for name, copy in one.copies.items():
            for sent, written in zip(one.sent, copy, strict=True):
                if written not in (sent, "_"):
                    made.setdefault((sent, written), set()).add(name)
                    count[sent, written] = count.get((sent, written), 0) + 1
                    of_sent[sent] = of_sent.get(sent, 0) + 1
    others = len({sign for one in runs for sign in one.sent}) - 1
    cells = [(pair, n) for pair, n in count.items() if len(made[pair]) >= 3]
    p = np.array([binom.sf(n - 1, of_sent[sent], 1 / max(35, others)) for (sent, _), n in cells])
    return {pair for (pair, _), q in zip(cells, benjamini_hochberg(p), strict=True) if q <= 0.1}


def pairs(classes: int, first: int) -> None:
    print(f"{'kind':10}{'named':>11}{'false':>11}{'of a tenth':>14}{'named':>8}")
    for kind in KINDS:
        everything = false = worth = hit = 0
        for i in range(classes):
            made = simulated(kind, first + i)
            got = named(made.runs)
            everything += len(got)
            false += len(got - set(made.lost))
            dear = _dear(made)
            worth += len(dear)
            hit += len(dear & got)
        print(f"{kind:10}{everything / classes:11.2f}{false / classes:11.2f}{worth:14}{hit:8}", flush=True)
    print("\nfalse pairs where there are none".ljust(56) + "by all signs    ours")
    for what, false_by in _without(classes, first).items():
        print(f"{what:55}{false_by[0]:12.2f}{false_by[1]:8.2f}", flush=True)


def _dear(made: Simulated) -> Named:
    """True pairs that a class of twelve has shown often enough to be named."""
    sent = "".join(one.sent for one in made.runs)
    if len(made.names) < 12:
        return set()
    return {p for p, lost in made.lost.items() if lost >= TEACHABLE and min(map(sent.count, p)) >= 10}


def _without(classes: int, first: int) -> dict[str, tuple[float, float]]:
    """Situation -> false pairs by a plain test, and ours, each time on the same classes."""
    seeds = [np.random.default_rng(first + i) for i in range(classes)]
    evenings = [[evening(rng)] for rng in seeds]
    drills = [[[run(0, "HS", 60, 12, rng, right=0.7)]] for rng in seeds]
    courses = [course(rng) for rng in seeds[: max(1, classes // 5)]]
    weights = [8.0, 6.0, *[0.3] * 10]
    signs = "ETKMRSUAPLOW"
    habits = [[[run(i, signs, 60, 12, rng, keys=signs, weights=weights) for i in range(3)]] for rng in seeds]
    cases = {
        "an evening: four keys practised, two of them drilled": evenings,
        "a drill of H and S": drills,
        "11 such evenings with mixes, sum over evenings": courses,
        "three mixes, answers by a common habit": habits,
    }
    return {
        what: (_mean(by_all_signs, of_classes), _mean(named, of_classes))
        for what, of_classes in cases.items()
    }


def _mean(
    test: Callable[[Sequence[PastRun]], Named], classes: Sequence[Sequence[Sequence[PastRun]]]
) -> float:
    return sum(len(test(runs)) for evenings in classes for runs in evenings) / len(classes)


def calibration(classes: int, first: int) -> None:
    places = [drawn(np.random.default_rng(first + i)).places for i in range(classes)]
    one_each = [place[i % place.shape[0], i % place.shape[1]] for i, place in enumerate(places)]
    flat = np.concatenate([place.ravel() for place in places])
    tenths = np.histogram(flat, 10, (0.0, 1.0))[0] / len(flat)
    print(f"{classes} classes of the prior; share of truths in each tenth of what is believed:")
    print("  " + " ".join(f"{share:.3f}" for share in tenths))
    inside = np.mean((flat > 0.1) & (flat < 0.9))
    p = kstest(one_each, "uniform").pvalue
    print(f"  within 80 %: {inside:.3f}; one of each class, Kolmogorov-Smirnov p {p:.2f}")


def main(argv: list[str]) -> None:
    parser = argparse.ArgumentParser(prog="bench evidence", description=__doc__.splitlines()[0])
    parser.add_argument("--classes", type=int, default=100, help="of each kind")
    parser.add_argument("--first-seed", type=int, default=10_000)
    parser.add_argument("--only", choices=["kinds", "pairs", "calibration"])
    options = parser.parse_args(argv)
    for name, part in {"kinds": kinds, "pairs": pairs, "calibration": calibration}.items():
        if options.only in (None, name):
            start_s = time.process_time()
            part(options.classes * (10 if name == "calibration" else 1), options.first_seed)
            print(f"({name}: {time.process_time() - start_s:.0f} s of CPU)\n")
