"""Where learners find the server. Network cards are invented, private addresses are those of RFC 1918."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import ifaddr
import pytest

from copyroom.settings import Settings
from copyroom.shell.places import Place, join_url, places, qr_svg, qr_terminal


def card(name: str, *addresses: str) -> ifaddr.Adapter:
    ips = [ifaddr.IP(a if ":" not in a else (a, 0, 0), 24, name) for a in addresses]  # type: ignore[arg-type]
    return ifaddr.Adapter(name, name, ips)


@pytest.fixture
def cards(monkeypatch: pytest.MonkeyPatch) -> list[ifaddr.Adapter]:
    present: list[ifaddr.Adapter] = []
    monkeypatch.setattr(ifaddr, "get_adapters", lambda: present)
    return present


def urls(**changed: object) -> list[str]:
    settings = {"port": 8000, "local_only": False, "public_url": ""} | changed
    return [place.url for place in places(Settings(Path(), **settings))]  # type: ignore[arg-type]


def test_real_cards_come_before_virtual_ones_and_private_addresses_first(cards: list[ifaddr.Adapter]) -> None:
    cards += [
        card("lo", "127.0.0.1"),
        card("docker0", "172.17.0.1"),
        card("br-12ab", "172.18.0.1"),
        card("wlan0", "192.168.4.1", "fe80::1"),
        card("eth0", "10.0.0.5", "169.254.1.1"),
    ]
    found = urls()
    assert found[:2] == ["http://192.168.4.1:8000", "http://10.0.0.5:8000"]
    assert found[-2:] == ["http://172.17.0.1:8000", "http://172.18.0.1:8000"]
    assert not [url for url in found if "127.0.0.1" in url or "169.254" in url or "fe80" in url]


def test_a_public_address_comes_before_virtual_cards(cards: list[ifaddr.Adapter]) -> None:
    cards += [card("virbr0", "192.168.122.1"), card("wwan0", "1.2.3.4"), card("wlan0", "192.168.4.1")]
    assert urls() == ["http://192.168.4.1:8000", "http://1.2.3.4:8000", "http://192.168.122.1:8000"]


def test_without_a_network_there_is_this_machine(cards: list[ifaddr.Adapter]) -> None:
    cards += [card("lo", "127.0.0.1"), card("eth0", "169.254.1.1")]
    assert places(Settings(Path())) == [Place("http://127.0.0.1:8000", "this machine only")]


def test_this_machine_only_means_it(cards: list[ifaddr.Adapter]) -> None:
    cards.append(card("wlan0", "192.168.4.1"))
    assert urls(local_only=True) == ["http://127.0.0.1:8000"]


def test_behind_a_proxy_there_is_its_address_alone(cards: list[ifaddr.Adapter]) -> None:
    cards.append(card("wlan0", "192.168.4.1"))
    assert urls(public_url="https://morse.example/") == ["https://morse.example"]


def test_the_join_address_holds_the_code() -> None:
    assert (
        join_url(Place("http://192.168.4.1:8000", "wlan0"), "HERON-0417")
        == "http://192.168.4.1:8000/r/HERON-0417"
    )


def test_a_qr_code_is_dark_on_white_with_its_quiet_zone() -> None:
    """ISO/IEC 18004: four modules of quiet zone; here 8 units a module."""
    svg = ET.fromstring(qr_svg("http://192.168.4.1:8000/r/HERON-0417"))
    size = int(svg.attrib["width"])
    assert (size // 8 - 2 * 4 - 17) % 4 == 0, "a side has 17 + 4 * version modules"
    colours = {element.attrib.get("fill", element.attrib.get("stroke")) for element in svg.iter()}
    assert {"#000", "#fff"} <= colours
    assert "script" not in {element.tag.split("}")[-1] for element in svg.iter()}


def test_a_qr_code_for_the_terminal_is_square_enough_to_scan() -> None:
    lines = qr_terminal("http://192.168.4.1:8000/r/HERON-0417").splitlines()
    assert len(lines) > 12
