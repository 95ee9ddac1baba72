"""Turns for frames, and which frames are ours."""

from __future__ import annotations

import pytest
from socketio.packet import EVENT

from copyroom.shell.transport import (
    FRAME_BYTES,
    FRAMES_A_S,
    FRAMES_AT_ONCE,
    MalformedError,
    Packet,
    Turns,
    unmasked,
)


class Clockwork:
    """A clock that only a pause moves."""

    def __init__(self) -> None:
        self.s = 0.0
        self.pauses = 0

    def now_s(self) -> float:
        return self.s

    def pause(self, seconds: float) -> None:
        self.s += seconds
        self.pauses += 1


def test_who_sends_too_fast_waits() -> None:
    clock = Clockwork()
    turns = Turns(clock.now_s, clock.pause)
    seconds = 10
    for _ in range(int(FRAMES_AT_ONCE + seconds * FRAMES_A_S)):
        turns.take(50)
    assert clock.s == pytest.approx(seconds)


def test_a_page_that_sends_what_has_gathered_does_not_wait_but_lets_the_others_in_between() -> None:
    clock = Clockwork()
    turns = Turns(clock.now_s, clock.pause)
    for _ in range(int(FRAMES_AT_ONCE)):
        turns.take(50)
    assert clock.s == 0.0
    assert clock.pauses == FRAMES_AT_ONCE / 2


def test_who_waits_long_enough_has_the_whole_budget_again_and_no_more() -> None:
    clock = Clockwork()
    turns = Turns(clock.now_s, clock.pause)
    for _ in range(int(FRAMES_AT_ONCE)):
        turns.take(0)
    clock.s = 1000.0
    for _ in range(int(FRAMES_AT_ONCE)):
        turns.take(0)
    assert clock.s == 1000.0
    turns.take(0)
    assert clock.s > 1000.0


def test_a_long_frame_costs_as_much_as_many_short_ones() -> None:
    clock = Clockwork()
    turns = Turns(clock.now_s, clock.pause)
    turns.take(int(FRAME_BYTES * (FRAMES_AT_ONCE + FRAMES_A_S)))
    assert clock.s == pytest.approx(1.0)


@pytest.mark.parametrize("length", [0, 1, 3, 4, 5, 125, 4099])
def test_a_payload_is_unmasked_byte_by_byte_of_its_mask_wherever_it_was_cut(length: int) -> None:
    """By the formula of RFC 6455 section 5.3: octet i is masked by octet i modulo 4 of the key."""
    masked, mask = bytes(range(256)) * 17, (0x12, 0x00, 0xFF, 0x7B)
    expected = bytes(octet ^ mask[i % 4] for i, octet in enumerate(masked[:length]))
    assert unmasked(masked[:length], mask) == expected
    cut = length // 3
    assert unmasked(masked[:cut], mask) + unmasked(masked[cut:length], mask, length - cut, cut) == expected


def test_an_event_of_a_page_is_read_as_ever() -> None:
    packet = Packet(encoded_packet='27["clock",{"page_ms":1.5}]')
    assert (packet.packet_type, packet.id, packet.data) == (EVENT, 7, ["clock", {"page_ms": 1.5}])
    assert Packet(EVENT, data=["push", {"push": 1}], namespace="/").encode() == '2["push",{"push":1}]'


@pytest.mark.parametrize(
    "frame",
    [
        *(
            "x",
            "4",
            "6",
            "9",
            "2",
            "2{",
            "2[]",
            "27",
            "2[1]",
            "2[[]]",
            "2{}",
            '2["x"',
            '2"x"',
            "3[]",
            '31["x"]',
        ),
        *('2["connect",{}]', '2["disconnect"]', '2/other,["join",{}]', "0/other,", "51-", "599999999999-[]"),
        *('51-["join",{"_placeholder":true,"num":0}]', "2" + "9" * 200, "2" + "[" * 60_000, b"2[]"),
    ],
)
def test_what_no_page_sends_is_malformed(frame: str | bytes) -> None:
    with pytest.raises(MalformedError):
        Packet(encoded_packet=frame)
