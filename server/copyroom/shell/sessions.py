"""Who is signed in at a console: random sessions with an end, which the console lists and signs out.

They lie in a file beside the secret, so that a restart in the midst of a lesson asks nobody to sign in again.
The file holds no session itself, only what tells one from others; a new secret ends them all.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from copyroom.shell.secret import console_secret, private_file

LASTS_S = 8 * 86_400.0
"""From one weekly evening to the next, and a day."""
MOST = 50
"""The oldest ends when there are more."""
LONGEST_BROWSER = 120


@dataclass(frozen=True, slots=True)
class Session:
    """A signed-in browser.

    id : names it on the console; nobody can sign in with it.
    under : what tells the secret it was opened with from others.
    """

    id: str
    browser: str
    opened_s: float
    ends_s: float
    under: str


class Sessions:
    """The sessions of one data folder.

    Parameters
    ----------
    now_s : wall-clock time.
    """

    def __init__(self, data: Path, now_s: Callable[[], float]) -> None:
        self._data, self._path, self._now_s = data, data / "console-sessions.json", now_s
        self._read_at: tuple[int, int] | None = None
        self._kept: dict[str, Session] = {}

    def admits(self, secret: str) -> bool:
        """Whether this is the console's secret as it is now."""
        return secrets.compare_digest(secret.encode(), console_secret(self._data).encode())

    def open(self, browser: str) -> str:
        """A new session; what its browser is to show from now on."""
        shown, now_s = secrets.token_urlsafe(24), self._now_s()
        ident = _told_apart(shown)
        session = Session(ident, browser[:LONGEST_BROWSER], now_s, now_s + LASTS_S, self._under())
        kept = [*self.open_now(), session][-MOST:]
        self._write({one.id: one for one in kept})
        return shown

    def valid(self, shown: str) -> bool:
        """Whether a browser that shows this is signed in."""
        return any(one.id == _told_apart(shown) for one in self.open_now()) if shown else False

    def id_of(self, shown: str) -> str:
        """The name of the session that a browser shows."""
        return _told_apart(shown)

    def open_now(self) -> list[Session]:
        """All that have not ended, the oldest first."""
        self._read()
        under, now_s = self._under(), self._now_s()
        found = [one for one in self._kept.values() if one.under == under and one.ends_s > now_s]
        return sorted(found, key=lambda one: one.opened_s)

    def sign_out(self, ident: str) -> None:
        """End a session."""
        self._write({one.id: one for one in self.open_now() if one.id != ident})

    def _under(self) -> str:
        return _told_apart(console_secret(self._data))

    def _read(self) -> None:
        """What another process, or the command that makes a new secret, may have changed."""
        try:
            stat = self._path.stat()
        except FileNotFoundError:
            self._kept, self._read_at = {}, None
            return
        if self._read_at == (stat.st_mtime_ns, stat.st_size):
            return
        self._read_at = (stat.st_mtime_ns, stat.st_size)
        try:
            found = [Session(**one) for one in json.loads(self._path.read_text("utf-8"))]
        except (ValueError, TypeError):  # a crash may have left it half written: everybody signs in again
            found = []
        self._kept = {one.id: one for one in found}

    def _write(self, kept: dict[str, Session]) -> None:
        new = self._path.with_name(f"{self._path.name}.new")
        with private_file(new) as file:
            json.dump([asdict(one) for one in kept.values()], file)
        os.replace(new, self._path)
        self._kept, self._read_at = kept, None


def _told_apart(shown: str) -> str:
    return hashlib.sha256(shown.encode()).hexdigest()[:32]
