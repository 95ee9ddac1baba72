"""Procedure: asking for the groups of a message that one missed, and answering with exactly those.

A message stands in parts, each sent by one station as so many groups. Who missed some asks the station that
sent them, before the receipt::

    B7RM DE K2KF ? WA HUT K          K2KF DE B7RM WA HUT RIVER K

==================  ==========================================  ==============================================
sign                meaning                                     source
==================  ==========================================  ==============================================
DE, K               from; go ahead: an answer is expected       Recommendation ITU-R M.1172, Annex 1
?                   asks for a repeat (as IMI one sound)        ACP 124(D) in NAVEDTRA 14244, as IMI
? K                 all of the last transmission                ACP 124(D) in NAVEDTRA 14244 (IMI K)
AA, AB, BN          after ?: all after, all before, between     63 Stat. 2075 (1949)
? AB BT             all that stands before the text             ACP 124(D) in NAVEDTRA 14244 (IMI AB BT K)
WA                  word after                                  ACP 124(D) in NAVEDTRA 14244
WB                  word before                                 M.1172, from memory
RPT                 repeat, where ? might be misunderstood      M.1172, from memory
QSM                 repeat the last message                     54 Stat. 1623 (Cairo 1938)
the answer          the same identifier, then the words         ACP 124(D) in NAVEDTRA 14244
GR, BT              number of groups; edges of the text         ACP 124(D) in NAVEDTRA 14244
no calls            where only two stations work each other     common practice
a call twice, AND   a call repeated; AND or / after BN          common practice
==================  ==========================================  ==============================================

The question mark asks for a repeat of what was not understood: Recommendation ITU-R M.1677-1 (10/2009),
Annex 1, clause 1.1.3. ACP 124(D) is of 1983 (the year from memory).

A group that somebody did not copy is "" in what they have, and can be named by nobody. The same grammar
stands in static/js/core/procedure.js; one table of rows tests both.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

REPEAT, ALL = ("?", "RPT"), ("QSM",)
ONE_WORD, TWO_WORDS = ("AA", "AB", "WA", "WB"), ("BN",)
FORMS = (*ONE_WORD, *TWO_WORDS)
WORDS = frozenset({*FORMS, *REPEAT, *ALL, "IMI", "DE", "K", "BT", "GR", "R", "QSL", "AND", "TO", "AGN"})
"""No group of a message is one of these."""
OVER = ("K", "(")
_PLACE = {"AA": "all after", "AB": "all before", "WA": "the group after", "WB": "the group before"}


@dataclass(frozen=True, slots=True)
class Part:
    """What one station sent: its call, and the groups as far as they are known."""

    call: str
    groups: Sequence[str]


@dataclass(frozen=True, slots=True)
class Question:
    """What a question asks for.

    to : index of the part asked for; -1: nobody can tell. form : "" for all of it, or one of FORMS.
    named : the groups that it names. groups : the places asked for, in the part.
    fault : what is wrong with it, in a sentence; "" when nothing is.
    """

    to: int = -1
    form: str = ""
    named: tuple[str, ...] = ()
    groups: tuple[int, ...] = ()
    fault: str = ""

    @property
    def of_heading(self) -> bool:
        """It asks for what stands before the text: no group of it."""
        return self.form == "AB" and self.named == ("BT",)

    @property
    def understood(self) -> bool:
        """Whether it can be answered, rightly formed or not."""
        return bool(self.groups) or self.of_heading


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer gives.

    groups : places in the part, in order. extra : how many of them were not asked for.
    lacking : places that were asked for and not given. strange : words that are not in the part.
    """

    groups: tuple[int, ...]
    extra: int
    lacking: tuple[int, ...]
    strange: tuple[str, ...]
    fault: str = ""


def words_of(text: str) -> list[str]:
    """The words of what was composed or keyed; IMI is the same sound as the question mark."""
    words = re.findall(r"[?/]|[^\s?/]+", text.upper())
    return ["?" if word == "IMI" else word for word in words]


# ------------------------------------------------------------------ the question


