"""Two servers on one PostgreSQL: a room is one's at a time, and the other has it when that one dies."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

import postgresql
from classroom import Instructor, Learner, Person, Server, keys_for

TEXT = "KENNTDIESE"
HELD = 3


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[tuple[Server, Server]]:
    """They share the folder, so that one console's link opens both."""
    database = ("--database", postgresql.new_database())
    servers = [Server(tmp_path / "data", *database) for _ in range(2)]
    yield servers[0], servers[1]
    for server in servers:
        server.stop()


def test_a_room_whose_server_is_killed_goes_on_at_another_with_nothing_lost(pair: tuple[Server, Server]):
    first, second = pair
    code = first.open_room()
    instructor = Instructor(first, code)
    instructor.set_sound(overall_wpm=6.0)
    learners = [Learner(first, code, f"Learner {n}") for n in range(4)]
    push = instructor.send(TEXT * 5)
    keys = keys_for(push, TEXT * 5)
    for learner in learners:
        learner.write(push["push"], keys[:HELD])
        learner.kept(push["push"], HELD)
        learner.write(push["push"], keys[HELD:5], first=HELD)  # nobody waits for its acknowledgement
    asked = {"code": code, "name": "Early", "token": ""}
    sentence = Person(second).ask("join", asked, "refused")["sentence"]
    assert sentence == f"Room {code} is open in another server, {first.url}."
    first.kill()
    for learner in learners:
        again = Learner(second, code, "", learner.token)
        assert (again.seat, again.welcome["name"]) == (learner.seat, learner.welcome["name"])
        assert again.welcome["copy"]["kept"] >= HELD
        again.write(push["push"], keys)
        again.kept(push["push"], len(keys))
    marks = Learner(second, code, "", learners[0].token).welcome["copy"]["marks"]
    assert "".join(sign for sign, _ in marks) == TEXT * 5
    assert Instructor(second, code).wait("run")["run"]["text"] == TEXT * 5
