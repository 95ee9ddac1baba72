"""The advice against "uniform drill, go on at 90 %", on assumed learners of unlike families.

Every pair of courses shares class, absences, who joins in the middle, a break, alphabet, length of course
and worth of an introduction; only the rule differs, under the same limit on new sounds, and the intervals are
95 % of the paired differences. Course score: true probability of recall, mean over learners and all symbols
of the alphabet, 0 for what was never taught; at the end of the last meeting, and a week later. The constants
of the rule were chosen on seeds 1000 to 1001 and 2000 to 2002; others begin at 3000. `--quick` plays fewer
courses.
"""

from __future__ import annotations

import argparse
import itertools
import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import astuple, dataclass

import numpy as np

from bench.learners import FAMILIES, Learners
from copyroom.core.advice.policy import propose
from copyroom.core.advice.situation import Situation
from copyroom.core.advice.standing import Standing
from copyroom.core.alphabet import INDEX
from copyroom.core.evidence.mix_ups import MixUps, Pair, pairs_worth_teaching
from copyroom.core.knowledge import Knowledge
from copyroom.core.record import PastRun, RunKind
from copyroom.core.usage import EXAMINED_SIGNS

SCHEDULES = {
    "weekly": [(7 * i, 320) for i in range(10)],
    "daily": [(i + 2 * (i // 5), 160) for i in range(20)],
}
"""(day, sendings) of each meeting; the sendings are scaled by .7 to 2.2, drawn for each course."""
SIZES = (12, 25)
INTRO_COST, MIN_LENGTH, MAX_LENGTH = 12, 25, 80
DAYS_AFTER = 7
JOIN_LATE = 0.15
"""Part of a class that joins in the first half of the course, and met nothing before."""
BREAK_DAYS = 28
"""Once in every second course, in the middle."""

KINDS: dict[RunKind, float] = {"copy": 1.0, "named": 2.5}
MOST_NEW = 4

Sent = tuple[str, RunKind, str]
"""Introduced, kind of run, text."""
Rule = Callable[[Standing, np.random.Generator], Sent]


def uniform(standing: Standing, rng: np.random.Generator) -> Sent:
    """The rule to beat: 4 symbols, then 2 more whenever the class copied 90 % of the last text."""
    situation, runs = standing.situation, standing.runs
    last = runs[-1] if runs else None
    shares = (
        [np.mean([a == b for a, b in zip(copy, last.sent, strict=True)]) for copy in last.copies.values()]
        if last
        else []
    )
    passed = bool(shares) and float(np.mean(shares)) >= 0.9
    wanted = 4 if not situation.known else 2 if passed else 0
    new = situation.untaught[: min(wanted, situation.room_for_new)]
    longest = min(MAX_LENGTH, situation.sendings_left - INTRO_COST * len(new))
    return new, "copy", "".join(rng.choice(list(situation.known + new), min(50, longest)))


def advice(standing: Standing, rng: np.random.Generator) -> Sent:
    """The product's rule."""
    proposal = propose(standing, rng).proposal
    return proposal.introduce, proposal.kind, proposal.text


RULES: dict[str, Rule] = {"uniform": uniform, "advice": advice}


@dataclass(frozen=True)
class Outcome:
    """One course: scores and shares, all 0..1."""

    end: float
    week_later: float
    weakest: float
    weakest_later: float
    untaught: float
    class_under_60: float
    """Exercises that the class as a whole copied under 60 %."""
    copies_under_60: float
    """Single copies under 60 %."""


LABELS = ("end", "week on", "weakest", "week on", "untaught", "class<60", "copy<60")
"""Heads of the columns, in the order of `Outcome`."""


@dataclass(frozen=True)
class Setting:
    """What the two courses of a pair have in common."""

    family: str
    schedule: str
    size: int
    seed: int


class _Course:
    """One course played through."""

    def __init__(self, rule: Rule, setting: Setting) -> None:
        chance = np.random.default_rng([setting.seed, setting.size, 1])
        self.rule, self.rng = rule, np.random.default_rng([setting.seed, 3])
        signs = list(EXAMINED_SIGNS)
        self.alphabet = "".join(signs[i] for i in chance.permutation(len(signs)))
        scale = chance.uniform(0.7, 2.2)
        self.sounds_of_introduction = int(chance.integers(0, 9))
        meetings = SCHEDULES[setting.schedule]
        away = BREAK_DAYS * (setting.seed % 2)
        self.meetings = [
            (day + away * (2 * i >= len(meetings)), int(seats * scale))
            for i, (day, seats) in enumerate(meetings)
        ]
        self.learners: Learners = FAMILIES[setting.family](
            setting.size, np.random.default_rng([setting.seed, setting.size, 2])
        )
        self.names = [f"learner {i}" for i in range(setting.size)]
        absence = chance.uniform(0.05, 0.25, setting.size)
        self.there = chance.random((len(self.meetings), setting.size)) >= absence
        joins = chance.integers(1, len(self.meetings) // 2, setting.size)
        joins[chance.random(setting.size) >= JOIN_LATE] = 0
        self.there &= np.arange(len(self.meetings))[:, None] >= joins
        self.there[:, -1] = True
        self.knowledge, self.mixed, self.runs = Knowledge(), MixUps(), list[PastRun]()
        self.known = ""
        self.class_shares: list[float] = []
        self.copy_shares: list[float] = []

    def play(self) -> Outcome:
        """Meeting after meeting; what the learners then know."""
        before = self.meetings[0][0]
        for number, (day, seats) in enumerate(self.meetings):
            if day > before:
                self.learners.rest(day - before)
            self._meet(number, day, seats)
            before = day
        end = self._recall()
        self.learners.rest(DAYS_AFTER)
        later = self._recall()
        return Outcome(
            *(float(x) for x in (end.mean(), later.mean(), end.min(), later.min())),
            untaught=1.0 - len(self.known) / len(self.alphabet),
            class_under_60=float(np.mean(np.array(self.class_shares) < 0.6)),
            copies_under_60=float(np.mean(np.array(self.copy_shares) < 0.6)),
        )

    def _meet(self, number: int, day: int, seats: int) -> None:
        present = self.there[number]
        names = tuple(name for name, here in zip(self.names, present, strict=True) if here)
        later = tuple(self.meetings[number + 1 :])
        untaught = len(self.alphabet) - len(self.known)
        new_limit = max(2, min(MOST_NEW, -(-untaught // max(1, int(0.75 * (1 + len(later)))))))
        while seats >= MIN_LENGTH + (0 if self.known else INTRO_COST):
            situation = Situation(
                alphabet=self.alphabet,
                known=self.known,
                present=names,
                today=day,
                sendings_left=seats,
                intro_cost=INTRO_COST,
                min_length=MIN_LENGTH,
                max_length=MAX_LENGTH,
                new_limit=new_limit,
                later=later,
                kinds=KINDS,
            )
            believed = None
            if self.known and self.rule is not uniform:
                believed = self.knowledge.believe(day, self.known, names=names)
            standing = Standing(situation, believed, self.runs, self._pairs(day) if believed else ())
            new, kind, text = self.rule(standing, self.rng)
            self._exercise(day, new, kind, text, present)
            new_limit -= len(new)
            seats -= int(np.ceil(len(text) * KINDS[kind])) + INTRO_COST * len(new)

    def _exercise(self, day: int, new: str, kind: RunKind, text: str, present: np.ndarray) -> None:
        for sign in new:
            self.learners.introduce(INDEX[sign], present, self.sounds_of_introduction)
        self.known += new
        written = [
            "".join(copy)
            for copy in zip(*self.learners.copy([INDEX[s] for s in text], present, kind), strict=True)
        ]
        copies = {name: copy for name, copy, here in zip(self.names, written, present, strict=True) if here}
        run = PastRun(day, text, copies, tuple(copies), new, kind)
        self.runs.append(run)
        if self.rule is not uniform:
            self.knowledge.learn([run])
            self.mixed.take(run)
        shares = [np.mean([a == b for a, b in zip(copy, text, strict=True)]) for copy in copies.values()]
        self.class_shares.append(float(np.mean(shares)))
        self.copy_shares += map(float, shares)

    def _pairs(self, day: int) -> tuple[Pair, ...]:
        """As the console: of this meeting and the one before."""
        mixed, days = MixUps(), sorted({run.day for run in self.runs})[-2:]
        for run in self.runs:
            if run.day in days:
                mixed.take(run)
        return pairs_worth_teaching(mixed).pairs

    def _recall(self) -> np.ndarray:
        """Mean recall of each learner over the whole alphabet."""
        return np.sum([self.learners.recall(INDEX[sign]) for sign in self.known], axis=0) / len(self.alphabet)


def _play(task: tuple[str, Setting]) -> Outcome:
    rule, setting = task
    return _Course(RULES[rule], setting).play()


def compare(settings: Sequence[Setting], workers: int) -> dict[str, np.ndarray]:
    """rule -> outcomes, shape (len(settings), fields of Outcome)."""
    tasks = list(itertools.product(RULES, settings))
    with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn")) as pool:
        outcomes = np.array([astuple(o) for o in pool.map(_play, tasks, chunksize=4)])
    return dict(zip(RULES, outcomes.reshape(len(RULES), len(settings), -1), strict=True))


def _rows(label: str, chosen: np.ndarray, outcomes: dict[str, np.ndarray]) -> None:
    for rule in RULES:
        print(f"{label:24}{rule:9}" + "".join(f"{x:9.3f}" for x in outcomes[rule][chosen].mean(axis=0)))
    gain = (outcomes["advice"] - outcomes["uniform"])[chosen]
    half = 1.96 * gain.std(axis=0, ddof=1) / np.sqrt(len(gain))
    print(f"{'':24}{'gain':9}" + "".join(f"{x:+9.3f}" for x in gain.mean(axis=0)))
    print(f"{'':24}{'+- 95 %':9}" + "".join(f"{x:9.3f}" for x in half))


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench advice", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="2 seeds instead of --seeds")
    parser.add_argument("--seeds", type=int, default=10)
    parser.add_argument("--first-seed", type=int, default=3000)
    parser.add_argument("--family", action="append", choices=list(FAMILIES), help="default: all")
    args = parser.parse_args(argv)
    families = args.family or list(FAMILIES)
    seeds = range(args.first_seed, args.first_seed + (2 if args.quick else args.seeds))
    settings = [Setting(*s) for s in itertools.product(families, SCHEDULES, SIZES, seeds)]
    outcomes = compare(settings, os.cpu_count() or 1)
    print(f"{'':33}" + "".join(f"{label:>9}" for label in LABELS))
    for family in families:
        _rows(family, np.array([s.family == family for s in settings]), outcomes)
    for schedule, size in itertools.product(SCHEDULES, SIZES):
        chosen = np.array([(s.schedule, s.size) == (schedule, size) for s in settings])
        _rows(f"{schedule}, {size} learners", chosen, outcomes)
    return 0


if __name__ == "__main__":
    import sys

    raise SystemExit(main(sys.argv[1:]))
