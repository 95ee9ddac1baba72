"""`copyroom advise`: plan what to send next, one JSON request a line, one JSON answer a line."""

from __future__ import annotations

from typing import TextIO

import click
import msgspec
import numpy as np

from copyroom.core.advice.history import Histories
from copyroom.core.advice.proposal import propose
from copyroom.core.advice.record import Exercise
from copyroom.core.advice.situation import Situation
from copyroom.core.similarity import similarity

Signs = list[str] | str


class _Exercise(msgspec.Struct):
    sent: str
    copies: dict[str, str]
    introduce: Signs = ""


class _Meeting(msgspec.Struct):
    day: int
    exercises: list[_Exercise]


class _Request(msgspec.Struct, rename={"class_id": "class"}):
    class_id: str | int
    alphabet: Signs
    known: Signs
    students: list[str]
    present: list[str]
    today: int
    seats_left: int
    intro_cost: int
    min_length: int
    max_length: int
    plan: list[tuple[int, int]]
    meetings: list[_Meeting]


_decoder = msgspec.json.Decoder(_Request)


def _exercises(request: _Request) -> list[Exercise]:
    return [
        Exercise(meeting.day, "".join(exercise.introduce), exercise.sent, exercise.copies)
        for meeting in request.meetings
        for exercise in meeting.exercises
    ]


def _situation(request: _Request) -> Situation:
    for name in ("alphabet", "known"):
        for sign in getattr(request, name):
            if len(sign) != 1:
                raise ValueError(f"{name} holds {sign!r}, which is not one code point")
    return Situation(
        alphabet="".join(request.alphabet),
        known="".join(request.known),
        present=tuple(request.present or request.students),
        sendings_left=request.seats_left,
        sendings_later=sum(sendings for _, sendings in request.plan),
        intro_cost=request.intro_cost,
        min_length=request.min_length,
        max_length=request.max_length,
    )


def answer(line: str, histories: Histories, rng: np.random.Generator) -> dict[str, object]:
    """The answer to one line; {"error": one sentence} when there is none."""
    try:
        request = _decoder.decode(line)
        situation = _situation(request)
        record = histories.record(request.class_id, _exercises(request))
        proposal = propose(situation, record, rng)
    except (msgspec.MsgspecError, ValueError) as error:
        return {"error": " ".join(str(error).split())}
    return {
        "introduce": list(proposal.introduce),
        "text": proposal.text,
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
    histories, rng = Histories(), np.random.default_rng(seed)
    encoder = msgspec.json.Encoder()
    for line in iter(requests.readline, ""):
        click.echo(encoder.encode(answer(line, histories, rng)))
