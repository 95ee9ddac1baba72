"""One real server, real websockets: a class of thirty, breaks, a killed server, people who misbehave."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

import pytest
import requests

from classroom import PATIENCE_S, Instructor, Learner, Person, Server, cells, keys_for

CLASS = 30
TEXT = "KENNTDIESE"
BOTH = pytest.mark.parametrize("mortal", ["eventlet", "threading"], indirect=True)

Join = Callable[..., Learner]


@pytest.fixture
def join(server: Server, code: str) -> Join:
    return partial(Learner, server, code)


# ------------------------------------------------------------------ a class


def test_thirty_learners_get_one_push_and_every_stroke_is_counted_once(instructor: Instructor, join: Join):
    with ThreadPoolExecutor(8) as crowd:
        learners = list(crowd.map(join, [f"Learner {n}" for n in range(CLASS)]))
    assert len({learner.seat for learner in learners}) == CLASS
    push = instructor.send(TEXT)
    assert all(learner.wait("push") == push for learner in learners)
    for n, learner in enumerate(learners):
        learner.sounded(push["push"], len(TEXT))
        # Six of them take every K for an R, one of those leaves a blank for the last sound.
        copy = TEXT.replace("K", "R") if n % 5 == 0 else TEXT
        keys = keys_for(push, copy[:-1] + "_" if n == 0 else copy)
        learner.write(push["push"], keys[:4])
        learner.write(push["push"], keys[4:], first=4)
    for learner in learners:
        learner.kept(push["push"], len(TEXT))
    instructor.sounded_out(push)
    instructor.emit("close")
    table = instructor.wait("table", lambda table: table["final"] and table["copies"] == CLASS)
    expected = {(sign, sign): CLASS * count for sign, count in Counter(TEXT).items()}
    expected |= {("K", "K"): CLASS - 6, ("K", "R"): 6, ("E", "E"): 3 * CLASS - 1, ("E", "_"): 1}
    assert cells(table["cells"]) == expected


def test_learners_see_their_own_copy_and_no_solution_before_the_reveal(instructor: Instructor, join: Join):
    first, second = join("Wren"), join("Otter")
    push = instructor.send("KEN")
    assert push["shown"] == first.wait("push")["shown"] == ""
    first.write(push["push"], keys_for(push, "KEN"))
    second.write(push["push"], keys_for(push, "RE_"))
    for learner in (first, second):
        learner.sounded(push["push"], 3)
        learner.kept(push["push"], 3)
    instructor.sounded_out(push)
    instructor.emit("reveal")
    seen = [(r["marks"], r["right"], r["of"]) for r in (first.wait("reveal"), second.wait("reveal"))]
    assert seen == [("KEN", 3, 3), ("RE_", 1, 3)]
    assert {name for name, _ in first.told} <= {"welcome", "push", "kept", "closed", "reveal"}


def test_duplicate_nicknames_are_told_apart(instructor: Instructor, join: Join):
    first, second, third = join("Wren"), join("Wren"), join("  wren ")
    seats = {first.seat: "Wren", second.seat: "Wren 2", third.seat: "wren 3"}
    assert [learner.welcome["name"] for learner in (first, second, third)] == list(seats.values())
    told = instructor.wait("seats", lambda view: len(view["seats"]) == 3)
    assert {seat["seat"]: seat["name"] for seat in told["seats"]} == seats


# ------------------------------------------------------------------ breaks


def test_unacknowledged_strokes_sent_again_after_a_break_count_once(instructor: Instructor, join: Join):
    learner = join("Wren")
    push = instructor.send("KENDA")
    keys = keys_for(push, "KENDA")
    learner.write(push["push"], keys[:3])
    learner.leave()  # without having looked whether the strokes were acknowledged
    again = join("", learner.token)
    assert (again.seat, again.welcome["name"]) == (learner.seat, "Wren")
    assert again.welcome["push"] == push
    again.write(push["push"], keys)
    again.write(push["push"], keys[1:3], first=1)
    again.kept(push["push"], 5)
    again.clock()
    assert again.all("kept")[-1]["kept"] == 5
    copy = join("", learner.token).welcome["copy"]
    assert "".join(sign for sign, _ in copy["marks"]) == "KENDA"


def test_strokes_with_a_gap_before_them_are_refused_and_the_copy_stays(instructor: Instructor, join: Join):
    learner = join("Wren")
    push = instructor.send("KEN")
    keys = keys_for(push, "KEN")
    learner.write(push["push"], keys[2:], first=2)
    assert learner.wait("refused")["sentence"] == "Strokes 0 to 1 have not come yet."
    learner.write(push["push"], keys)
    learner.kept(push["push"], 3)
    assert [kept["kept"] for kept in learner.all("kept")] == [3]


def test_latecomer_gets_the_push_under_way(instructor: Instructor, join: Join):
    push = instructor.send(TEXT)
    late = join("Late")
    assert late.welcome["push"] == push
    assert late.welcome["push"]["phase"] in ("counting in", "sounding")


def test_a_learner_with_another_device_gets_the_old_seat_by_the_instructors_word(
    instructor: Instructor, join: Join
):
    """As a week later, from another address: nothing of the browser's storage is there."""
    before = join("Wren")
    before.leave()
    instructor.wait("seats", lambda view: any(not seat["here"] for seat in view["seats"]))
    after = join("Wren")
    told = instructor.wait("seats", lambda view: any(seat["same_as"] for seat in view["seats"]))
    (asked,) = [seat for seat in told["seats"] if seat["same_as"]]
    assert (asked["seat"], asked["name"], asked["same_as"]) == (after.seat, "Wren 2", before.seat)
    instructor.emit("make_one", {"seat": after.seat, "into": before.seat})
    instructor.wait("seats", lambda view: [seat["name"] for seat in view["seats"]] == ["Wren"])
    again = join("", after.token)  # its connection was ended, so that its page comes again
    assert (again.seat, again.welcome["name"], again.token) == (before.seat, "Wren", after.token)


