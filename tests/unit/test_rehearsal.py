"""Simulated learners: the assumed learner, and its side of the wire played without a socket."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from copyroom.core.alphabet import symbol
from copyroom.core.bursts import Speed, bursts
from copyroom.rehearsal.client import is_long
from copyroom.rehearsal.learner import Learner, Manner, alike, signs_of
from copyroom.rehearsal.participant import CLOCK_EXCHANGES, Emit, Offline, Participant

LETTERS = "ABDEGHKLMNORSTUVW"
SURE = Manner(level=30.0, spread=0.0, slip=0.0, bounce=0.0, skip=0.0, fall_behind=0.0)
SPACING_MS = 3000.0
OFFSET_MS = 5000.0
"""Room time minus page time in the scripts below."""


def edges_of(text: str, wpm: float = 18.0, overall_wpm: float = 6.0) -> list[list[float]]:
    timing = bursts(text, Speed(wpm, overall_wpm))
    return [
        [float(t) * 1000.0 for edge in zip(*timing.tones(i), strict=True) for t in edge]
        for i in range(len(timing.symbols))
    ]


def push_of(
    text: str, number: int = 1, start_room_ms: float = 10_000.0, phase: str = "counting in"
) -> dict[str, Any]:
    return {
        "push": number,
        "kind": "copying",
        "phase": phase,
        "halted_room_ms": None,
        "start_room_ms": start_room_ms,
        "edges": edges_of(text),
        "end_ms": edges_of(text)[-1][-1],
        "shifts": [],
        "symbols": LETTERS,
        "counted": True,
        "tidy_ms": 30_000.0,
    }


def welcome_of(**changes: Any) -> dict[str, Any]:
    settings = {"wpm": 18.0}
    plain = {"token": "t", "seat": 3, "inside": True, "way": "typing", "class": settings}
    return plain | {"push": None, "copy": None} | changes


class Script:
    """One participant, played in page time that only the script moves."""

    def __init__(self, role: Any = "", manner: Manner = SURE) -> None:
        self.learner = Participant("Wren", "c", Learner(manner, np.random.default_rng(1)), role)
        self.sent: list[Emit | Offline] = []
        self.page_ms = 0.0
        self.learner.connected(0.0)
        for _ in range(CLOCK_EXCHANGES):
            self.learner.clock(0.0, {"received_room_ms": OFFSET_MS}, 0.0)
        self.say("welcome", welcome_of())

    def say(self, event: str, payload: dict[str, Any]) -> None:
        self.learner.receive(event, payload, self.page_ms)
        self.sent += self.learner.take()

    def until(self, page_ms: float) -> None:
        while self.learner.wake_page_ms <= page_ms:
            self.page_ms = max(self.page_ms, self.learner.wake_page_ms)
            self.learner.wake(self.page_ms)
            self.sent += self.learner.take()
        self.page_ms = page_ms

    def emitted(self, event: str) -> list[dict[str, Any]]:
        return [m.payload for m in self.sent if isinstance(m, Emit) and m.event == event]

    def strokes(self) -> dict[int, dict[str, Any]]:
        """What a room would hold: strokes by number, those it knows already left out."""
        held: dict[int, dict[str, Any]] = {}
        for batch in self.emitted("write_keys"):
            for number, key in enumerate(batch["keys"], batch["first"]):
                assert held.setdefault(number, key) == key
        return held

    def text(self) -> str:
        held = self.strokes()
        assert sorted(held) == list(range(len(held)))
        return "".join(held[n]["sign"] for n in sorted(held))


# ------------------------------------------------------------------ the assumed learner


def heard(manner: Manner, sign: str, times: int, seed: int = 2) -> list[str]:
    learner = Learner(manner, np.random.default_rng(seed))
    return ["".join(s.sign for s in learner.hear(sign, LETTERS, SPACING_MS)) for _ in range(times)]


def test_learner_who_knows_everything_writes_what_was_sent():
    assert [heard(SURE, sign, 20) for sign in LETTERS] == [[sign] * 20 for sign in LETTERS]


def test_share_of_skipped_and_bounced_sounds_is_as_asked():
    written = heard(Manner(30.0, 0.0, slip=0.0, skip=0.1, bounce=0.05), "K", 4000)
    # Four standard deviations of a binomial share.
    assert abs(written.count("") / 4000 - 0.1) < 4 * math.sqrt(0.1 * 0.9 / 4000)
    assert abs(written.count("KK") / 4000 - 0.9 * 0.05) < 4 * math.sqrt(0.045 * 0.955 / 4000)


def test_what_was_not_recognised_becomes_a_blank_or_a_sound_alike():
    written = heard(Manner(-200.0, 0.0, blank=0.5, slip=0.0, skip=0.0, bounce=0.0), "D", 4000)
    assert "D" not in written
    assert abs(written.count("_") / 4000 - 0.5) < 4 * math.sqrt(0.25 / 4000)
    # -.. is lost for -... or .-.. sooner than for --- or .-
    assert min(written.count("B"), written.count("L")) > max(written.count("M"), written.count("E"))


@pytest.mark.parametrize(
    ("first", "second", "share"), [("B", "D", 3 / 4), ("E", "T", 0.0), ("S", "H", 3 / 4)]
)
def test_sounds_are_alike_by_their_beginnings_and_ends(first: str, second: str, share: float):
    assert alike(symbol(first).elements, symbol(second).elements) == share


def test_lags_are_log_normal_and_hang_together():
    manner = Manner(
        30.0, 0.0, slip=0.0, skip=0.0, bounce=0.0, fall_behind=0.0, lag_memory=0.6, lag_spread=0.4
    )
    learner = Learner(manner, np.random.default_rng(3))
    log_lag = np.log([learner.hear("K", LETTERS, SPACING_MS)[0].lag_ms for _ in range(5000)])
    assert np.median(log_lag) == pytest.approx(math.log(manner.lag_ms), abs=0.05)
    assert log_lag.std() == pytest.approx(0.4, abs=0.03)
    assert np.corrcoef(log_lag[1:], log_lag[:-1])[0, 1] == pytest.approx(0.6, abs=0.05)


def test_one_who_falls_behind_writes_one_sound_later_for_a_while():
    manner = Manner(30.0, 0.0, slip=0.0, skip=0.0, bounce=0.0, lag_spread=0.0, fall_behind=0.1, catch_up=0.3)
    learner = Learner(manner, np.random.default_rng(4))
    behind = [learner.hear("K", LETTERS, SPACING_MS)[0].lag_ms > SPACING_MS for _ in range(4000)]
    # A two-state chain is behind for the share a / (a + b) of its time.
    assert np.mean(behind) == pytest.approx(0.1 / 0.4, abs=0.05)


def test_hearing_a_symbol_again_and_again_makes_a_learner_surer():
    learner = Learner(Manner(0.0), np.random.default_rng(5))
    before = learner.knows("Q")
    for _ in range(50):
        learner.hear("Q", LETTERS, SPACING_MS)
    assert learner.knows("Q") > before + 0.1


def test_same_seed_gives_the_same_copy():
    assert heard(Manner(0.0), "R", 200, seed=6) == heard(Manner(0.0), "R", 200, seed=6)
    assert heard(Manner(0.0), "R", 200, seed=6) != heard(Manner(0.0), "R", 200, seed=7)


@pytest.mark.parametrize("text", ["PARIS 73 ␄ ?/", "E T E T", "TTTT", "EEEE", "5"])
def test_symbols_are_read_off_the_edges_of_a_push(text: str):
    assert signs_of(edges_of(text, 20.0, 7.0), 60.0) == text.replace(" ", "")


def test_tones_that_are_no_symbol_are_not_guessed_at():
    with pytest.raises(ValueError, match=r"\.-\.-\.-\.-"):
        signs_of([_edges(".-.-.-.-")], 1.0)


def _edges(elements: str) -> list[float]:
    edges, at = [], 0.0
    for element in elements:
        length = 3.0 if element == "-" else 1.0
        edges += [at, at + length]
        at += length + 1.0
    return edges


# ------------------------------------------------------------------ its side of the wire


def test_takes_a_seat_after_comparing_clocks_and_reports_its_sound():
    script = Script()
    assert script.emitted("join") == [{"code": "c", "name": "Wren", "token": ""}]
    assert script.emitted("report_device")[0]["sound"] == "on"


def test_quickest_clock_exchange_is_the_one_believed():
    learner = Participant("Wren", "c", Learner(SURE, np.random.default_rng(1)))
    learner.connected(0.0)
    for sent_ms, back_ms, room_ms in [(0.0, 80.0, 9000.0), (100.0, 104.0, 1102.0), (110.0, 190.0, 9000.0)]:
        learner.clock(sent_ms, {"received_room_ms": room_ms}, back_ms)
    learner.clock(200.0, {"received_room_ms": 5.0}, 290.0)
    learner.receive(
        "welcome", welcome_of(push=push_of("E", start_room_ms=2000.0, phase="counting in")), 300.0
    )
    assert learner.wake_page_ms == pytest.approx(1000.0 + edges_of("E")[0][-1])


def test_copies_a_run_reports_all_of_it_sounded_and_hands_in():
    script = Script()
    script.say("push", push_of("PARIS KEN"))
    script.until(120_000.0)
    assert script.text() == "PARISKEN"
    assert script.emitted("report_sounded")[-1]["spans"] == [[0, 8]]
    assert script.sent[-1] == Emit("hand_in", {"push": 1})


def test_strokes_are_stamped_after_the_end_of_their_sound():
    script = Script()
    script.say("push", push_of("KEN"))
    script.until(120_000.0)
    ends_ms = [own[-1] for own in edges_of("KEN")]
    stamps_ms = [key["at_ms"] for key in script.strokes().values()]
    assert all(end < stamp for end, stamp in zip(ends_ms, stamps_ms, strict=True))
    assert stamps_ms == sorted(stamps_ms)


def test_strokes_not_acknowledged_are_sent_again_after_a_break():
    script = Script()
    script.say("push", push_of("KEN"))
    script.until(120_000.0)
    script.sent.clear()
    script.say(
        "welcome", welcome_of(push=push_of("KEN", phase="tidying"), copy={"kept": 1, "handed_in": False})
    )
    (again,) = script.emitted("write_keys")
    assert (again["first"], [key["sign"] for key in again["keys"]]) == (1, ["E", "N"])
    assert script.emitted("hand_in") == [{"push": 1}]


def test_acknowledged_strokes_are_not_sent_again():
    script = Script()
    script.say("push", push_of("KEN"))
    script.until(120_000.0)
    script.say("kept", {"push": 1, "seat": 3, "kept": 3})
    script.sent.clear()
    copy = {"kept": 3, "handed_in": True}
    script.say("welcome", welcome_of(push=push_of("KEN", phase="tidying"), copy=copy))
    assert script.emitted("write_keys") == script.emitted("hand_in") == []


def test_nothing_is_heard_while_a_run_is_paused_and_the_rest_when_it_goes_on():
    script = Script()
    script.say("push", push_of("KEN"))
    ends_ms = [own[-1] for own in edges_of("KEN")]
    script.until(10_000.0 - OFFSET_MS + ends_ms[0] + 10.0)
    script.say("halt", {"push": 1, "for_good": False})
    script.until(script.page_ms + 60_000.0)
    assert script.text() == "K"
    script.say("shift", {"push": 1, "shifts": [{"first": 1, "shift_ms": script.page_ms}]})
    script.until(script.page_ms + 60_000.0)
    assert script.text() == "KEN"
    assert script.emitted("report_sounded")[-1]["spans"] == [[0, 3]]


def test_run_stopped_for_good_is_handed_in_with_what_was_heard():
    script = Script()
    script.say("push", push_of("KEN"))
    script.until(10_000.0 - OFFSET_MS + edges_of("KEN")[1][-1] + 10.0)
    script.say("halt", {"push": 1, "for_good": True})
    script.until(script.page_ms + 60_000.0)
    assert script.text() == "KE"
    assert script.emitted("hand_in") == [{"push": 1}]


def test_one_on_paper_keys_the_sheet_in_after_the_sound():
    script = Script("paper")
    assert script.emitted("choose_way") == [{"way": "paper"}]
    script.say("push", push_of("KEN"))
    script.until(10_000.0 - OFFSET_MS + edges_of("KEN")[-1][-1])
    assert script.strokes() == {}
    script.until(script.page_ms + 60_000.0)
    assert script.text() == "KEN"


def test_one_without_sound_asks_for_help_and_neither_writes_nor_reports():
    script = Script("mute")
    script.say("push", push_of("KEN", start_room_ms=OFFSET_MS + 100.0))
    script.until(10_000.0)
    assert script.emitted("cannot_hear") == [{}]
    assert (script.strokes(), script.emitted("report_sounded")) == ({}, [])
    script.until(16_000.0)
    assert script.emitted("report_device")[-1]["sound"] == "on"


def test_one_loses_the_network_in_the_middle_of_a_long_run_and_writes_on():
    script = Script("drops")
    script.say("push", push_of("PARIS KEN MAN"))
    script.until(10_000.0 - OFFSET_MS + edges_of("PARIS KEN MAN")[6][-1])
    script.say("welcome", welcome_of(push=push_of("PARIS KEN MAN", phase="sounding")))
    script.until(120_000.0)
    assert sum(isinstance(message, Offline) for message in script.sent) == 1
    assert script.text() == "PARISKENMAN"


def test_latecomer_hears_only_what_still_sounds():
    script = Script()
    script.page_ms = 10_000.0 - OFFSET_MS + edges_of("KEN")[0][-1] + 1.0
    script.say("welcome", welcome_of(push=push_of("KEN", phase="sounding")))
    script.until(120_000.0)
    assert script.text() == "EN"
    assert script.emitted("report_sounded")[-1]["spans"] == [[1, 3]]


def test_one_taken_out_of_the_room_goes():
    script = Script()
    script.say("removed", {"sentence": "Your seat was removed."})
    assert script.learner.gone


def test_learners_in_a_process_of_their_own_know_every_exercise() -> None:
    """There is no room in it that would have read the kinds' files."""
    program = (
        "import copyroom.rehearsal.client; from copyroom.room.exercises import EXERCISES; print(*EXERCISES)"
    )
    known = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert set(known.split()) >= {"copying", "odd"}


def test_who_comes_late_comes_into_a_long_run_and_one_sent_by_hand_is_none() -> None:
    assert is_long(push_of("PARIS " * 19 + "PARIS"))
    assert not is_long(push_of("E"))
    assert not is_long(push_of("E") | {"edges": [], "end_ms": 0.0})
