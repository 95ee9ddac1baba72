"""Figures, purposes and reasons in words: what stands in no journal is worded here when it is shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from copyroom.core.alphabet import by_table_order
from copyroom.core.purpose import Because, Change, Purpose, Recalled

MOST_UNTESTED = 3
"""Of the sounds that are not tested yet; more are counted."""
MOST_IN_TITLE = 5
"""Sounds that a title names; more are counted."""

TITLES: Mapping[Purpose, str] = {
    "listen": "Listen to the room",
    "meet": "Meet a sound",
    "one": "One sound by ear",
    "apart": "Tell apart",
    "mix": "Mix",
    "words": "Words",
    "calls": "Practice calls",
    "sentences": "Sentences",
    "contact": "Practice contact",
    "message": "Practice messages",
    "own": "Own text",
    "warm-up": "Warm up",
    "practise": "Practise",
    "longer": "A longer copy",
    "together": "Together",
    "breather": "Breather",
    "close": "End of the evening",
}
"""What a purpose is called without its sounds."""
_GOOD_FOR: Mapping[Purpose, str] = {
    "meet": "A new sound, many times over and named each time; now and then another, to keep ears open.",
    "mix": "Everything in turn.",
    "words": "Sounds become words; these need only known ones.",
    "calls": "Nothing in a call sign can be guessed. These are invented ones.",
    "sentences": "In a sentence the next word pulls at the ear; write what sounds, not what should.",
    "contact": "What is said on the air, in its usual order, between invented stations.",
    "message": "Formal messages, all invented, whose count of groups shows whether all was copied.",
    "warm-up": "What is weak, and what was not heard for longest.",
    "practise": "New sounds need many turns at once.",
    "longer": "To keep on copying, with blanks for what is lost.",
    "together": "The class works as stations: each has a part in it.",
    "breather": "Ears tire; practice in short stretches lasts.",
    "close": "Say what went well, and what to listen to at home.",
}


def percent(share: float) -> str:
    """0..1 -> "73 %" (the space is the International System's: ISO 80000-1, 7.1.4, from memory)."""
    return f"{100 * share:.0f} %"


def counted(n: int, noun: str) -> str:
    """1, "sound" -> "1 sound"; 3, "sound" -> "3 sounds"."""
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def listed(signs: str) -> str:
    """ "KMA" -> "K, M and A"."""
    most, last = signs[:-1], signs[-1]
    return f"{', '.join(most)} and {last}" if most else last


def named_share(sign: str, share: float | None) -> str:
    """A sign with what the class recalls of it; None when it is not tested yet."""
    return f"{sign} ({'not tested yet' if share is None else percent(share)})"


def recalled(who: str, of: Recalled) -> str:
    """What may be said of what a class recalls: an estimate of what was tested, and what was not.

    A part of a sentence.
    """
    count = of.count - len(of.untested)
    if not count:
        return f"of the {counted(of.count, 'sound')} met, nothing is tested yet"
    share = percent(of.share)
    if not of.untested:
        return f"over the course {who} recalls about {share} of its {counted(count, 'sound')}"
    few = len(of.untested) <= MOST_UNTESTED
    named = " and ".join(of.untested) if few else f"{len(of.untested)} others"
    are = "is" if len(of.untested) == 1 else "are"
    return (
        f"over the course {who} recalls about {share} of the {counted(count, 'sound')} tested;"
        f" {named} {are} not tested yet"
    )


def awaited(threshold: float, of: Recalled) -> str:
    """What new sounds wait for: a recall of all that was met, tested or not."""
    return f"{percent(threshold)} of all" if of.untested else percent(threshold)


# ------------------------------------------------------------------ steps and runs


def title(purpose: Purpose, symbols: str = "") -> str:
    """What a step or a run is called; it names its sounds, so it is not for learners.

    symbols : those in play; of one to be met, that one first.
    """
    count = len(symbols)
    ordered = by_table_order(symbols)
    match purpose:
        case "meet" if count:
            return f"Meet {symbols[0]}"
        case "one" if count:
            return f"The sound {symbols[0]}"
        case "apart" if 1 < count <= MOST_IN_TITLE:
            return f"{listed(ordered)} apart"
        case "practise" if count:
            named = ", ".join(ordered) if count <= MOST_IN_TITLE else f"{count} sounds"
            return f"Practise {named}"
        case "mix" | "apart" if count:
            return f"{count} sounds mixed" if count > 1 else f"{symbols} alone"
    return TITLES[purpose]


def why(purpose: Purpose, because: Because) -> str:
    """Why a step is there, "" where nothing is known of it."""
    signs = because.signs
    match because.key:
        case "usual":
            return _GOOD_FOR.get(purpose, "")
        case "catch hold":
            return "To catch hold of what was met."
        case "weakest":
            named = _with_shares(signs, because.shares)
            return f"Everything in turn, with more of what the class needs most over the course: {named}."
        case "all new":
            return f"All {len(signs)} sounds of tonight together."
        case "learned":
            return f"Tonight's new sounds were {', '.join(signs)}. {_GOOD_FOR['close']}"
        case "wanted":
            are = "is" if len(signs) == 1 else "are"
            joins = f" Not met yet {are} {', '.join(signs)}; known from when this is sent." if signs else ""
            return f"You put it here.{joins}"
        case _:
            return _advised(because)


def _advised(because: Because) -> str:
    signs, copied = because.signs, because.copied
    named = listed(signs) if signs else "all"
    what = {
        "begin": f"begin with {named}",
        "sound": "something easy, while everybody's sound is looked at",
        "ask": "see what is still known",
        "catch up": f"{named} again, for those who were not there",
        "newest": f"more of {named}, which are new",
        "stuck": f"{named}, which stays behind",
        "support": f"{named} for those who need them",
        "go on": f"go on with {' and '.join(signs)}",
        "faster": "a little faster, in a short run",
        "repeat": f"another text on the same sounds, with more of {', '.join(signs)}",
        "go back": f"back to {', '.join(signs)}, which the class knows best, and build up again",
        "contrast": f"{' and '.join(signs)} side by side, until each is heard for itself",
    }[because.key]
    after = "" if copied is None else f" after a text of which the class copied {percent(copied)}"
    return f"Advice taken{after}: {what}."


def changed(change: Change) -> str:
    """What became of a plan, and why."""
    signs, of = change.signs, change.recalled
    named = " and ".join(signs)
    match change.key:
        case "practice first" | "another evening" if of is not None:
            class_recalls, at = recalled("the class", of), awaited(change.awaited, of)
            one = len(signs) == 1
            if change.key == "practice first":
                return (
                    f"More practice first: {class_recalls}, and {named} {'comes' if one else 'come'} at {at}."
                )
            waits = "waits" if one else "wait"
            return f"{named} {waits} for another evening: {class_recalls}, and new ones come at {at}."
        case "practice first" | "another evening":
            weak, one = _with_shares(change.weak, change.shares), len(signs) == 1
            if change.key == "practice first":
                return (
                    f"More practice first: {weak}; {named} {'comes' if one else 'come'} once these are held."
                )
            return f"{named} {'waits' if one else 'wait'} for another evening: first {weak}."
        case "leaning":
            weak = _with_shares(signs, change.shares)
            return f"The mixed texts now lean on what the class needs most over the course: {weak}."
        case "left out":
            left_out = ", ".join(TITLES[purpose] for purpose in change.left_out)
            return f"Left out, with {change.minutes:.0f} minutes left: {left_out}."
    return f"{change.minutes:.0f} minutes to spare went into more of all that is known."


def _with_shares(signs: str, shares: Sequence[float | None]) -> str:
    return ", ".join(named_share(sign, share) for sign, share in zip(signs, shares, strict=True))
