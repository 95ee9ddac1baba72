"""The odd one, played by three: whose hand counts where, what each page is told, what the class comes to."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import pytest

from copyroom.core.evidence.mix_ups import Pair, Pairs
from copyroom.rehearsal.learner import Learner, Manner
from copyroom.rehearsal.participant import Emit, Participant
from copyroom.room.effects import Effect
from copyroom.room.events import Leave
from copyroom.room.exercises import EXERCISES, odd
from copyroom.room.figures import Findings
from copyroom.room.run import Run
from scripted_room import ScriptedRoom, Send, refusal, sends

SETUP = {"pairs": ["FL"], "rows": 3, "sounds": 8, "gap_s": 1.2}
REACTS_MS = 400.0


def start(play: ScriptedRoom, seed: int = 4, **changed: Any) -> Run:
    effects = play.console("start_exercise", kind="odd", setup=SETUP | changed, seed=seed)
    assert not refusal(effects), refusal(effects)
    return play.push


@pytest.fixture
def game(play: ScriptedRoom) -> ScriptedRoom:
    """Three learners and three rows of F among L, with an odd one in some of them."""
    play.seat_three()
    start(play)
    return play


def at(run: Run, place: int, after_ms: float = REACTS_MS) -> float:
    return round(float(run.end_ms[place]) + after_ms, 1)


def hand(play: ScriptedRoom, seat: int, place: int, after_ms: float = REACTS_MS) -> list[Effect]:
    at_ms = at(play.push, place, after_ms)
    play.now_ms = max(play.now_ms, play.push.start_room_ms + at_ms + 20.0)
    return play.learner(seat, "raise_hand", push=play.push.id, at_ms=at_ms)


def odd_places(run: Run) -> list[int]:
    return [place for row in run.state.rows for place in row.odd_at]


def same_places(run: Run) -> list[int]:
    firsts = {row.first for row in run.state.rows}
    return [place for place in range(len(run.sent)) if place not in {*firsts, *odd_places(run)}]


def shown(effects: list[Effect], to: int | str) -> Any:
    found = [
        s.payload["shown"] for s in effects if isinstance(s, Send) and (s.to, s.name) == (to, "exercise")
    ]
    return found[-1] if found else None


def to_end(play: ScriptedRoom) -> None:
    play.now_ms = play.push.start_room_ms + play.push.last_end_ms + 3000.0


def test_all_hear_the_rows_as_drawn_and_are_told_no_symbol(game: ScriptedRoom) -> None:
    run = game.push
    assert set(run.sent) == {"F", "L"}
    assert [len(row) for row in run.text.split()] == [8, 8, 8]
    assert [run.sent[place] for place in odd_places(run)] == ["F"] * len(odd_places(run))
    (push, _) = sends(game.sent, "push")
    assert (push.to, push.payload["symbols"], push.payload["shown"]) == ("seats", "", "")
    for to in (1, 2, 3):
        assert shown(game.sent, to) == {"lengths": [8, 8, 8], "hands": [], "rows": [], "unheard": []}
    assert set(shown(game.sent, "wall")) == {"lengths", "starts_room_ms", "end_room_ms", "stage", "lines"}
    assert [row["odd"] + row["often"] for row in shown(game.sent, "console")["rows"]] == ["FL"] * 3


def test_the_places_are_drawn_when_it_begins_and_a_replay_has_the_same(game: ScriptedRoom) -> None:
    assert game.replayed().push.text == game.push.text
    game.console("stop")
    game.now_ms += 10_000.0
    game.console("close")
    assert start(game, seed=5).text != game.replayed().state.runs[0].text


def test_a_browser_cannot_choose_where_the_odd_ones_are(play: ScriptedRoom) -> None:
    play.seat_three()
    drawn = [{"pair": "FL", "at": [3]}] * 3
    run = start(play, drawn=drawn)
    assert [row.odd_at for row in run.state.rows] != [(3,), (11,), (19,)]


def test_a_hand_sent_again_counts_once_and_the_second_at_a_sound_not_at_all(game: ScriptedRoom) -> None:
    effects = hand(game, 1, 2)
    assert shown(effects, 1)["hands"] == [{"at_ms": at(game.push, 2), "place": 2}]
    assert shown(effects, "console")["hands"] == [0, 0, 1, *[0] * 21]
    assert shown(effects, 2) is None
    assert shown(hand(game, 1, 2), 1) is None
    effects = hand(game, 1, 2, REACTS_MS + 200.0)
    assert [own["place"] for own in shown(effects, 1)["hands"]] == [2, None]
    assert game.push.state.at[2] == 1


def test_a_hand_raised_in_time_may_come_late_until_all_is_shown(game: ScriptedRoom) -> None:
    to_end(game)
    game.console("close")
    assert shown(hand(game, 1, 5), "console")["hands"][5] == 1
    game.console("reveal")
    assert refusal(hand(game, 2, 5)) == "This is over: where the odd ones were is shown."
    assert not refusal(hand(game, 1, 5))  # sent again, as its answer was lost


def test_a_hand_from_a_page_that_was_away_counts_though_the_next_run_has_begun(game: ScriptedRoom) -> None:
    """Unless it had been shown to its learner, who could have raised it with the answer in view."""
    run = game.push
    to_end(game)
    game.receive(Leave(1))
    game.console("reveal")
    game.settle()
    game.send("E")
    game.join("", game.state.seats[1].token)
    assert not refusal(game.learner(1, "raise_hand", push=run.id, at_ms=at(run, 5)))
    assert run.state.at[5] == 1
    late = game.learner(2, "raise_hand", push=run.id, at_ms=at(run, 5))
    assert refusal(late) == "This is over: where the odd ones were is shown."


def test_a_page_that_comes_back_has_its_hands(game: ScriptedRoom) -> None:
    hand(game, 1, 2)
    (welcome,) = sends(game.join("", game.state.seats[1].token), "welcome")
    assert welcome.payload["exercise"]["shown"]["hands"] == [{"at_ms": at(game.push, 2), "place": 2}]
    assert welcome.payload["push"]["push"] == game.push.id


def test_after_a_pause_a_hand_goes_to_the_sound_that_came_then(game: ScriptedRoom) -> None:
    run = game.push
    game.now_ms = run.start_room_ms + float(run.start_ms[3]) + 50.0  # in the fourth sound
    game.console("pause")
    game.now_ms += 20_000.0
    game.console("go_on")
    before_ms = float(run.begins_ms[3])
    assert run.start_ms[3] > before_ms + 20_000.0
    game.learner(1, "raise_hand", push=run.id, at_ms=before_ms - 400.0)  # late, from before the pause
    hand(game, 1, 3)
    hand(game, 1, 4)
    assert sorted(run.state.raised(1)) == [2, 3, 4]
    assert run.state.raised(1)[4] == pytest.approx(float(run.end_ms[4]) + REACTS_MS, abs=0.1)


def test_the_class_comes_to_hits_and_false_alarms_of_what_each_heard(game: ScriptedRoom) -> None:
    """Counted by hand: all hear everything but the third learner, who comes in with the second row."""
    run = game.push
    odd_ones, others = odd_places(run), same_places(run)
    for place in odd_ones:
        hand(game, 1, place)
    hand(game, 2, odd_ones[0], 900.0)
    hand(game, 2, others[0])
    to_end(game)
    for seat, start_at in ((1, 0), (2, 0), (3, 8)):
        game.hears(seat, start_at)
    effects = game.console("close")
    (line,) = shown(effects, "console")["lines"]
    late_odd = [place for place in odd_ones if place > 8]
    late_same = [place for place in others if place > 8]
    assert (line["odd"], line["often"]) == ("F", "L")
    assert (line["hits"], line["of_odd"]) == (len(odd_ones) + 1, 2 * len(odd_ones) + len(late_odd))
    assert (line["alarms"], line["of_same"]) == (1, 2 * len(others) + len(late_same))
    assert line["reactions_s"] == sorted([0.4] * len(odd_ones) + [0.9])
    assert line["median_s"] == 0.4
    assert (shown(effects, "console")["listened"], shown(effects, "console")["silent"]) == (3, 1)


def test_a_sound_that_nobody_reported_counts_for_nobody(game: ScriptedRoom) -> None:
    hand(game, 1, odd_places(game.push)[0])
    to_end(game)
    (line,) = shown(game.console("close"), "console")["lines"]
    assert (line["hits"], line["of_odd"], line["alarms"], line["of_same"]) == (0, 0, 0, 0)


def test_of_several_pairs_each_has_its_line_and_all_have_one(play: ScriptedRoom) -> None:
    play.seat_three()
    start(play, pairs=["FL", "LF"], rows=2)
    to_end(play)
    play.hears(1)
    lines = shown(play.console("close"), "console")["lines"]
    assert [line["odd"] + line["often"] for line in lines] == ["FL", "LF", ""]
    assert lines[2]["of_same"] == lines[0]["of_same"] + lines[1]["of_same"]


def test_a_pair_that_never_came_has_no_line(play: ScriptedRoom) -> None:
    play.seat_three()
    run = start(play, pairs=["FL", "LF"], rows=1)
    play.to_symbol(8)  # the first row
    play.hears(1, 0, 8)
    play.console("stop")
    (line,) = shown(play.console("close"), "console")["lines"]
    assert line["odd"] == run.state.rows[0].odd


def test_shown_it_tells_learners_their_own_hands_and_the_wall_no_times_of_anybody(game: ScriptedRoom) -> None:
    run = game.push
    hand(game, 1, odd_places(run)[0])
    to_end(game)
    game.hears(1, 0, 20)
    closed = game.console("close")
    assert shown(closed, 1) is None  # nothing to be seen yet
    assert shown(closed, "wall")["lines"] == []
    effects = game.console("reveal")
    own = shown(effects, 1)
    assert [place for row in own["rows"] for place in row["odd_at"]] == odd_places(run)
    assert [one["place"] for one in own["hands"]] == [odd_places(run)[0]]
    assert own["unheard"] == [20, 21, 22, 23]
    assert shown(effects, 2)["hands"] == []
    (line,) = shown(effects, "wall")["lines"]
    assert (line["hits"], line["reactions_s"]) == (1, [])


def test_stopped_early_only_what_sounded_counts(game: ScriptedRoom) -> None:
    game.to_symbol(10)
    game.hears(1, 0, 24)
    game.console("stop")
    game.now_ms += 6000.0
    (line,) = shown(game.console("close"), "console")["lines"]
    assert line["of_odd"] + line["of_same"] == 8  # ten, without the first of each row
    assert not line["enough"]


def test_who_is_taken_out_takes_the_hands_along(game: ScriptedRoom) -> None:
    hand(game, 2, 2)
    hand(game, 3, 2)
    effects = game.console("remove_seats", seats=[2])
    assert shown(effects, "console")["hands"][2] == 1
    assert 2 not in game.push.state.hands


def test_a_hand_that_is_none_of_this_is_refused(game: ScriptedRoom) -> None:
    assert refusal(game.learner(1, "raise_hand", push=9, at_ms=0.0)) == "There is no such run in this room."
    to_end(game)
    game.console("reveal")
    game.join("Dahlia")
    assert refusal(hand(game, 4, 2)) == "You were not in the room for that."
    game.send("KM")
    assert refusal(hand(game, 1, 0)) == "There is nothing to raise a hand for."


def test_a_stuck_key_comes_to_an_end(game: ScriptedRoom) -> None:
    hands = {1: {float(k): odd.OddHand(at_ms=k, place=None) for k in range(odd.HANDS_A_SOUND * 24)}}
    game.push.state.hands.update(hands)
    assert refusal(hand(game, 1, 3)) == "That is more hands than there are sounds."
    game.push.state.hands.clear()


@pytest.mark.parametrize(
    "pairs", [["FF"], ["F?!"], ["F "], ["f\n"], ["F"]], ids=["same", "three", "space", "newline", "one"]
)
def test_a_pair_is_two_sounds_of_the_code(play: ScriptedRoom, pairs: list[str]) -> None:
    play.seat_three()
    effects = play.console("start_exercise", kind="odd", setup=SETUP | {"pairs": pairs})
    assert refusal(effects)
    assert play.state.run is None


def mixed_up(
    play: ScriptedRoom, *pairs: str, scope: str = "evening", made_of: tuple[int, ...] = (1,)
) -> None:
    found = tuple(Pair(a, b, 12, 40, 5, 3, 40, 0.3) for a, b in pairs)
    play.room.figures.findings[scope] = Findings(made_of, (), Pairs(found, "", enough=True))


def test_by_itself_it_takes_what_the_class_mixes_up_both_ways_round(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="KMRSU")
    mixed_up(play, "US", "SU", "RK", "MT")
    run = start(play, pairs=[])
    assert {row.odd + row.often for row in run.state.rows} == {"SU", "US", "KR", "RK"}


def test_without_any_finding_it_takes_the_two_known_sounds_most_alike(play: ScriptedRoom) -> None:
    play.seat_three()
    assert refusal(play.console("start_exercise", kind="odd", setup={})).startswith("Choose two sounds first")
    play.console("set_symbols", symbols="EOSH")
    run = start(play, pairs=[])
    assert {row.odd + row.often for row in run.state.rows} == {"HS", "SH"}


def test_it_is_proposed_for_a_pair_that_was_mixed_up_and_not_played_since(play: ScriptedRoom) -> None:
    play.seat_three()
    kind = EXERCISES["odd"]
    assert kind.proposed(play.room.figures) is None
    mixed_up(play, "LF", "YX")
    proposed = kind.proposed(play.room.figures)
    assert isinstance(proposed, odd.OddSetup)
    assert proposed.pairs == ["FL", "LF"]
    start(play, **msgspec.to_builtins(proposed))
    mixed_up(play, "LF", "YX")
    again = kind.proposed(play.room.figures)
    assert isinstance(again, odd.OddSetup)
    assert again.pairs == ["XY", "YX"]
    mixed_up(play, "LF")
    assert kind.proposed(play.room.figures) is None
    mixed_up(play, "FL", scope="run", made_of=(2,))
    assert kind.proposed(play.room.figures) is not None
    play.room.figures.findings.clear()


def test_in_the_plan_it_is_as_long_as_it_takes(play: ScriptedRoom) -> None:
    play.seat_three()
    run = start(play)
    kind = EXERCISES["odd"]
    takes_s = run.last_end_ms / 1000.0
    assert kind.lasts_s(msgspec.convert(SETUP, odd.OddSetup)) == pytest.approx(takes_s, rel=0.2)


def rehearsed(manner: Manner, text: str, lengths: list[int]) -> list[int]:
    """The places that a simulated learner's hands are for, told nothing but tones."""
    rows, first = [], 0
    for word in text.split():
        rows.append(("FL", [k for k, sign in enumerate(word) if sign == "F"]))
        first += len(word)
    setup = odd.OddSetup(
        pairs=["FL"], sounds=lengths[0], drawn=[odd.OddDrawn(pair=pair, at=places) for pair, places in rows]
    )
    play = ScriptedRoom()
    run = EXERCISES["odd"].compose(play.state, setup, 1, 0.0)
    participant = Participant("Wren", "HERON-0417", Learner(manner, np.random.default_rng(3)))
    told = {"lengths": lengths, "hands": [], "rows": [], "unheard": []}
    participant.receive("exercise", {"run": 1, "kind": "odd", "shown": told}, -1.0)
    push = {"push": 1, "kind": "odd", "start_room_ms": 0.0, "edges": run.edges_ms, "shifts": []}
    push["end_ms"] = run.edges_ms[-1][-1]
    participant.receive("push", push | {"symbols": "", "counted": False, "tidy_ms": 0.0}, -1.0)
    participant.wake(1e9)
    acts = [act for act in participant.take() if isinstance(act, Emit) and act.event == "raise_hand"]
    places = [odd._place_of(run, act.payload["at_ms"]) for act in acts]
    return [place for place in places if place is not None]


def test_a_simulated_learner_who_knows_the_sounds_hits_the_odd_ones() -> None:
    sure = Manner(30.0, spread=0.0, slip=0.0, bounce=0.0, skip=0.0, fall_behind=0.0, lag_spread=0.0)
    assert rehearsed(sure, "LLLFLLLL LLLLLLLL LFLLLLFL", [8, 8, 8]) == [3, 17, 22]


def test_a_simulated_learner_who_guesses_tells_nothing_apart() -> None:
    lost = Manner(0.0, spread=0.0, blank=0.0, slip=0.0, bounce=0.0, skip=0.0, fall_behind=0.0)
    hands = set(rehearsed(lost, " ".join(["LLLFLLLL"] * 10), [8] * 10))
    odd_ones = {8 * k + 3 for k in range(10)}
    assert len(odd_ones & hands) < 10
    assert len(hands - odd_ones) >= 10
