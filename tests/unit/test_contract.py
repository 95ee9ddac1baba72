"""An event is declared once: its decoder, its record and what is struck out follow from the class."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import pytest

from copyroom import wire
from copyroom.room import contract
from copyroom.room.classroom import Classroom
from copyroom.room.contract import (
    EVENTS,
    HANDLERS,
    PERSONAL,
    By,
    Event,
    Message,
    Settled,
    event,
    handles,
    remains_of,
)
from copyroom.room.effects import CONSOLE, SEATS, SENDER, WALL, Effect, Send
from copyroom.room.journal import from_record, to_record
from copyroom.room.limits import Name, SeatNumber
from copyroom.room.messages.console import Alike
from copyroom.room.messages.learner import KeptOut, RenamedOut, SentenceOut
from copyroom.room.room import Room

LEARNER = wire.Sender(instructor=False, seat=3, token="fresh")


@pytest.fixture
def nod_head() -> Iterator[type[Event]]:
    """A new event: this class and this handler, and nothing else anywhere."""

    @event(By.LEARNER, kept=True)
    class NodHead(Event, frozen=True):
        seat: Annotated[SeatNumber, Settled.SEAT]
        word: Annotated[Name, PERSONAL]

    @handles(NodHead)
    def nod_head(room: Classroom, event: NodHead, now_ms: float) -> list[Effect]:
        room.title = f"{event.word} from {event.seat}"
        return []

    yield NodHead
    del EVENTS["nod_head"], HANDLERS[NodHead]


def test_a_new_event_is_one_class_and_one_handler(nod_head: type[Event]) -> None:
    room = Room("HERON-0417")
    decoded = wire.decode("nod_head", {"word": "please"}, LEARNER)
    room.receive(decoded, 0.0)
    assert room.classroom.title == "please from 3"
    again = Room("HERON-0417")
    again.replay([(1, from_record(*to_record(decoded)), 0.0)])
    assert again.classroom.title == "please from 3"


def test_its_limits_and_its_sender_are_held(nod_head: type[Event]) -> None:
    for payload, sender in (
        ({"word": "x" * 25}, LEARNER),
        ({"word": "please", "seat": 4}, LEARNER),
        ({}, LEARNER),
        ({"word": "please"}, wire.Sender(instructor=True, seat=None)),
    ):
        with pytest.raises(wire.WireError):
            wire.decode("nod_head", payload, sender)


def test_it_goes_with_the_seat_whose_data_it_holds(nod_head: type[Event]) -> None:
    said = wire.decode("nod_head", {"word": "please"}, LEARNER)
    assert remains_of(said, {3}, set()) is None
    assert remains_of(said, {4}, set()) is said


@pytest.mark.parametrize(
    ("to", "said"),
    [
        (WALL, KeptOut(push=1, seat=1, kept=1)),
        (SEATS, RenamedOut(name="Amber")),
        (3, Alike(order="ET")),
        (SENDER, Alike(order="ET")),
        (CONSOLE, SentenceOut(sentence="Bye.")),
    ],
)
def test_the_room_tells_nobody_what_is_not_meant_for_them(
    nod_head: type[Event], to: int | str, said: Message
) -> None:
    HANDLERS[nod_head] = lambda *_: [Send(to, said)]
    with pytest.raises(ValueError, match=f"is not for {to}"):
        Room("HERON-0417").receive(wire.decode("nod_head", {"word": "please"}, LEARNER), 0.0)


def test_two_events_of_one_name_or_two_handlers_of_one_event_are_a_fault(nod_head: type[Event]) -> None:
    with pytest.raises(ValueError, match="twice"):
        contract.event(By.LEARNER)(type(nod_head)("NodHead", (Event,), {}))
    with pytest.raises(ValueError, match="two handlers"):
        handles(nod_head)(lambda *_: [])
