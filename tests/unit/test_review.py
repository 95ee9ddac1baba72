"""Between meetings: which symbols on which day."""

from __future__ import annotations

import numpy as np

from copyroom.core.knowledge import Belief
from copyroom.core.record import PastRun
from copyroom.core.review import MOST_A_DAY, review_calendar, warm_up
from histories import grounds_of


def _runs(right: dict[str, float], day: int = 0) -> list[PastRun]:
    """One invented learner, each sign copied as often as its share says."""
    rng = np.random.default_rng(4)
    texts = ["".join(rng.permutation(list(right))) for _ in range(30)]
    copies = ["".join(s if rng.random() < right[s] else "_" for s in text) for text in texts]
    return [PastRun(day, t, {"ann": c}) for t, c in zip(texts, copies, strict=True)]


def _believed(
    right: dict[str, float], signs: str = "", names: tuple[str, ...] = ("ann",), today: int = 0
) -> Belief:
    return grounds_of(_runs(right)).knowledge.believe(today, signs or "".join(right), names=names)


def test_weak_signs_come_sooner_and_more_often_than_strong_ones() -> None:
    calendar = review_calendar(_believed({"E": 1.0, "T": 0.2}), today=0, next_meeting=7)
    days = {sign: [row.day for row in calendar if sign in row.signs] for sign in "ET"}
    assert days["T"][0] == 1
    assert min(days["E"]) > days["T"][0]
    assert len(days["T"]) > len(days["E"])


def test_gaps_grow() -> None:
    calendar = review_calendar(_believed({"T": 0.1}), today=0, next_meeting=15)
    days = [0, *(row.day for row in calendar)]
    gaps = np.diff(days)
    assert list(gaps) == [1, 2, 4]


def test_every_sign_is_reviewed_between_weekly_meetings() -> None:
    signs = "ETANIMSORKDLU"
    calendar = review_calendar(_believed(dict.fromkeys(signs, 0.95)), 7, 14)
    assert set("".join(row.signs for row in calendar)) == set(signs)
    assert all(7 < row.day < 14 for row in calendar)


def test_a_day_is_not_overfilled() -> None:
    signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    calendar = review_calendar(_believed(dict.fromkeys(signs, 0.3)), 0, 7)
    assert max(len(row.signs) for row in calendar) == MOST_A_DAY


def test_meeting_tomorrow_needs_no_calendar() -> None:
    assert review_calendar(_believed({"E": 0.5}), 3, 4) == ()


def test_reasons_name_the_gap_and_the_weakest_with_what_is_believed() -> None:
    believed = _believed({"E": 1.0, "T": 0.1})
    row = review_calendar(believed, 0, 7)[0]
    share = 100 * believed.learners.mean[0, believed.signs.index("T")]
    assert row.why == f"The day after the meeting; T is believed to be at {share:.0f} %."
    row = review_calendar(_believed({"E": 0.4, "T": 0.05}), 0, 7)[0]
    assert row.why.startswith("The day after the meeting; T, the weakest of them, is believed to be at")


def test_what_is_only_usual_is_called_not_tested() -> None:
    untested = review_calendar(_believed({"E": 1.0}, "ETA"), 0, 7)
    assert untested[0].why == "The day after the meeting; T, A are not tested yet."
    newcomer = review_calendar(_believed({"E": 0.3, "T": 0.3}, names=("cy",)), 0, 7)[0]
    assert newcomer.why.endswith("are not tested yet."), "the class's share is not this learner's"


def test_warm_up_starts_with_the_weak() -> None:
    assert warm_up(_believed({"E": 1.0, "T": 0.2, "A": 1.0}, today=1))[0] == "T"


def test_warm_up_remembers_what_was_not_heard_for_long() -> None:
    runs = [*_runs({"E": 0.9, "T": 0.9, "A": 0.9}), *_runs({"T": 0.9, "E": 0.9}, day=28)]
    believed = grounds_of(runs).knowledge.believe(28, "ETA")
    assert warm_up(believed)[0] == "A"
