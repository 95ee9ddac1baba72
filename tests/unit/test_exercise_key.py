"""At the key: turns, what the others hear and when, what was read, and that none of it is ever lost."""

from __future__ import annotations

import numpy as np
import pytest

from copyroom.core.bursts import bursts
from copyroom.rehearsal.learner import Learner, Manner
from copyroom.rehearsal.participant import Participant
from copyroom.room import events as ev
from copyroom.room import exercises
from copyroom.room.keyed import delay_ms
from keyed_turns import Keyed, SimulatedClass, tones_of
from scripted_room import ScriptedRoom, refusal, sends


@pytest.fixture
def key(play: ScriptedRoom) -> Keyed:
    """Three learners; the first two send, the text is given."""
    play.seat_three()
    return Keyed(play)


def test_the_others_get_sheets_and_the_sender_gets_the_text(key: Keyed) -> None:
    assert sorted(s.to for s in sends(key.play.sent, "push")) == [2, 3]
    assert key.shown(1)["text"] == "TEA"
    assert key.shown(2)["text"] == key.shown(3)["text"] == ""
    assert [key.shown(seat)["place"] for seat in (1, 2, 3)] == [0, 1, -1]
    assert key.shown("wall")["now"]["sender"] == "Amber"


@pytest.mark.parametrize(("lead_ms", "delay"), [(300.0, 1200.0), (700.0, 1600.0), (3000.0, 3900.0)])
def test_the_delay_grows_with_the_slowest_page(lead_ms: float, delay: float) -> None:
    assert delay_ms(lead_ms) == delay


def test_tones_go_to_all_others_in_step_at_one_delay(key: Keyed) -> None:
    sounds = sends(key.key(tones_of("T")), "sound")
    assert [s.to for s in sounds] == [2, 3, "console"]
    part = key.turn.part
    assert sounds[0].payload == {
        "push": part.id,
        "part": 1,
        "first": 0,
        "start_room_ms": key.turn.start_room_ms + 1200.0,
        "pitch_hz": 600.0,
        "edges": [[500.0, 740.0]],
        "shifts": [],
    }


def test_a_batch_sent_again_changes_nothing_and_a_missing_one_is_asked_for(key: Keyed) -> None:
    tones = tones_of("TEA")
    key.key(tones[:2])
    assert key.shown(1)["kept"] == 2
    assert sends(key.key(tones[:2], first=0), "sound") == []
    (sound, *_) = sends(key.key(tones, first=0), "sound")
    assert sound.payload["first"] == 2
    assert key.turn.on_ms == [on for on, _ in tones]
    assert refusal(key.key(tones, first=9)) == "Tones 4 to 8 have not come yet."


def test_what_comes_too_late_is_kept_but_not_sounded_and_shifts_nothing(key: Keyed) -> None:
    tones = tones_of("TEA")
    late = key.key(tones[:2], lag_ms=1150.0)
    assert sends(late, "sound") == []
    assert len(key.turn.on_ms) == 2
    assert key.shown(1)["now"]["late"] == 2
    (sound, *_) = sends(key.key(tones[2:]), "sound")
    assert (sound.payload["first"], sound.payload["edges"]) == (2, tones[2:])


@pytest.mark.parametrize(
    ("edges", "sentence"),
    [
        ([500.0, 400.0], "Tones must come one after the other."),
        ([500.0, 600.0, 550.0, 700.0], "Tones must come one after the other."),
        ([500.0, 600.0, 700.0], "A tone has a beginning and an end."),
        ([9_000.0, 9_100.0], "The clock of this page is ahead. Load it anew."),
    ],
)
def test_what_no_key_does_is_refused(key: Keyed, edges: list[float], sentence: str) -> None:
    key.play.now_ms = key.turn.start_room_ms + 1000.0
    assert refusal(key.play.learner(1, "key_edges", turn=1, first=0, edges=edges)) == sentence


def test_a_flood_of_tones_is_refused_in_a_sentence(key: Keyed) -> None:
    flood = [[500.0 + 20.0 * n, 510.0 + 20.0 * n] for n in range(40)]
    assert refusal(key.key(flood)) == "That was more than 30 tones a second: no hand keys that fast."
    quick = [[500.0 + 40.0 * n, 520.0 + 40.0 * n] for n in range(40)]  # dits at 60 words a minute
    assert not refusal(key.key(quick))


