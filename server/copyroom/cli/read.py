"""`copyroom read`: what was sent, from the times of its tones or from a sound."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

import click

from copyroom.cli.sound_file import samples
from copyroom.core import keying
from copyroom.core.keying import Keyed, hear, keyed


class _Refused(click.ClickException):
    """The user's error, in one line."""

    exit_code = 2


@click.command()
@click.argument("file", type=click.Path(allow_dash=True), default="-")
@click.option("--wav", is_flag=True, help="FILE is a sound: WAV, one key at any pitch.")
def read(file: str, wav: bool) -> None:
    """Read hand-sent or machine-sent code of any speed.

    FILE (or standard input) is a list as `copyroom tone --edges` writes it, of objects with "on_s" and
    "off_s": when tones begin and end, in seconds, a number or a list each. What else they hold is not looked
    at. Printed: {"text": what was sent, "confidence": [0..1 for each symbol]}.
    """
    try:
        tones = hear(*samples(_content(file))) if wav else _edges(file)
        reading = keying.read(tones)
    except ValueError as error:
        raise _Refused(str(error)) from None
    confidence = [round(sure, 4) for sure in reading.confidence]
    click.echo(json.dumps({"text": reading.text, "confidence": confidence}, ensure_ascii=False))


def _content(file: str) -> bytes:
    try:
        with click.open_file(file, "rb") as opened:
            content: bytes = opened.read()
    except OSError as error:
        raise _Refused(f"{file} cannot be read: {error.strerror}.") from None
    return content


def _edges(file: str) -> Keyed:
    try:
        given = json.loads(_content(file))
    except (ValueError, RecursionError) as error:
        raise _Refused(f"This is not JSON: {error}.") from None
    if not isinstance(given, list):
        raise _Refused("The file must hold a list of tones.")
    return keyed(tone for i, entry in enumerate(given) for tone in _tones(entry, f"Entry {i + 1}"))


def _tones(entry: Any, where: str) -> Iterator[tuple[float, float]]:
    on_s, off_s = (_seconds(entry, name, where) for name in ("on_s", "off_s"))
    if len(on_s) != len(off_s):
        raise _Refused(f"{where} has {len(on_s)} beginnings and {len(off_s)} ends.")
    return zip(on_s, off_s, strict=True)


def _seconds(entry: Any, name: str, where: str) -> list[float]:
    if not isinstance(entry, dict) or name not in entry:
        raise _Refused(f"{where} has no {name!r}.")
    value = entry[name]
    values = value if isinstance(value, list) else [value]
    if any(isinstance(one, bool) or not isinstance(one, int | float) for one in values):
        raise _Refused(f"{name!r} of {where.lower()} is not a number of seconds, nor a list of them.")
    try:
        return [float(one) for one in values]
    except OverflowError:
        return [math.inf]
