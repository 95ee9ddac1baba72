"""Servers that are killed again and again: a room's next one has all that was acknowledged, once.

On SQLite it is the same server anew, on PostgreSQL another one on the same database.
"""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from socketio.exceptions import SocketIOError

import postgresql
from classroom import Instructor, Learner, Person, Server, keys_for

TEXT = "KENNTDIESE"
WRITERS = 4


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[tuple[Server, Server]]:
    """They share the folder, so that one console's link opens both."""
    database = ("--database", postgresql.new_database())
    servers = [Server(tmp_path / "data", *database) for _ in range(2)]
    yield servers[0], servers[1]
    for server in servers:
        server.stop()


def test_a_room_whose_server_is_killed_goes_on_at_another_three_times_over(
    pair: tuple[Server, Server],
):
    first, second = pair
    code = first.open_room()
    instructor = Instructor(first, code)
    instructor.set_sound(overall_wpm=6.0)
    learners = [Learner(first, code, f"Learner {n}") for n in range(4)]
    push = instructor.send(TEXT * 5)
    keys = keys_for(push, TEXT * 5)
    for learner in learners:
        learner.write(push["push"], keys[:5])
        learner.kept(push["push"], 5)
    asked = {"code": code, "name": "Early", "token": ""}
    sentence = Person(second).ask("join", asked, "refused")["sentence"]
    assert sentence == f"Room {code} is open in another server, {first.url}."
    for stop, (here, there) in zip((10, 15, 20), ((first, second), (second, first)) * 2, strict=False):
        for learner in learners:
            learner.write(push["push"], keys[:stop])  # nobody waits for its acknowledgement
        here.kill()
        learners = [Learner(there, code, "", learner.token) for learner in learners]
        for learner in learners:
            copy = learner.welcome["copy"]
            assert copy["kept"] >= stop - 5
            assert copy["marks"] == [[key["sign"], key["at_ms"]] for key in keys[: copy["kept"]]]
            learner.write(push["push"], keys[:stop])
            learner.kept(push["push"], stop)
        if stop < 20:
            here.start()
    assert [learner.seat for learner in learners] == [1, 2, 3, 4]
    assert Instructor(there, code).wait("run")["run"]["text"] == TEXT * 5


def test_nothing_is_lost_or_doubled_by_five_kills_at_any_moment(tmp_path: Path):
    """Also between a commit and its answer: nobody waits for acknowledgements, and all say it again."""
    rng, server = random.Random(20), Server(tmp_path / "data")
    try:
        code = server.open_room()
        instructor = Instructor(server, code)
        instructor.set_sound(overall_wpm=6.0)
        learners = [Learner(server, code, f"Learner {n}") for n in range(WRITERS)]
        push = instructor.send(TEXT * 5)
        keys = keys_for(push, TEXT * 5)
        acknowledged = [0] * WRITERS
        for stop in range(10, 60, 10):
            writing = threading.Thread(target=write_all, args=(learners, push["push"], keys[:stop]))
            writing.start()
            time.sleep(rng.uniform(0.0, 0.08))
            server.kill()
            writing.join()
            for n, learner in enumerate(learners):
                told = [kept["kept"] for kept in learner.all("kept")]
                acknowledged[n] = max([acknowledged[n], *told])
            server.start()
            learners = [Learner(server, code, "", learner.token) for learner in learners]
            for n, learner in enumerate(learners):
                copy = learner.welcome["copy"]
                assert copy["kept"] >= acknowledged[n], "an acknowledged stroke is gone"
                assert copy["marks"] == [[key["sign"], key["at_ms"]] for key in keys[: copy["kept"]]]
                learner.write(push["push"], keys[:stop])
                learner.kept(push["push"], stop)
                acknowledged[n] = stop
    finally:
        server.stop()


def write_all(learners: list[Learner], push: int, keys: list[dict[str, Any]]) -> None:
    with suppress(SocketIOError):  # its server is gone
        for learner in learners:
            learner.write(push, keys)