def test_a_hand_by_the_book_is_read_as_what_it_sent_and_copies_are_counted(key: Keyed) -> None:
    key.send("TEA")
    key.copy(2, "TEA", "TEA")
    key.copy(3, "TNA", "TEA")
    key.sent_all()
    key.to_the_end()
    first = key.play.push.state.turns[0]
    assert (first.part.text, first.part.closed) == ("TEA", True)
    want = bursts("TEA", first.part.speed)
    assert first.part.sent == want.symbols
    result = key.shown(3)["result"]
    assert [(c["meant"], c["keyed"], c["copied"]) for c in result["columns"]] == [
        ("T", "T", "T"),
        ("E", "E", "N"),
        ("A", "A", "A"),
    ]
    assert (result["right"], result["of"]) == (2, 3)
    assert result["hand"] is None
    own = key.shown(1)["result"]
    assert [line["ideal"] for line in own["hand"]["lines"]] == [1.0, 3.0, 1.0, 3.0]
    assert own["hand"]["lines"][1]["median"] == pytest.approx(3.0, abs=0.1)
    console = key.shown("console")["result"]
    assert [(c["copied"], c["right"]) for c in console["columns"]] == [("T", 2), ("E", 1), ("A", 2)]
    assert key.table(first.part.id) == [["A", "A", 2], ["E", "E", 1], ["E", "N", 1], ["T", "T", 2]]


def test_a_letter_torn_apart_counts_as_what_was_keyed(key: Keyed) -> None:
    """A with its gap of three dots goes out as E T; who wrote E T heard right."""
    key.send("TEET")
    key.copy(2, "TEET", "TEET")
    key.sent_all()
    key.to_the_end()
    result = key.shown(2)["result"]
    assert (result["right"], result["of"]) == (4, 4)
    keyed = [c["keyed"] for c in result["columns"]]
    meant = [c["meant"] for c in result["columns"]]
    assert "".join(keyed) == "TEET"
    assert [sign for sign in meant if sign] == ["T", "E", "A"]


def test_turns_follow_each_other_by_themselves_until_all_have_sent(key: Keyed) -> None:
    key.send("TEA")
    key.sent_all()
    assert refusal(key.sent_all()) == "Your turn at the key is over."
    key.to_the_end()
    assert (key.turn.number, key.turn.seat) == (2, 2)
    assert key.shown(3)["now"]["stage"] == "keying"
    key.send("TEA")
    key.sent_all()
    key.to_the_end()
    assert key.shown(1)["now"]["stage"] == "over"
    assert refusal(key.play.console("skip_turn")) == "Everybody has sent."
    assert not refusal(key.play.console("reveal"))


def test_a_turn_ends_with_its_time(key: Keyed) -> None:
    key.play.sound(1, "on")
    key.play.now_ms = key.turn.start_room_ms + 118_000.0
    key.play.settle()
    assert not key.turn.over
    key.play.now_ms += 3_000.0
    key.play.settle()
    assert key.play.push.state.turns[0].over


def test_the_turn_of_a_sender_who_dropped_is_held_and_handed_over_in_one_order(key: Keyed) -> None:
    key.play.receive(ev.Leave(1))
    assert key.shown("console")["now"]["held"]
    key.play.now_ms += 600_000.0
    key.play.settle()
    assert not key.turn.over
    key.play.console("hand_over", seat=1, to=3)
    key.to_the_end()
    assert (key.turn.seat, key.turn.meant) == (3, "TEA")


def test_who_comes_back_to_a_held_turn_has_time_left(key: Keyed) -> None:
    key.send("T")
    key.play.receive(ev.Leave(1))
    key.play.now_ms += 600_000.0
    key.play.settle()
    key.play.join("", key.play.state.seats[1].token)
    key.play.settle()
    assert not key.turn.over
    assert key.shown(1)["kept"] == 1


def test_a_queued_turn_can_be_given_to_another(key: Keyed) -> None:
    key.play.console("hand_over", seat=2, to=3)
    assert key.shown("console")["queue"] == [3]
    assert refusal(key.play.console("hand_over", seat=2, to=1)) == (
        "That learner is not at the key, nor comes to it."
    )


