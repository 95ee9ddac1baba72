"""Pairs are named where there are some, and not where chance, few keys or habits make them look so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from bench.classes import simulated
from bench.evenings import COURSE, course, evening, run, text
from copyroom.core.alphabet import SYMBOLS
from copyroom.core.evidence.mix_ups import TEACHABLE, MixUps, Pairs, pairs_worth_teaching
from copyroom.core.record import PastRun

LEARNERS = [f"s{i}" for i in range(12)]


def found(*runs: PastRun) -> Pairs:
    mixed = MixUps()
    for one in runs:
        mixed.take(one)
    return pairs_worth_teaching(mixed)


def named(*runs: PastRun) -> list[tuple[str, str]]:
    return [(pair.sent, pair.written) for pair in found(*runs).pairs]


def with_copies(day: int, sent: str, wrong: dict[str, dict[int, str]], learners: int = 12) -> PastRun:
    """All copy all right, but for what each of some writes at some places."""
    copies = {}
    for name in LEARNERS[:learners]:
        copy = list(sent)
        for place, written in wrong.get(name, {}).items():
            copy[place] = written
        copies[name] = "".join(copy)
    return PastRun(day, sent, copies)


# --- where there are none ---------------------------------------------------------------------------------


def test_a_practice_of_four_keys_and_a_drill_of_two_with_slips_name_no_pair() -> None:
    """Of 25 such evenings: one false pair in ten is what the test was made for."""
    false = [len(named(*evening(np.random.default_rng(seed)))) for seed in range(25)]
    assert sum(false) <= 3


def test_a_course_of_such_evenings_names_none_by_evening_nor_together() -> None:
    evenings = course(np.random.default_rng(7))
    assert sum(len(named(*one)) for one in evenings) <= 1
    assert named(*(one for runs in evenings for one in runs)) == []


def test_a_drill_of_two_proves_nothing_of_these_two() -> None:
    for seed in range(20):
        found_ = found(run(0, "HS", 60, 12, np.random.default_rng(seed), right=0.7))
        assert found_.pairs == ()
        assert found_.unseen == "HS"
        assert not found_.enough


def test_answering_always_the_common_letters_is_a_habit_and_no_pair() -> None:
    """All lost sounds go to E or T: what is written for everything is mixed up with nothing."""
    signs, weights = "ETKMRSUAPLOW", [8.0, 6.0, *[0.3] * 10]
    false = 0
    for seed in range(8):
        rng = np.random.default_rng(seed)
        false += len(named(*(run(i, signs, 60, 12, rng, keys=signs, weights=weights) for i in range(3))))
    assert false <= 1


def test_each_learners_own_habit_is_no_pair() -> None:
    signs = "ETKMRSUAPLOW"
    for seed in range(6):
        rng = np.random.default_rng(seed)
        habits = rng.dirichlet(np.full(12, 0.3), 12)
        runs = []
        for day in range(3):
            one = run(day, signs, 60, 12, rng)
            copies = {}
            for name, habit in zip(LEARNERS, habits, strict=True):
                lost = rng.random(60) < 0.2
                guessed = rng.choice(list(signs), 60, p=habit)
                copies[name] = "".join(np.where(lost, guessed, list(one.sent)))
            runs.append(replace(one, copies=copies))
        assert named(*runs) == []


def test_more_keys_than_sounds_make_no_pair_of_what_is_sent() -> None:
    """Two sounds sent, ten to choose from: wrong answers are spread over the ten."""
    rng = np.random.default_rng(3)
    one = run(0, "KM", 60, 12, rng, keys=COURSE[:10], right=0.7)
    assert named(replace(one, keys=COURSE[:10])) == []


def test_what_one_learner_does_often_is_not_the_classs() -> None:
    sent = text("KMRSUAPT", 80, np.random.default_rng(1))
    always = {name: {place: "R" for place, sign in enumerate(sent) if sign == "K"} for name in LEARNERS[:1]}
    assert named(with_copies(0, sent, always)) == []


# --- where there are some ---------------------------------------------------------------------------------


def test_a_pair_that_a_class_mixes_up_is_named_with_its_numbers() -> None:
    sent = "KMRSUAPT" * 10
    at = [place for place, sign in enumerate(sent) if sign == "K"]
    wrong = {name: {place: "R" for place in at[: 2 + i % 2]} for i, name in enumerate(LEARNERS)}
    wrong["s0"][sent.index("R")] = "K"
    (pair,) = found(with_copies(0, sent, wrong)).pairs
    assert (pair.sent, pair.written, pair.n, pair.sendings, pair.learners) == ("K", "R", 30, 120, 12)
    assert (pair.back, pair.back_sendings) == (1, 120)
    assert 0.15 < pair.lost < 30 / 120


@pytest.mark.parametrize("seed", range(6))
def test_of_true_pairs_those_that_cost_a_tenth_are_found_and_the_dearest_comes_first(seed: int) -> None:
    rng = np.random.default_rng(seed)
    mixed = {"H": ("S", 0.3), "L": ("F", 0.14)}
    signs = "KMRSUAPTHLFO"
    runs = [run(day, signs, 60, 12, rng, mixed=mixed, right=0.9, blank=0.5) for day in range(3)]
    assert named(*runs)[:2] == [("H", "S"), ("L", "F")]
    assert len(named(*runs)) <= 3


def test_power_and_false_pairs_over_simulated_classes() -> None:
    false, hit, worth = 0, 0, 0
    for seed in range(24):
        made = simulated("pairs", 40 + seed)
        got = set(named(*made.runs))
        false += len(got - set(made.lost))
        sent = "".join(one.sent for one in made.runs)
        for pair, lost in made.lost.items():
            if lost >= TEACHABLE and len(made.names) >= 12 and min(map(sent.count, pair)) >= 10:
                worth += 1
                hit += pair in got
    assert worth >= 5
    assert hit >= 0.8 * worth
    assert false <= 0.25 * 24


def test_a_mix_up_in_a_drill_of_three_is_evidence_but_its_false_neighbours_are_not() -> None:
    rng = np.random.default_rng(5)
    runs = [run(0, "HS5", 90, 12, rng, mixed={"H": ("S", 0.4)}, right=0.97)]
    assert ("H", "S") in named(*runs)
    assert ("S", "5") not in named(*runs)


# --- what may be said where none is found -----------------------------------------------------------------


def test_no_mix_ups_is_only_said_where_one_would_have_been_seen() -> None:
    rng = np.random.default_rng(2)
    few = found(run(0, "KMRSUAPT", 16, 12, rng))
    assert set(few.unseen) == set("KMRSUAPT")
    assert not few.enough
    many = found(*(run(day, "KMRSUAPT", 100, 12, rng) for day in range(4)))
    assert many.enough
    assert many.unseen == ""


def test_of_sounds_called_seen_a_teachable_pair_is_indeed_seen() -> None:
    """With a true pair of 10 % in place of chance the same evenings name it, nearly always."""
    hits = 0
    for seed in range(12):
        rng = np.random.default_rng(seed)
        runs = [run(day, "KMRSUAPT", 80, 12, rng, mixed={"K": ("R", 0.12)}, right=0.93) for day in range(2)]
        assert "K" not in found(*runs).unseen
        hits += ("K", "R") in named(*runs)
    assert hits >= 10


def test_nothing_copied_is_not_enough() -> None:
    assert not found().enough
    assert not found(PastRun(0, "KM", {})).enough


def test_one_new_sound_leaves_only_that_one_open() -> None:
    rng = np.random.default_rng(4)
    runs = [run(day, "KMRSUAPT", 100, 12, rng) for day in range(4)]
    one_more = run(28, "KMRSUAPTL", 9, 12, rng)
    assert (
        found(*runs, replace(one_more, sent="KMRSUAPTL", copies=dict.fromkeys(LEARNERS, "KMRSUAPTL"))).unseen
        == "L"
    )


# --- laws -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
def test_who_is_called_what_and_in_which_order_changes_nothing(seed: int) -> None:
    made = simulated("all", 70 + seed)
    rng = np.random.default_rng(seed)
    order = [str(name) for name in rng.permutation(made.names)]
    called = {name: f"learner {i}" for i, name in enumerate(order)}

    def again(one: PastRun) -> PastRun:
        copies = {called[name]: one.copies[name] for name in order if name in one.copies}
        return replace(one, copies=copies, present=())

    ours, others = found(*made.runs), found(*map(again, made.runs))
    assert [replace(p, lost=0.0) for p in ours.pairs] == [replace(p, lost=0.0) for p in others.pairs]
    assert [p.lost for p in ours.pairs] == pytest.approx([p.lost for p in others.pairs])
    assert ours.unseen == others.unseen


@pytest.mark.parametrize("seed", range(6))
def test_a_pair_is_two_sounds_that_were_sent_and_its_figures_hang_together(seed: int) -> None:
    made = simulated("pairs", 90 + seed)
    sent = {sign for one in made.runs for sign in one.sent}
    all_found = found(*made.runs)
    for pair in all_found.pairs:
        assert pair.sent != pair.written
        assert pair.sent in sent
        assert 3 <= pair.learners <= min(pair.n, len(made.names))
        assert 0.02 <= pair.lost <= pair.n / pair.sendings
    assert set(all_found.unseen) <= sent
    assert all_found.enough == (not all_found.unseen)
    assert [p.lost for p in all_found.pairs] == sorted((p.lost for p in all_found.pairs), reverse=True)


def test_blanks_are_no_substitutions() -> None:
    sent = text("KMRSUAPT", 80, np.random.default_rng(1))
    blank = {name: {place: "_" for place, sign in enumerate(sent) if sign == "K"} for name in LEARNERS}
    assert named(with_copies(0, sent, blank)) == []


def test_the_test_of_evenness_is_students() -> None:
    """Three of twelve who mix up one sound in two: their mean is over nothing, by scipy's test too."""
    sent = "KMRSUAPT" * 10
    at = [place for place, sign in enumerate(sent) if sign == "K"]
    for who in (2, 6):
        wrong = {name: {place: "R" for place in at[:5]} for name in LEARNERS[:who]}
        shares = [5.0] * who + [0.0] * (12 - who)
        shared = stats.ttest_1samp(shares, 0.2, alternative="greater").pvalue < 0.05
        assert (("K", "R") in named(with_copies(0, sent, wrong))) == (shared and who >= 3)


def test_every_symbol_of_the_code_may_be_in_a_pair() -> None:
    signs = "".join(symbol.sign for symbol in SYMBOLS[:3])
    sent = signs * 20
    wrong = {name: {3 * i: signs[1] for i in range(8)} for name in LEARNERS}
    assert named(with_copies(0, sent, wrong)) == [(signs[0], signs[1])]
