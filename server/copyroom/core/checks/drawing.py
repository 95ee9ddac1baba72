"""Drawing a text that meets a form exactly: its length as counted, its symbols, nothing heard before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from copyroom.core.alphabet import WORD_SPACE
from copyroom.core.checks.contact import contact_parts
from copyroom.core.checks.counting import WORD, Counting, longest_run
from copyroom.core.checks.form import FIGURES, Form
from copyroom.core.checks.pacing import pace_of
from copyroom.core.traffic import sentences

TRIES = 60
SHARED_AT_MOST = 25
"""Counted characters in a row that a text may share with one heard before: five words, as a contact's set
phrases make them by themselves; a minute of a check is never less."""
_CANDIDATES = 24
_ROOM_FOR_WORDS = 24
"""Counted characters that are kept for words by themselves behind a contact's sentences."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A text, and questions on it with their answers, where the form asks some."""

    text: str
    questions: tuple[tuple[str, str], ...] = ()


def draw(
    form: Form, wpm: float, words: Sequence[str], rng: np.random.Generator, heard: Sequence[str] = ()
) -> Drawn:
    """A fresh text.

    words : plain-language words, in capitals.
    heard : texts that the candidate has heard before.

    Raises ValueError with a sentence when no such text was found.
    """
    for _ in range(TRIES):
        drawn = (
            _plain(form, wpm, words, rng) if form.text in ("words", "contact") else _groups(form, wpm, rng)
        )
        if drawn is not None and _is_fresh(drawn.text, heard, form.counting):
            return drawn
    raise ValueError("No text was found that meets this form: make it longer, or ask for fewer symbols.")


