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
def raise_hand() -> Iterator[type[Event]]:
    """A new event: this class and this handler, and nothing else anywhere."""

    @event(By.LEARNER, kept=True)
    class RaiseHand(Event, frozen=True):
        seat: Annotated[SeatNumber, Settled.SEAT]
        word: Annotated[Name, PERSONAL]

    @handles(RaiseHand)
    def raise_hand(room: Classroom, event: RaiseHand, now_ms: float) -> list[Effect]:
        room.title = f"{event.word} from {event.seat}"
        return []

    yield RaiseHand
    del EVENTS["raise_hand"], HANDLERS[RaiseHand]


def test_a_new_event_is_one_class_and_one_handler(raise_hand: type[Event]) -> None:
    room = Room("HERON-0417")
    decoded = wire.decode("raise_hand", {"word": "please"}, LEARNER)
    room.receive(decoded, 0.0)
    assert room.classroom.title == "please from 3"
    again = Room("HERON-0417")
    again.replay([(1, from_record(*to_record(decoded)), 0.0)])
    assert again.classroom.title == "please from 3"


def test_its_limits_and_its_sender_are_held(raise_hand: type[Event]) -> None:
    for payload, sender in (
        ({"word": "x" * 25}, LEARNER),
        ({"word": "please", "seat": 4}, LEARNER),
        ({}, LEARNER),
        ({"word": "please"}, wire.Sender(instructor=True, seat=None)),
    ):
        with pytest.raises(wire.WireError):
            wire.decode("raise_hand", payload, sender)


def test_it_goes_with_the_seat_whose_data_it_holds(raise_hand: type[Event]) -> None:
    said = wire.decode("raise_hand", {"word": "please"}, LEARNER)
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
    raise_hand: type[Event], to: int | str, said: Message
) -> None:
    HANDLERS[raise_hand] = lambda *_: [Send(to, said)]
    with pytest.raises(ValueError, match=f"is not for {to}"):
        Room("HERON-0417").receive(wire.decode("raise_hand", {"word": "please"}, LEARNER), 0.0)


def test_two_events_of_one_name_or_two_handlers_of_one_event_are_a_fault(raise_hand: type[Event]) -> None:
    with pytest.raises(ValueError, match="twice"):
        contract.event(By.LEARNER)(type(raise_hand)("RaiseHand", (Event,), {}))
    with pytest.raises(ValueError, match="two handlers"):
        handles(raise_hand)(lambda *_: [])
