"""Runs from sending to reveal: what is said to whom, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from copyroom.room import events as ev
from copyroom.room.effects import CONSOLE, SEATS, Save, WakeAt
from copyroom.room.journal import from_record
from copyroom.room.run import UNDO_MS
from scripted_room import CODE, QUICK, WORDS, ScriptedRoom, addresses, refusal, sends

OWN = {"symbols": "", "count": 10, "group": 5, "text": "", "name_shown": False, "counted": True}


def test_a_push_goes_to_all_browsers_after_it_is_saved(play: ScriptedRoom) -> None:
    play.seat_three()
    effects = play.console("send_text", **(OWN | {"purpose": "own", "text": "tea at eat"}))
    assert [type(effect).__name__ for effect in effects][:3] == ["Save", "Send", "Send"]
    assert addresses(effects, "push") == [SEATS, CONSOLE]
    push = sends(effects, "push")[0].payload
    assert push["start_room_ms"] == play.now_ms + 1000.0 * QUICK["lead_in_s"]
    assert (push["symbols"], push["shown"], push["counted"], push["tidy_ms"]) == ("AET", "", True, 30_000.0)
    assert len(push["edges"]) == len("TEAATEAT")


def test_what_learners_get_of_a_push_has_no_characters_in_it(play: ScriptedRoom) -> None:
    """Edges, not letters: the text cannot be read off the wire as it stands."""
    play.seat_three()
    effects = play.console("send_text", **(OWN | {"purpose": "own", "text": "EAT TEA"}))
    for send in sends(effects):
        assert "EAT" not in str(send.payload)
        assert "TEA" not in str(send.payload)


def test_the_journal_keeps_the_text_and_the_start_as_settled(play: ScriptedRoom) -> None:
    play.seat_three()
    effects = play.console("send_text", **(OWN | {"purpose": "mix", "symbols": "AETN", "seed": 3}))
    saved = next(effect.event for effect in effects if isinstance(effect, Save))
    assert isinstance(saved, ev.SendText)
    assert saved.text == play.push.text
    assert saved.start_room_ms == play.push.start_room_ms


@pytest.mark.parametrize(
    ("changed", "fault"),
    [
        ({"purpose": "own"}, "Write the text to be sent first."),
        ({"purpose": "mix"}, "Choose the symbols first."),
        ({"purpose": "own", "text": "CAT # DOG"}, "#"),
        ({"purpose": "own", "text": "E" * 1001}, "1001 sounds"),
        ({"purpose": "words", "symbols": "QXZ"}, "No word of the list"),
        ({"purpose": "calls", "symbols": "ABC"}, "call sign"),
        ({"purpose": "mix", "symbols": "A#"}, "#"),
        ({"purpose": "mix", "symbols": "AA"}, ""),
    ],
)
def test_a_text_that_cannot_be_sent_is_refused_with_its_reason(
    play: ScriptedRoom, changed: dict[str, Any], fault: str
) -> None:
    play.seat_three()
    effects = play.console("send_text", **(OWN | changed))
    assert refusal(effects)
    assert fault in refusal(effects)
    assert play.state.run is None
    payload = {key: value for key, value in (OWN | changed).items() if key not in ("name_shown", "counted")}
    assert fault in refusal(play.console("compose", **payload))


def test_symbols_beside_an_own_text_are_symbols_of_the_code(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EAT", symbols="#N~")
    assert play.push.symbols == "AENT"


@pytest.mark.parametrize("purpose", ["one", "apart", "mix", "words", "calls"])
def test_composing_proposes_what_sending_with_the_same_seed_sends(play: ScriptedRoom, purpose: str) -> None:
    play.seat_three()
    payload = {"purpose": purpose, "symbols": "ACET2", "count": 12, "group": 4, "text": "", "seed": 99}
    proposal = sends(play.console("compose", **payload), "proposal")[0].payload
    assert play.state.run is None
    play.console("send_text", **payload, name_shown=False, counted=False)
    assert play.push.text == proposal["text"]
    assert len(play.push.sent) == proposal["sounds"] <= 12
    assert proposal["seconds"] == pytest.approx(play.push.end_ms[-1] / 1000.0)


def test_words_are_those_of_the_list(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("send_text", **(OWN | {"purpose": "words", "symbols": "ACET"}))
    assert set(play.push.text.split()) <= set(WORDS)


def test_what_was_composed_can_be_sent_as_it_stands(play: ScriptedRoom) -> None:
    """A replay normalises every text again; joined signals, too, must come through that unchanged."""
    play.seat_three()
    signs = "".join(s.sign for s in wire_symbols())
    play.console("send_text", **(OWN | {"purpose": "mix", "symbols": signs, "count": 200}))
    sent = play.push.text
    play.to_tidying()
    play.send(sent)
    assert play.push.text == sent


def wire_symbols() -> tuple[Any, ...]:
    from copyroom.core.alphabet import RECOMMENDED

    return tuple(RECOMMENDED)


def test_a_name_is_never_shown_in_a_counted_run(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EEE", purpose="one", name_shown=True, counted=True)
    assert (play.push.name_shown, sends(play.sent, "push")[-1].payload["shown"]) == (False, "")
    play.to_tidying()
    play.send("EEE", purpose="one", name_shown=True, counted=False)
    assert sends(play.sent, "push")[-1].payload["shown"] == "EEE"


@pytest.mark.parametrize("order", ["pause", "go_on", "stop", "close", "repeat", "reveal"])
def test_without_a_run_there_is_nothing_to_order(play: ScriptedRoom, order: str) -> None:
    play.seat_three()
    assert refusal(play.console(order))


@pytest.mark.parametrize("moment", ["counting in", "sounding", "paused"])
def test_a_run_that_sounds_is_not_overrun_by_the_next(play: ScriptedRoom, moment: str) -> None:
    play.seat_three()
    play.send("EATEN")
    if moment != "counting in":
        play.to_symbol(2)
    if moment == "paused":
        play.console("pause")
    for effects in (
        play.console("send_text", **(OWN | {"purpose": "own", "text": "TEA"})),
        play.console("repeat"),
    ):
        assert refusal(effects) == "A run is sounding. Stop it first."
    assert len(play.state.runs) == 1


def test_the_next_run_closes_the_one_before(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("EAT")
    play.to_tidying()
    play.copies_all(first, "EAT")
    effects = play.console("send_text", **(OWN | {"purpose": "own", "text": "TEA"}))
    assert [s.name for s in sends(effects)] == ["closed", "closed", "push", "push"]
    assert play.cells("evening") == {(sign, sign): 1 for sign in "EAT"}


def test_repeat_is_a_run_of_its_own_with_the_same_text(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("send_text", **(OWN | {"purpose": "mix", "symbols": "AETN", "seed": 3}))
    play.to_tidying()
    effects = play.console("repeat")
    saved = next(effect.event for effect in effects if isinstance(effect, Save))
    assert isinstance(saved, ev.SendText)
    one, two = play.state.runs
    assert (two.id, two.text, two.symbols, two.purpose, two.counted) == (
        2,
        one.text,
        one.symbols,
        "mix",
        True,
    )
    assert two.start_room_ms == play.now_ms + 3_000.0


# ------------------------------------------------------------------ stop and close


def test_stopping_ends_all_sound_and_says_how_much_belongs_to_the_run(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EATEN")
    play.to_symbol(3)
    effects = play.console("stop")
    assert addresses(effects, "halt") == [SEATS, CONSOLE]
    halt = {"push": 1, "at_room_ms": play.now_ms, "for_good": True, "sent": 3}
    assert sends(effects, "halt")[0].payload == halt
    for order in ("stop", "pause"):
        assert refusal(play.console(order))
    assert play.view("run")["run"]["sent"] == 3


def test_a_stop_can_be_taken_back_for_five_seconds(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("EATEN")
    play.to_symbol(3)
    play.console("stop")
    play.learner(first, "hand_in", push=1)
    play.now_ms += UNDO_MS - 1.0
    assert not refusal(play.console("go_on", push=1, seen="stopped"))
    assert (play.view("run")["run"]["phase"], play.view("run")["run"]["sent"]) == ("sounding", 5)
    play.to_tidying()
    play.copies_all(first, "EATEN")
    play.console("reveal")
    assert play.cells() == {("E", "E"): 2, ("A", "A"): 1, ("T", "T"): 1, ("N", "N"): 1}


def test_after_five_seconds_a_stop_is_for_good(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EATEN")
    play.to_symbol(3)
    play.console("stop")
    play.now_ms += UNDO_MS
    assert refusal(play.console("go_on", push=1, seen="stopped"))
    assert (play.view("run")["run"]["phase"], play.view("run")["run"]["sent"]) == ("tidying", 3)


def test_a_run_stopped_before_its_first_sound_was_never_sent_and_does_not_go_on(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EATEN")
    play.console("stop")
    assert refusal(play.console("go_on", push=1, seen="stopped"))


def test_what_did_not_sound_stands_outside_every_figure(play: ScriptedRoom) -> None:
    first, second, third = play.seat_three()
    play.console("add_seat", name="Dahlia")  # on paper, heard over the loudspeaker
    play.send("KMATN")
    play.to_symbol(3)
    play.console("stop")
    for seat in (first, second):
        play.hears(seat)  # even if a browser claims more
    play.types(first, "KMA")
    play.types(second, "K")
    keys = [{"at_ms": 0.0, "sign": sign} for sign in "KM"]
    play.console("write_keys", push=1, first=0, keys=keys, seat=4)
    play.now_ms += 20_000.0
    assert all(sent in "KMA" for sent, _ in play.cells())
    play.console("reveal")
    assert play.cells() == {("K", "K"): 3, ("M", "M"): 2, ("A", "A"): 1, ("M", ""): 1, ("A", ""): 2}
    shown = {s.to: s.payload for s in sends(play.sent, "reveal")}
    assert [(shown[seat]["sent"], shown[seat]["of"]) for seat in (first, second)] == [(3, 3), (3, 3)]
    assert shown[third]["of"] == 0


def test_time_to_tidy_up_begins_when_a_paused_run_is_stopped(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("KMATN")
    play.to_symbol(3)
    play.types(first, "KMT")
    play.console("pause")
    play.now_ms += 120_000.0  # somebody was at the door
    play.console("stop")
    play.now_ms += 5_000.0
    fix = [{"at_ms": play.now_ms - play.push.start_room_ms, "sign": "A", "change": 2}]
    assert not refusal(play.learner(first, "write_keys", push=1, first=3, keys=fix))
    assert play.copies[1, first].written == "KMA"


@pytest.mark.parametrize("paused", [False, True])
def test_closing_a_run_that_sounds_stops_it_first(play: ScriptedRoom, paused: bool) -> None:
    first, *_ = play.seat_three()
    play.send("KMATN")
    play.to_symbol(2)
    play.types(first, "KM")
    play.hears(first, 0, 2)
    if paused:
        play.console("pause")
    effects = play.console("close")
    assert [s.name for s in sends(effects)] == ["halt", "halt", "closed", "closed"]
    assert play.push.sent_count == 2
    assert play.cells() == {("K", "K"): 1, ("M", "M"): 1}
    assert refusal(play.console("close")) == "No run is open."


def test_closing_after_the_sound_keeps_every_symbol(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("KMATN")
    play.to_tidying()
    play.copies_all(first, "KMATN")
    effects = play.console("close")
    assert [s.name for s in sends(effects)] == ["closed", "closed"]
    assert play.cells() == {(sign, sign): 1 for sign in "KMATN"}


def test_every_learner_here_is_shown_the_own_copy(play: ScriptedRoom) -> None:
    first, second, third = play.seat_three()
    play.send("KMATN")
    play.to_tidying()
    play.copies_all(first, "KM_TN")
    play.copies_all(second, "KMATN")
    play.receive(ev.Leave(third))
    effects = play.console("reveal")
    assert [s.name for s in sends(effects)][:2] == ["closed", "closed"]
    assert addresses(effects, "reveal") == [first, second]
    one, two = (s.payload for s in sends(effects, "reveal"))
    assert (one["text"], one["marks"], one["right"], one["of"]) == ("KMATN", "KM_TN", 4, 5)
    assert (one["answers"], one["taken"], one["all_right"]) == ([0, 1, 2, 3, 4], [], "KMNT")
    assert (two["right"], two["of"]) == (5, 5)
    assert play.view("run")["run"]["phase"] == "revealed"


def test_a_run_revealed_before_its_first_sound_shows_nobody_the_run_before(play: ScriptedRoom) -> None:
    """It is taken back as if it had not been sent; the one before is closed, and stays hidden."""
    play.seat_three()
    play.send("KMA")
    play.to_tidying()
    play.copies_all(1, "KMA")
    play.console("close")
    play.settle()
    play.send("TTT")
    play.console("reveal")
    play.settle()
    assert not play.push.revealed
    assert not sends(play.sent, "reveal")


def test_a_page_loaded_again_after_the_reveal_shows_it_again(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("KM")
    play.to_tidying()
    play.copies_all(first, "KM")
    told = next(s for s in sends(play.console("reveal"), "reveal") if s.to == first).payload
    welcome = sends(play.join("", play.state.seats[first].token), "welcome")[0].payload
    assert welcome["reveal"] == told
    assert welcome["push"]["phase"] == "revealed"


# ------------------------------------------------------------------ settings


def test_sound_settings_hold_from_the_next_run_on(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("EAT")
    before = play.push.end_ms.tolist()
    effects = play.console("set_sound", **(QUICK | {"wpm": 10.0, "pitch_hz": 700.0}))
    assert (addresses(effects, "class"), sends(effects, "class")[0].payload["pitch_hz"]) == ([SEATS], 700.0)
    assert (play.push.pitch_hz, play.push.end_ms.tolist()) == (600.0, before)
    play.to_tidying()
    play.send("EAT")
    assert (play.push.pitch_hz, play.push.speed.wpm) == (700.0, 10.0)


@pytest.mark.parametrize(
    ("name", "payload", "fault"),
    [
        ("set_sound", QUICK | {"wpm": 4.0, "overall_wpm": 4.0}, "5 to 60"),
        ("set_sound", QUICK | {"wpm": 10.0, "overall_wpm": 12.0}, "overall speed"),
        ("set_title", {"title": "   "}, "title"),
        ("set_symbols", {"symbols": "AB#"}, "#"),
        ("set_hearing", {"way": "loudspeaker", "source": 9}, "seat"),
    ],
)
def test_a_setting_that_cannot_be_is_refused(
    play: ScriptedRoom, name: str, payload: dict[str, Any], fault: str
) -> None:
    play.seat_three()
    assert fault in refusal(play.console(name, **payload))


def test_settings_are_shown_to_the_console(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_title", title="  Wednesday \n class ")
    play.console("set_symbols", symbols="NAAN")
    play.console("set_hearing", way="loudspeaker", source=2)
    play.console("hold_at_door", on=True)
    room = play.view("room")
    assert (room["code"], room["title"], room["symbols"], room["hold_at_door"]) == (
        CODE,
        "Wednesday class",
        "NA",
        True,
    )
    assert (room["hearing"], room["source"], room["sound"]) == ("loudspeaker", 2, QUICK)


# ------------------------------------------------------------------ restart


def test_a_restart_in_the_middle_of_a_push_changes_no_time(play: ScriptedRoom) -> None:
    """What the lead was then is not known any more; the journal has what came of it."""
    play.seat_three()
    play.learner(1, "report_device", sound="on", uncertainty_ms=1.0, lead_ms=2_500.0, visible=True)
    play.send("KMATN", counted=False)
    play.to_symbol(2)
    play.console("pause")
    play.now_ms += 9_000.0
    play.console("go_on")
    again = play.replayed()
    assert again.push.start_room_ms == play.push.start_room_ms
    assert again.push.shifts == play.push.shifts
    assert again.push.start_ms.tolist() == play.push.start_ms.tolist()


def test_a_restarted_room_counts_the_open_run_for_whoever_looks(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("KMATN")
    play.to_symbol(3)
    play.hears(first, 0, 3)
    play.types(first, "KMA")
    again = play.replayed()
    assert any(isinstance(effect, WakeAt) for effect in again.receive(ev.Watch("console")))
    assert again.cells() == {(sign, sign): 1 for sign in "KMA"}


def test_a_restart_does_not_teach_the_same_runs_twice(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    for text in ("KMATN", "TNKMA"):
        play.send(text)
        play.to_tidying()
        play.copies_all(first, text)
        play.console("reveal")
    again = play.replayed()
    for room in (play, again):
        room.settle()
    taught = [play.room.figures.habits[run, first] for run in (1, 2)]
    assert [again.room.figures.habits[run, first] for run in (1, 2)] == taught


def test_an_event_that_the_journal_settled_is_not_settled_again(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KMATN")
    name, body, at_ms = play.journal[-1]
    assert name == "SendText"
    assert from_record(name, body).start_room_ms == at_ms + 3_000.0  # type: ignore[union-attr]


def test_a_restart_neither_changes_the_plan_nor_forgets_the_advice(play: ScriptedRoom) -> None:
    first, second, third = play.seat_three()
    play.console("set_symbols", symbols="KMATN")
    play.console("set_course", emphasis="words", signs="KMATNRS", pins=[], meetings=12)
    play.console("plan_evening", minutes=45.0)
    play.send("KMATN KMATN KMATN KMATN")
    play.to_tidying()
    for seat in (first, second, third):
        play.copies_all(seat, "EEEEE" * 4)  # a class that is lost: the plan must change
    play.console("close")
    play.settle()
    assert play.view("advice")["choices"]
    again = play.replayed()
    again.settle()
    assert again.journal == play.journal
    assert again.view("advice") == play.view("advice")
    assert not refusal(again.console("take_choice", push=1, choice=0, send=False))


def test_the_console_is_told_of_the_stop_and_not_of_the_pause_before_it(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("KMATN")
    play.to_symbol(2)
    play.console("pause")
    play.now_ms += 5000.0
    stopped_room_ms = play.now_ms
    play.console("stop")
    assert play.view("run")["run"]["halted_room_ms"] == stopped_room_ms


def test_a_class_hears_no_composed_text_twice(play: ScriptedRoom) -> None:
    play.seat_three()
    for _ in range(3):
        play.console("send_text", **OWN | {"text": "", "purpose": "mix", "symbols": "AETN", "seed": 7})
        play.to_symbol(1)
        play.console("close")
    texts = [push.text for push in play.state.runs]
    assert len(set(texts)) == 3
    play.console("repeat")
    assert play.state.runs[-1].text == texts[-1]
