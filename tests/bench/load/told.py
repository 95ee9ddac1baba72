"""What the bare server tells a class: the very messages of the real one, made without a room."""

from __future__ import annotations

from typing import Any

import msgspec

from copyroom.core.bursts import Speed
from copyroom.room.classroom import Classroom, Seat
from copyroom.room.figures import Figures
from copyroom.room.messages.learner import welcome_view
from copyroom.room.messages.running import push_view
from copyroom.room.run import Run


def welcome(room: Classroom, number: int, name: str) -> Any:
    return msgspec.to_builtins(welcome_view(Figures(room), Seat(number, name, "x" * 22), {}))


def push(symbols: str, text: str, now_ms: float) -> Any:
    run = Run(1, "own", symbols, text, Speed(18.0, 6.0), 600.0, now_ms + 300.0, 30e3, False, True)
    return msgspec.to_builtins(push_view(run, now_ms))
