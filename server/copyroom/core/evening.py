"""The evening: a plan of steps that fits its minutes, and what becomes of it as copies come in.

Its shape is common practice: warm up on what is weak, meet a few new sounds by ear, practise them, mix
them with all that is known, read words, copy something longer, rest, close. How long a step takes is
computed from its tones at the speed set, so that a plan of 45 minutes takes 45 minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from copyroom.core.advice.pace import FIRST_SYMBOLS, may_go_on, not_held
from copyroom.core.advice.standing import Standing
from copyroom.core.bursts import Speed
from copyroom.core.programme import close, lay_out, leaning, rounds, with_breathers
from copyroom.core.purpose import Because, Change, Purpose
from copyroom.core.slices import Slices, at_once
from copyroom.core.steps import READINGS, TALK_S, Lectern, Step

Changed = tuple[list[Step], list[Change]]
"""Steps, and what was changed of them."""
SHORTEST_MIN, LONGEST_MIN = 5.0, 240.0
BREATHER_EVERY_MIN = 25.0
"""No stretch of copying over half an hour (*The "Radio" Handbook*, 9th ed., 1942)."""
FEWEST_PRACTICE_S = 60.0
"""New sounds are not introduced unless so much practice for each fits in as well."""
_DROPPED_FIRST: tuple[tuple[Purpose, ...], ...] = (
    READINGS,
    ("mix",),
    ("breather",),
    ("longer",),
    ("practise",),
    ("warm-up",),
    ("meet",),
)
MORE_S = 120.0
"""How long the practice takes at most that is put before new sounds that have to wait."""
_SPARE_S = 150.0
"""Less is left as it is."""


@dataclass(frozen=True, slots=True)
class Replan:
    """The steps still to do, and what changed and why."""

    steps: tuple[Step, ...]
    changes: tuple[Change, ...]


def plan_in_slices(
    standing: Standing,
    minutes: float,
    speed: Speed,
    rng: np.random.Generator,
    words: Sequence[str] = (),
) -> Slices[list[Step]]:
    """The steps of a meeting; together they last no longer than `minutes`.

    Parameters
    ----------
    minutes : 5 to 240, breathers and talk included.
    words : candidates for the step with words; without any, or while none can be spelled, it is left out.

    Raises
    ------
    ValueError
        For minutes out of range, or too few for one new sound.
    """
    if not SHORTEST_MIN <= minutes <= LONGEST_MIN:
        raise ValueError(f"A meeting lasts {SHORTEST_MIN:g} to {LONGEST_MIN:g} minutes, not {minutes:g}.")
    lectern, known = Lectern(standing, speed, rng, words), standing.known
    breathers = max(0, int(np.ceil(minutes / BREATHER_EVERY_MIN)) - 1)
    active_s = minutes * 60.0 - TALK_S["close"] - breathers * TALK_S["breather"]
    new, meetings = _introductions(lectern, active_s)
    if not known + new:
        raise ValueError(f"At this speed {minutes:g} minutes are too few for even one new sound.")
    active_s -= sum(step.duration_s for step in meetings)
    steps = yield from lay_out(lectern, new, meetings, active_s)
    return [*with_breathers(steps, breathers, speed), close(new, speed)]


plan_evening = at_once(plan_in_slices)


def replan_in_slices(
    standing: Standing,
    remaining: Sequence[Step],
    minutes_left: float,
    speed: Speed,
    rng: np.random.Generator,
    words: Sequence[str] = (),
    freed_min: float = 0.0,
) -> Slices[Replan]:
    """Fit the steps still to do to what was copied and to the time that is left.

    standing : as it is now, with what was introduced and copied tonight.
    remaining : the steps not yet sent, in order.
    freed_min : minutes that were freed on purpose, to be left free.
    """
    lectern = Lectern(standing, speed, rng, words)
    steps, changes = yield from _hold_new(list(remaining), minutes_left, lectern)
    steps, leaning = yield from _deal_again(steps, lectern)
    steps, shortened = _fit(steps, minutes_left)
    steps, added = yield from _use_spare(steps, minutes_left - freed_min, lectern)
    return Replan(tuple(steps), (*changes, *leaning, *shortened, *added))


replan = at_once(replan_in_slices)


def _introductions(lectern: Lectern, active_s: float) -> tuple[str, list[Step]]:
    """The new signs of tonight with their steps, as many as leave time to practise them."""
    new, steps, used_s = "", [], 0.0
    known, coming = lectern.known, lectern.standing.situation.untaught
    for sign in coming[: _wanted(lectern.standing)]:
        step = lectern.introduction(sign, known + new)
        used_s += step.duration_s + (FEWEST_PRACTICE_S if known + new else 0.0)
        if used_s > active_s:
            break
        new += sign
        steps.append(step)
    return new, steps


def _wanted(standing: Standing) -> int:
    """How many new sounds tonight: as the course needs, once the newest ones are held."""
    limit = standing.situation.new_limit
    if not standing.known:
        return min(FIRST_SYMBOLS, max(1, limit))
    return limit if may_go_on(standing) else 0


def _hold_new(steps: list[Step], minutes_left: float, lectern: Lectern) -> Slices[Changed]:
    """New sounds come only when the class has caught hold of what it met: until then, more practice.

    While there is practice to come before them, nothing changes; they are left to another evening when too
    little time would be left for them.
    """
    coming = "".join(step.symbols[0] for step in steps if step.purpose == "meet")
    standing = lectern.standing
    if not coming or len(lectern.known) < 2 or may_go_on(standing):
        return steps, []
    first = next(i for i, step in enumerate(steps) if step.purpose == "meet")
    if any(step.text for step in steps[:first]):
        return steps, []
    weak = not_held(standing) or standing.newest
    shares = tuple(standing.share_of(sign) for sign in weak)
    more = lectern.step("practise", lectern.known, MORE_S, Because("catch hold"))
    meeting_s = sum(step.duration_s + FEWEST_PRACTICE_S for step in steps if step.purpose == "meet")
    if more and more.duration_s + meeting_s + TALK_S["close"] <= minutes_left * 60.0:
        change = Change("practice first", coming, shares, weak=weak)
        return [*steps[:first], more, *steps[first:]], [change]
    change = Change("another evening", coming, shares, weak=weak)
    return (yield from _without(steps, coming, lectern)), [change]


def _without(steps: list[Step], coming: str, lectern: Lectern) -> Slices[list[Step]]:
    """The steps without these sounds; longer copies are made of what is known instead."""
    left: list[Step] = []
    for step in steps:
        if not set(step.symbols) & set(coming):
            left.append(step)
        elif step.purpose == "longer":
            left += yield from lectern.fill("longer", lectern.known, step.duration_s)
    return left


def _deal_again(steps: list[Step], lectern: Lectern) -> Slices[Changed]:
    """Mixed texts are made anew when other sounds show to be weak; the others are given today's figures."""
    weak, why = lectern.weakest(), leaning(lectern, "")
    if not weak:
        return steps, []
    is_new, dealt = False, list[Step]()
    for step in steps:
        anew: list[Step] = []
        if step.purpose == "mix" and set(step.leans_on) != set(weak):
            anew = yield from lectern.fill("mix", step.symbols, step.duration_s, why)
            is_new = is_new or bool(anew)
        elif step.purpose == "mix" and step.because.key == why.key:
            anew = [replace(step, because=why)]
        dealt += anew or [step]
    return dealt, [Change("leaning", "".join(weak), tuple(weak.values()))] if is_new else []


