"""Composition: settings in, a server out. Wiring only."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import date
from typing import Any

import msgspec
from flask import Flask
from flask_socketio import SocketIO

from copyroom.room import exercises
from copyroom.settings import Settings
from copyroom.shell import assets
from copyroom.shell.backups import Backups
from copyroom.shell.budget import Addresses
from copyroom.shell.clock import RoomClock
from copyroom.shell.database import sqlite_path
from copyroom.shell.headers import WithHeaders
from copyroom.shell.housekeeping import Housekeeping
from copyroom.shell.http import Pages
from copyroom.shell.lobby import Lobby
from copyroom.shell.outbox import Outbox
from copyroom.shell.rooms import Rooms
from copyroom.shell.secret import LinkKeys, console_secret
from copyroom.shell.sessions import Sessions
from copyroom.shell.sockets import Sockets
from copyroom.shell.store import RunBlocking, Store
from copyroom.shell.transport import Packet, Reception, guard

LARGEST_MESSAGE = 16_384
"""Bytes of one message in: a batch of strokes is some ten kilobytes at most."""
SPARE_DESCRIPTORS = 100
"""Beside the connections: for the database, files, and telling newcomers in words that there is no room."""


class _Json:
    """The JSON coder that Socket.IO asks for; many times as fast as the standard library's."""

    @staticmethod
    def dumps(value: Any, **_options: Any) -> str:
        return msgspec.json.encode(value).decode()

    @staticmethod
    def loads(text: str | bytes, **_options: Any) -> Any:
        return msgspec.json.decode(text)


@dataclass(frozen=True, slots=True)
class Server:
    """A server ready to run."""

    flask: Flask
    socketio: SocketIO
    rooms: Rooms
    store: Store
    outbox: Outbox
    lobby: Lobby
    console_secret: str
    keys: LinkKeys


def create(settings: Settings, run_blocking: RunBlocking, async_mode: str) -> Server:
    """Build a server; it listens to nothing yet.

    Parameters
    ----------
    run_blocking : calls a function where it may block without stopping the others.
    async_mode : Socket.IO's, "eventlet" or "threading".
    """
    if settings.exercises is not None:
        exercises.__path__.append(str(settings.exercises))
        exercises.load()
    settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
    secret, keys = console_secret(settings.data), LinkKeys(settings.data)
    sessions = Sessions(settings.data, time.time)
    file = sqlite_path(settings.database)
    backups = Backups(file) if file else None
    store = Store(
        settings.database,
        run_blocking,
        f"http://{settings.listen_host}:{settings.port}",
        lambda version: backups and backups.before(version, date.today().isoformat()),
    )
    clock = RoomClock(store.last_room_ms())
    flask = Flask("copyroom", static_folder=None)
    socketio = SocketIO(
        flask,
        async_mode=async_mode,
        json=_Json,
        serializer=Packet,
        transports=["websocket"],
        async_handlers=False,
        manage_session=False,
        http_compression=False,
        max_http_buffer_size=LARGEST_MESSAGE,
        cors_allowed_origins=_origins(settings),
        ping_interval=10,
        ping_timeout=10,
    )
    server = socketio.server
    addresses = Addresses(time.monotonic, socketio.sleep)
    lobby = Lobby(
        addresses,
        time.monotonic,
        socketio.sleep,
        settings.max_connections + SPARE_DESCRIPTORS,
        settings.proxies,
    )
    guard(server, time.monotonic, addresses, lobby)
    outbox = Outbox(
        store.append, lambda outgoing: sockets.emit(outgoing), socketio.sleep, lambda code: rooms.lose(code)
    )
    rooms = Rooms(store, clock, outbox, assets.words(), socketio.sleep)
    sockets = Sockets(server, rooms, clock, sessions, keys, settings, lobby)
    flask.wsgi_app = Reception(  # type: ignore[method-assign]
        WithHeaders(flask.wsgi_app), lobby, addresses, settings.proxies
    )
    Pages(settings, assets.static_folder(), store, rooms, sockets, sessions, keys).register(flask)

    def erase(code: str) -> None:
        sockets.erased(code)
        rooms.erase(code)

    housekeeping = Housekeeping(
        store, rooms, backups, run_blocking, erase, settings.keep_days, time.monotonic
    )
    rooms.note_erased = housekeeping.note_erased
    socketio.start_background_task(housekeeping.run, socketio.sleep)
    socketio.start_background_task(outbox.run)
    socketio.start_background_task(lobby.sweep_always)
    socketio.start_background_task(sockets.end_signed_out_always)
    return Server(flask, socketio, rooms, store, outbox, lobby, secret, keys)


def _origins(settings: Settings) -> list[str] | None:
    """None is the same origin only; behind a proxy the browser's origin is the public one."""
    return [settings.public_url.rstrip("/")] if settings.public_url else None
