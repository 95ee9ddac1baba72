"""Who is in the room: seats, names, the door, and what a seat cannot do."""

from __future__ import annotations

import pytest

from copyroom import wire
from copyroom.core.slices import finish
from copyroom.room import events as ev
from copyroom.room.classroom import LONGEST_LEAD_MS, SHORTEST_LEAD_MS
from copyroom.room.effects import SEATS, Effect, Listening, Save, Seated, Unseat
from copyroom.room.record import grounds_of_room
from scripted_room import CODE, ScriptedRoom, addresses, refusal, sends


def names(play: ScriptedRoom) -> list[str]:
    return [seat["name"] for seat in play.view("seats")["seats"]]


def test_a_newcomer_is_saved_seated_and_welcomed_in_this_order(play: ScriptedRoom) -> None:
    effects = play.join("Amber")
    kinds = [type(effect).__name__ for effect in effects]
    assert kinds == ["Save", "Seated", "Listening", "Send", "WakeAt"]
    welcome = sends(effects, "welcome")[0].payload
    assert (welcome["code"], welcome["seat"], welcome["name"], welcome["inside"]) == (
        CODE,
        1,
        "Amber",
        True,
    )
    assert (welcome["push"], welcome["copy"], welcome["reveal"]) == (None, None, None)


@pytest.mark.parametrize(
    ("joined", "shown"),
    [
        (["Amber", "Amber"], ["Amber", "Amber 2"]),
        (["Amber", "amber", "AMBER"], ["Amber", "amber 2", "AMBER 3"]),
        (["Amber 2", "Amber", "Amber"], ["Amber 2", "Amber", "Amber 3"]),
        (["  Am \t ber ", "Am ber"], ["Am ber", "Am ber 2"]),
        (["7", "7"], ["7", "7 2"]),
        (["Straße", "STRASSE"], ["Straße", "STRASSE 2"]),
        (["Ren\u00e9", "Rene\u0301"], ["Ren\u00e9", "Ren\u00e9 2"]),  # one name, typed in two ways
        (["Amber", "Am\u200bber"], ["Amber", "Amber 2"]),  # an unseen sign tells nobody apart
        (["<b>Amber</b>"], ["<b>Amber</b>"]),  # a name is text, never markup
    ],
)
def test_duplicate_nicknames_are_told_apart(play: ScriptedRoom, joined: list[str], shown: list[str]) -> None:
    for name in joined:
        play.join(name)
    assert names(play) == shown


@pytest.mark.parametrize("name", ["", "   ", "\t\n", "\u200b\u200b", "\u202e"])
def test_a_name_that_nobody_can_see_is_refused(play: ScriptedRoom, name: str) -> None:
    assert refusal(play.join(name)) == "Choose a nickname or a seat number first."
    assert not play.state.seats


def test_renaming_keeps_names_apart(play: ScriptedRoom) -> None:
    play.seat_three()
    assert sends(play.console("rename", seat=2, name="amber"), "renamed")[0].payload == {"name": "amber 2"}
    assert sends(play.console("rename", seat=2, name="Amber 2"), "renamed")[0].payload == {"name": "Amber 2"}
    assert refusal(play.console("rename", seat=2, name=" ")) != ""
    assert names(play) == ["Amber", "Amber 2", "Cedar"]


def test_a_token_brings_the_same_seat_back_with_its_copy(play: ScriptedRoom) -> None:
    first, *_ = play.seat_three()
    play.send("ATNKMR")
    play.to_symbol(3)
    play.types(first, "ATN")
    token = play.state.seats[first].token
    play.receive(wire.ev.Leave(first))
    effects = play.join("Somebody else", token)
    welcome = sends(effects, "welcome")[0].payload
    assert Seated(first) in effects
    assert (welcome["seat"], welcome["name"], welcome["push"]["phase"]) == (first, "Amber", "sounding")
    assert [sign for sign, _ in welcome["copy"]["marks"]] == list("ATN")
    assert (welcome["copy"]["kept"], welcome["push"]["push"]) == (3, 1)
    assert len(play.state.seats) == 3


def test_an_unknown_token_is_no_key_to_any_seat(play: ScriptedRoom) -> None:
    play.seat_three()
    assert sends(play.join("Dahlia", "no such token"), "welcome")[0].payload["seat"] == 4
    assert sends(play.join("Erle", ""), "welcome")[0].payload["seat"] == 5


