"""How an event and a message are declared: once each, as a class. Everything else follows from the class.

An event's class has its fields with their limits. Who may send it, which of its fields the server settles,
whether the journal keeps it and whose data it holds stand beside them: `@event`, and the marks below. From
that come the decoder of what is untrusted (`wire`), the journal's form (`journal`), the browser's types
(scripts/generate_wire.py), what is struck out with a learner (`remains_of`) and the table of handlers, which
`@handles` fills. So a new event is one class and one handler.

A message's class has its fields, and `@message` says which audiences may be told it. A `Send` to any other
is a fault of the program: the room raises it before anything leaves.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any, TypeVar, get_args, get_origin, get_type_hints

import msgspec

# ------------------------------------------------------------------ events


class Event(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Something that can happen in a room."""


class By(Enum):
    """Who may send an event."""

    INSTRUCTOR = "the instructor's console"
    LEARNER = "a browser with a seat, for this seat"
    EITHER = "a browser for its own seat, or the console for a seat that it names"
    ANYBODY = "a browser without a seat, too"
    SERVER = "no browser: the server, or the room itself"


class Settled(Enum):
    """Who puts in what a browser does not send."""

    SEAT = "the seat that the connection speaks for; with By.EITHER, or the one that the console names"
    WRITER = "the seat that the connection speaks for, 0 for the console"
    TOKEN = "a fresh secret"
    DAY = "today, in local days since 1970-01-01"
    CHANCE = "fresh chance, where the browser sends none"
    ROOM = "the room, before the event is kept"


PERSONAL, SECRET = "-", ""
"""Mark a field that says who somebody is, or proves it, by what stands there once the seat was taken out."""


@dataclass(frozen=True, slots=True)
class EventDeclared:
    """What was said of an event's class.

    name : on the wire and in the journal.
    incoming : what a browser sends of it; None where no browser may.
    settled : field -> who puts it in.
    personal : field -> what stands there when the seat that it is of was taken out.
    whose : the field with the number of the seat whose data it holds; "" where it is nobody's.
    founds : it makes that seat: it stays when the seat is taken out, without what is personal.
    """

    kind: type[Event]
    name: str
    by: By
    kept: bool
    incoming: type[msgspec.Struct] | None
    settled: dict[str, Settled]
    personal: dict[str, str]
    whose: str
    founds: bool


EVENTS: dict[str, EventDeclared] = {}
"""Every event, by its name."""

_E = TypeVar("_E", bound=type[Event])


def event(
    by: By, *, kept: bool = False, whose: str = "seat", founds: bool = False, address: Any = None
) -> Callable[[_E], _E]:
    """Declare an event.

    Parameters
    ----------
    whose : passed over where the class has no such field.
    address : the type of the room's code, where a browser names the room with it.
    """

    def declare(kind: _E) -> _E:
        marks = {field: found for field, (_, found) in _hints(kind).items()}
        settled = settled_fields(kind)
        personal = {f: mark for f, found in marks.items() for mark in found if mark in (PERSONAL, SECRET)}
        incoming = None if by is By.SERVER else _incoming(kind, by, settled, address)
        of = whose if whose in marks else ""
        _register(
            EVENTS,
            EventDeclared(kind, snake_case(kind.__name__), by, kept, incoming, settled, personal, of, founds),
        )
        return kind

    return declare


def settled_fields(kind: type[msgspec.Struct]) -> dict[str, Settled]:
    """The fields that others put in than whoever chooses, and who."""
    return {
        field: mark
        for field, (_, found) in _hints(kind).items()
        for mark in found
        if isinstance(mark, Settled)
    }


def event_declared(event: Event) -> EventDeclared:
    """What was said of this event's class."""
    return EVENTS[snake_case(type(event).__name__)]


def remains_of(event: Event, gone: Collection[int], founded: set[int]) -> Event | None:
    """What a journal may keep of an event when these seats were taken out; None: nothing.

    The event that made a seat stays, blanked, so that the journal still tells of every seat that there was;
    `founded` holds those met so far.
    """
    said = event_declared(event)
    seat = getattr(event, said.whose) if said.whose else 0
    if seat not in gone:
        return event
    if not said.founds or seat in founded:
        return None
    founded.add(seat)
    return msgspec.structs.replace(event, **said.personal)


