"""The text of a run: what somebody wrote, or one that this class has not heard."""

from __future__ import annotations

import re
from collections.abc import Sequence

import msgspec
import numpy as np

from copyroom.core import composition, traffic
from copyroom.core.alphabet import ADDITIONS, WORD_SPACE
from copyroom.core.bursts import Speed, bursts
from copyroom.core.purpose import Composed
from copyroom.core.rounds import meeting_s
from copyroom.core.text import display, normalise
from copyroom.core.themes import THEMES
from copyroom.room import events as ev
from copyroom.room.classroom import Classroom
from copyroom.room.contract import answers, handles, settles
from copyroom.room.effects import Effect, Refused
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
_ADDED = {one.sign for one in ADDITIONS}
MOST_OWN_WORDS, LONGEST_OWN_WORD = 300, 20
"""Of the class's own list: words, and sounds in each."""


def composed(room: Classroom, event: ev.Compose | ev.SendText) -> str:
    """The text of this event: its own, normalised, or one composed from its seed.

    Raises Refused with a sentence on what is wrong with it.
    """
    try:
        text = normalise(event.text, additions=room.additions) if event.text.strip() else _fresh(room, event)
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
    if outside := [sign for sign in event.symbols if sign in _ADDED and not room.additions]:
        raise Refused(
            f"{display(outside[0])} is outside the recommendation: offer such signs to the class first."
        )
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
            return composition.known_words(_words_about(room, event.about), event.symbols, event.count, rng)
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


def _words_about(room: Classroom, about: str) -> Sequence[str]:
    if about == "own" and not room.own_words:
        raise Refused("The class has no words of its own yet: write some, and keep them.")
    return room.own_words if about == "own" else THEMES.get(about, room.words)


# ------------------------------------------------------------------ the class's own words


def own_words(raw: str, *, additions: bool = False) -> tuple[str, ...]:
    """The words of a pasted list, each once, short ones first; what stands between them may be commas.

    Raises Refused with a sentence on what is wrong with it.
    """
    if not raw.strip():
        return ()
    try:
        found = dict.fromkeys(normalise(re.sub(r"[,;|\u2022]", " ", raw), additions=additions).split())
    except ValueError as fault:
        raise Refused(str(fault)) from None
    if long := [word for word in found if len(word) > LONGEST_OWN_WORD]:
        sounds = f"{display(long[0])} has {len(long[0])} sounds"
        raise Refused(f"{sounds}; a word of the list has {LONGEST_OWN_WORD} at most.")
    if len(found) > MOST_OWN_WORDS:
        raise Refused(f"That list has {len(found)} words; {MOST_OWN_WORDS} are the most.")
    return tuple(sorted(found, key=lambda word: (len(word), word)))


@settles(ev.KeepWords)
def settle_words(figures: Figures, event: ev.KeepWords, now_ms: float) -> ev.KeepWords:
    """The journal keeps the words that were found in what was pasted."""
    return msgspec.structs.replace(
        event, words=WORD_SPACE.join(own_words(event.words, additions=figures.room.additions))
    )


@handles(ev.KeepWords)
def keep_words(room: Classroom, event: ev.KeepWords, now_ms: float) -> list[Effect]:
    """The class's own list, in place of the one before."""
    room.own_words = tuple(event.words.split())
    return []


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