@BOTH
def test_server_killed_in_the_middle_of_a_push_has_the_room_as_it_was(mortal: Server):
    code = mortal.open_room()
    instructor = Instructor(mortal, code)
    instructor.set_sound(overall_wpm=6.0)
    learners = [Learner(mortal, code, f"Learner {n}") for n in range(6)]
    push = instructor.send(TEXT * 5)
    keys = keys_for(push, TEXT * 5)
    for learner in learners:
        learner.write(push["push"], keys[:3])
        learner.kept(push["push"], 3)
        learner.write(push["push"], keys[3:5], first=3)  # may be lost: nobody waits for its acknowledgement
    mortal.kill()
    mortal.start()

    again = [Learner(mortal, code, "", learner.token) for learner in learners]
    for before, after in zip(learners, again, strict=True):
        welcome = after.welcome
        assert (after.seat, welcome["name"]) == (before.seat, before.welcome["name"])
        halted_ms = welcome["push"]["halted_room_ms"]
        told = welcome["push"]["edges"]
        assert welcome["push"] == push | {
            "phase": "paused",
            "halted_room_ms": halted_ms,
            "sent": len(TEXT * 5),
            "edges": push["edges"][: len(told)],
        }
        kept = welcome["copy"]["kept"]
        assert kept >= 3
        assert welcome["copy"]["marks"] == [[key["sign"], key["at_ms"]] for key in keys[:kept]]
        after.write(push["push"], keys)
    for learner in again:
        learner.kept(push["push"], len(keys))
    back = Instructor(mortal, code)
    assert back.wait("run")["run"]["text"] == TEXT * 5
    progress = back.wait(
        "progress", lambda view: all(copy["written"] == len(keys) for copy in view["copies"])
    )
    assert len(progress["copies"]) == len(learners)


