"""The command line: `copyroom serve`, `copyroom tone` and the rest.

The only module that may name eventlet. `serve` makes the standard library cooperative before anything
else is imported, so this module imports nothing of ours at its top, and subcommands load when called.
"""

from __future__ import annotations

import importlib

import click

COMMANDS = {
    "advise": "plan what to send next, one JSON request a line",
    "align": "say which sent symbol each written one answers",
    "rehearse": "fill a room with simulated learners",
    "symbols": "list the symbols of the code",
    "tone": "render a text as a sound file",
}
"""Subcommand -> its line of help; the body is `copyroom.cli.<name>`."""


class _LazyGroup(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted([*super().list_commands(ctx), *COMMANDS])

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return super().get_command(ctx, name)
        command: click.Command = getattr(importlib.import_module(f"copyroom.cli.{name}"), name)
        return command


@click.group(cls=_LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="copyroom")
def main() -> None:
    """Copyroom: teach International Morse code by ear to a group."""


if __name__ == "__main__":
    main()
