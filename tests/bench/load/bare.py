"""A bare Flask-SocketIO server that tells a class the same things: the measure for the real one.

No journal, no scoring, no seats, no checks: every event is answered at once, in the way of the library's
manual. Run as a program: `python bare.py PORT`.
"""

from __future__ import annotations

import sys

import eventlet

eventlet.monkey_patch()

import time  # noqa: E402
from pathlib import Path  # noqa: E402

from flask import Flask, request  # noqa: E402
from flask_socketio import SocketIO, emit, join_room  # noqa: E402

from copyroom.room.classroom import Classroom  # noqa: E402

sys.path.insert(0, str(Path(__file__).parents[2]))

from bench.load import told  # noqa: E402

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
    seats[request.sid] = len(seats) + 1
    join_room("seats")
    emit("welcome", told.welcome(room, seats[request.sid], payload["name"]))


@socketio.on("write_keys")
def write_keys(payload):
    kept = payload["first"] + len(payload["keys"])
    emit("kept", {"push": payload["push"], "seat": seats[request.sid], "kept": kept})


@socketio.on("send_text")
def send_text(payload):
    view = told.push(payload["symbols"], payload["text"], time.monotonic() * 1000.0)
    emit("push", view, to="seats")
    emit("push", view, to="console")


@socketio.on("close")
def close(_payload):
    emit("halt", {"push": 1, "at_room_ms": 0.0, "for_good": True, "sent": 0}, to="seats")
    emit("closed", {"push": 1}, to="seats")


if __name__ == "__main__":
    socketio.run(app, "127.0.0.1", int(sys.argv[1]))
