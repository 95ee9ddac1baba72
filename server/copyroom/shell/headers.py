"""What every answer says about itself, whoever made it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

ALIKE = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
NO_STORE = ("/api/", "/enter", "/qr/", "/socket.io/")
"""What is asked for there is for whoever asks, and now."""
HOST = re.compile(r"[A-Za-z0-9.\-]+(:\d+)?|\[[0-9A-Fa-f:.]+\](:\d+)?")


def headers_for(environ: dict[str, Any]) -> dict[str, str]:
    """The headers of an answer to this request."""
    said = ALIKE | {"Content-Security-Policy": _policy(environ.get("HTTP_HOST", ""))}
    if environ.get("PATH_INFO", "").startswith(NO_STORE):
        said["Cache-Control"] = "no-store"
    return said


def _policy(host: str) -> str:
    """This host alone. Its sockets are named: 'self' does not cover them in older browsers (from memory)."""
    sockets = f" ws://{host} wss://{host}" if HOST.fullmatch(host) else ""
    return (
        f"default-src 'self'; img-src 'self' data:; connect-src 'self'{sockets}; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    )


class WithHeaders:
    """A WSGI app whose every answer has them, also those that no page made; its own stand."""

    def __init__(self, app: Any) -> None:
        self._app = app

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        def start(status: str, headers: list[tuple[str, str]], *more: Any) -> Any:
            have = {name.lower() for name, _ in headers}
            missing = [pair for pair in headers_for(environ).items() if pair[0].lower() not in have]
            return start_response(status, [*headers, *missing], *more)

        answer: Iterable[bytes] = self._app(environ, start)
        return answer
