"""Marking: a copy held against what was sent, by the form's own counting, each decision open to an examiner.

Errors are the fewest changes that make the copy the text: a symbol wrong, missing or too many, one each. An
unbroken stretch is looked for by itself, wherever it stands in the copy. An examiner's contrary decision,
with its reason, stands beside the marker's; the result follows the examiner, and what the marker found is
kept.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from copyroom.core.alphabet import BLANK, WORD_SPACE
from copyroom.core.checks.counting import longest_run
from copyroom.core.checks.form import Form, Passing
from copyroom.core.phrases import counted, percent

Verdict = Literal["right", "wrong", "missing", "extra", "forgiven"]


@dataclass(frozen=True, slots=True)
class Decision:
    """What the marker says of one symbol; `number` counts from 0 along text and copy.

    place : of the symbol in the text without spaces; of what was added, the place it stands before.
    sent, written : signs; "" where there was none.
    worth : counted characters of what was sent.
    """

    number: int
    place: int
    sent: str
    written: str
    verdict: Verdict
    worth: int


@dataclass(frozen=True, slots=True)
class Overruled:
    """An examiner's contrary decision: whether it stands as right, and why."""

    right: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Way:
    """One way to pass, what it comes to, and whether it is met; `said`: the same in a sentence."""

    passing: Passing
    met: bool
    said: str


@dataclass(frozen=True, slots=True)
class Marked:
    """A marked copy.

    decisions : one for each symbol sent, and for each added.
    errors : by the examiner where one overruled; right, sent : counted characters.
    run : the longest unbroken stretch, its first symbol and its end; run_counted : what it is worth.
    ways : the form's ways to pass; passed : one of them is met.
    """

    decisions: tuple[Decision, ...]
    errors: int
    right: int
    sent: int
    run: tuple[int, int]
    run_counted: int
    ways: tuple[Way, ...]
    passed: bool


def mark(
    form: Form,
    wpm: float,
    text: str,
    copy: str,
    answers_right: Sequence[bool] = (),
    overruled: Mapping[int, Overruled] | None = None,
) -> Marked:
    """Mark a copy by a form.

    copy : signs as handed in, blanks and spaces among them.
    answers_right : per question, whether its answer counts as right, where the form asks some.
    overruled : an examiner's decisions, by the number of the marker's.
    """
    sent, written = text.replace(WORD_SPACE, ""), copy.replace(WORD_SPACE, "")
    decisions = _decisions(form, sent, written)
    stands = [_stands(d, (overruled or {}).get(d.number)) for d in decisions]
    held = [d for d, ok in zip(decisions, stands, strict=True) if ok and d.sent]
    run = _longest(form, decisions, stands, longest_run(sent, written, form.counting))
    run_counted = int(form.counting.worth(sent[run[0] : run[1]]).sum())
    errors = len(stands) - sum(stands)
    right, whole = sum(d.worth for d in held), form.counting.counted(sent)
    words = _words_right(text, {d.place for d in held})
    said = _Found(errors, run_counted, right, whole, words, len(text.split()), answers_right)
    ways = tuple(_way(form, wpm, passing, said) for passing in form.passes)
    return Marked(
        tuple(decisions), errors, right, whole, run, run_counted, ways, any(way.met for way in ways)
    )


def answer_is_right(answer: str, expected: str) -> bool:
    """The same letters and figures, whatever stands between them and whatever case."""
    return _bare(answer) == _bare(expected)


def _bare(answer: str) -> str:
    return "".join(sign for sign in answer.upper() if sign.isalnum())


def _stands(decision: Decision, overruled: Overruled | None) -> bool:
    return overruled.right if overruled else decision.verdict in ("right", "forgiven")


