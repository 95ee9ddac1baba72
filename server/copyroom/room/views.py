"""What each audience is shown of a room, as the wire's payloads.

A seat sees its own copy and nothing of the others; the wall sees the class, never a name.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from copyroom.core.alphabet import BLANK, SYMBOLS
from copyroom.core.similarity import alike_order
from copyroom.core.tally import BLANK_COLUMN, MISSED_COLUMN, NOTHING_SENT, Counts
from copyroom.room.copies import Copy
from copyroom.room.findings import findings, pairs_view
from copyroom.room.push import Push
from copyroom.room.reviewing import given_review
from copyroom.room.scoring import (
    answers,
    heard_only,
    results,
    run_table,
    runs_in,
    table_of,
)
from copyroom.room.state import Seat, State

Payload = dict[str, Any]

# ------------------------------------------------------------------ to learners


def push_view(push: Push) -> Payload:
    """A push as browsers get it: edges, not characters. The sheet's groups are the text's."""
    return {
        "push": push.id,
        "purpose": push.purpose,
        "start_room_ms": push.start_room_ms,
        "pitch_hz": push.pitch_hz,
        "edges": push.edges_ms,
        "shifts": [{"first": first, "shift_ms": shift} for first, shift in push.shifts],
        "symbols": push.symbols,
        "tidy_ms": push.tidy_ms,
        "counted": push.counted,
        "shown": push.sent if push.name_shown else "",
    }


def halt_view(push: Push) -> Payload:
    """All sound ends; for good, the run has only what sounded."""
    at_room_ms = push.stopped_room_ms if push.stopped else push.halted_room_ms
    return {"push": push.id, "at_room_ms": at_room_ms, "for_good": push.stopped, "sent": push.sent_count}


def shift_view(push: Push) -> Payload:
    """A paused run goes on with these shifts."""
    return {
        "push": push.id,
        "shifts": [{"first": first, "shift_ms": shift} for first, shift in push.shifts],
    }


def closed_view(push: Push) -> Payload:
    """Copies of this push are final."""
    return {"push": push.id}


def removed_view() -> Payload:
    """Why this page has ended."""
    return {"sentence": "Your instructor has taken this seat out of the room."}


def class_view(state: State) -> Payload:
    """What every learner knows of the room's settings."""
    return {
        "title": state.title,
        "hearing": state.hearing,
        "source": state.source,
        "pitch_hz": state.sound.pitch_hz,
        "wpm": state.sound.wpm,
    }


def copy_view(copy: Copy) -> Payload:
    """A seat's own copy so far, for a page that was loaded again."""
    return {
        "way": copy.way,
        "kept": copy.strokes,
        "marks": [[mark.sign, mark.at_ms] for mark in copy.marks],
        "handed_in": copy.handed_in,
    }


def welcome_view(state: State, seat: Seat, now_ms: float) -> Payload:
    """All that a learner's page needs to begin, or to go on after a break."""
    push = state.run if seat.inside else None
    if push and push.revealed and (push.id, seat.id) not in state.copies:
        push = None  # shown before this learner came
    copy = state.copy(push, seat) if push else None
    return {
        "code": state.code,
        "seat": seat.id,
        "name": seat.name,
        "token": seat.token,
        "inside": seat.inside,
        "way": seat.way,
        "asks_help": seat.asks_help,
        "class": class_view(state),
        "push": push_view(push) if push else None,
        "phase": push.phase(now_ms) if push else "",
        "halt": halt_view(push) if push and push.halted_room_ms is not None else None,
        "copy": copy_view(copy) if copy else None,
        "reveal": reveal_view(state, push, seat.id) if push and push.revealed else None,
        "review": given_review(state, seat) if seat.inside else None,
    }


def reveal_view(state: State, push: Push, seat: int) -> Payload:
    """A seat's own copy under what was sent. Right and wrong are counted over what was heard."""
    copy = state.copies.get((push.id, seat))
    found = copy.result.alignment if copy and copy.result else None
    view: Payload = {"push": push.id, "text": push.text, "sent": push.sent_count, "marks": "", "answers": []}
    view["own_count"] = list(copy.own_count) if copy and copy.own_count else None
    asides = [a for a in state.asides.values() if a.push == push.id and a.seat in (0, seat)]
    view["aside_from"] = min((aside.first for aside in asides), default=None)
    view["aside_why"] = "; ".join(dict.fromkeys(aside.reason for aside in asides))
    if copy is None or found is None:
        return view | {"unheard": [], "right": 0, "of": 0, "taken": [], "all_right": ""}
    written, heard = heard_only(push, copy, found)
    right, taken, lost = Counter[str](), Counter[tuple[str, str]](), set[str]()
    for sign, i in zip(written, heard.attribution, strict=True):
        if i is None:
            continue
        if sign == push.sent[i]:
            right[sign] += 1
        else:
            lost.add(push.sent[i])
            if sign != BLANK:
                taken[push.sent[i], sign] += 1
    lost |= {push.sent[i] for i in heard.missed}
    return view | {
        "marks": copy.written,
        "answers": list(found.attribution),
        "unheard": [i for i in range(push.sent_count) if not copy.heard[i]],
        "right": right.total(),
        "of": sum(copy.counted(push)),
        "taken": [[sent, wrote, n] for (sent, wrote), n in taken.most_common(3)],
        "all_right": "".join(s for s in push.symbols if right[s] and s not in lost),
    }


