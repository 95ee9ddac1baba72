"""The console's secret, room codes and tokens: all the chance that guards something."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from itsdangerous import BadSignature, URLSafeSerializer

from copyroom.shell.assets import code_words


def console_secret(data: Path) -> str:
    """The secret of this data folder, made at first use and readable by its owner alone."""
    path = data / "console-secret"
    found = path.read_text("ascii").strip() if path.exists() else ""
    if found:  # a crash may have left the file empty
        return found
    secret = secrets.token_urlsafe(18)
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="ascii") as file:
        file.write(secret)
    return secret


def token() -> str:
    return secrets.token_urlsafe(16)


def seed() -> int:
    return secrets.randbelow(2**53)


CODE_BITS = 26.0
"""Two of 256 words and three figures: some 65 million. With one wrong code answered each 0.2 s, over all
connections, one room's is met after 75 days on average."""


def room_code() -> str:
    """A code that can be said aloud: two words and three figures."""
    first, second = secrets.choice(code_words()), secrets.choice(code_words())
    return f"{first}-{second}-{secrets.randbelow(1000):03}"


class ConsolePass:
    """The cookie that a console gets for its secret."""

    def __init__(self, secret: str) -> None:
        self._secret = secret
        self._signer = URLSafeSerializer(secret, salt="console")

    def admits(self, secret: str) -> bool:
        return secrets.compare_digest(secret.encode(), self._secret.encode())

    def issue(self) -> str:
        return str(self._signer.dumps("instructor"))

    def valid(self, cookie: str) -> bool:
        try:
            return bool(self._signer.loads(cookie) == "instructor")
        except BadSignature:
            return False
