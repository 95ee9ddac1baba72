"""A lobby that nobody comes to."""

from __future__ import annotations

import time

from copyroom.shell.budget import Addresses
from copyroom.shell.lobby import Lobby


def empty_lobby() -> Lobby:
    def pause(_s: float) -> None:
        pass

    return Lobby(Addresses(time.monotonic, pause), time.monotonic, pause, most=10)
