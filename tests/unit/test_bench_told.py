"""The bare server of the load bench tells what the real one tells."""

from __future__ import annotations

from bench.load import told
from copyroom.room.classroom import Classroom


def test_the_bare_server_tells_a_class_what_the_real_one_does() -> None:
    assert told.welcome(Classroom("BARE"), 2, "Wren")["seat"] == 2
    assert len(told.push("ET", "ET TE", 0.0)["edges"]) == 4
