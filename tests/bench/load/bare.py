"""A bare Flask-SocketIO server that tells a class the same things: the measure for the real one.

No journal, no scoring, no seats, no checks: every event is answered at once, in the way of the library's
manual. Run as a program: `python bare.py PORT`.
"""

from __future__ import annotations

import sys

import eventlet

eventlet.monkey_patch()

import time  # noqa: E402

import msgspec  # noqa: E402
from flask import Flask, request  # noqa: E402
from flask_socketio import SocketIO, emit, join_room  # noqa: E402

from copyroom.core.bursts import Speed  # noqa: E402
from copyroom.room.classroom import Classroom, Seat  # noqa: E402
from copyroom.room.figures import Figures  # noqa: E402
from copyroom.room.messages.learner import welcome_view  # noqa: E402
from copyroom.room.messages.running import push_view  # noqa: E402
from copyroom.room.run import Run  # noqa: E402

app = Flask(__name__)
socketio = SocketIO(app, async_mode="eventlet", transports=["websocket"])
room = Classroom("BARE")
seats: dict[str, int] = {}


@socketio.on("clock")
def clock(_payload):
    now_ms = time.monotonic() * 1000.0
    return {"received_room_ms": now_ms, "sent_room_ms": now_ms, "epoch": "bare"}


@socketio.on("watch")
def watch(_payload):
    join_room("console")
    emit("room", {"code": room.code})


@socketio.on("join")
def join(payload):
    seat = Seat(len(seats) + 1, payload["name"], "x" * 22)
    seats[request.sid] = seat.id
    join_room("seats")
    emit("welcome", msgspec.to_builtins(welcome_view(Figures(room), seat, 0.0)))


@socketio.on("write_keys")
def write_keys(payload):
    kept = payload["first"] + len(payload["keys"])
    emit("kept", {"push": payload["push"], "seat": seats[request.sid], "kept": kept})


@socketio.on("send_text")
def send_text(payload):
    start_room_ms = time.monotonic() * 1000.0 + 300.0
    speed = Speed(18.0, 6.0)
    run = Run(1, "own", payload["symbols"], payload["text"], speed, 600.0, start_room_ms, 30e3, False, True)
    view = msgspec.to_builtins(push_view(run))
    emit("push", view, to="seats")
    emit("push", view, to="console")


@socketio.on("close")
def close(_payload):
    emit("halt", {"push": 1, "at_room_ms": 0.0, "for_good": True, "sent": 0}, to="seats")
    emit("closed", {"push": 1}, to="seats")


if __name__ == "__main__":
    socketio.run(app, "127.0.0.1", int(sys.argv[1]))