@BOTH
def test_interrupted_server_ends_even_while_it_is_busy(mortal: Server):
    code = mortal.open_room()
    instructor = Instructor(mortal, code)
    instructor.set_sound(overall_wpm=6.0)
    learners = [Learner(mortal, code, f"Learner {n}") for n in range(6)]
    push = instructor.send(TEXT * 5)
    for learner in learners * 200:
        learner.write(push["push"], keys_for(push, TEXT * 5)[:20])
    learners[0].kept(push["push"], 20)
    assert mortal.interrupt() == 0


# ------------------------------------------------------------------ who may do what

TO_INSTRUCTORS_ONLY: dict[str, Any] = {
    "watch": {"code": "", "view": "console"},
    "set_title": {"title": "Mine"},
    "set_sound": {"wpm": 5.0, "overall_wpm": 5.0, "pitch_hz": 300.0, "lead_in_s": 0.0, "tidy_s": 0.0},
    "set_hearing": {"way": "home", "source": 0},
    "set_symbols": {"symbols": "E"},
    "hold_at_door": {"on": True},
    "compose": {"purpose": "own", "symbols": "", "count": 1, "group": 1, "text": "E", "seed": 0},
    "send_text": {
        **{"purpose": "own", "symbols": "", "count": 1, "group": 1, "text": "E"},
        **{"name_shown": True, "counted": False, "seed": 0},
    },
    **{event: {} for event in ("pause", "go_on", "stop", "repeat", "close", "reveal")},
    **{event: {"seat": 1} for event in ("let_in", "seen_help")},
    "remove_seats": {"seats": [1]},
    "rename": {"seat": 1, "name": "Me"},
    "add_seat": {"name": "Me"},
    "show_cell": {"sent": "E", "written": "T", "scope": "run"},
}


def test_seat_cannot_act_as_instructor(instructor: Instructor, join: Join):
    learner = join("Wren")
    push = instructor.send(TEXT)
    instructor.wait("seats")
    before = [instructor.view(part) for part in ("room", "seats", "run")]
    for event, payload in TO_INSTRUCTORS_ONLY.items():
        learner.forget()
        learner.emit(event, payload)
        assert learner.wait("refused")["sentence"] == "Only the instructor's console may do that.", event
        assert [name for name, _ in learner.told if name != "push"] == ["refused"], event
    after = [instructor.view(part) for part in ("room", "seats", "run")]
    before[2]["run"].pop("phase"), after[2]["run"].pop("phase")
    assert after == before
    assert push["push"] == after[2]["run"]["push"]


def test_seat_cannot_write_or_hand_in_for_another(instructor: Instructor, join: Join):
    wren, otter = join("Wren"), join("Otter")
    push = instructor.send("KEN")
    fields = {"push": push["push"], "seat": otter.seat}
    wren.emit("write_keys", fields | {"first": 0, "keys": keys_for(push, "KEN")})
    wren.emit("hand_in", fields)
    wren.wait("refused")
    wren.clock()
    assert [told["sentence"] for told in wren.all("refused")] == ["That is not your seat."] * 2
    copy = join("", otter.token).welcome["copy"]
    assert (copy["marks"], copy["handed_in"]) == ([], False)


def test_instructor_keys_in_a_sheet_for_a_seat_without_a_device(instructor: Instructor):
    instructor.emit("add_seat", {"name": "Paper"})
    (seat,) = instructor.wait("seats", lambda view: view["seats"])["seats"]
    push = instructor.send("KEN")
    instructor.sounded_out(push)
    sheet = {"push": push["push"], "seat": seat["seat"], "first": 0, "keys": keys_for(push, "KEN")}
    assert instructor.ask("write_keys", sheet, "kept") == {
        "push": push["push"],
        "seat": seat["seat"],
        "kept": 3,
    }


def test_guessed_token_gives_a_new_seat_and_not_somebodys(join: Join):
    wren = join("Wren")
    guess = join("Guess", wren.token[:-1])
    assert guess.seat != wren.seat