def read_question(
    text: str, own: Collection[int], parts: Sequence[Part], heard: Sequence[Sequence[str]] = ()
) -> Question:
    """What a question asks for, and what is wrong with it.

    Parameters
    ----------
    own : indices of the asker's own parts, the first of them under the asker's call.
    parts : what was sent, one part a station.
    heard : what the asker has of each part, where that differs: a group may be named as it was copied.
    """
    to, body, fault = _addressed(words_of(text), own, parts)
    if to < 0:
        return Question(fault=fault)
    if body and body[-1] in OVER:
        body = body[:-1]
    else:
        fault = fault or "A question ends with K: an answer is expected."
    if body[:1] and body[0] in ALL:
        body = ["?", *body[1:]]
    asking = next((i for i, word in enumerate(body) if word not in REPEAT), len(body))
    if not asking:
        fault = fault or "A question begins with ? or RPT."
    names = [parts[to].groups, *(heard[to : to + 1])]
    return _asked(replace(Question(to), fault=fault), body[asking:], names, asks=asking > 0)


def _addressed(words: list[str], own: Collection[int], parts: Sequence[Part]) -> tuple[int, list[str], str]:
    """Whom it is for, what is left of it, and what was wrong so far; -1: nobody can tell whom."""
    calls = [part.call for part in parts]
    mine = {calls[i] for i in own}
    others = [i for i in range(len(parts)) if i not in own]
    before, body, fault = [], words, ""
    if "DE" in words:
        at = words.index("DE")
        before, body = words[:at], words[at + 1 :]
        sender = body[:1]
        while sender and body[:1] == sender and (body[0] in calls or body[0] not in WORDS):
            body = body[1:]
        if not sender or sender[0] not in mine:
            fault = "Your own call stands after DE."
    elif words and words[0] in calls:
        before, body = words[:1], [word for word in words[1:] if word not in mine]
        fault = "DE stands between the two calls."
    if len(set(before)) > 1 or any(call not in calls for call in before):
        return -1, body, f"There is no station {' '.join(before)} in this net."
    if before:
        to = calls.index(before[0])
        return (-1, body, "That part is your own.") if to in own else (to, body, fault)
    if len(others) == 1:
        return others[0], body, fault
    return -1, body, "Say whom you ask: their call, DE, your call."


def _asked(asks_in: Question, rest: list[str], names: Sequence[Sequence[str]], *, asks: bool) -> Question:
    """The places that are asked for, or why there are none."""
    count = len(names[0])
    if not rest:
        found = tuple(range(count)) if asks else ()
        return replace(asks_in, groups=found)
    form, named = rest[0], tuple(rest[1:])
    if form in TWO_WORDS and len(named) == 3 and named[1] in ("AND", "/"):
        named = named[::2]
    asked = replace(asks_in, form=form, named=named)

    def wrong(sentence: str) -> Question:
        return replace(asked, fault=sentence, groups=())

    if form not in FORMS:
        return wrong("After ? comes AA, AB, BN, WA or WB, or K for all of it.")
    needs = 2 if form in TWO_WORDS else 1
    if len(named) != needs:
        beside = "the two groups around the gap" if needs == 2 else "one group beside it"
        return wrong(f"{form} needs {beside}.")
    if asked.of_heading:
        return asked
    at = [_place(word, names) for word in named]
    if -1 in at:
        return wrong(f"There is no group {named[at.index(-1)]} in that part.")
    groups = tuple(_range(form, at, count))
    if not groups:
        return wrong(f"Nothing stands {_side(form)} {' and '.join(named)} in that part.")
    return replace(asked, groups=groups)


def _place(word: str, names: Sequence[Sequence[str]]) -> int:
    return next((groups.index(word) for groups in map(list, names) if word in groups), -1)


def _range(form: str, at: Sequence[int], count: int) -> Iterable[int]:
    match form:
        case "AA":
            return range(at[0] + 1, count)
        case "AB":
            return range(at[0])
        case "BN":
            return range(at[0] + 1, at[1])
        case "WA":
            return range(at[0] + 1, min(at[0] + 2, count))
        case _:
            return range(max(at[0] - 1, 0), at[0])


def _side(form: str) -> str:
    return {"AA": "after", "WA": "after", "BN": "between"}.get(form, "before")


def said(question: Question) -> str:
    """What it asks for, in plain words; "" when nobody can tell."""
    if not question.understood:
        return ""
    if question.of_heading:
        return "all that stands before the text: its number of groups"
    many = f"{len(question.groups)} group{'s' if len(question.groups) > 1 else ''}"
    if not question.form:
        return f"all of the part: {many}"
    if question.form == "BN":
        return f"all between {' and '.join(question.named)}: {many}"
    return f"{_PLACE[question.form]} {question.named[0]}: {many}"


