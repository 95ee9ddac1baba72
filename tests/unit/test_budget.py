"""What an address may ask for: a classroom behind it waits for nobody, a flood has half the server."""

from __future__ import annotations

import threading

import pytest

from copyroom.shell.budget import (
    A_PAGE_FRAMES,
    FRAMES_A_S,
    FRAMES_AT_ONCE,
    MOST_ADDRESSES,
    REQUEST_FRAMES,
    Addresses,
    network_of,
)


class Clockwork:
    """A clock that only a pause and work move."""

    def __init__(self) -> None:
        self.s = self.paused_s = 0.0

    def now_s(self) -> float:
        return self.s

    def pause(self, seconds: float) -> None:
        self.s += seconds
        self.paused_s += seconds


@pytest.fixture
def clock() -> Clockwork:
    return Clockwork()


@pytest.fixture
def addresses(clock: Clockwork) -> Addresses:
    return Addresses(clock.now_s, clock.pause)


def test_sixty_phones_behind_one_address_wait_for_nobody(clock: Clockwork, addresses: Addresses) -> None:
    files, messages_a_s, minutes = 15, 5, 10
    for _ in range(60 * files):
        with addresses.turn("school", REQUEST_FRAMES):
            clock.s += 0.001
    for _ in range(minutes * 60):
        for _ in range(60 * messages_a_s):
            with addresses.turn("school", 1.0):
                clock.s += 0.0001
        clock.s += 1.0 - 60 * messages_a_s * 0.0001
    assert clock.paused_s == 0.0


def test_a_flood_has_half_of_the_time_and_no_more(clock: Clockwork, addresses: Addresses) -> None:
    addresses.pays("flood", FRAMES_AT_ONCE)
    for _ in range(1000):
        with addresses.turn("flood", 100.0):
            clock.s += 0.001
    assert clock.paused_s == pytest.approx(1.0)


def test_a_flood_takes_nothing_from_another_address(clock: Clockwork, addresses: Addresses) -> None:
    addresses.pays("flood", 10 * FRAMES_AT_ONCE)
    with addresses.turn("phone", 1.0):
        clock.s += 0.001
    assert clock.paused_s == 0.0


def test_strangers_are_served_one_at_a_time(clock: Clockwork, addresses: Addresses) -> None:
    for address in ("a", "b"):
        addresses.pays(address, A_PAGE_FRAMES)
    served, first = threading.Event(), addresses.turn("a", 1.0)

    def ask() -> None:
        with addresses.turn("b", 1.0):
            served.set()

    with first:
        other = threading.Thread(target=ask)
        other.start()
        assert not served.wait(0.01)
    other.join()
    assert served.is_set()


def test_who_was_too_fast_is_in_debt_for_seconds_and_not_for_ever(
    clock: Clockwork, addresses: Addresses
) -> None:
    for _ in range(1000):
        addresses.pays("flood", FRAMES_AT_ONCE)
    clock.s += 2.0 * FRAMES_AT_ONCE / FRAMES_A_S + 1.0
    assert addresses.pays("flood", 1.0)


def test_addresses_without_number_do_not_fill_the_memory(addresses: Addresses) -> None:
    for n in range(MOST_ADDRESSES + 100):
        addresses.pays(str(n), 1.0)
    assert len(addresses._budgets) == MOST_ADDRESSES


def test_a_network_of_version_6_is_one_address() -> None:
    """RFC 4291 section 2.5.1: interface identifiers are 64 bits long."""
    assert network_of("2001:db8::1") == network_of("2001:db8::ffff:1") != network_of("2001:db8:0:1::1")
    assert network_of("192.0.2.7") == "192.0.2.7"
    assert network_of("fe80::1%eth0") == network_of("fe80::2")


def test_who_has_asked_for_no_more_than_a_page_waits_for_no_stranger(addresses: Addresses) -> None:
    addresses.pays("a", A_PAGE_FRAMES)
    with addresses.turn("a", 1.0), addresses.turn("b", 1.0), addresses.turn("c", 1.0):
        pass