def test_a_seat_that_is_away_is_shown_as_away(play: ScriptedRoom) -> None:
    play.seat_three()
    play.learner(2, "report_device", sound="on", uncertainty_ms=4.0, lead_ms=250.0, visible=False)
    seat = play.view("seats")["seats"][1]
    assert (seat["here"], seat["sound"], seat["uncertainty_ms"], seat["visible"]) == (True, "on", 4.0, False)
    play.receive(wire.ev.Leave(2))
    seat = play.view("seats")["seats"][1]
    assert (seat["here"], seat["sound"]) == (False, "off")


# ------------------------------------------------------------------ who cannot hear


def asks(play: ScriptedRoom) -> list[bool]:
    return [seat["asks_help"] for seat in play.view("seats")["seats"]]


def told_of_help(effects: list[Effect]) -> list[tuple[int | str, bool]]:
    return [(send.to, send.payload["asks"]) for send in sends(effects, "help")]


@pytest.fixture
def calling(play: ScriptedRoom) -> ScriptedRoom:
    """Three whose browsers say that they sound; the second hears nothing."""
    for seat in play.seat_three():
        play.sound(seat, "on")
    assert told_of_help(play.learner(2, "cannot_hear")) == [(2, True)]
    return play


def test_a_call_for_help_stays_while_the_browser_says_that_it_sounds(calling: ScriptedRoom) -> None:
    for _ in range(3):
        assert told_of_help(calling.sound(2, "on")) == []
    assert asks(calling) == [False, True, False]


def test_a_connection_that_comes_back_is_no_sound_that_comes_back(calling: ScriptedRoom) -> None:
    calling.receive(wire.ev.Leave(2))
    welcome = sends(calling.join("", calling.state.seats[2].token), "welcome")[0].payload
    assert welcome["asks_help"], "the page still says so, too"
    calling.sound(2, "on")
    assert asks(calling) == [False, True, False]


def test_who_hears_it_now_says_so(calling: ScriptedRoom) -> None:
    assert told_of_help(calling.learner(2, "hear_now")) == [(2, False)]
    assert asks(calling) == [False, False, False]


def test_sound_that_comes_back_after_it_was_lost_ends_the_call_for_help(calling: ScriptedRoom) -> None:
    assert told_of_help(calling.sound(2, "lost")) == []
    assert told_of_help(calling.sound(2, "on")) == [(2, False)]
    assert asks(calling) == [False, False, False]


def test_sound_that_was_off_at_the_call_ends_it_when_it_comes_on(play: ScriptedRoom) -> None:
    play.seat_three()
    play.learner(1, "cannot_hear")
    play.sound(1, "on")
    assert asks(play) == [False, False, False]


def test_sound_that_came_back_before_the_call_does_not_answer_it(calling: ScriptedRoom) -> None:
    calling.sound(3, "lost")
    calling.sound(3, "on")
    calling.learner(3, "cannot_hear")
    calling.sound(3, "on")
    assert asks(calling) == [False, True, True]


def test_a_call_that_the_instructor_has_seen_is_over_on_the_page_too(calling: ScriptedRoom) -> None:
    assert told_of_help(calling.console("seen_help", seat=2)) == [(2, False)]
    assert asks(calling) == [False, False, False]


# ------------------------------------------------------------------ the door


@pytest.fixture
def waiting(play: ScriptedRoom) -> ScriptedRoom:
    """Three are in and hear a run; Dahlia waits at the door as seat 4."""
    play.seat_three()
    play.console("hold_at_door", on=True)
    effects = play.join("Dahlia")
    assert not any(isinstance(effect, Listening) for effect in effects)
    play.send("ATNKMR")
    play.to_symbol(2)
    return play


def test_who_waits_is_told_of_no_push(waiting: ScriptedRoom) -> None:
    welcome = sends(waiting.join("", waiting.state.seats[4].token), "welcome")[0].payload
    assert (welcome["inside"], welcome["push"], welcome["copy"]) == (False, None, None)


def test_who_waits_cannot_write_report_or_hand_in(waiting: ScriptedRoom) -> None:
    no = "Your instructor has not let you in yet."
    keys = [{"at_ms": 100.0, "sign": "A"}]
    assert refusal(waiting.learner(4, "write_keys", push=1, first=0, keys=keys)) == no
    assert refusal(waiting.learner(4, "report_sounded", push=1, spans=[[0, 2]])) == no
    assert refusal(waiting.learner(4, "hand_in", push=1)) == no


