"""`copyroom evidence`: what a class knows, one JSON request a line, one JSON answer a line."""

from __future__ import annotations

from typing import Any, TextIO

import click
import msgspec

from copyroom.cli.lines import Kept, MeetingIn, Signs, record, serve, signs
from copyroom.core.advice.grounds import Grounds, grounds_after
from copyroom.core.evidence.mix_ups import MixUps, pairs_worth_teaching
from copyroom.core.evidence.slow import Slowness
from copyroom.core.knowledge import Belief

DIGITS = 4


class AskIn(msgspec.Struct, forbid_unknown_fields=True):
    """The day and the speeds that a belief is for."""

    day: int
    wpm: float | None = None
    overall_wpm: float | None = None


class RequestIn(msgspec.Struct, rename={"class_id": "class"}, forbid_unknown_fields=True):
    """What is asked of one class."""

    class_id: str | int
    symbols: Signs
    ask: AskIn
    meetings: list[MeetingIn]


_decoder = msgspec.json.Decoder(RequestIn)


def answer(line: str, kept: Kept[Grounds]) -> dict[str, Any]:
    """The answer to one line. Raises ValueError or a decoding error, in a sentence."""
    request = _decoder.decode(line)
    asked, ask = signs("symbols", request.symbols), request.ask
    runs = record(request.meetings, ask.wpm, ask.overall_wpm)
    if runs and ask.day < runs[-1].day:
        raise ValueError(f"the asked day {ask.day} comes before the last meeting, on day {runs[-1].day}")
    knowledge = kept.after(request.class_id, runs).knowledge
    mixed, slowness = MixUps(), Slowness()
    for run in runs:
        mixed.take(run)
        slowness.take(run)
    if not knowledge.names or not asked:
        return {"learners": {name: {} for name in knowledge.names}, "class": {}, "pairs": [], "slow": []}
    believed = knowledge.believe(ask.day, asked, (ask.wpm, ask.overall_wpm))
    together = believed.together
    return {
        "learners": {name: _of_learner(believed, row) for row, name in enumerate(believed.names)},
        "class": {
            sign: [round(float(part[i]), DIGITS) for part in (together.low, together.mean, together.high)]
            for i, sign in enumerate(asked)
        },
        "pairs": [
            {"sent": p.sent, "written": p.written, "learners": p.learners, "lost": round(p.lost, DIGITS)}
            for p in pairs_worth_teaching(mixed).pairs
            if p.sent in asked and p.written in asked
        ],
        "slow": [slow.sign for slow in slowness.slow() if slow.sign in asked],
    }


def _of_learner(believed: Belief, row: int) -> dict[str, list[float]]:
    of = believed.learners
    return {
        sign: [round(float(part[row, i]), DIGITS) for part in (of.low, of.mean, of.high)]
        for i, sign in enumerate(believed.signs)
    }


@click.command()
@click.argument("requests", type=click.File(encoding="utf-8", errors="surrogateescape"), default="-")
def evidence(requests: TextIO) -> None:
    """Say what a class knows: one JSON request a line in REQUESTS (or standard input), one answer a line.

    A line that cannot be answered gets {"error": "..."}; the next one is served all the same.
    """
    kept = Kept(grounds_after)
    serve(requests, lambda line: answer(line, kept))
