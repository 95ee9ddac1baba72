"""Where learners find the server: the addresses of every interface, and their QR codes."""

from __future__ import annotations

import io
import ipaddress
from dataclasses import dataclass

import ifaddr
import segno

from copyroom.settings import Settings


@dataclass(frozen=True, slots=True)
class Place:
    """One address of the server; `interface` is the system's name of the network card."""

    url: str
    interface: str


def places(settings: Settings) -> list[Place]:
    """Addresses to try, the likeliest first: the public one, then private networks, then the rest."""
    scheme, port = settings.scheme, settings.port
    if settings.public_url:
        return [Place(settings.public_url.rstrip("/"), "public")]
    if settings.local_only:
        return [Place(f"{scheme}://127.0.0.1:{port}", "this machine only")]
    found = [
        (ipaddress.ip_address(ip.ip), adapter.nice_name)
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4 and isinstance(ip.ip, str)
    ]
    usable = [
        (address, name) for address, name in found if not (address.is_loopback or address.is_link_local)
    ]
    # A container's or a virtual machine's bridge is private, too: real cards first.
    usable.sort(key=lambda found: (_looks_virtual(found[1]), not found[0].is_private))
    if not usable:
        return [Place(f"{scheme}://127.0.0.1:{port}", "this machine only")]
    return [Place(f"{scheme}://{address}:{port}", name) for address, name in usable]


def _looks_virtual(name: str) -> bool:
    return name.lower().startswith(("docker", "br-", "veth", "virbr", "vmnet", "vethernet", "utun", "tun"))


def join_url(place: Place, code: str, key: str = "") -> str:
    """Where a room is joined; with its key, which a QR code carries, nothing need be typed or guessed."""
    return f"{place.url}/r/{code}#{key}" if key else f"{place.url}/r/{code}"


def qr_svg(url: str) -> bytes:
    """The QR code of a join address as an SVG file, dark on white in every theme: phones need that."""
    out = io.BytesIO()
    segno.make(url, error="m", micro=False).save(
        out, kind="svg", scale=8, border=4, dark="#000", light="#fff"
    )
    return out.getvalue()


def qr_terminal(url: str) -> str:
    """The QR code in half-block characters."""
    out = io.StringIO()
    segno.make(url, error="l", micro=False).terminal(out, border=2, compact=True)
    return out.getvalue()
