"""Between meetings: which symbols on which day."""

from __future__ import annotations

import numpy as np

from copyroom.core.advice.record import Exercise, Record
from copyroom.core.review import MOST_A_DAY, review_calendar, warm_up
from histories import record_of


def _record(right: dict[str, float], day: int = 0) -> Record:
    """One invented learner, each sign copied as often as its share says."""
    rng = np.random.default_rng(4)
    texts = ["".join(rng.permutation(list(right))) for _ in range(30)]
    copies = ["".join(s if rng.random() < right[s] else "_" for s in text) for text in texts]
    return record_of(Exercise(day, "", t, {"ann": c}) for t, c in zip(texts, copies, strict=True))


def test_weak_signs_come_sooner_and_more_often_than_strong_ones() -> None:
    calendar = review_calendar(_record({"E": 1.0, "T": 0.2}), ["ann"], "ET", today=0, next_meeting=7)
    days = {sign: [row.day for row in calendar if sign in row.signs] for sign in "ET"}
    assert days["T"][0] == 1
    assert min(days["E"]) > days["T"][0]
    assert len(days["T"]) > len(days["E"])


def test_gaps_grow() -> None:
    calendar = review_calendar(_record({"T": 0.1}), ["ann"], "T", today=0, next_meeting=15)
    days = [0, *(row.day for row in calendar)]
    gaps = np.diff(days)
    assert list(gaps) == [1, 2, 4]


def test_every_sign_is_reviewed_between_weekly_meetings() -> None:
    signs = "ETANIMSORKDLU"
    calendar = review_calendar(_record(dict.fromkeys(signs, 0.95)), ["ann"], signs, 7, 14)
    assert set("".join(row.signs for row in calendar)) == set(signs)
    assert all(7 < row.day < 14 for row in calendar)


def test_a_day_is_not_overfilled() -> None:
    signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    calendar = review_calendar(_record(dict.fromkeys(signs, 0.3)), ["ann"], signs, 0, 7)
    assert max(len(row.signs) for row in calendar) == MOST_A_DAY


def test_meeting_tomorrow_needs_no_calendar() -> None:
    assert review_calendar(_record({"E": 0.5}), ["ann"], "E", 3, 4) == ()
    assert review_calendar(Record(), ["ann"], "", 0, 7) == ()


def test_reasons_name_the_gap_and_the_weakest() -> None:
    row = review_calendar(_record({"E": 1.0, "T": 0.1}), ["ann"], "ET", 0, 7)[0]
    assert row.why == "The day after the meeting; over the course T is recalled at 5 %."
    row = review_calendar(_record({"E": 0.1, "T": 0.05}), ["ann"], "ET", 0, 7)[0]
    assert row.why.startswith(
        "The day after the meeting; over the course T, the weakest of them, is recalled"
    )
    untested = review_calendar(_record({"E": 1.0}), ["ann"], "ETA", 0, 7)[0]
    assert untested.why == "The day after the meeting; T, A are not tested yet."
    newcomer = review_calendar(_record({"E": 0.3, "T": 0.3}), ["cy"], "ET", 0, 7)[0]
    assert newcomer.why.endswith("are not tested yet."), "the class's share is not this learner's"


def test_warm_up_starts_with_the_weak_and_the_long_unheard() -> None:
    record = _record({"E": 1.0, "T": 0.2, "A": 1.0})
    assert warm_up(record, ["ann"], "ETA", today=1)[0] == "T"
    record.extend([Exercise(28, "", "TE", {"ann": "TE"})])
    assert set(warm_up(record, ["ann"], "ETA", today=28)[:2]) == {"T", "A"}
    assert warm_up(record, ["ann"], "", today=28) == ""