def question_text(to: str, own: str, question: Question) -> str:
    """A question in its full form."""
    return " ".join(word for word in (to, "DE", own, "?", question.form, *question.named, "K") if word)


def smallest(have: Sequence[str], wanted: Collection[int]) -> Question:
    """The question that asks for these places and as little else as one can.

    have : the groups of the part, "" where one is not known: only a known one can be named.
    """
    first, last, end = min(wanted), max(wanted), len(have) - 1
    while first > 0 and not have[first - 1]:
        first -= 1
    if first == last > 0:
        return Question(form="WA", named=(have[first - 1],), groups=(first,))
    while last < end and not have[last + 1]:
        last += 1
    groups = tuple(range(first, last + 1))
    if first == 0 and last == end:
        return Question(groups=groups)
    if first == 0:
        return Question(form="AB" if last else "WB", named=(have[last + 1],), groups=groups)
    if last == end:
        return Question(form="AA", named=(have[first - 1],), groups=groups)
    return Question(form="BN", named=(have[first - 1], have[last + 1]), groups=groups)


def first_gap(missing: Collection[int]) -> tuple[int, ...]:
    """The first places in a row that are missing."""
    gap: list[int] = []
    for place in sorted(missing):
        if gap and place > gap[-1] + 1:
            break
        gap.append(place)
    return tuple(gap)


def held_against(question: Question, own_call: str, part: Part, missing: Collection[int]) -> tuple[str, str]:
    """What is wrong with a question of somebody who misses these places of the part, and the right form.

    part : as the asker has it. Both are "" when it is as it should be.
    """
    needed = [place for place in question.groups if place in missing]
    wanted = needed or first_gap(missing)
    best = smallest(part.groups, wanted) if wanted else Question()
    right = question_text(part.call, own_call, best) if wanted else ""
    if question.fault:
        return question.fault, right
    if question.of_heading:
        return "", ""
    if not needed:
        return "You have all of that already.", right
    if len(best.groups) < len(question.groups):
        return f"Asks for {len(question.groups)}, {len(needed)} missing: a shorter question will do.", right
    return "", ""


# ------------------------------------------------------------------ the answer


def answer_text(to: str, own: str, question: Question, groups: Sequence[str]) -> str:
    """The answer to a question: the same identifier, then exactly the groups that were asked for."""
    given = ("GR", str(len(groups))) if question.of_heading else [groups[place] for place in question.groups]
    return " ".join(word for word in (to, "DE", own, question.form, *question.named, *given, "K") if word)


def read_answer(text: str, question: Question, calls: Collection[str], groups: Sequence[str]) -> Answer:
    """What an answer gives of the part, held against what was asked.

    calls : of the net's stations. groups : of the part that was asked for.
    """
    words, fault = words_of(text), ""
    while words and (words[0] in calls or words[0] == "DE"):
        words = words[1:]
    if words and words[-1] in OVER:
        words = words[:-1]
    identifier = [word for word in (question.form, *question.named) if word]
    if words[: len(identifier)] == identifier:
        words = words[len(identifier) :]
    else:
        fault = f"The answer begins with the same words: {' '.join(identifier)}."
    if question.of_heading:
        right = words == ["GR", str(len(groups))]
        return Answer((), 0, (), (), fault or ("" if right else f"The heading says GR {len(groups)}."))
    known = list(groups)
    given = tuple(known.index(word) for word in words if word in known)
    strange = tuple(word for word in words if word not in known)
    extra = len([place for place in given if place not in question.groups])
    lacking = tuple(place for place in question.groups if place not in given)
    if strange:
        fault = fault or f"There is no group {strange[0]} in the part."
    elif extra or lacking:
        asked = f"{len(question.groups)} asked, {len(given)} given"
        fault = fault or f"{asked}: exactly what was asked, nothing more."
    return Answer(given, extra, lacking, strange, fault)


def differing(sent: str, right: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Which words of what was sent differ from the right form, and which of that: their numbers from 0."""
    a, b = words_of(sent), words_of(right)
    changes = [
        (range(i, j), range(k, m))
        for tag, i, j, k, m in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes()
        if tag != "equal"
    ]
    return tuple(i for of_a, _ in changes for i in of_a), tuple(k for _, of_b in changes for k in of_b)