def _decisions(form: Form, sent: str, written: str) -> list[Decision]:
    worth = form.counting.worth(sent)
    decisions: list[Decision] = []
    for place, at in _steps(_costs(sent, written), sent, written):
        own, got = "" if place is None else sent[place], "" if at is None else written[at]
        verdict: Verdict = "right" if own == got else "wrong"
        if not own:
            verdict = "forgiven" if form.forgives_extra or got == BLANK else "extra"
        elif not got or got == BLANK:
            verdict = "missing"
        before = decisions[-1].place + (decisions[-1].sent != "") if decisions else 0
        counts = int(worth[place]) if place is not None else 0
        decisions.append(
            Decision(len(decisions), before if place is None else place, own, got, verdict, counts)
        )
    return decisions


def _costs(sent: str, written: str) -> NDArray[np.int64]:
    """Fewest changes from each beginning of the text to each of the copy, shape (n + 1, m + 1)."""
    letters = np.array(list(written))
    along = np.arange(len(written) + 1)
    costs = np.empty((len(sent) + 1, len(written) + 1), dtype=np.int64)
    costs[0] = along
    for i, sign in enumerate(sent, 1):
        row = costs[i - 1] + 1
        if len(written):
            row[1:] = np.minimum(row[1:], costs[i - 1, :-1] + (letters != sign))
        costs[i] = np.minimum.accumulate(row - along) + along  # what is added costs one each
    return costs


def _steps(costs: NDArray[np.int64], sent: str, written: str) -> list[tuple[int | None, int | None]]:
    """A cheapest way along both, from their beginnings: pairs of places, None where one has nothing."""
    i, j = len(sent), len(written)
    way: list[tuple[int | None, int | None]] = []
    while i or j:
        if i and j and costs[i, j] == costs[i - 1, j - 1] + (sent[i - 1] != written[j - 1]):
            i, j = i - 1, j - 1
            way.append((i, j))
        elif i and costs[i, j] == costs[i - 1, j] + 1:
            i -= 1
            way.append((i, None))
        else:
            j -= 1
            way.append((None, j))
    return way[::-1]


def _longest(
    form: Form, decisions: Sequence[Decision], stands: Sequence[bool], found: tuple[int, int]
) -> tuple[int, int]:
    """The stretch worth most: as it was found in the copy, or along the decisions as they stand."""
    worths = {found: sum(d.worth for d in decisions if d.sent and found[0] <= d.place < found[1])}
    first, sum_worth = 0, 0
    for decision, ok in zip(decisions, stands, strict=True):
        if not ok:
            first, sum_worth = decision.place + (decision.sent != ""), 0
        elif decision.sent:
            sum_worth += decision.worth
            worths[(first, decision.place + 1)] = sum_worth
    return max(worths, key=lambda stretch: worths[stretch])


def _words_right(text: str, right: set[int]) -> int:
    place, words = 0, 0
    for word in text.split():
        words += all(at in right for at in range(place, place + len(word)))
        place += len(word)
    return words


@dataclass(frozen=True, slots=True)
class _Found:
    errors: int
    run: int
    right: int
    whole: int
    words: int
    of_words: int
    answers: Sequence[bool]


def _way(form: Form, wpm: float, passing: Passing, found: _Found) -> Way:
    if passing.kind == "errors":
        met = found.errors <= passing.amount
        said = f"{counted(found.errors, 'error')}; {passing.amount:g} allowed"
    elif passing.kind == "unbroken":
        needed = form.unbroken(wpm, passing.amount)
        met = found.run >= needed
        said = f"{found.run} counted characters without an error; {needed} asked"
    elif passing.kind == "questions":
        answered = sum(found.answers)
        met = answered >= passing.amount
        said = f"{answered} of {passing.of} questions right; {passing.amount:g} asked"
    elif passing.kind == "share":
        met = found.right >= passing.amount * found.whole
        said = f"{found.right} of {found.whole} counted characters right; {percent(passing.amount)} asked"
    else:
        met = found.words >= passing.amount
        said = f"{found.words} of {found.of_words} words right; {passing.amount:g} asked"
    return Way(passing, met, said)
