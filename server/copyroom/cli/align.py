"""`copyroom align`: which sent symbol each written one answers, for one copy in JSON."""

from __future__ import annotations

import json
import math
from typing import Any

import click

from copyroom.core import alignment
from copyroom.core.alphabet import BLANK, INDEX, WORD_SPACE


class _BadCopy(click.ClickException):
    exit_code = 2


def _field(entry: Any, name: str, where: str) -> Any:
    if not isinstance(entry, dict) or name not in entry:
        raise _BadCopy(f"{where} has no {name!r}")
    return entry[name]


def _seconds(entry: Any, name: str, where: str) -> float:
    value = _field(entry, name, where)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise _BadCopy(f"{name!r} of {where} is not a number of seconds")
    return float(value)


def _sign(value: Any, where: str, allowed: str) -> str:
    if not isinstance(value, str) or len(value) != 1 or (value not in INDEX and value not in allowed):
        raise _BadCopy(f"{where} is {value!r}, which is no symbol of the code")
    return value


def _entries(given: Any, name: str) -> list[Any]:
    entries = _field(given, name, "the file")
    if not isinstance(entries, list):
        raise _BadCopy(f"{name!r} is not a list")
    return entries


def _read(given: Any) -> tuple[str, list[float] | None, str, list[float | None] | None]:
    """The file's form -> sent, end_s, written, at_s."""
    sent, end_s, timed_text = [], [], True
    for i, entry in enumerate(_entries(given, "sent")):
        where = f"sent symbol {i}"
        sent.append(_sign(_field(entry, "symbol", where), where, ""))
        timed_text = timed_text and "end_s" in entry
        end_s.append(_seconds(entry, "end_s", where) if timed_text else 0.0)
    marks, at_s = [], []
    for k, entry in enumerate(_entries(given, "copy")):
        where = f"mark {k} of the copy"
        bare = isinstance(entry, str)
        marks.append(_sign(entry if bare else _field(entry, "symbol", where), where, BLANK + WORD_SPACE))
        untimed = bare or entry.get("at_s") is None
        at_s.append(None if untimed else _seconds(entry, "at_s", where))
    times = at_s if timed_text and any(t is not None for t in at_s) else None
    return "".join(sent), end_s if timed_text else None, "".join(marks), times


@click.command()
@click.argument("file", type=click.Path(allow_dash=True), default="-")
def align(file: str) -> None:
    """Say which sent symbol each written one answers.

    FILE (or standard input) holds {"sent": [{"symbol", "end_s"}...], "copy": [{"symbol", "at_s"}...]}; a
    sheet's copy is a list of bare signs. Word spaces in a copy answer nothing. Printed: {"attribution":
    [index of the sent symbol, or null], "confidence": [0..1], "missed": [indices]}.
    """
    try:
        with click.open_file(file, encoding="utf-8") as opened:
            given = json.load(opened)
    except OSError as error:
        raise _BadCopy(f"{file} cannot be read: {error.strerror}") from None
    except (ValueError, RecursionError) as error:
        raise _BadCopy(f"this is not JSON: {error}") from None
    try:
        sent, end_s, written, at_s = _read(given)
        aligned = alignment.align(sent, end_s, written, at_s)
    except (ValueError, OverflowError) as error:
        raise _BadCopy(str(error)) from None
    places = [k for k, sign in enumerate(written) if sign != WORD_SPACE]
    attribution: list[int | None] = [None] * len(written)
    confidence = [1.0] * len(written)
    for k, symbol, sure in zip(places, aligned.attribution, aligned.confidence, strict=True):
        attribution[k], confidence[k] = symbol, round(sure, 4)
    click.echo(json.dumps({"attribution": attribution, "confidence": confidence, "missed": aligned.missed}))
