"""Every sentence of advice is held against the figures it speaks of, in thousands of random classes.

The figures are reckoned anew here, from the belief's arrays and the record; a sentence of no known form
fails.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from copyroom.core.advice.needs import need
from copyroom.core.advice.pace import EACH_HELD, HELD, WEAKEST_HELD
from copyroom.core.advice.policy import advise, propose
from copyroom.core.advice.proposal import Choice
from copyroom.core.advice.situation import Situation
from copyroom.core.advice.standing import Standing
from copyroom.core.evidence.mix_ups import Pair
from copyroom.core.knowledge import Belief
from copyroom.core.knowledge.belief import Chances
from copyroom.core.record import PastRun
from copyroom.core.usage import EXAMINED_SIGNS
from histories import Class, situation, standing_of

LETTERS = EXAMINED_SIGNS[:36]
"""Marks would be hard to tell from those of the sentences."""


# ------------------------------------------------------------------ random classes


def _shares(learners: int, signs: int, fine: bool, rng: np.random.Generator) -> np.ndarray:
    """Chances with weak learners, weak sounds, weak newest ones or none of these."""
    usual = 3.5 if fine else rng.choice([-1.0, 0.5, 2.5, 3.5])
    logit = rng.normal(usual, 0.2 if fine else 0.7, (learners, signs))
    if fine or rng.random() < 0.4:
        logit[rng.permutation(learners)[: rng.choice([1, 3])]] -= rng.uniform(2.5, 6)
    if not fine and signs and rng.random() < 0.4:
        logit[:, rng.integers(signs, size=rng.integers(1, 3))] -= rng.uniform(2, 5)
    if not fine and rng.random() < 0.3:
        logit[:, -4:] -= rng.uniform(1, 4)
    return 1 / (1 + np.exp(-logit))


def _run(day: int, known: str, names: Sequence[str], fine: bool, rng: np.random.Generator) -> PastRun:
    keys = known if fine else "".join(rng.permutation(list(known))[: rng.choice([2, 3, 5, len(known)])])
    text = keys + "".join(rng.choice(list(keys), rng.integers(8, 15)))
    skill, blanks = (0.97, 0.0) if fine else (rng.choice([0.3, 0.9, 0.97]), 0.1)
    copies = {}
    for name in names:
        right = np.where(rng.random(len(text)) < (0.0 if rng.random() < blanks else skill), 1, 0)
        if fine or rng.random() < 0.8:
            copies[name] = "".join(sign if caught else "_" for sign, caught in zip(text, right, strict=True))
    speed, kind = float(rng.choice([5, 12, 18])), "copy" if fine else rng.choice(["copy", "copy", "named"])
    return PastRun(day, text, copies, kind=kind, wpm=speed, overall_wpm=speed)


def _pairs(known: str, rng: np.random.Generator) -> list[Pair]:
    if len(known) < 2 or rng.random() < 0.7:
        return []
    a, b = rng.permutation(list(known))[:2]
    n = int(rng.integers(3, 30))
    return [Pair(a, b, n, 2 * n, int(rng.integers(3, 9)), 1, 2 * n, float(rng.uniform(0.02, 0.3)))]


def random_standing(seed: int) -> Standing:
    """A class as it might stand, with figures that no record need explain."""
    rng = np.random.default_rng(seed)
    signs = "".join(rng.permutation(list(LETTERS)))
    known = signs[: rng.choice([0, 1, 2, 4, 6, 9, 12])]
    fine = seed % 5 == 0  # a class that goes on but for a few
    names = tuple(f"s{i}" for i in range(1, 1 + (12 if fine else rng.integers(1, 14))))
    today = int(rng.choice([0, 7, 35]))
    days = [day for day in (0, 7, 35) if day <= today and (day < today or rng.random() < 0.7)]
    count = int(rng.choice([0, 1, 2, 4])) if known else 0
    runs = [_run(day, known, names, fine, rng) for day in days for _ in range(count)]
    asked = Situation(
        signs[: len(known) + int(rng.integers(0, 6))] or signs[:4],
        known,
        names,
        today,
        int(rng.integers(40, 300)),
        int(rng.integers(0, 13)),
        int(rng.integers(3, 5)),
        int(rng.integers(5, 8)),
        int(rng.integers(0, 5)),
        kinds={"copy": 1.0, "named": 2.5} if rng.random() < 0.8 else {"copy": 1.0},
        speeds=(float(rng.choice([5, 20])),) * 2 if rng.random() < 0.3 else (None, None),
    )
    if not known:
        return Standing(asked, None)
    mean = _shares(len(names), len(known), fine, rng)
    tested = rng.poisson(40 if fine else rng.choice([3, 12, 40]), mean.shape).astype(float)
    if not runs or rng.random() < 0.2:
        tested[rng.random(len(names)) < (1.0 if not runs else 0.5)] = 0.0
    tested[:, rng.random(len(known)) < 0.05] = 0.0
    width = rng.uniform(0.01, 0.6)
    chances = Chances(mean * (1 - width), mean, mean + (1 - mean) * width)
    together = Chances(*(part.mean(axis=0) for part in (chances.low, chances.mean, chances.high)))
    met = rng.random(mean.shape) >= rng.choice([0.0, 0.0, 0.0 if fine else 0.1])
    zeros = np.zeros_like(mean)
    believed = Belief(names, known, chances, together, tested, met, zeros, zeros, zeros[:, :1])
    return Standing(asked, believed, runs, _pairs(known, rng))


# ------------------------------------------------------------------ the figures, reckoned anew


@dataclass
class Figures:
    """What a sentence may say, from the arrays themselves."""

    standing: Standing
    choice: Choice

    def __post_init__(self) -> None:
        asked = self.standing.situation
        self.known, self.present, self.today = asked.known, asked.present, asked.today
        believed = self.standing.believed
        self.runs = [run for run in self.standing.runs if run.copies]
        self.tonight = [run for run in self.runs if run.day == self.today]
        if believed:
            self.tested, self.mean = believed.tested, believed.learners.mean
            self.counts = self.tested.sum(axis=1) > 0
            self.rows = self.mean[self.counts] if self.counts.any() else self.mean
            self.of_class = self.rows.mean(axis=0)
            tested = self.tested[self.counts] if self.counts.any() else np.zeros((1, len(self.known)))
            self.copied = tested.mean(axis=0)

    def row(self, name: str) -> int:
        return self.present.index(name)

    def share(self, sign: str) -> str:
        i = self.known.index(sign)
        return f"{100 * self.of_class[i]:.0f} %" if self.copied[i] > 0 else "not tested yet"

    def blank(self) -> list[str]:
        last = self.tonight[-1].copies if self.tonight else {}
        return [n for n in self.present if n in last and last[n].count("_") >= 0.9 * len(last[n]) >= 7.2]

    def days(self) -> int:
        return self.today - max(run.day for run in self.runs)

    def drills(self, sign: str) -> int:
        met, drills = {*self.known}, 0  # these records introduce nothing
        for run in self.runs:
            keys = set(run.sent) | set(run.keys)
            drills += sign in keys and len(keys) <= min(6, len(met) - 2)
        return drills


Check = Callable[[Figures, re.Match[str]], bool]


def _signs(text: str, of: str) -> bool:
    """Whether a list in words is a list of these signs, in any order; many are counted."""
    if counted := re.fullmatch(r"(.), (.), (.) and (\d+) others", text):
        return {*counted.groups()[:3]} <= set(of) and int(counted[4]) == len(of) - 3 > 5
    return sorted(re.split(r", | and ", text)) == sorted(of)


def _names(text: str, of: Sequence[str]) -> bool:
    if counted := re.fullmatch(r"(\d+) learners", text):
        return int(counted[1]) == len(of) > 8
    return re.split(r", | and ", text) == list(of)


def _true_shares(f: Figures, text: str) -> bool:
    found = re.findall(r"(.) \((\d+ %|not tested yet)\)", text)
    return bool(found) and all(f.share(sign) == share for sign, share in found)


def _mean(f: Figures, names: Sequence[str]) -> str:
    return f"{100 * f.mean[[f.row(name) for name in names]].mean():.0f} %"


def _newcomers(f: Figures) -> list[str]:
    return [name for name, counts in zip(f.present, f.counts, strict=True) if not counts]


def _never_met(f: Figures, m: re.Match[str]) -> bool:
    about, met = f.choice.proposal.about, f.standing.believed.met
    at = [f.known.index(sign) for sign in about.symbols]
    lacking = {name: ~met[f.row(name), at] for name in f.present}
    some, every = ([n for n, lacks in lacking.items() if test(lacks)] for test in (np.any, np.all))
    true = some == list(about.learners) and (bool(m[2]) or every == some)
    return true and _names(m[1], about.learners) and _signs(m[3], about.symbols)


def _weakest_quarter(f: Figures, signs: str) -> float:
    at = [f.known.index(sign) for sign in signs]
    heard = f.tested[f.counts].sum(axis=1) if f.counts.any() else np.ones(len(f.rows))
    own = np.sort(f.rows[heard >= np.median(heard) / 2][:, at].mean(axis=1))
    return float(own[: max(1, len(own) // 4)].mean())


def _stuck(f: Figures, m: re.Match[str]) -> bool:
    i = f.known.index(m[1])
    true = m[4] == f"{100 * f.of_class[i]:.0f} %" and m[5] == f"{100 * np.delete(f.of_class, i).mean():.0f} %"
    return true and int(m[3] or 0) == f.drills(m[1]) and f.of_class[i] < np.median(f.of_class)


def _support(f: Figures, m: re.Match[str]) -> bool:
    about = f.choice.proposal.about
    others = [n for n in f.present if n not in about.learners and f.counts[f.row(n)]]
    true = m[2] == _mean(f, about.learners) and m[3] == _mean(f, others)
    return true and _names(m[1], about.learners) and _signs(m[4], about.symbols)


def _far_behind(f: Figures, m: re.Match[str]) -> bool:
    own = f.mean.mean(axis=1)
    usual = np.median(own[f.counts])
    who = [n for n in f.present if f.tested[f.row(n)].sum() >= 10 and own[f.row(n)] < min(0.55, usual - 0.25)]
    return _names(m[1], who) and m[2] == _mean(f, who)


def _pair(f: Figures, m: re.Match[str]) -> bool:
    said = (int(m[1]), m[2], m[3], int(m[4]), int(m[5]))
    true = any((p.learners, p.written, p.sent, p.n, p.sendings) == said for p in f.standing.pairs)
    return true and set(f.choice.proposal.about.symbols) == {m[2], m[3]}


def _held(f: Figures, m: re.Match[str]) -> bool:
    signs = re.findall(r"(.) \(", m[1])
    means = [f.of_class[f.known.index(sign)] for sign in signs]
    well = (
        np.mean(means) >= HELD
        and min(means) >= EACH_HELD
        and _weakest_quarter(f, "".join(signs)) >= WEAKEST_HELD
    )
    return bool(well) and _true_shares(f, m[1]) and _signs(m[2], f.choice.proposal.introduce)


def _tonight(f: Figures, m: re.Match[str]) -> bool:
    for sign, share in re.findall(r"(.) \((\d+ %)\)", m[1]):
        last = [run for run in f.tonight if sign in run.sent][-1]
        pairs = [pair for copy in last.copies.values() for pair in zip(last.sent, copy, strict=True)]
        right = np.mean([written == sign for sent, written in pairs if sent == sign])
        if share != f"{100 * right:.0f} %" or right >= HELD:
            return False
    return True


def _most_needed(f: Figures, m: re.Match[str]) -> bool:
    lacks = dict(zip(f.known, need(f.mean), strict=True))
    signs, rest = re.findall(r"(.) \(", m[1]), m[3]
    others = [lacks[sign] for sign in f.known if sign not in signs]
    if min(lacks[sign] for sign in signs) < max(others, default=0.0) or not _true_shares(f, m[1]):
        return False
    resting = "" if not rest or "others" in rest else rest.replace(" and ", "").replace(", ", "")
    return not set(f.choice.proposal.text) & set(resting)


def _look_at_sound(f: Figures, m: re.Match[str]) -> bool:
    who = f.choice.proposal.about.learners
    return _names(m[1], who) and set(who) <= set(f.blank())


def _weak(f: Figures, m: re.Match[str]) -> bool:
    signs = re.findall(r"(.) \(", m[1])
    return _true_shares(f, m[1]) and all(f.of_class[f.known.index(sign)] < HELD for sign in signs)


def _still_there(f: Figures, m: re.Match[str]) -> bool:
    before = max(run.day for run in f.runs if run.day < f.today)
    return _signs(m[1], f.known[-4:]) and int(m[2]) == f.today - before


def _firmest(f: Figures, m: re.Match[str]) -> bool:
    best = [f.known[i] for i in np.argsort(-f.of_class, kind="stable")[: int(m[1])]]
    return _signs(m[2], best) and set(f.choice.proposal.text) <= set(best)


def _faster(f: Figures, m: re.Match[str]) -> bool:
    heard = f.tested[f.counts].sum(axis=1)
    steady = f.rows[heard >= np.median(heard) / 2].mean(axis=1)
    asked = f.standing.situation
    true = int(m[1]) == len(f.known) and m[3] == f"{100 * steady.mean():.0f} %" and not asked.untaught
    return true and float(m[2]) in asked.speeds and float(m[4]) > float(m[2])


LIST, SHARES = r"(.+)", r"((?:. \((?:\d+ %|not tested yet)\)(?:, )?)+)"
FORMS: dict[str, Check] = {
    rf"The class starts with (\d) sounds, {LIST}: with fewer, it would guess\.": lambda f, m: (
        int(m[1]) == len(f.choice.proposal.introduce) and _signs(m[2], f.choice.proposal.introduce)
    ),
    rf"The class starts with {LIST}\.": lambda f, m: _signs(m[1], f.choice.proposal.introduce),
    rf"(.) alone would be written without listening: {LIST} with it\.": lambda f, m: (
        f.known == m[1] and _signs(m[2], f.choice.proposal.introduce)
    ),
    r"(\d+) of (\d+) left nearly all of the last run blank: .*\.": lambda f, m: (
        (int(m[1]), int(m[2])) == (len(f.blank()), len(set(f.tonight[-1].copies) & set(f.present)))
    ),
    r"(.+) left nearly all of the last run blank: look at their sound; nothing new until they hear\.": (
        _look_at_sound
    ),
    r"(.+) left nearly all of the last run blank: ask about their sound\.": lambda f, m: _names(
        m[1], f.blank()
    ),
    r"Nobody here has copied anything yet: first see what they know\.": lambda f, m: not f.counts.any(),
    r"The last copies are (\d+) days old: first see what is still there\.": lambda f, m: (
        int(m[1]) == f.days()
    ),
    r"Nothing was copied yet with (characters at|an overall speed of) (\d+) wpm: first see how it goes\.": (
        lambda f, m: max(run.wpm for run in f.runs) < int(m[2])
    ),
    r"(\d+) of the (\d+) here have copied nothing yet: first see what they know\.": lambda f, m: (
        (int(m[1]), int(m[2])) == (len(_newcomers(f)), len(f.present))
    ),
    rf"What is left of {LIST} after (\d+) days? is not known: first ask\.": lambda f, m: (
        _signs(m[1], f.known[-4:]) and int(m[2]) == f.days()
    ),
    rf"(.+) never met (all of )?{LIST}: these again, for those who were not there\.": _never_met,
    r"(\d+) learners? wrote (.) for (.), (\d+) times in (\d+), more than chance: .*\.": _pair,
    r"(.) stays behind( after (\d+) runs? made for it)?: the class writes it (\d+ %) of the time,"
    r" the others (\d+ %)\. Now .*\.": _stuck,
    rf"The weakest quarter of those who came from the start writes (\d+ %) of the newest sounds, {LIST}:"
    r" nothing new before they hold them\.": lambda f, m: (
        m[1] == f"{100 * _weakest_quarter(f, f.choice.proposal.about.symbols):.0f} %"
        and _signs(m[2], f.choice.proposal.about.symbols)
    ),
    rf"{LIST} must first be copied more, among others; then something new\.": lambda f, m: (
        _signs(m[1], f.choice.proposal.about.symbols)
        and all(sign in f.known[-4:] for sign in f.choice.proposal.about.symbols)
    ),
    rf"The newest sounds are not held yet: {SHARES}\. Nothing new before they are\.": _weak,
    rf"When last sent tonight the class wrote {SHARES} right: nothing new before they are held\.": _tonight,
    rf"(.+) writes? (\d+ %) of what is known, the others (\d+ %): {LIST} for (?:them|this learner), .*\.": (
        _support
    ),
    rf"First a text on what is known, to see whether {LIST} (?:is|are) still there after (\d+) days?\.": (
        _still_there
    ),
    rf"The newest sounds are held, {SHARES}: go on with {LIST}\.": _held,
    r"All (\d+) sounds are held at (?:an overall speed of|characters of) ([\d.]+) wpm, (\d+ %) right:"
    r" try ([\d.]+) wpm in a short run, and come back\.": _faster,
    rf"All but {LIST} is held: go on with {LIST}\.": lambda f, m: _signs(m[2], f.choice.proposal.introduce),
    rf"Everything in reach once more; needed most: {SHARES}\.( {LIST} rests? until these are known\.)?"
    r"( No more new sounds tonight\.)?": _most_needed,
    r"(.+) (?:is|are) far behind, at (\d+ %) of what is known\.": _far_behind,
    r"(.+) (?:has copied nothing yet and counts|have copied nothing yet and count) in no figure\.": (
        lambda f, m: _names(m[1], _newcomers(f))
    ),
    rf"Go on with {LIST} all the same, though {LIST} (?:is|are) not held yet\.": lambda f, m: _signs(
        m[1], f.choice.proposal.introduce
    ),
    rf"Go on with {LIST}\.": lambda f, m: _signs(m[1], f.choice.proposal.introduce),
    rf"Back to the (\d+) sounds that the class knows best, {LIST}, to build up again\.": _firmest,
}


def hold(standing: Standing, choice: Choice, used: set[str]) -> None:
    """Each reason has a known form, and what it says is so."""
    for reason in choice.proposal.reasons:
        form, found = next(
            ((form, found) for form in FORMS if (found := re.fullmatch(form, reason))), (None, None)
        )
        assert form is not None, reason
        assert FORMS[form](Figures(standing, choice), found), reason
        used.add(form)


def test_every_sentence_is_true_of_the_figures_it_speaks_of() -> None:
    used: set[str] = set()
    for seed in range(2000):
        standing = random_standing(seed)
        hold(standing, propose(standing, np.random.default_rng(seed)), used)
        if seed % 8 == 0 and len(standing.known) > 1:
            for choice in advise(standing, np.random.default_rng(seed)).choices:
                hold(standing, choice, used)
    assert used >= set(FORMS) - {form for form in FORMS if form.startswith("All but")}, "each form is met"


def test_every_sentence_is_true_of_what_was_learned_of_a_record() -> None:
    used: set[str] = set()
    for seed in range(50):
        rng = np.random.default_rng(seed)
        course = Class([f"s{i}" for i in range(1, 6)], seed=seed, known="ETANIMSO"[: rng.integers(2, 9)])
        for day in (0, 7):
            here = [name for name in course.names if rng.random() < 0.8] or ["s1"]
            chance = {sign: float(rng.beta(3, 1)) for sign in LETTERS}
            course.meet(day, here).copy(chance, introduce=LETTERS[rng.integers(36)], length=20)
            course.copy(chance, length=20)
        asked = situation(
            LETTERS, course.known, course.names, today=int(rng.choice([7, 14, 30])), new_limit=2
        )
        standing = standing_of(asked, course.runs())
        hold(standing, propose(standing, rng), used)
    assert len(used) >= 6
