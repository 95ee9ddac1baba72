"""A scripted room for the tests of the room; each is held to its journal when its test ends."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from scripted_room import ScriptedRoom


@pytest.fixture
def play() -> Iterator[ScriptedRoom]:
    """A room driven by a script. Whatever was played, replaying its journal gives the same room."""
    scripted = ScriptedRoom()
    yield scripted
    again = scripted.replayed()
    assert again.durable_views() == scripted.durable_views()
