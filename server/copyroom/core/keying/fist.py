"""The fist: how a hand sends, against the recommendation's lengths, and the one thing to mend first.

Ideal: dah 3 dits, gaps inside a letter 1, between letters 3, between words 7 (Recommendation ITU-R M.1677-1
(10/2009), Annex 1, clause 2). What a hand may differ from that before anybody minds is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from copyroom.core.keying.fit import DAH_, DIT, IN, LETTER, WORDS, Fit, Hands
from copyroom.core.keying.lattice import Floats

FEWEST = 3.0
"""Of marks or gaps of a kind: from fewer nothing is said of it."""
SURE = 2.5
"""Standard errors by which a fault must be beyond what is allowed."""


@dataclass(frozen=True, slots=True)
class Fist:
    """A hand's lengths; None for what was not sent.

    dit_s, dah_s, inside_s, letter_s, word_s : usual (geometric mean) length of marks, and of gaps inside
        letters, between letters, between words, in seconds; pauses do not count.
    ratio : dah by dit, ideally 3.
    inside, letter, word : the gaps in dots of the characters' speed, ideally 1, 3 and 7, or 3 and 7 alike
        longer at two speeds.
    wpm : speed of the characters, words (PARIS) a minute.
    overall_wpm : speed with the spaces.
    spread : typical relative deviation of a length from its usual one, when the drift is taken out.
    drift : speed at the end by that at the beginning.
    fault : the worst thing: "inside long", "inside short", "letters close", "words close", "words far",
        "dahs short", "dahs long", "unsteady", "slower", "faster"; "" for none.
    advice : a sentence on it; "" for none.
    praise : a sentence on what is good; "" when nothing is.
    """

    dit_s: float | None
    dah_s: float | None
    inside_s: float | None
    letter_s: float | None
    word_s: float | None
    ratio: float | None
    inside: float | None
    letter: float | None
    word: float | None
    wpm: float
    overall_wpm: float
    spread: float
    drift: float
    fault: str
    advice: str
    praise: str


@dataclass(frozen=True, slots=True)
class _Figure:
    """A figure that is judged: the logarithm found, its ideal, what is allowed, its standard error."""

    name: str
    found: float
    ideal: float
    low: float
    high: float
    error: float

    @property
    def beyond(self) -> float:
        """How far out, in units of what is allowed: 0 within, negative below, positive above."""
        found, ideal = self.found, np.log(self.ideal)
        low, high = np.log(self.low), np.log(self.high)
        if found > high + SURE * self.error:
            return float((found - high) / (high - ideal))
        if found < low - SURE * self.error:
            return float((found - low) / (ideal - low))
        return 0.0


_FAULTS = {
    ("inside", 1): ("inside long", "Your gaps inside letters are too long: leave no more than a dit there."),
    ("inside", -1): (
        "inside short",
        "You hurry inside letters: leave a dit's length between their elements.",
    ),
    ("letter", -1): ("letters close", "Your letters run together: leave a dah's length between them."),
    ("word", -1): (
        "words close",
        "Your words run together: leave more than twice a letter's gap between them.",
    ),
    ("word", 1): ("words far", "Your gaps between words are very long beside those between letters."),
    ("ratio", -1): ("dahs short", "Your dahs are short: hold them for three dits."),
    ("ratio", 1): ("dahs long", "Your dahs are long beside your dits: hold them for three dits and no more."),
    ("spread", 1): ("unsteady", "Your lengths are uneven: send more slowly until each is like the last."),
    ("drift", -1): ("slower", "You get slower on the way: begin at a speed that you can keep."),
    ("drift", 1): ("faster", "You get faster on the way: keep the speed that you began with."),
}
_ALIKE = "Your gaps inside letters are as long as those between letters."
_PRAISE = {
    "ratio": "Your dahs are as long as they should be beside your dits.",
    "spread": "Your hand is steady.",
    "inside": "Your elements follow each other evenly inside letters.",
    "letter": "Your letters stand clear of each other.",
    "word": "Your words stand clear of each other.",
    "drift": "You keep your speed.",
}


def fist(fit: Fit, hand: Hands, kinds: Floats) -> Fist:
    """Take the measure of a hand.

    hand : one hypothesis, fitted.
    kinds : shape (marks and gaps, 5), probability that each is of a kind.
    """
    counts = kinds.sum(axis=0)
    logs = (fit.logs @ kinds) / np.maximum(counts, 1e-9)
    off = fit.logs[:, None] - fit.expected(hand)[0]
    deviation = off - np.sum(kinds * off, axis=0) / np.maximum(counts, 1e-9)
    spread = float(np.sqrt(np.sum(kinds * deviation**2) / max(counts.sum() - np.sum(counts > 0.5), 1.0)))
    have = counts >= 0.5
    dots = _by_dot(hand)
    unit_s = _unit_s(logs, have, dots)
    knots = hand.lengths[0, : len(fit.knots)]
    lengths_s = [float(np.exp(log)) if some else None for log, some in zip(logs, have, strict=True)]
    inside, letter, word = (None if one is None else one / unit_s for one in lengths_s[IN:])
    steps = [one if one is not None else guess * unit_s for one, guess in zip(lengths_s, dots, strict=True)]
    drift = float(np.exp(knots[0] - knots[-1]))
    figures = _figures(logs, counts, spread, drift, len(fit.knots))
    fault, advice = _worst(figures, logs[LETTER] - logs[IN])
    dit_s, dah_s, inside_s, letter_s, word_s = lengths_s
    return Fist(
        dit_s,
        dah_s,
        inside_s,
        letter_s,
        word_s,
        ratio=float(np.exp(logs[DAH_] - logs[DIT])) if have[DIT] and have[DAH_] else None,
        inside=inside,
        letter=letter,
        word=word,
        wpm=1.2 / unit_s,
        overall_wpm=60 / float(np.dot((10, 4, 9, 4, 1), steps)),
        spread=spread,
        drift=drift,
        fault=fault,
        advice=advice,
        praise=_praise(figures),
    )


def _by_dot(hand: Hands) -> Floats:
    """The fitted lengths by the dot of the characters' speed, shape (5,): for kinds that were not sent."""
    by_dit = np.exp(np.concatenate([[0.0], hand.lengths[0, -4:]]))
    dots: Floats = by_dit / (np.dot((10, 4, 9), by_dit[:LETTER]) / 31)
    return dots


