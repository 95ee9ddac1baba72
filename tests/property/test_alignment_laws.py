"""Laws of alignment, and its machines against a slow aligner that tries everything.

The oracle writes the model's formulas down once more, as plain numbers over plain lists, and adds up or
compares all ways of attributing a tiny copy. (Tiny in time as well: once the window of a mark has moved on,
the machine forgets how long before it the last answered symbol lies, which the oracle would not.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from copyroom.core.alignment import Copy, Habits, align, align_class
from copyroom.core.alignment import sheet as sheet_machine
from copyroom.core.alignment import timed as timed_machine
from copyroom.core.alignment.group import empty_group, habit_rows, put, sign_indices
from copyroom.core.alignment.marks import substitution
from copyroom.core.alignment.slots import reading, window
from copyroom.core.alphabet import INDEX, SYMBOLS
from copyroom.core.similarity import similarity
from copyroom.core.tally import tally

SIGNS = "EISH5"
HABITS = Habits(behind=0.1, caught_up=0.3, inertia=0.6, extra=0.05, skip=0.15)
Way = list[tuple[int, int] | None]
"""Per mark the symbol answered and whether one behind, or None."""


def ways(symbols: int, marks: int, states: int, start: int = 0) -> Iterator[Way]:
    """All attributions of so many marks without crossings."""
    if marks == 0:
        yield []
        return
    for rest in ways(symbols, marks - 1, states, start):
        yield [None, *rest]
    for j in range(start, symbols):
        for behind in range(states):
            for rest in ways(symbols, marks - 1, states, j + 1):
                yield [(j, behind), *rest]


def gap(g: int, n: int, h: Habits) -> float:
    if g == 0:
        return 1 - h.skip
    return h.skip * (0.98 * (1 - h.skip_on) * h.skip_on ** (g - 1) + 0.02 / n)


def mark(sent: str, written: str, in_play: str, h: Habits) -> float:
    if written == sent:
        return h.recall
    if written == "_":
        return h.blank
    alike = {y: similarity()[INDEX[sent], INDEX[y]] for y in in_play if y != sent}
    by_sound = alike[written] / sum(alike.values())
    return (1 - h.recall - h.blank) * (0.8 * by_sound + 0.2 / len(alike))


def extra(k: int, written: str, at_s: list[float] | None, tempo_s: float, in_play: str, h: Habits) -> float:
    anything = 0.03 if written[k] == "_" else 0.97 / len(in_play)
    shown = 0.4 * (k > 0 and written[k] == written[k - 1]) + 0.6 * anything
    when = 1.0 if at_s is None else 1 / tempo_s
    if at_s is not None and k > 0:
        when = 0.6 * math.exp(-max(at_s[k] - at_s[k - 1], 0) / 0.3) / 0.3 + 0.4 / tempo_s
    return h.extra * shown * when


def normal(z: float, mean: float, variance: float) -> float:
    return math.exp(-((z - mean) ** 2) / (2 * variance)) / math.sqrt(2 * math.pi * variance)


def probability(
    way: Way, sent: str, end_s: list[float] | None, written: str, at_s: list[float] | None
) -> float:
    """Of a copy and one way of attributing it."""
    h, in_play, n = HABITS, "".join(sorted({*sent, *written} - {"_"})), len(sent)
    tempo_s = float(np.median(np.diff(end_s))) if end_s and n > 1 else 1.0
    late = h.behind / (h.behind + h.caught_up)
    start = [1 - late, late]
    change = [[1 - h.behind, h.behind], [h.caught_up, 1 - h.caught_up]]
    total, last, before = 1.0, -1, None
    for k, answer in enumerate(way):
        if answer is None:
            total *= extra(k, written, at_s, tempo_s, in_play, h)
            before = None
            continue
        j, behind = answer
        total *= gap(j - last - 1, n, h) * mark(sent[j], written[k], in_play, h) * (1 - h.extra)
        last = j
        if end_s is None or at_s is None:
            continue
        ends = [*end_s, end_s[-1] + tempo_s]
        lag_s = [at_s[k] - ends[j], at_s[k] - ends[j + 1]]
        if not -0.25 <= lag_s[0] <= 6:
            return 0.0
        wild = 0.01 / 6.25 * start[behind]
        if not -0.25 <= lag_s[behind] <= 6:
            total *= wild
            before = (behind, 0.0)
            continue
        u = lag_s[behind] + 0.3
        z = (math.log(u) - h.log_lag) / h.spread
        if before is None:
            density = start[behind] * normal(z, 0, 1)
        else:
            density = change[before[0]][behind] * normal(z, h.inertia * before[1], 1 - h.inertia**2)
        total *= 0.99 * density / (h.spread * u) + wild
        before = (behind, z)
    return total * gap(n - 1 - last, n, h)


def marginals(sent: str, end_s: list[float] | None, written: str, at_s: list[float] | None) -> np.ndarray:
    """(marks, symbols + 1): probability that each mark answers each symbol, or none (last column)."""
    found = np.zeros((len(written), len(sent) + 1))
    for way in ways(len(sent), len(written), 1 if at_s is None else 2):
        p = probability(way, sent, end_s, written, at_s)
        for k, answer in enumerate(way):
            found[k, -1 if answer is None else answer[0]] += p
    return found / found.sum(axis=1, keepdims=True)


def by_machine(sent: str, end_s: list[float] | None, written: str, at_s: list[float] | None) -> np.ndarray:
    tempo_s = float(np.median(np.diff(end_s))) if end_s and len(sent) > 1 else 1.0
    group = empty_group(np.array([len(sent)]), np.array([len(written)]), tempo_s)
    put(group, 0, sign_indices(sent), np.array(end_s or range(len(sent)), float), Copy(written, at_s))
    in_play = np.array(sorted({INDEX[s] for s in (sent + written).replace("_", "")}))
    rows, table = habit_rows([HABITS]), substitution(in_play)
    if at_s is None:
        work = sheet_machine.posterior(group, rows, table, len(in_play))
    else:
        low, widths = window(group, np.array([6.0]))
        work = timed_machine.posterior(reading(group, rows, low, int(widths[0]), 2, table, len(in_play)))
    posterior = finished(work)
    found = np.zeros((len(written), len(sent) + 1))
    for k in range(len(written)):
        for w in range(posterior.answered.shape[1]):
            if 0 <= posterior.low[k, 0] + w < len(sent):
                found[k, posterior.low[k, 0] + w] = posterior.answered[k, w, :, 0].sum()
        found[k, -1] = posterior.extra[k, 0]
    return found


def finished(work):
    while True:
        try:
            next(work)
        except StopIteration as stop:
            return stop.value


@st.composite
def tiny_copies(draw: st.DrawFn) -> tuple[str, list[float], str, list[float]]:
    sent = draw(st.text(SIGNS, min_size=2, max_size=4))
    end_s = np.cumsum([draw(st.sampled_from([0.7, 1.0, 1.9])) for _ in sent]).round(3).tolist()
    written = draw(st.text(SIGNS + "_", min_size=1, max_size=4))
    between_s = [draw(st.sampled_from([0.1, 0.4, 0.9, 1.3])) for _ in written]
    return sent, end_s, written, (0.9 + np.cumsum(between_s)).round(3).tolist()


@settings(max_examples=60)
@given(tiny_copies())
def test_timed_probabilities_are_those_of_trying_everything(copy):
    sent, end_s, written, at_s = copy
    assert by_machine(sent, end_s, written, at_s) == pytest.approx(
        marginals(sent, end_s, written, at_s), abs=2e-4
    )


@settings(max_examples=60)
@given(tiny_copies())
def test_sheet_probabilities_are_those_of_trying_everything(copy):
    sent, _, written, _ = copy
    assert by_machine(sent, None, written, None) == pytest.approx(
        marginals(sent, None, written, None), abs=2e-4
    )


all_signs = "".join(symbol.sign for symbol in SYMBOLS)
any_text = st.text(all_signs, max_size=25)
any_copy = st.text(all_signs + "_", max_size=25)


@settings(max_examples=60)
@given(any_text, any_copy, st.data())
def test_attributions_never_cross_and_account_for_every_symbol(sent, written, data):
    end_s = [1.0 + i for i in range(len(sent))]
    timed = data.draw(st.booleans())
    latest = 1.0 + len(sent)
    moments = st.one_of(st.none(), st.floats(1.0, latest))
    at_s = sorted_where_known(data.draw(st.lists(moments, min_size=len(written), max_size=len(written))))
    found = align(sent, end_s, written, at_s) if timed else align(sent, None, written, None)
    answered = [i for i in found.attribution if i is not None]
    assert answered == sorted(set(answered))
    assert sorted([*answered, *found.missed]) == list(range(len(sent)))
    assert all(0 <= c <= 1 for c in found.confidence)
    assert len(found.attribution) == len(found.confidence) == len(written)


def sorted_where_known(at_s: list[float | None]) -> list[float | None]:
    known = iter(sorted(t for t in at_s if t is not None))
    return [None if t is None else next(known) for t in at_s]


@given(st.text(all_signs, min_size=1, max_size=40), st.floats(0.2, 2.0), st.booleans())
@settings(max_examples=40)
def test_a_perfect_copy_has_nothing_off_the_diagonal(sent, lag_s, timed):
    end_s = [1.0 + 1.5 * i for i in range(len(sent))]
    times = (end_s, [t + lag_s for t in end_s]) if timed else (None, None)
    counts = tally(sent, sent, align(sent, times[0], sent, times[1]))
    assert counts.sum() == np.trace(counts) == len(sent)


@given(st.lists(any_copy, min_size=1, max_size=5), st.randoms(use_true_random=False))
@settings(max_examples=25)
def test_the_order_of_learners_is_irrelevant(written, shuffler):
    sent = "PARISKEMLUX"
    order = list(range(len(written)))
    shuffler.shuffle(order)
    plain = [a.alignment.attribution for a in align_class(sent, None, [Copy(w) for w in written])]
    shuffled = [a.alignment.attribution for a in align_class(sent, None, [Copy(written[i]) for i in order])]
    assert shuffled == [plain[i] for i in order]
