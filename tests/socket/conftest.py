"""The real server, once with eventlet as in a class and once with real threads."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from classroom import Instructor, Server

MODES = {"eventlet": (), "threading": ("--threading",)}


@pytest.fixture(scope="module", params=MODES)
def server(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for a module's tests, each of which opens a room of its own."""
    running = Server(tmp_path_factory.mktemp("socket") / "data", *MODES[request.param])
    yield running
    running.stop()


@pytest.fixture
def mortal(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Server]:
    """A server that the test may kill."""
    running = Server(tmp_path / "data", *MODES[getattr(request, "param", "eventlet")])
    yield running
    running.stop()


@pytest.fixture
def code(server: Server) -> Iterator[str]:
    """A room of its own for this test; whoever is in it goes home afterwards."""
    yield server.open_room()
    server.send_home()


@pytest.fixture
def instructor(server: Server, code: str) -> Instructor:
    person = Instructor(server, code)
    person.set_sound()
    return person