def _unit_s(logs: Floats, have: Floats, dots: Floats) -> float:
    """The dot of the characters' speed: PARIS has 10 dits, 4 dahs and 9 gaps inside its letters, 31 dots."""
    known = (kind for kind in (DIT, DAH_, IN) if have[kind])
    dot_s = np.exp(logs[next(known)]) / dots[next(kind for kind in (DIT, DAH_, IN) if have[kind])]
    lengths = [np.exp(logs[kind]) if have[kind] else dots[kind] * dot_s for kind in (DIT, DAH_, IN)]
    return float(np.dot((10, 4, 9), lengths) / 31)


def _figures(logs: Floats, counts: Floats, spread: float, drift: float, knots: int) -> list[_Figure]:
    """What can be judged, with enough of it seen."""
    enough = counts >= FEWEST
    error = spread / np.sqrt(np.maximum(counts, 1.0))

    def between(name: str, a: int, b: int, ideal: float, low: float, high: float) -> list[_Figure]:
        if not (enough[a] and enough[b]):
            return []
        return [
            _Figure(name, float(logs[a] - logs[b]), ideal, low, high, float(np.hypot(error[a], error[b])))
        ]

    of = counts.sum()
    return [
        *between("ratio", DAH_, DIT, 3, 2.3, 4.4),
        *between("inside", IN, DIT, 1, 0.6, 1.5),
        *between("letter", LETTER, IN, 3, 1.9, np.inf),
        *between("word", WORDS, LETTER, 7 / 3, 1.55, 4.5),
        _Figure("spread", float(np.log(spread + 1e-9)), 0.05, 1e-12, 0.22, float(1 / np.sqrt(2 * of))),
        _Figure(
            "drift", float(np.log(drift)), 1, 1 / 1.35, 1.35, 2 * spread * float(np.sqrt(2 * knots / of))
        ),
    ]


def _worst(figures: list[_Figure], letter_by_inside: float) -> tuple[str, str]:
    worst = max(figures, key=lambda one: abs(one.beyond))
    if not worst.beyond:
        return "", ""
    fault, advice = _FAULTS[worst.name, 1 if worst.beyond > 0 else -1]
    if fault in ("inside long", "letters close") and letter_by_inside < np.log(1.5):
        advice = _ALIKE
    return fault, advice


def _praise(figures: list[_Figure]) -> str:
    """The figure that lies deepest within what is allowed."""
    good = [one for one in figures if not one.beyond]
    if not good:
        return ""

    def out(one: _Figure) -> float:
        ideal = np.log(one.ideal)
        if one.found > ideal:
            return float((one.found - ideal) / (np.log(one.high) - ideal))
        return float((ideal - one.found) / (ideal - np.log(one.low)))

    return _PRAISE[min(good, key=out).name]