def test_in_a_pause_no_key_is_heard_and_the_time_stands_still(key: Keyed) -> None:
    key.send("T")
    key.play.console("pause")
    assert key.shown(1)["now"]["paused"]
    key.play.now_ms += 300_000.0
    key.play.settle()
    found = key.key(tones_of("E", at_ms=200_000.0))
    assert refusal(found) == "Paused: your key is not heard now."
    key.play.console("go_on")
    key.play.settle()
    assert not key.turn.over
    at_ms = key.play.now_ms + 1_000.0 - key.turn.start_room_ms
    assert sends(key.key(tones_of("E", at_ms=at_ms)), "sound")


def test_a_skipped_turn_gives_way_at_once_and_what_was_keyed_is_read(key: Keyed) -> None:
    key.send("TE")
    key.play.console("skip_turn")
    key.to_the_end()
    assert key.play.push.state.turns[0].part.text == "TE"
    assert key.turn.seat == 2


def test_a_turn_skipped_before_it_began_leaves_no_sheet(key: Keyed) -> None:
    key.play.console("skip_turn")
    key.to_the_end()
    assert key.play.push.state.turns[0].part.cancelled
    assert key.turn.seat == 2


def test_closing_in_the_middle_of_a_turn_reads_it_and_shows_the_copies(key: Keyed) -> None:
    key.send("TEA")
    key.copy(2, "TEA", "TEA")
    key.play.now_ms += 3_000.0
    key.play.console("reveal")
    key.play.settle()
    assert key.turn.part.text == "TEA"
    reveals = {s.to: s.payload for s in sends(key.play.sent, "reveal")}
    assert (reveals[2]["right"], reveals[2]["of"]) == (3, 3)


def test_a_turn_stopped_before_a_tone_hides_no_turn_before_it(key: Keyed) -> None:
    key.send("TEA")
    key.sent_all()
    key.play.settle()
    key.play.now_ms += 60_000.0
    key.play.settle()
    key.play.console("stop")
    key.play.console("reveal")
    key.play.settle()
    told = [s.payload["shown"] for s in key.play.sent if s.name == "exercise" and s.to == "console"][-1]
    assert "".join(column["keyed"] for column in told["result"]["columns"]) == "TEA"


def test_who_comes_late_copies_the_turn_at_hand_and_counts_for_what_they_heard(key: Keyed) -> None:
    key.send("TE")
    (welcome,) = sends(key.play.join("Dahlia"), "welcome")
    assert welcome.payload["push"]["push"] == key.turn.part.id
    key.key(tones_of("A", at_ms=key.turn.off_ms[-1] + 300.0))
    key.play.learner(4, "report_sounded", push=key.turn.part.id, spans=[[2, 4]])
    keys = [{"at_ms": key.turn.off_ms[-1] + 600.0, "sign": "A"}]
    key.play.learner(4, "write_keys", push=key.turn.part.id, first=0, keys=keys)
    key.sent_all()
    key.to_the_end()
    result = key.shown(4)["result"]
    assert (result["right"], result["of"]) == (1, 1)


def test_nothing_of_a_turn_is_told_to_copiers_before_their_copies_are_final(key: Keyed) -> None:
    key.send("TEA")
    key.sent_all()
    key.play.now_ms += 4_000.0
    key.play.settle()
    assert key.turn.read is not None
    assert key.shown("console")["result"]["columns"]
    for page in (2, 3):
        assert key.shown(page)["result"] is None
        assert "TEA" not in str(key.shown(page))
    assert "TEA" not in str(key.shown("wall"))


def test_a_hand_is_seen_by_others_only_when_it_is_shown(key: Keyed) -> None:
    key.send("TEA")
    key.sent_all()
    key.to_the_end()
    assert refusal(key.play.learner(3, "show_fist", turn=1, on=True)) == (
        "There is nothing of that turn to show."
    )
    assert key.shown("wall")["hand"] is None
    assert not refusal(key.play.learner(1, "show_fist", turn=1, on=True))
    assert key.shown("wall")["hand"]["wpm"] == pytest.approx(15.0, rel=0.1)
    assert key.shown(3)["result"]["hand"] is not None
    key.play.console("show_fist", seat=1, turn=1, on=False)
    assert key.shown(3)["result"]["hand"] is None


