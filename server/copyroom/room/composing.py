"""The text of a run: what somebody wrote, or one that this class has not heard."""

from __future__ import annotations

import numpy as np

from copyroom.core import composition, traffic
from copyroom.core.bursts import Speed, bursts
from copyroom.core.purpose import Composed
from copyroom.core.rounds import meeting_s
from copyroom.core.text import normalise
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import answers
from copyroom.room.effects import Refused
from copyroom.room.figures import Figures
from copyroom.room.messages.console import ProposalOut

LISTEN = "EEE T EE"
"""A few short sounds at uneven distances: ears hear at once whether the room sounds as one."""
TRIES = 5
"""Texts drawn before one that was heard already is sent again."""
RECENT = 300
"""Sounds: five for each symbol of the code, and some."""
LONGEST_TEXT = 1000
"""Sounds in one run: about an hour at beginners' spacing."""


def composed(room: Classroom, event: ev.Compose | ev.SendText) -> str:
    """The text of this event: its own, normalised, or one composed from its seed.

    Raises Refused with a sentence on what is wrong with it.
    """
    try:
        text = normalise(event.text) if event.text.strip() else _fresh(room, event)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    sounds = len(text.replace(" ", ""))
    if sounds > LONGEST_TEXT:
        raise Refused(f"That text has {sounds} sounds; a run takes {LONGEST_TEXT} at most.")
    return text


def _fresh(room: Classroom, event: ev.Compose | ev.SendText) -> str:
    """A text that this class has not heard; where the sounds leave no choice, one that it has."""
    heard = {run.text for run in room.runs if not run.cancelled}
    text = _compose(room, event, event.seed)
    for seed in range(event.seed + 1, event.seed + TRIES):
        if text not in heard:
            break
        text = _compose(room, event, seed)
    return text


def _compose(room: Classroom, event: ev.Compose | ev.SendText, seed: int) -> str:
    if event.purpose == "listen":
        return LISTEN
    if event.purpose == "own":
        raise Refused("Write the text to be sent first.")
    if not event.symbols:
        raise Refused("Choose the symbols first.")
    # A page counts its seeds from 1 each evening: the runs so far make each text's chance its own.
    rng = np.random.default_rng([seed, sum(not run.cancelled for run in room.runs)])
    match event.purpose:
        case "one":
            return composition.one_symbol(event.symbols[0], event.count, group=event.group)
        case "meet":
            return composition.meet(event.symbols[0], room.symbols, event.count, rng, group=event.group)
        case "apart":
            return composition.tell_apart(
                event.symbols, event.count, rng, group=event.group, recent=_recent(room)
            )
        case "words":
            return composition.known_words(room.words, event.symbols, event.count, rng)
        case "calls":
            return composition.practice_calls(event.symbols, event.count, rng)
        case "sentences":
            return traffic.sentences(event.symbols, event.count, rng)
        case "contact":
            return traffic.contact(event.symbols, event.count, rng)
        case "message":
            return traffic.message(event.symbols, event.count, rng)
        case _:
            return composition.mixed_groups(
                event.symbols, event.count, rng, group=event.group, recent=_recent(room)
            )


def _recent(room: Classroom) -> str:
    """The last sounds that the class was sent this evening."""
    return "".join(run.sent for run in room.meeting_runs())[-RECENT:]


def fresh_text(room: Classroom, purpose: Composed, symbols: str, count: int, seed: int) -> str:
    """So many sounds in groups of five, or in words, for an exercise. Raises Refused, or ValueError."""
    return _compose(room, ev.Compose(purpose, symbols, count, 5, "", seed), seed)


@answers(ev.Compose)
def propose(figures: Figures, event: ev.Compose, now_ms: float) -> ProposalOut:
    """A text to look at, with its length, before it is sent."""
    room = figures.room
    text = composed(room, event)
    speed = Speed(room.sound.wpm, room.sound.overall_wpm)
    timing = bursts(text, speed)
    seconds = meeting_s(text, speed) if event.purpose == "meet" else float(timing.duration_s)
    return ProposalOut(text=text, sounds=len(timing.symbols), seconds=seconds)