# ------------------------------------------------------------------ to the console


def room_view(state: State) -> Payload:
    """Settings and the runs so far."""
    return {
        "code": state.code,
        "title": state.title,
        "sound": {
            "wpm": state.sound.wpm,
            "overall_wpm": state.sound.overall_wpm,
            "pitch_hz": state.sound.pitch_hz,
            "lead_in_s": state.sound.lead_in_s,
            "tidy_s": state.sound.tidy_s,
        },
        "hearing": state.hearing,
        "source": state.source,
        "symbols": state.symbols,
        "hold_at_door": state.hold_at_door,
        "alike": alike_order(),
        "meetings": [
            {"day": meeting.day, "runs": len(state.meeting_runs(number))}
            for number, meeting in enumerate(state.meetings, start=1)
        ],
        "runs": [_summary(state, push) for push in state.meeting_runs()],
    }


def _summary(state: State, push: Push) -> Payload:
    counts = run_table(state, push) if push.counted and push.closed else None
    return {
        "push": push.id,
        "title": push.title(),
        "purpose": push.purpose,
        "symbols": push.symbols,
        "counted": push.counted,
        "right": int(counts[:-1, :-2].trace()) if counts is not None else 0,
        "of": int(counts[:-1].sum()) if counts is not None else 0,
        "settled_anew": state.settled_anew.get(push.id, 0),
        "sent": push.sent_count,
        "asides": [
            {
                "aside": aside.id,
                "seat": aside.seat,
                "name": state.seats[aside.seat].name if aside.seat else "",
                "first": aside.first,
                "reason": aside.reason,
            }
            for aside in state.asides.values()
            if aside.push == push.id
        ],
    }


def seats_view(state: State) -> Payload:
    """Who is in, and how each browser stands."""
    return {
        "seats": [
            {
                "seat": seat.id,
                "name": seat.name,
                "way": seat.way,
                "device": seat.device,
                "inside": seat.inside,
                "here": seat.here,
                "long_away": state.long_away(seat),
                "sound": seat.sound,
                "uncertainty_ms": seat.uncertainty_ms,
                "visible": seat.visible,
                "asks_help": seat.asks_help,
            }
            for seat in state.seats.values()
            if seat.listed
        ]
    }


def run_view(state: State, now_ms: float) -> Payload:
    """The run at hand as the console draws it, with its characters."""
    push = state.run
    if push is None:
        return {"run": None}
    return {
        "run": push_view(push)
        | {
            "title": push.title(),
            "text": push.text,
            "phase": push.phase(now_ms),
            "wpm": push.speed.wpm,
            "overall_wpm": push.speed.overall_wpm,
            "start_ms": [round(float(t), 3) for t in push.start_ms],
            "end_ms": [round(float(t), 3) for t in push.end_ms],
            "halted_room_ms": halt_view(push)["at_room_ms"],
            "sent": push.sent_count,
        }
    }


def progress_view(state: State) -> Payload:
    """How far each one has written, and how much of the class wrote each sound."""
    push = state.run
    if push is None:
        return {"push": 0, "copies": [], "answered": [], "right": []}
    answered, right = answers(state, push)
    copies = [(s, c) for s in state.seats if (c := state.copies.get((push.id, s))) is not None]
    return {
        "push": push.id,
        "copies": [
            {
                "seat": seat,
                "way": copy.way,
                "written": len(copy.marks),
                "last_at_ms": copy.last_at_ms,
                "heard": copy.heard.count(1),
                "heard_from": copy.heard.find(1),
                "handed_in": copy.handed_in,
                "own_count": list(copy.own_count) if copy.own_count else None,
            }
            for seat, copy in copies
        ],
        "answered": answered.tolist(),
        "right": right.tolist(),
    }