def _incoming(kind: type[Event], by: By, settled: dict[str, Settled], address: Any) -> type[msgspec.Struct]:
    """The class as a browser sends it: without what others put in."""
    hints = get_type_hints(kind, include_extras=True)
    needed: list[Any] = [("code", address)] if address is not None else []
    optional: list[Any] = []
    for field in msgspec.structs.fields(kind):
        hint, mark = hints[field.name], settled.get(field.name)
        if mark is Settled.CHANCE:
            optional.append((field.name, hint | None, None))
        elif mark is Settled.SEAT and by is By.EITHER:
            optional.append((field.name, hint, 0))
        elif mark is None and field.required:
            needed.append((field.name, hint))
        elif mark is None:
            optional.append((field.name, hint, field.default))
    return msgspec.defstruct(
        f"{kind.__name__}In",
        needed + optional,
        frozen=True,
        forbid_unknown_fields=True,
        namespace={"__doc__": kind.__doc__},
    )


# ------------------------------------------------------------------ handlers

Handler = Callable[[Any, Any, float], list[Any]]
"""(classroom, event, room time in ms) -> effects; a part of the fold, so it knows of no figure."""
HANDLERS: dict[type[Event], Handler] = {}
"""What each event does to the classroom."""

_H = TypeVar("_H", bound=Handler)


def handles(kind: type[Event]) -> Callable[[_H], _H]:
    """Mark the function that takes an event of this class."""

    def register(handler: _H) -> _H:
        if kind in HANDLERS:
            raise ValueError(f"{kind.__name__} has two handlers")
        HANDLERS[kind] = handler
        return handler

    return register


Settler = Callable[[Any, Any, float], Any]
"""(figures, event, room time in ms) -> the event as the journal keeps it, or a job that comes to one.

Or several events, each of which is settled when those before it have been taken."""
SETTLERS: dict[type[Event], Settler] = {}
"""What is settled of an event before it is kept: a text, a start, an order."""
Answerer = Callable[[Any, Any, float], Any]
"""(figures, question, room time in ms) -> the message that answers it, or a job that comes to one."""
ANSWERERS: dict[type[Event], Answerer] = {}
"""What answers each event that only asks."""

_S = TypeVar("_S", bound=Settler)


def settles(*kinds: type[Event]) -> Callable[[_S], _S]:
    """Mark the function that settles events of these classes."""

    def register(settler: _S) -> _S:
        SETTLERS.update(dict.fromkeys(kinds, settler))
        return settler

    return register


def answers(kind: type[Event]) -> Callable[[_S], _S]:
    """Mark the function that answers an event of this class."""

    def register(answerer: _S) -> _S:
        ANSWERERS[kind] = answerer
        return answerer

    return register


# ------------------------------------------------------------------ messages


class Message(msgspec.Struct, frozen=True, kw_only=True):
    """Something that a browser is told."""


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """Something that messages are made of."""


class Audience(Enum):
    """Who may be told something."""

    SEAT = "one learner, of what is their own"
    SEATS = "all learners who were let in"
    CONSOLE = "the instructor's console"
    WALL = "the projector's page"


@dataclass(frozen=True, slots=True)
class MessageDeclared:
    """What was said of a message's class; `name` is its name on the wire."""

    kind: type[Message]
    name: str
    to: frozenset[Audience]


MESSAGES: dict[str, MessageDeclared] = {}
"""Every message, by its name."""
_BY_KIND: dict[type[Message], MessageDeclared] = {}

_M = TypeVar("_M", bound=type[Message])


def message(*to: Audience, name: str = "") -> Callable[[_M], _M]:
    """Declare a message; `name` where it is not the class's own."""

    def declare(kind: _M) -> _M:
        said = MessageDeclared(kind, name or snake_case(kind.__name__), frozenset(to))
        _register(MESSAGES, said)
        _BY_KIND[kind] = said
        return kind

    return declare


def message_declared(message: Message) -> MessageDeclared:
    """What was said of this message's class."""
    return _BY_KIND[type(message)]


# ------------------------------------------------------------------ both


def snake_case(name: str) -> str:
    """SendText -> send_text."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower()


def _register(table: dict[str, Any], said: EventDeclared | MessageDeclared) -> None:
    if said.name in table:
        raise ValueError(f"{said.name} is declared twice")
    table[said.name] = said


def _hints(kind: type) -> dict[str, tuple[Any, tuple[Any, ...]]]:
    """Each field's plain type, and what its annotation says beside it."""
    return {field: _unwrapped(hint) for field, hint in get_type_hints(kind, include_extras=True).items()}


def _unwrapped(hint: Any) -> tuple[Any, tuple[Any, ...]]:
    marks: tuple[Any, ...] = ()
    while get_origin(hint) is Annotated:
        marks += hint.__metadata__
        hint = get_args(hint)[0]
    return hint, marks
