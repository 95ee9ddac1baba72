"""The console's secret, room codes and tokens: all the chance that guards something."""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
import secrets
from pathlib import Path
from typing import TextIO

from copyroom.shell.assets import code_words


def console_secret(data: Path) -> str:
    """The secret of this data folder, made at first use and readable by its owner alone."""
    path = data / "console-secret"
    found = path.read_text("ascii").strip() if path.exists() else ""
    if found:  # a crash may have left the file empty
        return found
    return new_secret(data)


def new_secret(data: Path) -> str:
    """Another secret in place of the one that there was: links, QR codes and sessions of that one end."""
    secret = secrets.token_urlsafe(18)
    with private_file(data / "console-secret") as file:
        file.write(secret)
    return secret


def private_file(path: Path) -> TextIO:
    """A file that is its owner's alone from its first moment, open for writing."""
    return open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8")


def token() -> str:
    return secrets.token_urlsafe(16)


def seed() -> int:
    return secrets.randbelow(2**53)


CODE_BITS = 26.0
"""Two of 256 words and three figures: some 65 million. With ten wrong ones a minute from each network, one
room's is met by one network after six years on average, by a thousand networks at once after two days."""


def room_code() -> str:
    """A code that can be said aloud: two words and three figures."""
    first, second = secrets.choice(code_words()), secrets.choice(code_words())
    return f"{first}-{second}-{secrets.randbelow(1000):03}"


class LinkKeys:
    """Long secrets for links of one room: they are scanned or clicked, and no one could guess them.

    A key follows from the console's secret, so a new secret makes new ones.
    """

    def __init__(self, data: Path) -> None:
        self._data = data

    def key(self, kind: str, code: str) -> str:
        """kind : "door" lets in who does not type the code; "wall" shows the wall and does nothing."""
        made = hmac.digest(console_secret(self._data).encode(), f"{kind}/{code}".encode(), hashlib.sha256)
        return base64.urlsafe_b64encode(made[:15]).decode()

    def opens(self, kind: str, code: str, key: str) -> bool:
        """Whether this is that key."""
        return bool(key) and hmac.compare_digest(self.key(kind, code).encode(), key.encode())
