"""What the filters share: the record of a class as JSON, and one answer a line."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Generic, Literal, TextIO, TypeVar

import click
import msgspec

from copyroom.core.alphabet import BLANK, INDEX
from copyroom.core.record import PastRun

T = TypeVar("T")
Signs = list[str] | str
"""Symbols, as one string or as a list of single ones."""
MOST_CLASSES = 64
"""The class asked for longest ago is forgotten beyond so many; it is only worked out anew."""


class RunIn(msgspec.Struct, forbid_unknown_fields=True):
    """One run of a meeting."""

    sent: Signs
    copies: dict[str, str]
    introduce: Signs = ""
    kind: Literal["copy", "named"] = "copy"
    keys: Signs = ""
    wpm: float | None = None
    overall_wpm: float | None = None
    lags_s: dict[str, list[float | None]] = {}


class MeetingIn(msgspec.Struct, forbid_unknown_fields=True):
    """One meeting; without `present`, whoever has a copy was there."""

    day: int
    runs: list[RunIn]
    present: list[str] | None = None


def signs(field: str, given: Signs) -> str:
    """Symbols as one string. Raises ValueError for what is none."""
    for sign in given:
        if len(sign) != 1:
            raise ValueError(f"{field} holds {sign!r}, which is not one code point")
        if sign == BLANK:
            raise ValueError(f"{field} holds {BLANK!r}, which stands for a blank and is no symbol")
        if sign not in INDEX:
            raise ValueError(f"{field} holds {sign!r}, which is not a symbol of the code")
    if len(set(given)) < len(given) and field != "sent":
        raise ValueError(f"{field} has a symbol twice")
    return "".join(given)


def record(meetings: Sequence[MeetingIn], wpm: float | None, overall_wpm: float | None) -> list[PastRun]:
    """The runs of all meetings, oldest first; one without sounds says who came where nothing was copied.

    wpm, overall_wpm : speeds of runs that do not say theirs.
    """
    runs: list[PastRun] = []
    day = -1
    for meeting in meetings:
        if meeting.day < day:
            raise ValueError(f"day {meeting.day} comes after day {day}: meetings stand oldest first")
        day = meeting.day
        came = dict.fromkeys(name for run in meeting.runs for name in run.copies)
        present = tuple(came if meeting.present is None else meeting.present)
        if not meeting.runs:
            runs.append(PastRun(day, "", {}, present))
        runs += [_run(run, day, present, wpm, overall_wpm) for run in meeting.runs]
    return runs


def _run(
    run: RunIn, day: int, present: tuple[str, ...], wpm: float | None, overall_wpm: float | None
) -> PastRun:
    for field, speed in (("wpm", run.wpm), ("overall_wpm", run.overall_wpm)):
        if speed is not None and not speed > 0.0:
            raise ValueError(f"{field} is {speed:g}; a speed is more than 0")
    return PastRun(
        day=day,
        sent=signs("sent", run.sent),
        copies=run.copies,
        present=present,
        introduce=signs("introduce", run.introduce),
        kind=run.kind,
        keys=signs("keys", run.keys),
        wpm=run.wpm or wpm,
        overall_wpm=run.overall_wpm or overall_wpm,
        lags_s=run.lags_s,
    )


class Kept(Generic[T]):
    """What was made of each class's runs, to be continued where a record goes on.

    A request carries its whole record, so nothing is lost with this memory; it only saves time.
    """

    def __init__(self, continue_: Callable[[T | None, Sequence[PastRun]], T]) -> None:
        self._continue = continue_
        self._of: OrderedDict[str | int, T] = OrderedDict()

    def after(self, class_id: str | int, runs: Sequence[PastRun]) -> T:
        """What these runs come to. Do not change it."""
        made = self._continue(self._of.pop(class_id, None), runs)
        self._of[class_id] = made
        if len(self._of) > MOST_CLASSES:
            self._of.popitem(last=False)
        return made


def serve(requests: TextIO, answer: Callable[[str], Mapping[str, Any]]) -> None:
    """One answer a line; {"error": one sentence} for a line that has none."""
    encoder = msgspec.json.Encoder()
    for line in iter(requests.readline, ""):
        try:
            found = answer(line)
        except (msgspec.MsgspecError, ValueError) as error:
            found = {"error": " ".join(str(error).split())}
        click.echo(encoder.encode(found))
