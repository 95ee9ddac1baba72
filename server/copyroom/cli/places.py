"""Where the rooms are kept: the options that commands beside `serve` share."""

from __future__ import annotations

from pathlib import Path

import click

from copyroom.settings import Settings

data_option = click.option("--data", type=click.Path(file_okay=False), help="Folder for database and secret.")
database_option = click.option(
    "--database", default="", metavar="URL", help="Another database, such as postgresql://..."
)


def settings_of(data: str | None, database: str) -> Settings:
    """The settings of a server that is started with these options."""
    return Settings(data=Path(data) if data else Path.home() / ".copyroom", database_url=database)
