"""Everything that can be set when the server starts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

MOST_CONNECTIONS = 4000


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of one server.

    data : folder for the database and the console's secret.
    database_url : an SQLAlchemy URL; "" is an SQLite file in `data`.
    local_only : listen on this machine alone.
    public_url : where learners reach the server when a proxy stands before it; "" without one.
    proxies : addresses of proxies that are believed when they say whom they speak for.
    certificate, certificate_key : files of a TLS certificate and its key; None: plain HTTP.
    keep_days : rooms untouched for so long are due; the console says so before they are erased.
    test_mode : a learner's page may choose a pitch for measurements; never in a class.
    max_connections : newcomers beyond this are turned away in words.
    exercises : a folder with more exercises, each a .py and a .js file.
    threading : real threads and the development server instead of eventlet.
    """

    data: Path
    database_url: str = ""
    host: str = "0.0.0.0"
    port: int = 8000
    local_only: bool = False
    public_url: str = ""
    proxies: frozenset[str] = frozenset()
    certificate: Path | None = None
    certificate_key: Path | None = None
    keep_days: int = 60
    test_mode: bool = False
    exercises: Path | None = None
    threading: bool = False
    max_connections: int = MOST_CONNECTIONS

    @property
    def database(self) -> str:
        url = self.database_url
        if url.startswith(("postgres://", "postgresql://")):
            return "postgresql+psycopg://" + url.split("://", 1)[1]
        return url or f"sqlite:///{self.data / 'copyroom.sqlite3'}"

    @property
    def listen_host(self) -> str:
        return "127.0.0.1" if self.local_only else self.host

    @property
    def scheme(self) -> str:
        return "https" if self.certificate else "http"