def test_a_hand_with_wide_gaps_inside_letters_is_told_so_in_one_sentence(play: ScriptedRoom) -> None:
    """By the recommendation such a gap lasts one dot; this hand leaves nearly two."""
    play.seat_three()
    key = Keyed(play, given="RAIN AT NINE TENTS")
    key.send("RAIN AT NINE TENTS", inside=1.9)
    key.sent_all()
    key.to_the_end()
    hand = key.shown(1)["result"]["hand"]
    assert [line["name"] for line in hand["lines"] if line["is_worst"]] == ["gap inside a letter"]
    assert "inside letters" in hand["advice"]
    medians = {line["name"]: line["median"] for line in hand["lines"]}
    assert medians == pytest.approx(
        {
            "dit": 1.0,
            "dah": 3.0,
            "gap inside a letter": 1.9,
            "gap between letters": 3.0,
            "gap between words": 7.0,
        },
        abs=0.02,
    )
    assert hand["advice"].count(".") == 1
    assert "".join(letter["sign"] for letter in hand["letters"]) == "RAINATNINETENTS"


def test_a_sender_says_beforehand_what_is_meant(play: ScriptedRoom) -> None:
    play.seat_three()
    key = Keyed(play, text="said", given="")
    assert key.shown(1)["says"]
    assert refusal(play.learner(2, "say_text", turn=1, text="EAT")) == "Your turn at the key is over."
    play.learner(1, "say_text", turn=1, text="eat")
    assert key.shown(1)["text"] == "EAT"
    key.send("EAT")
    assert refusal(play.learner(1, "say_text", turn=1, text="TEA")) == "You have begun already."


def test_a_word_sent_again_is_meant_twice(play: ScriptedRoom) -> None:
    play.seat_three()
    key = Keyed(play, given="TEA AT")
    key.send("TEA")
    assert not refusal(play.learner(1, "word_again", turn=1, word=0))
    assert key.shown(1)["text"] == "TEA TEA AT"
    assert refusal(play.learner(1, "word_again", turn=1, word=7)) == "There is no such word to send again."
    key.play.console("remove_seats", seats=[1])
    assert key.play.push.state.turns[0].meant == "TEA AT"


@pytest.mark.parametrize("stage", ["coming", "keying", "over", "read", "next"])
def test_a_server_killed_at_any_moment_goes_on_with_the_same_turn(key: Keyed, stage: str) -> None:
    if stage != "coming":
        key.send("TEA")
    if stage in ("over", "read", "next"):
        key.sent_all()
    if stage == "read":
        key.play.now_ms += 4_000.0
        key.play.settle()
    if stage == "next":
        key.to_the_end()
    again = key.play.replayed()
    turn = again.push.state.turn
    assert (turn.number, turn.seat, turn.on_ms) == (key.turn.number, key.turn.seat, key.turn.on_ms)
    again.join("", again.state.seats[turn.seat].token)
    resumed = object.__new__(Keyed)
    resumed.play = again
    if not turn.over:
        tones = tones_of("E", at_ms=(turn.off_ms or [0.0])[-1] + 500.0)
        assert not refusal(resumed.key(tones))
        assert not refusal(resumed.sent_all())
    resumed.to_the_end()
    done = again.push.state.last_done
    assert done.part.text.startswith("E" if stage in ("coming", "next") else "TEA")


def test_reading_again_is_not_needed_after_a_restart(key: Keyed) -> None:
    key.send("TEA")
    key.sent_all()
    key.to_the_end()
    names = [name for name, _, _ in key.play.journal]
    assert names.count("TurnRead") == 1
    again = key.play.replayed()
    again.settle()
    assert [name for name, _, _ in again.journal] == names
    assert again.state.runs[1].text == "TEA"


def test_with_a_sender_taken_out_goes_what_was_keyed(key: Keyed) -> None:
    key.send("TEA")
    key.copy(2, "TEA", "TEA")
    key.sent_all()
    key.to_the_end()
    key.play.console("remove_seats", seats=[1])
    key.play.settle()
    first = key.play.push.state.turns[0]
    assert (first.seat, first.on_ms, first.part.text, first.read) == (0, [], "", None)
    assert key.shown("console")["result"]["columns"] == []
    assert key.table(first.part.id) == []


def test_the_turn_of_a_sender_taken_out_passes_to_the_next(key: Keyed) -> None:
    key.send("TE")
    key.play.console("remove_seats", seats=[1])
    key.to_the_end()
    assert key.turn.seat == 2