def cells_of(counts: Counts) -> list[list[Any]]:
    """The cells that are not empty: [sent, written, count]; sent "" = an extra mark, written "" = missed."""
    row = {NOTHING_SENT: ""}
    column = {BLANK_COLUMN: BLANK, MISSED_COLUMN: ""}
    return [
        [row.get(i, _sign(i)), column.get(j, _sign(j)), int(counts[i, j])]
        for i, j in zip(*counts.nonzero(), strict=True)
    ]


def _sign(i: int) -> str:
    return SYMBOLS[i].sign if i < len(SYMBOLS) else ""


def table_view(state: State) -> Payload:
    """The class tables: of the run at hand, of the evening, of the course."""
    push = state.run
    evening = cells_of(table_of(state, "evening"))
    return {
        "push": push.id if push else 0,
        "run": cells_of(table_of(state, "run")),
        "run_copies": len(results(state, push)) if push else 0,
        "evening": evening,
        "course": cells_of(table_of(state, "course")) if len(state.meetings) > 1 else evening,
        "final": push is None or (push.closed and not state.marking),
    }


def sheet_view(state: State, seat: Seat) -> Payload:
    """One learner's sheets of this evening, for the instructor alone."""
    runs = [p for p in state.runs if p.closed and not p.cancelled and (p.id, seat.id) in state.copies]
    return {
        "name": seat.name,
        "sheets": [
            reveal_view(state, push, seat.id)
            for push in runs
            if (copy := state.copies[push.id, seat.id]).marks or copy.own_count
        ],
    }


def cell_view(state: State, sent: str, written: str, scope: str) -> Payload:
    """The sendings behind one cell: in which run, at which place, by whom, after and before which sounds."""
    runs = runs_in(state, scope)
    found: list[Payload] = []
    for push in runs:
        for seat in state.seats.values():
            for i in _sendings(state, push, seat.id, sent, written):
                around = "" if i is None else push.sent[max(0, i - 2) : i + 3]
                found.append(
                    {"push": push.id, "seat": seat.id, "name": seat.name, "place": i, "around": around}
                )
    return {"sent": sent, "written": written, "scope": scope, "sendings": found[:200], "all": len(found)}


def _sendings(state: State, push: Push, seat: int, sent: str, written: str) -> list[int | None]:
    copy, result = state.copies.get((push.id, seat)), results(state, push).get(seat)
    if copy is None or result is None:
        return []
    signs, heard = heard_only(push, copy, result.alignment)
    if written == "":
        return [i for i in heard.missed if push.sent[i] == sent]
    return [
        i
        for sign, i in zip(signs, heard.attribution, strict=True)
        if sign == written and (push.sent[i] if i is not None else "") == sent
    ]


# ------------------------------------------------------------------ to the wall


def wall_view(state: State, now_ms: float) -> Payload:
    """The projector's page: the class as a whole, without names, and no solution before its time."""
    push = state.run
    here = [seat for seat in state.seats.values() if seat.here and seat.inside]
    view: Payload = {
        "code": state.code,
        "title": state.title,
        "here": len(here),
        "phase": "",
        "prompt": "",
        "start_room_ms": 0.0,
        "end_room_ms": 0.0,
        "end_tidy_room_ms": 0.0,
        "shown": "",
        "start_ms": [],
        "counted": True,
        "pairs": [],
        "written": 0,
        "expected": 0,
        "symbols": "",
        "cells": [],
        "copies": 0,
        "text": "",
    }
    if push is None:
        return view
    typed = [c for s in here if (c := state.copies.get((push.id, s.id))) and c.way == "typing"]
    named = push.revealed or push.name_shown
    counts = run_table(state, push) if push.revealed else None
    return view | {
        "phase": push.phase(now_ms),
        "prompt": push.title() if named else "",
        "start_room_ms": push.start_room_ms + float(push.start_ms[0]),
        "end_room_ms": push.start_room_ms + push.last_end_ms,
        "end_tidy_room_ms": push.start_room_ms + push.tidy_end_ms,
        "shown": push.sent if push.name_shown else "",
        "start_ms": push.start_ms.round(3).tolist() if push.name_shown else [],
        "counted": push.counted,
        "pairs": pairs_view(findings(state, "run")) if push.revealed else [],
        "written": sum(len(copy.marks) for copy in typed),
        "expected": push.sent_count * len(typed),
        "symbols": push.symbols if named else "",
        "cells": cells_of(counts) if counts is not None else [],
        "copies": len(results(state, push)) if push.revealed else 0,
        "text": push.sent_text if push.revealed else "",
    }
