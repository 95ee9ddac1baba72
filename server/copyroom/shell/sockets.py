"""Connections: who speaks for whom, untrusted messages in, messages out.

Handlers sit on the Socket.IO server itself, not on Flask-SocketIO's wrapper: a request context and a
session for each stroke cost a third of the server's time per event.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import msgspec
from socketio.exceptions import ConnectionRefusedError
from werkzeug.sansio.http import parse_cookie

from copyroom import wire
from copyroom.room import events as ev
from copyroom.room.contract import EVENTS
from copyroom.room.effects import CONSOLE, SEATS, SENDER, WALL, Send
from copyroom.room.messages.learner import WelcomeOut
from copyroom.settings import Settings
from copyroom.shell.clock import RoomClock
from copyroom.shell.lobby import Lobby, Peer
from copyroom.shell.outbox import Outgoing
from copyroom.shell.rooms import Hooks, Rooms, SetAsideError
from copyroom.shell.secret import ConsolePass, seed, token

log = logging.getLogger(__name__)

COOKIE = "copyroom_console"
NOBODY: Peer = ("", 0)
WRONG_CODE_WAIT_S = 0.2
"""Between two answers to wrong codes, over all connections: guessing is slow, a right code never waits."""


@dataclass(slots=True)
class _Person:
    """What a connection is known to be."""

    instructor: bool
    peer: Peer
    code: str = ""
    seat: int | None = None


class Sockets:
    """The Socket.IO side of all rooms.

    Parameters
    ----------
    server : a socketio.Server; its `emit`, rooms and background tasks are all that is used.
    """

    def __init__(
        self,
        server: Any,
        rooms: Rooms,
        clock: RoomClock,
        console_pass: ConsolePass,
        settings: Settings,
        lobby: Lobby,
    ) -> None:
        self._server, self._rooms, self._clock, self._pass = server, rooms, clock, console_pass
        self._lobby = lobby
        self._test_mode, self._max_connections = settings.test_mode, settings.max_connections
        self._people: dict[str, _Person] = {}
        self._sids: dict[tuple[str, int], set[str]] = {}
        self._wrong_codes = threading.Lock()
        self.malformed = 0
        rooms.hooks = Hooks(self._seated, self._listening, self._unseat, self._later, self._dismiss)
        server.on("connect", self._connect)
        server.on("disconnect", self._disconnect)
        server.on("clock", self._tell_time)
        server.on("*", self._unknown)
        for name, said in EVENTS.items():
            if said.incoming is not None:
                server.on(name, self._handler(name))

    # -------------------------------------------------------------- connections

    def _connect(self, sid: str, environ: dict[str, Any], auth: object = None) -> None:
        if len(self._people) >= self._max_connections and not self._lobby.make_room():
            raise ConnectionRefusedError("This server is full. Try again when somebody has left.")
        cookie = parse_cookie(environ.get("HTTP_COOKIE", "")).get(COOKIE, "")
        person = _Person(self._pass.valid(cookie), environ.get("copyroom.peer", NOBODY))
        self._people[sid] = person
        if person.instructor:
            self._lobby.know(person.peer)

    def _disconnect(self, sid: str, reason: object = None) -> None:
        person = self._people.pop(sid, None)
        if person is not None and person.seat is not None:
            self._let_go(sid, person)

    def _let_go(self, sid: str, person: _Person) -> None:
        """End a connection's word for its seat; the seat is away when it was the last one."""
        assert person.seat is not None
        key = (person.code, person.seat)
        sids = self._sids.get(key, set())
        sids.discard(sid)
        if not sids:
            self._sids.pop(key, None)
            self._rooms.receive(person.code, ev.Leave(person.seat))
        person.seat = None

    def _seated(self, code: str, sid: str, seat: int) -> None:
        person = self._people.get(sid)
        if person is None:  # gone while its message was under way
            if (code, seat) not in self._sids:
                self._rooms.receive(code, ev.Leave(seat))
            return
        if person.seat not in (None, seat):
            self._server.leave_room(sid, _address(code, SEATS))
            self._server.leave_room(sid, _address(person.code, person.seat))
            self._let_go(sid, person)
        person.code, person.seat = code, seat
        self._lobby.know(person.peer)
        self._sids.setdefault((code, seat), set()).add(sid)
        self._server.enter_room(sid, _address(code, seat))

    def _listening(self, code: str, seat: int) -> None:
        for sid in tuple(self._sids.get((code, seat), ())):
            self._server.enter_room(sid, _address(code, SEATS))

    def _unseat(self, code: str, seat: int) -> None:
        for sid in self._sids.pop((code, seat), set()):
            self._server.leave_room(sid, _address(code, SEATS))
            if person := self._people.get(sid):
                person.seat = None

    def _dismiss(self, code: str) -> None:
        """End every connection in a room; browsers come again by themselves, to whoever has it."""
        for sid, person in tuple(self._people.items()):
            if person.code == code:
                self._server.disconnect(sid)

    def _later(self, delay_s: float, call: Callable[[], None]) -> None:
        def wait() -> None:
            self._server.sleep(delay_s)
            call()

        self._server.start_background_task(wait)

    # -------------------------------------------------------------- messages in

    def _tell_time(self, sid: str, payload: object = None) -> dict[str, Any]:
        received_room_ms = self._clock.now_ms()
        return {
            "received_room_ms": received_room_ms,
            "sent_room_ms": self._clock.now_ms(),
            "epoch": self._clock.epoch,
        }

    def _handler(self, name: str) -> Callable[..., None]:
        def handle(sid: str, payload: object = None, *_more: object) -> None:
            person = self._people.get(sid)
            if person is None:
                return
            try:
                sender = wire.Sender(person.instructor, person.seat, token(), self._clock.day(), seed())
                if self._rooms.is_behind():
                    raise wire.WireError("The server's disk does not keep up. What you wrote stays with you.")
                event = wire.decode(name, payload, sender)
                code = self._room_of(name, payload, person)
            except wire.WireError as error:
                self._refuse(sid, name, error)
                return
            if name == "watch":
                self._watch(sid, person, code, event)
            self._rooms.receive(code, event, sid)

        return handle

    def _unknown(self, name: str, sid: str, *_payload: object) -> None:
        self._refuse(sid, name[:40], wire.WireError("That event is not known."))

    def _refuse(self, sid: str, name: str, error: wire.WireError) -> None:
        self.malformed += 1
        log.info("event=%r refused=%s", name, error)
        self._server.emit("refused", {"sentence": str(error), "about": name}, to=sid)

    def _room_of(self, name: str, payload: Any, person: _Person) -> str:
        """The room a message is for: join and watch name it, after that the connection is in it."""
        if name not in ("join", "watch"):
            if not person.code:
                raise wire.WireError("Join a room first.")
            return person.code
        wanted = payload["code"] or self._rooms.latest()
        try:
            room = self._rooms.find(wanted)
        except SetAsideError as aside:
            raise wire.WireError(str(aside)) from None
        if room is None:
            with self._wrong_codes:
                self._server.sleep(WRONG_CODE_WAIT_S)
            look = (
                "Look at the wall, or ask your instructor."
                if name == "join"
                else "The console lists the rooms."
            )
            raise wire.WireError(f"There is no room with that code. {look}")
        if person.seat is not None and room.code != person.code:
            raise wire.WireError("This page has a seat in another room. Load it anew to join this one.")
        return room.code

    def _watch(self, sid: str, person: _Person, code: str, event: ev.Event) -> None:
        assert isinstance(event, ev.Watch)
        for view in (CONSOLE, WALL):
            if person.code:
                self._server.leave_room(sid, _address(person.code, view))
        person.code = code
        self._server.enter_room(sid, _address(code, CONSOLE if event.view == "console" else WALL))

    # -------------------------------------------------------------- messages out

    def emit(self, outgoing: Outgoing) -> None:
        """Send the messages of one receive, in order."""
        for send in outgoing.sends:
            self._emit(outgoing, send)

    def _emit(self, outgoing: Outgoing, send: Send) -> None:
        to = outgoing.sid if send.to == SENDER else _address(outgoing.code, send.to)
        if not to:
            return
        message = send.message
        if self._test_mode and isinstance(message, WelcomeOut):
            message = msgspec.structs.replace(message, test_mode=True)
        self._server.emit(send.name, message, to=to)

    def erased(self, code: str) -> None:
        """Tell everybody in a room that it is gone, and forget them."""
        seats = [seat for room, seat in tuple(self._sids) if room == code]  # who still waits is told, too
        everybody: list[int | str] = [*seats, CONSOLE, WALL]
        for to in everybody:
            self._server.emit(
                "removed", {"sentence": "This room was erased by the instructor."}, to=_address(code, to)
            )
        for seat in seats:
            self._unseat(code, seat)


def _address(code: str, to: int | str) -> str:
    """The Socket.IO room of an address within a room."""
    return f"{code}/{to}"