def test_who_has_no_device_is_asked_for_no_key(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("add_seat", name="Erle")
    play.console("set_symbols", symbols="TEA")
    key = Keyed(play, senders=[], text="groups")
    assert key.play.push.state.setup.order == (1, 2, 3)
    assert set(key.turn.meant) <= set("TEA ")
    assert refusal(play.console("hand_over", seat=1, to=4)) == "Erle has no device to key with."


def test_it_cannot_begin_without_senders_or_text(play: ScriptedRoom) -> None:
    begin = {"kind": "key", "setup": {}}
    assert refusal(play.console("start_exercise", **begin)) == "Nobody here has a device to key with."
    play.seat_three()
    assert "No sounds are known yet" in refusal(play.console("start_exercise", **begin))


def test_it_is_proposed_only_to_a_class_that_has_copied_and_knows_enough(play: ScriptedRoom) -> None:
    play.seat_three()
    kind = exercises.EXERCISES["key"]
    assert kind.proposed(play.room.figures) is None
    play.console("set_symbols", symbols="ETANIMSO")
    for _ in range(2):
        play.send("TEA")
        play.to_tidying()
        play.console("close")
        play.settle()
    assert kind.proposed(play.room.figures) is not None
    Keyed(play)
    assert kind.proposed(play.room.figures) is None


def test_simulated_learners_key_and_copy(play: ScriptedRoom) -> None:
    """Their hand has some unsteadiness; what the room reads is what was meant, or very nearly."""
    play.seat_three()
    key = Keyed(play, given="TEA TIME")
    kind = exercises.of(play.push)
    acts = kind.play(key.shown(1), np.random.default_rng(3))
    assert kind.play(key.shown(2), np.random.default_rng(3)) == ()
    began_ms = play.now_ms
    for act in acts:
        play.now_ms = began_ms + act.after_s * 1000.0
        assert not refusal(play.learner(1, act.name, **act.fields))
    assert key.turn.late == 0
    key.to_the_end()
    assert play.push.state.turns[0].part.text == "TEA TIME"


def test_a_simulated_class_goes_through_all_turns_by_itself(play: ScriptedRoom) -> None:
    """Sure learners: nobody mishears, and each hand is read as what it meant; none of it comes late."""
    sure = Manner(30.0, 0.0, slip=0.0, skip=0.0, bounce=0.0, fall_behind=0.0)
    learners = [
        Participant(name, "HERON-0417", Learner(sure, np.random.default_rng(n)))
        for n, name in enumerate(("Amber", "Birch", "Cedar"))
    ]
    simulated = SimulatedClass(play, learners)
    simulated.begin(text="given", given="TEA AT", gap_s=5.0)
    simulated.until(play.now_ms + 120_000.0)
    assert set(simulated.refused) <= {"Your turn at the key is over."}  # they say so whenever they were told
    state = play.push.state
    assert [turn.part.text for turn in state.turns] == ["TEA AT"] * 3
    assert state.is_over
    assert sum(turn.late for turn in state.turns) == 0
    for turn in state.turns:
        for seat, copy in turn.part.copies.items():
            assert (seat, copy.written, bytes(copy.heard)) == (seat, "TEAAT", b"\x01" * 5)


def test_a_simulated_copier_takes_parts_for_symbols() -> None:
    learner = Learner(Manner(4.0, skip=0.0, slip=0.0, bounce=0.0, fall_behind=0.0), np.random.default_rng(1))
    participant = Participant("Wren", "HERON-0417", learner)
    push = {
        "push": 2, "kind": "copying", "within": 1, "purpose": "together", "start_room_ms": 0.0,
        "pitch_hz": 600.0, "edges": [], "end_ms": 0.0, "shifts": [], "symbols": "AET", "tidy_ms": 8000.0,
        "counted": True, "shown": "",
    }  # fmt: skip
    participant.receive("push", push, 0.0)
    for part, tone in enumerate(tones_of("TEA"), start=1):
        sound = {
            "push": 2,
            "part": part,
            "first": part - 1,
            "start_room_ms": 0.0,
            "edges": [tone],
            "shifts": [],
        }
        participant.receive("sound", sound, 0.0)
    while participant.wake_page_ms < 60_000.0:
        participant.wake(participant.wake_page_ms)
    sent = [out.payload for out in participant.take() if getattr(out, "event", "") == "write_keys"]
    assert "".join(key["sign"] for key in sent[-1]["keys"]) == "TEA"