def _is_fresh(text: str, heard: Sequence[str], counting: Counting) -> bool:
    signs = text.replace(WORD_SPACE, "")
    most = min(SHARED_AT_MOST, counting.counted(signs) // 2)
    # No sign is worth more than the dearest: what is shared and worth more than `most` is so long at least.
    dearest = max(counting.letter, counting.figure, counting.punctuation, counting.signal, 1)
    short = most // dearest + 1
    pieces = {signs[i : i + short] for i in range(len(signs) - short + 1)}
    for other in heard:
        compact = other.replace(WORD_SPACE, "")
        if not any(compact[i : i + short] in pieces for i in range(len(compact) - short + 1)):
            continue
        first, end = longest_run(signs, compact, counting)
        if counting.counted(signs[first:end]) > most:
            return False
    return True


# ---- groups


def _groups(form: Form, wpm: float, rng: np.random.Generator) -> Drawn | None:
    """Groups of five counted characters, or of five figures; every required sign is in one of them."""
    signs = {"letters": form.alphabet, "figures": FIGURES, "mixed": form.alphabet}[form.text]
    size = WORD * form.counting.figure if form.text == "figures" else WORD
    count = -(-form.length(wpm) // size)
    groups = [_group(signs, size, form.counting, rng) for _ in range(count)]
    missing = [sign for sign in form.required if not any(sign in group for group in groups)]
    for sign in rng.permutation(missing):
        _put(str(sign), groups, form, rng)
    text = WORD_SPACE.join(groups)
    return Drawn(text) if set(form.required) <= set(text) else None


def _group(signs: str, size: int, counting: Counting, rng: np.random.Generator) -> str:
    made, left = "", size
    while left:
        fitting = [sign for sign in signs if counting.of(sign) <= left]
        made += fitting[int(rng.integers(len(fitting)))]
        left -= counting.of(made[-1])
    return "".join(rng.permutation(list(made)))


def _put(sign: str, groups: list[str], form: Form, rng: np.random.Generator) -> None:
    """In the place of one worth as much that stands elsewhere too, or need not be there."""
    text = "".join(groups)
    for i in rng.permutation(len(groups)):
        for old in groups[i]:
            spare = old not in form.required or text.count(old) > 1
            if spare and form.counting.of(old) == form.counting.of(sign):
                groups[i] = groups[i].replace(old, sign, 1)
                return


# ---- plain language


def _plain(form: Form, wpm: float, words: Sequence[str], rng: np.random.Generator) -> Drawn | None:
    """Words that bring in every sign and fill the length; numbers and marks stand where they do in a text."""
    able = [word for word in words if set(word) <= set(form.alphabet)]
    contact = contact_parts(form.alphabet, rng) if form.text == "contact" else None
    parts = [*contact.parts, "="] if contact else []
    ending = [sign for sign in "+␄" if sign in form.required]
    numbers = _numbers(form, "".join(parts), rng)
    lacking = set(form.required) - set("".join([*parts, *ending]))
    marks = [sign for sign in form.required if sign in lacking and not sign.isalnum()]
    chosen = _covering({sign for sign in lacking if sign.isalpha()}, able, rng)
    length = form.length(wpm)
    while True:
        fixed = sum(map(form.counting.counted, [*parts, *numbers, *chosen, *marks, *ending]))
        said = _said(form, length - fixed, rng) if contact else []
        fill = _filling(length - fixed - sum(map(form.counting.counted, said)), len(chosen), form, able, rng)
        if fill is None:
            return None
        mixed = [str(part) for part in rng.permutation([*numbers, *chosen, *fill])]
        text = WORD_SPACE.join([*parts, *said, *_with_marks(mixed, marks, rng), *ending])
        if form.speed_is == "counted" or form.words or pace_of(form, text, wpm).lasts_s >= 60 * form.minutes:
            return Drawn(text, contact.questions if contact else ())
        length += WORD  # by the keying's speed it does not yet last as long as it should


def _said(form: Form, left: int, rng: np.random.Generator) -> list[str]:
    """What is told in a contact, in sentences, where there is room; words by themselves fill what is left."""
    if left < 2 * _ROOM_FOR_WORDS:
        return []
    said = sentences(form.alphabet, (left - _ROOM_FOR_WORDS) * 3 // 4, rng)
    return [said, "="] if form.counting.counted(said) <= left - _ROOM_FOR_WORDS else []


def _numbers(form: Form, there: str, rng: np.random.Generator) -> list[str]:
    """Numbers of two to four figures: those required, or as many as the form says."""
    needed = [sign for sign in form.required if sign in FIGURES and sign not in there]
    count = form.figures if form.figures >= 0 else len(needed)
    more = [str(one) for one in rng.integers(0, 10, max(0, count - len(needed)))]
    signs = [str(sign) for sign in rng.permutation([*needed, *more])]
    numbers: list[str] = []
    while signs:
        size = min(len(signs), int(rng.integers(2, 5)))
        numbers.append("".join(signs[:size]))
        del signs[:size]
    return numbers


def _covering(lacking: set[str], able: Sequence[str], rng: np.random.Generator) -> list[str]:
    """Few words with every letter that is lacking; each is the best of some by chance."""
    chosen: list[str] = []
    while lacking:
        rarest = min(sorted(lacking), key="EAOIRTSNLDCUMPGHFYBWVKXJQZ"[::-1].find)
        holding = [word for word in able if rarest in word] or [rarest]
        drawn = [holding[int(i)] for i in rng.integers(0, len(holding), _CANDIDATES)]
        best = max(drawn, key=lambda word: (len(lacking & set(word)) / (len(word) + 1), word))
        chosen.append(best)
        lacking = lacking - set(best)
    return chosen


def _filling(
    left: int, chosen: int, form: Form, able: Sequence[str], rng: np.random.Generator
) -> list[str] | None:
    """Words that are worth exactly `left`, and as many as the form still asks; None when there are none."""
    by_length: dict[int, list[str]] = {}
    for word in able:
        by_length.setdefault(form.counting.counted(word), []).append(word)
    if form.words:
        count = max(0, form.words - chosen)
        lengths = [n for n in by_length if 3 <= n <= 7] or list(by_length)
        return [_one_of(by_length[int(rng.choice(lengths))], rng) for _ in range(count)]
    fill: list[str] = []
    while left > 0:
        fitting = [n for n in by_length if n == left or left - n >= 2]
        if not fitting:
            return None
        usual = [n for n in fitting if 3 <= n <= 8] or fitting
        fill.append(_one_of(by_length[int(rng.choice(usual))], rng))
        left -= form.counting.counted(fill[-1])
    return fill if left == 0 else None


def _one_of(options: Sequence[str], rng: np.random.Generator) -> str:
    return options[int(rng.integers(len(options)))]


def _with_marks(words: list[str], marks: list[str], rng: np.random.Generator) -> list[str]:
    """Marks behind words, a fraction bar between two of them, a double hyphen by itself."""
    body = list(words)
    for mark in marks:
        behind = [at for at, part in enumerate(body) if part[-1].isalnum()]
        at = behind[int(rng.integers(len(behind)))]
        if mark == "/" and at + 1 < len(body) and body[at + 1][0].isalnum():
            body[at] += "/" + body.pop(at + 1)
        elif mark in "=+␄":
            body.insert(at + 1, mark)
        else:
            body[at] += mark
    return body