def _fit(steps: list[Step], minutes_left: float) -> Changed:
    """Leave out what matters least until the rest fits."""
    left_out: list[Step] = []
    for purposes in _DROPPED_FIRST:
        for step in [step for step in reversed(steps) if step.purpose in purposes]:
            if sum(s.duration_s for s in steps) <= minutes_left * 60.0:
                break
            steps = [s for s in steps if s is not step]
            left_out.append(step)
    if not left_out:
        return steps, []
    gone = tuple(dict.fromkeys(step.purpose for step in left_out))
    return steps, [Change("left out", minutes=round(minutes_left, 1), left_out=gone)]


def _use_spare(steps: list[Step], minutes_left: float, lectern: Lectern) -> Slices[Changed]:
    """More rounds where there is time for one."""
    spare_s = minutes_left * 60.0 - sum(step.duration_s for step in steps)
    if spare_s < _SPARE_S or len(lectern.known) < 2:
        return steps, []
    added = yield from rounds(lectern, lectern.known, spare_s, leaning(lectern, ""))
    end = next((i for i, step in enumerate(steps) if step.purpose in ("longer", "close")), len(steps))
    change = Change("to spare", minutes=round(spare_s / 60.0, 1))
    return [*steps[:end], *added, *steps[end:]], [change] if added else []