def test_wrong_console_secret_opens_nothing(server: Server, code: str):
    answer = requests.post(f"{server.url}/enter", json={"secret": "guess"}, timeout=PATIENCE_S)
    assert (answer.status_code, dict(answer.cookies)) == (403, {})
    forger = Person(server, "copyroom_console=instructor")
    assert (
        "instructor's console" in forger.ask("watch", {"code": code, "view": "wall"}, "refused")["sentence"]
    )


def test_wrong_code_is_answered_with_a_sentence(server: Server):
    stranger = Person(server)
    answer = stranger.ask("join", {"code": "NONE-0000", "name": "Wren", "token": ""}, "refused")
    assert "no room with that code" in answer["sentence"]


# ------------------------------------------------------------------ what is no message of ours

NO_MESSAGES: list[tuple[str, Any]] = [
    ("write_keys", None),
    ("write_keys", 7),
    ("write_keys", "keys"),
    ("write_keys", []),
    ("write_keys", {}),
    ("write_keys", {"push": 1, "first": 3, "keys": []}),
    ("write_keys", {"push": 1, "first": -1, "keys": [{"at_ms": 1.0, "sign": "E"}]}),
    ("write_keys", {"push": 99, "first": 3, "keys": [{"at_ms": 1.0, "sign": "E"}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1.0, "sign": "EE"}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1.0, "sign": "#"}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": "now", "sign": "E"}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1e300, "sign": "E"}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1.0}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1.0, "sign": "E", "more": 1}]}),
    ("write_keys", {"push": 1, "first": 3, "keys": [{"at_ms": 1.0, "sign": "E"}] * 201}),
    ("write_keys", {"push": True, "first": 3, "keys": [{"at_ms": 1.0, "sign": "E"}]}),
    ("report_sounded", {"push": 1, "spans": [[0]]}),
    ("report_sounded", {"push": 1, "spans": [[-1, 2]]}),
    ("report_sounded", {"push": 1, "spans": [{"start": 0}]}),
    ("report_device", {"sound": "loud", "uncertainty_ms": 1.0, "lead_ms": 1.0, "visible": True}),
    ("choose_way", {"way": "both"}),
    ("hand_in", {"push": "1"}),
    ("join", {"code": "", "name": "x" * 25, "token": ""}),
    ("join", {"code": ["x"], "name": "x", "token": ""}),
]


def test_each_malformed_event_gets_one_sentence_and_touches_nothing(instructor: Instructor, join: Join):
    learner, other = join("Wren"), join("Otter")
    push = instructor.send("KEN")
    learner.write(push["push"], keys_for(push, "KEN"))
    learner.kept(push["push"], 3)
    for event, payload in NO_MESSAGES:
        learner.forget()
        learner.emit(event, payload)
        sentence = learner.wait("refused")["sentence"]
        assert re.fullmatch(r"[A-Z].{5,200}\.", sentence), (event, payload)
        learner.clock()
        assert len(learner.told) == 1, (event, payload, learner.told)
    assert other.all("refused") == []
    copy = join("", learner.token).welcome["copy"]
    assert ("".join(sign for sign, _ in copy["marks"]), copy["kept"]) == ("KEN", 3)


def test_message_far_too_large_ends_only_its_own_connection(instructor: Instructor, join: Join):
    learner, other = join("Wren"), join("Otter")
    learner.emit("join", {"code": "x", "name": "x" * 300_000, "token": ""})
    other.clock()
    instructor.wait("seats", lambda view: any(s["name"] == "Wren" and not s["here"] for s in view["seats"]))
    assert other.wait("welcome")["name"] == "Otter"
    assert join("", learner.token).seat == learner.seat


def test_unknown_event_gets_one_sentence_and_touches_nothing(join: Join):
    learner = join("Wren")
    learner.forget()
    learner.emit("sudo", {"seat": 1})
    learner.clock()
    assert learner.told == [("refused", {"sentence": "That event is not known.", "about": "sudo"})]
