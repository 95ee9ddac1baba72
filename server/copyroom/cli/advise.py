"""`copyroom advise`: plan what to send next, one JSON request a line, one JSON answer a line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TextIO

import click
import msgspec
import numpy as np

from copyroom.cli.lines import Kept, MeetingIn, Signs, record, serve, signs
from copyroom.core.advice.grounds import Grounds, grounds_after
from copyroom.core.advice.policy import propose
from copyroom.core.advice.situation import Situation
from copyroom.core.course import MOST_NEW
from copyroom.core.record import PastRun, RunKind
from copyroom.core.similarity import similarity


class RequestIn(msgspec.Struct, rename={"class_id": "class"}, forbid_unknown_fields=True):
    """What is asked for one class."""

    class_id: str | int
    alphabet: Signs
    known: Signs
    learners: list[str]
    present: list[str]
    today: int
    sendings_left: int
    intro_cost: int
    min_length: int
    max_length: int
    meetings: list[MeetingIn]
    new_limit: int | None = None
    kinds: dict[RunKind, float] = msgspec.field(default_factory=lambda: {"copy": 1.0})
    later: list[tuple[int, int]] = []
    wpm: float | None = None
    overall_wpm: float | None = None


_decoder = msgspec.json.Decoder(RequestIn)


def _situation(request: RequestIn, runs: Sequence[PastRun]) -> Situation:
    tonight = {sign for run in runs if run.day == request.today for sign in run.introduce}
    limit = request.new_limit
    return Situation(
        alphabet=signs("alphabet", request.alphabet),
        known=signs("known", request.known),
        present=tuple(dict.fromkeys(request.present or request.learners)),
        today=request.today,
        sendings_left=request.sendings_left,
        intro_cost=request.intro_cost,
        min_length=request.min_length,
        max_length=request.max_length,
        new_limit=max(0, MOST_NEW - len(tonight)) if limit is None else limit,
        later=tuple(request.later),
        kinds=request.kinds,
        speeds=(request.wpm, request.overall_wpm),
    )


def answer(line: str, kept: Kept[Grounds], rng: np.random.Generator) -> dict[str, Any]:
    """The answer to one line. Raises ValueError or a decoding error, in a sentence."""
    request = _decoder.decode(line)
    runs = record(request.meetings, request.wpm, request.overall_wpm)
    if runs and request.today < runs[-1].day:
        raise ValueError(f"today is day {request.today}, before the last meeting, on day {runs[-1].day}")
    situation = _situation(request, runs)
    standing = kept.after(request.class_id, runs).standing(situation)
    proposal = propose(standing, rng).proposal
    return {
        "introduce": list(proposal.introduce),
        "kind": proposal.kind,
        "text": proposal.text,
        "about": {"symbols": proposal.about.symbols, "learners": list(proposal.about.learners)},
        "reasons": list(proposal.reasons),
    }


@click.command()
@click.option("--seed", type=click.IntRange(min=0), help="Make the random draws repeatable.")
@click.argument("requests", type=click.File(encoding="utf-8", errors="surrogateescape"), default="-")
def advise(requests: TextIO, seed: int | None) -> None:
    """Plan what to send next: one JSON request a line in REQUESTS (or standard input), one answer a line.

    A line that cannot be answered gets {"error": "..."}; the next one is served all the same.
    """
    similarity()  # worked out before the first request waits for it
    kept, rng = Kept(grounds_after), np.random.default_rng(seed)
    serve(requests, lambda line: answer(line, kept, rng))
