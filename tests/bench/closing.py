"""Closing a run of a large class: how long the event loop is held at a time.

The room works in slices, one at each tick; between two ticks strokes and clock exchanges are served. The
longest call of `Room.receive` is what one of them may have to wait. Learners are invented: they write
what was sent with a share of errors, as fast as they hear it.
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from copyroom.room import events as ev
from copyroom.room.room import Room

SYMBOLS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def class_at_work(learners: int, sounds: int, errors: float) -> tuple[Room, float]:
    """A room in which everybody has written everything, and the time it is there."""
    room, rng = Room("BENCH-0000"), np.random.default_rng(1)
    for n in range(learners):
        room.receive(ev.Join(f"Learner {n}", "", f"token {n}"), 0.0)
    room.receive(ev.SetSymbols(SYMBOLS), 0.0)
    room.receive(ev.SendText("mix", SYMBOLS, sounds, 5, "", False, True, 1), 0.0)
    push = room.state.open_run
    assert push is not None
    now_ms = push.start_room_ms + push.last_end_ms + 2000.0
    for seat in room.state.seats:
        room.receive(ev.ReportSounded(seat, 1, ((0, sounds),)), now_ms)
        wrong = rng.random(sounds) < errors
        signs = np.where(wrong, rng.choice(list(SYMBOLS), sounds), list(push.sent))
        lags_ms = rng.lognormal(np.log(700.0), 0.3, sounds)
        keys = tuple(
            ev.Key(float(t), str(sign)) for t, sign in zip(np.sort(push.end_ms + lags_ms), signs, strict=True)
        )
        for first in range(0, sounds, 100):
            room.receive(ev.WriteKeys(seat, 1, first, keys[first : first + 100], seat), now_ms)
    return room, now_ms


def held_ms(room: Room, event: ev.Event, now_ms: float) -> list[float]:
    """Milliseconds of CPU of this event and of every tick that it asks for, until the room rests."""
    held: list[float] = []
    while True:
        begun = time.process_time()
        room.receive(event, now_ms)
        held.append((time.process_time() - begun) * 1000.0)
        if room.state.wake_at_ms is None:
            return held
        event, now_ms = ev.Tick(), max(now_ms, room.state.wake_at_ms)


def main(argv: list[str]) -> None:
    """Print the longest hold and the whole work of closing."""
    parser = argparse.ArgumentParser(prog="closing", description=__doc__.splitlines()[0])
    parser.add_argument("--learners", type=int, default=300)
    parser.add_argument("--sounds", type=int, default=500)
    parser.add_argument("--errors", type=float, default=0.3)
    args = parser.parse_args(argv)
    room, now_ms = class_at_work(args.learners, args.sounds, args.errors)
    room.receive(ev.Watch("console"), now_ms)
    for _ in range(args.learners):  # what a run at hand does at its leisure
        now_ms += 1000.0
        room.receive(ev.Tick(), now_ms)
    held = held_ms(room, ev.Close(), now_ms + 10_000.0)
    print(f"closing {args.learners} copies of {args.sounds} sounds: {len(held)} turns of the loop,")
    print(
        f"longest {max(held):.1f} ms, then {', '.join(f'{ms:.1f}' for ms in sorted(held)[-6:-1][::-1])} ms;"
    )
    print(f"in all {sum(held):.0f} ms of CPU")