def test_who_waits_is_not_shown_the_text(waiting: ScriptedRoom) -> None:
    waiting.console("close")
    assert addresses(waiting.console("reveal"), "reveal") == [1, 2, 3]


def test_who_waits_does_not_slow_the_class_down(waiting: ScriptedRoom) -> None:
    waiting.learner(4, "report_device", sound="on", uncertainty_ms=4.0, lead_ms=60_000.0, visible=True)
    assert waiting.state.lead_ms() == SHORTEST_LEAD_MS


def test_who_is_let_in_hears_the_rest(waiting: ScriptedRoom) -> None:
    effects = waiting.console("let_in", seat=4)
    assert Listening(4) in effects
    welcome = sends(effects, "welcome")[0]
    assert (welcome.to, welcome.payload["inside"], welcome.payload["push"]["push"]) == (4, True, 1)
    waiting.hears(4, 2)
    waiting.to_tidying()
    assert not refusal(waiting.types(4, "NKMR", start=2))
    waiting.console("close")
    assert waiting.cells() == {(sign, sign): 1 for sign in "NKMR"}


def test_a_journal_that_says_it_in_older_words_gives_the_same_room(waiting: ScriptedRoom) -> None:
    waiting.console("let_in", seat=4)
    older = {"HoldAtDoor": "SetWaitingRoom", "LetIn": "Admit"}
    assert older.keys() <= {name for name, *_ in waiting.journal}
    waiting.journal = [(older.get(name, name), body, at_ms) for name, body, at_ms in waiting.journal]
    waiting.form = 1
    again = waiting.replayed()
    assert again.durable_views() == waiting.durable_views()
    assert (again.state.hold_at_door, again.state.seats[4].inside) == (True, True)


# ------------------------------------------------------------------ without a device, and taken out


