"""Connections: who speaks for whom, untrusted messages in, messages out.

Handlers sit on the Socket.IO server itself, not on Flask-SocketIO's wrapper: a request context and a
session for each stroke cost a third of the server's time per event.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import msgspec
from socketio.exceptions import ConnectionRefusedError
from werkzeug.sansio.http import parse_cookie

from copyroom import wire
from copyroom.room import events as ev
from copyroom.room.contract import EVENTS, Settled
from copyroom.room.effects import CONSOLE, SEATS, SENDER, WALL, Send
from copyroom.room.messages.learner import WelcomeOut
from copyroom.room.room import Room
from copyroom.settings import Settings
from copyroom.shell.budget import Budgets
from copyroom.shell.clock import RoomClock
from copyroom.shell.lobby import Lobby, Peer
from copyroom.shell.outbox import Outgoing
from copyroom.shell.rooms import Hooks, Rooms, SetAsideError, as_kept
from copyroom.shell.secret import LinkKeys, seed, token
from copyroom.shell.sessions import Sessions

log = logging.getLogger(__name__)

COOKIE = "copyroom_console"
NOBODY: Peer = ("", 0)
WRONG_CODES_A_MINUTE = 10.0
"""From one network. After that codes typed there are not looked at; known seats and scanned links come in."""
SESSIONS_EVERY_S = 2.0
DRAWN = {Settled.TOKEN, Settled.DAY, Settled.CHANCE}


@dataclass(slots=True)
class _Person:
    """What a connection is known to be."""

    instructor: bool
    peer: Peer
    address: str
    session: str = ""
    code: str = ""
    seat: int | None = None
    sat: bool = False
    """Whether it has had a seat: one connection makes one new seat."""


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
        sessions: Sessions,
        keys: LinkKeys,
        settings: Settings,
        lobby: Lobby,
    ) -> None:
        self._server, self._rooms, self._clock = server, rooms, clock
        self._sessions, self._keys, self._lobby = sessions, keys, lobby
        self._test_mode, self._max_connections = settings.test_mode, settings.max_connections
        self._people: dict[str, _Person] = {}
        self._sids: dict[tuple[str, int], set[str]] = {}
        self._wrong_codes = Budgets(WRONG_CODES_A_MINUTE / 60.0, WRONG_CODES_A_MINUTE)
        self.malformed = 0
        rooms.hooks = Hooks(
            self._seated, self._listening, self._unseat, self._later, self._dismiss, self._is_anybody_in
        )
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
        peer = environ.get("copyroom.peer", NOBODY)
        person = _Person(self._sessions.valid(cookie), peer, environ.get("REMOTE_ADDR", ""), cookie)
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
        person.code, person.seat, person.sat = code, seat, True
        self._lobby.know(person.peer)
        self._sids.setdefault((code, seat), set()).add(sid)
        self._server.enter_room(sid, _address(code, seat))

    def _listening(self, code: str, seat: int) -> None:
        for sid in tuple(self._sids.get((code, seat), ())):
            self._server.enter_room(sid, _address(code, SEATS))

    def _unseat(self, code: str, seat: int, comes_again: bool = False) -> None:
        for sid in self._sids.pop((code, seat), set()):
            self._server.leave_room(sid, _address(code, SEATS))
            if person := self._people.get(sid):
                person.seat = None
            if comes_again:
                self._server.disconnect(sid)

    def _dismiss(self, code: str) -> None:
        """End every connection in a room; browsers come again by themselves, to whoever has it."""
        for sid, person in tuple(self._people.items()):
            if person.code == code:
                self._server.disconnect(sid)

    def end_signed_out(self) -> None:
        """End the connections of consoles whose session has ended."""
        consoles = [(sid, person) for sid, person in tuple(self._people.items()) if person.instructor]
        for sid, person in consoles:
            if not self._sessions.valid(person.session):
                person.instructor = False
                self._server.disconnect(sid)

    def end_signed_out_always(self) -> None:
        """Do so every few seconds: sessions end by their time, too, and by a command."""
        while True:
            self._server.sleep(SESSIONS_EVERY_S)
            self.end_signed_out()

    def _is_anybody_in(self, code: str) -> bool:
        return any(person.code == code for person in tuple(self._people.values()))

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
        needs = DRAWN & set(EVENTS[name].settled.values())

        def handle(sid: str, payload: object = None, *_more: object) -> None:
            person = self._people.get(sid)
            if person is None:
                return
            try:
                if self._rooms.is_behind():
                    raise wire.WireError("The server's disk does not keep up. What you wrote stays with you.")
                key = ""
                if name in ("join", "watch"):
                    payload, key = _without_key(payload)
                event = wire.decode(name, payload, self._sender(person, payload, key, bool(needs)))
                code = self._room_of(name, payload, person, key)
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

    def _sender(self, person: _Person, payload: Any, key: str, draws: bool) -> wire.Sender:
        """Whom a connection speaks for; the link of a wall may watch the wall."""
        watches = key != "" and payload.get("view") == "wall"
        by_link = watches and self._keys.opens("wall", as_kept(payload["code"]), key)
        if not draws:
            return wire.Sender(person.instructor or by_link, person.seat)
        return wire.Sender(person.instructor or by_link, person.seat, token(), self._clock.day(), seed())

    def _room_of(self, name: str, payload: Any, person: _Person, key: str) -> str:
        """The room a message is for: join and watch name it, after that the connection is in it."""
        if name not in ("join", "watch"):
            if not person.code:
                raise wire.WireError("Join a room first.")
            return person.code
        code = payload["code"] or self._rooms.latest()
        room = self._found(code)
        known = room is not None and (
            name == "watch" or self._keys.opens("door", room.code, key) or room.knows(payload["token"])
        )
        now_s, wrong = self._clock.now_ms() / 1000.0, 0.0 if room else 1.0
        if not known and self._wrong_codes.left(person.address, wrong, now_s) < 0.0:
            raise wire.WireError(
                "Too many wrong codes came from your network. Scan the QR code, or wait a minute."
            )
        if room is None:
            look = (
                "Look at the wall, or ask your instructor."
                if name == "join"
                else "The console lists the rooms."
            )
            raise wire.WireError(f"There is no room with that code. {look}")
        if person.seat is not None and room.code != person.code:
            raise wire.WireError("This page has a seat in another room. Load it anew to join this one.")
        if name == "join" and person.sat and not room.knows(payload["token"]):
            raise wire.WireError("This page has had a seat already. Load it anew to take another.")
        return room.code

    def _found(self, code: str) -> Room | None:
        try:
            return self._rooms.find(code)
        except SetAsideError as aside:
            raise wire.WireError(str(aside)) from None

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


def _without_key(payload: Any) -> tuple[Any, str]:
    """A message that names a room, and the key that may stand after its code and a dot."""
    if not isinstance(payload, dict) or not isinstance(payload.get("code"), str):
        return payload, ""
    code, _, key = payload["code"].partition(".")
    return payload | {"code": code}, key