def test_a_seat_without_a_device_is_keyed_from_the_console(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("add_seat", name="Dahlia")
    play.send("ATNKM")
    play.to_tidying()
    play.now_ms += 600_000.0  # papers are collected when the class has gone home
    keys = [{"at_ms": 0.0, "sign": sign} for sign in "AT_KM"]
    assert not refusal(play.console("write_keys", push=1, first=0, keys=keys, seat=4))
    assert addresses(play.console("hand_in", push=1, seat=4), "handed_in") == ["sender"]
    play.console("close")
    assert play.cells() == {(sign, sign): 1 for sign in "ATKM"} | {("N", "_"): 1}
    seat = play.view("seats")["seats"][3]
    assert (seat["name"], seat["way"], seat["device"], seat["here"]) == ("Dahlia", "paper", False, True)


def test_removing_a_seat_takes_its_copies_out_of_every_figure(play: ScriptedRoom) -> None:
    first, second, _ = play.seat_three()
    for text in ("ATNKM", "KMATN"):
        play.send(text)
        play.to_tidying()
        play.copies_all(first, text)
        play.copies_all(second, "E" * 5)
    effects = play.console("remove_seats", seats=[second])
    assert addresses(effects, "removed") == [second]
    assert Unseat(second) in effects
    play.console("close")
    right = {(sign, sign): 2 for sign in "ATNKM"}
    assert play.cells("evening") == right
    assert play.view("table")["copies"] == 1
    assert [seat for seat in play.view("progress")["copies"] if seat["seat"] == second] == []
    assert (
        refusal(play.learner(second, "write_keys", push=1, first=0, keys=[{"at_ms": 1.0, "sign": "A"}])) != ""
    )


def test_removing_a_seat_while_its_copy_is_aligned_leaves_nothing_of_it(play: ScriptedRoom) -> None:
    first, second, third = play.seat_three()
    play.send("ATNKM")
    play.to_tidying()
    for seat in (first, second, third):
        play.copies_all(seat, "ATNKM")
    play.console("close")
    play.tick()
    play.console("remove_seats", seats=[third])
    assert play.cells() == {(sign, sign): 2 for sign in "ATNKM"}


@pytest.mark.parametrize("slices", range(0, 60, 4))
def test_whenever_a_seat_goes_in_the_work_after_a_run_no_finding_is_of_it(slices: int) -> None:
    play = ScriptedRoom()
    for seat in play.seat_three():
        if seat == 1:
            play.send("ATNKM")
            play.to_tidying()
        play.copies_all(seat, "ATNKM")
    play.console("close")
    for _ in range(slices):
        play.tick()
    play.console("remove_seats", seats=[3])
    found = play.view("findings")
    for scope in ("run", "evening", "course"):
        assert {sign: sendings for sign, _, sendings, *_ in found[scope]["recall"]} == dict.fromkeys(
            "ATNKM", 2
        )
    assert finish(grounds_of_room(play.room.figures)).knowledge.names == ("1", "2")


def test_the_loudspeaker_is_not_taken_out_with_its_seat(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_hearing", way="loudspeaker", source=2)
    told = sends(play.console("remove_seats", seats=[2]), "class")
    assert [(s.to, s.payload["source"]) for s in told] == [(SEATS, 0)]
    assert play.view("room")["source"] == 0


def test_a_seat_that_is_gone_can_be_asked_for_nothing(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("remove_seats", seats=[2])
    for name, payload in [
        ("let_in", {}),
        ("rename", {"name": "X"}),
        ("seen_help", {}),
        ("show_sheet", {}),
    ]:
        assert refusal(play.console(name, seat=2, **payload)) == "That seat is not in this room any more."
    assert refusal(play.console("remove_seats", seats=[1, 2])) == "That seat is not in this room any more."
    assert refusal(play.console("set_hearing", way="loudspeaker", source=2)) != ""


def test_numbers_of_seats_are_not_used_again(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("remove_seats", seats=[3])
    assert sends(play.join("Dahlia"), "welcome")[0].payload["seat"] == 4


# ------------------------------------------------------------------ lead


@pytest.mark.parametrize(
    ("leads_ms", "lead_ms"),
    [
        ([], SHORTEST_LEAD_MS),
        ([0.0], SHORTEST_LEAD_MS),
        ([250.0, 900.0], 900.0),
        ([250.0, 60_000.0], LONGEST_LEAD_MS),
    ],
)
def test_the_lead_is_the_slowest_browsers_within_bounds(
    play: ScriptedRoom, leads_ms: list[float], lead_ms: float
) -> None:
    play.seat_three()
    for seat, lead in enumerate(leads_ms, 1):
        play.learner(seat, "report_device", sound="on", uncertainty_ms=1.0, lead_ms=lead, visible=True)
    push = play.send("ATN", counted=False)
    assert push.start_room_ms == play.now_ms + lead_ms


def test_way_of_copying_holds_from_the_next_stroke_on_only_if_there_is_none_yet(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("ATNKM")
    play.to_symbol(2)
    play.types(1, "AT")
    play.learner(1, "choose_way", way="paper")
    play.learner(2, "choose_way", way="paper")
    assert [play.copies[1, seat].way for seat in (1, 2, 3)] == ["typing", "paper", "typing"]
    play.to_tidying()
    play.send("KM")
    assert [play.copies[2, seat].way for seat in (1, 2, 3)] == ["paper", "paper", "typing"]


def test_nothing_of_presence_is_journaled(play: ScriptedRoom) -> None:
    play.seat_three()
    before = len(play.journal)
    play.learner(1, "report_device", sound="on", uncertainty_ms=4.0, lead_ms=250.0, visible=True)
    play.learner(1, "cannot_hear")
    play.console("seen_help", seat=1)
    assert not any(isinstance(effect, Save) for effect in play.receive(wire.ev.Leave(1)))
    assert len(play.journal) == before


def listed(play: ScriptedRoom) -> dict[str, bool]:
    """Who stands on the console's list -> whether long away."""
    return {seat["name"]: seat["long_away"] for seat in play.views()["seats"]["seats"]}


def test_who_was_not_seen_since_an_earlier_meeting_is_long_away(play: ScriptedRoom) -> None:
    play.console("open_meeting")
    play.seat_three()
    amber, birch, cedar = play.state.seats.values()
    play.console("add_seat", name="Dahlia")
    for seat in (amber, cedar):
        play.receive(wire.ev.Leave(seat.id))
    assert not any(listed(play).values()), "who was here this evening is only away"
    play.send("ATN")
    play.console("stop", push=1, seen="sounding")
    play.console("close", push=1, seen="tidying")
    play.console("open_meeting")
    assert listed(play) == {amber.name: True, birch.name: False, cedar.name: True, "Dahlia": False}
    play.receive(wire.ev.Leave(birch.id))
    play.join("", amber.token)
    assert listed(play) == {amber.name: False, birch.name: False, cedar.name: True, "Dahlia": False}


def test_an_earlier_day_on_which_nothing_was_sent_is_an_earlier_meeting_too(play: ScriptedRoom) -> None:
    play.receive(wire.ev.OpenMeeting(20_000))
    play.join("Amber")
    play.receive(wire.ev.Leave(1))
    play.receive(wire.ev.OpenMeeting(20_000))
    assert listed(play) == {"Amber": False}
    play.receive(wire.ev.OpenMeeting(20_007))
    assert listed(play) == {"Amber": True}


def test_clearing_takes_the_long_away_off_the_list_and_nothing_out_of_the_figures(play: ScriptedRoom) -> None:
    play.console("open_meeting")
    play.seat_three()
    play.send("ATN")
    play.to_tidying()
    play.copies_all(1, "ATN")
    play.console("close", push=1, seen="tidying")
    amber, birch, cedar = play.state.seats.values()
    for seat in (amber, birch):
        play.receive(wire.ev.Leave(seat.id))
    play.console("open_meeting")
    before = play.cells("course")
    assert before
    play.console("clear_away")
    assert list(listed(play)) == [cedar.name]
    assert play.cells("course") == before
    assert list(listed(play.replayed())) == [cedar.name], "and so it stays after a restart"
    play.join("", amber.token)
    assert list(listed(play)) == [amber.name, cedar.name]
    assert list(listed(play.replayed())) == [amber.name, cedar.name]


def test_what_has_been_met_is_kept_by_seat(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_symbols", symbols="KMS")
    play.send("KMKM")
    play.to_tidying()
    play.copies_all(1, "KMKM")
    play.hears(2, 0, 1)
    play.console("close")
    lacks = {seat["seat"]: seat["not_met"] for seat in play.view("seats")["seats"]}
    assert lacks == {1: "", 2: "M", 3: "KM"}, "S has not sounded yet: nobody lacks it"
    again = play.replayed()
    assert {seat.id: seat.met for seat in again.state.seats.values()} == {1: "KM", 2: "K", 3: ""}
    play.join("Dahlia")
    assert play.view("seats")["seats"][-1]["not_met"] == "KM"


def test_when_as_many_are_in_as_were_expected_the_door_shuts_by_itself(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("set_class_size", size=5)
    for name in ("Dahlia", "Erle"):
        assert not refusal(play.join(name))
    assert play.view("room")["shut"] == "full"
    assert "shut" in refusal(play.join("Fern"))
    assert not refusal(play.join("", token=play.state.seats[1].token)), "who has a seat comes in as ever"
    play.console("shut_door", on=False)
    assert not refusal(play.join("Fern"))
    assert play.view("room")["class_size"] > 6


def test_a_door_shut_by_hand_stays_shut_until_it_is_opened(play: ScriptedRoom) -> None:
    play.seat_three()
    play.console("shut_door", on=True)
    play.console("set_class_size", size=100)
    assert "shut" in refusal(play.join("Dahlia"))
    assert not refusal(play.console("add_seat", name="Erle")), "the instructor's own hand is no newcomer"
    play.console("shut_door", on=False)
    assert not refusal(play.join("Dahlia"))


def test_those_of_earlier_evenings_do_not_fill_the_room(play: ScriptedRoom) -> None:
    play.seat_three()
    play.send("E")
    play.to_tidying()
    play.console("close")
    play.console("set_class_size", size=4)
    play.receive(ev.OpenMeeting(20_001))
    for name in ("Dahlia", "Erle", "Fern"):
        assert not refusal(play.join(name))
    assert play.view("room")["shut"] == ""


def test_a_class_larger_than_was_expected_is_whole_after_a_restart() -> None:
    """An older journal knows of no expectation: nobody in it is turned away afterwards."""
    play = ScriptedRoom()
    play.console("set_class_size", size=1000)
    for n in range(70):
        play.join(f"Learner {n}")
    play.journal = [record for record in play.journal if record[0] != "SetClassSize"]
    again = play.replayed()
    assert len(again.state.seats) == 70
    assert again.state.shut == "full"
