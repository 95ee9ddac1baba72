"""The order of an evening's steps, and how its time is shared out among them."""

from __future__ import annotations

from copyroom.core.bursts import Speed
from copyroom.core.purpose import USUAL, Because
from copyroom.core.review import warm_up
from copyroom.core.slices import Slices
from copyroom.core.steps import Lectern, Step, timed_step

_SHARES: dict[str, float] = {"warm-up": 0.12, "practise": 0.22, "rounds": 0.41, "longer": 0.25}
"""Of the time that introductions leave (a judgement)."""
_MIX_OF_ROUND = 2 / 3
_ROUND_S = 300.0
"""Mixed groups and a text to read take turns: nobody keeps listening to one kind of text for half an hour."""
_MOST_STEPS = {"warm-up": 3, "longer": 2}


def lay_out(lectern: Lectern, new: str, meetings: list[Step], budget_s: float) -> Slices[list[Step]]:
    """Steps in order; each part's share of the time, and to the rounds of mixing what the others leave."""
    known, everything = lectern.known, lectern.known + new
    parts = ["warm-up"] if known else []
    parts += ["practise"] if new else []
    parts += ["rounds"] if known or len(new) > 2 else []
    parts += ["longer"]
    whole = sum(_SHARES[part] for part in parts)
    share_s = {part: budget_s * _SHARES[part] / whole for part in parts}
    before: list[Step] = []
    if known:
        signs = warm_up(lectern.standing.believed) if lectern.standing.believed else known
        warming = yield from lectern.fill("warm-up", signs, share_s["warm-up"])
        before += warming[: _MOST_STEPS["warm-up"]]
    if new:
        before += yield from _practice(lectern, new, meetings, share_s["practise"])
    left_s = budget_s - sum(step.duration_s for step in before if step.purpose != "meet")
    if "rounds" not in parts:
        return before + (yield from lectern.fill("longer", everything, left_s))
    longer = yield from lectern.fill("longer", everything, share_s["longer"])
    longer = longer[: _MOST_STEPS["longer"]]
    left_s -= sum(step.duration_s for step in longer)
    mixed = yield from rounds(lectern, everything, left_s, leaning(lectern, new))
    return before + mixed + longer


def rounds(lectern: Lectern, signs: str, budget_s: float, because: Because) -> Slices[list[Step]]:
    """Mixed groups and texts to read by turns, together no longer than the budget.

    because : why there are mixed groups.
    """
    yield
    readings = lectern.readings(signs)
    yield
    if not readings:
        return (yield from lectern.fill("mix", signs, budget_s, because))
    steps: list[Step] = []
    count = max(1, round(budget_s / _ROUND_S))
    for i in range(count):
        round_s = (budget_s - sum(step.duration_s for step in steps)) / (count - i)
        mixed = yield from lectern.fill("mix", signs, round_s * _MIX_OF_ROUND, because)
        left_s = round_s - sum(step.duration_s for step in mixed)
        reading = lectern.step(readings[i % len(readings)], signs, left_s)
        steps += [*mixed, reading] if reading else mixed
        yield
    return steps


def _practice(lectern: Lectern, new: str, meetings: list[Step], budget_s: float) -> Slices[list[Step]]:
    """Introductions two by two, each two followed by practice of all the new sounds so far."""
    steps: list[Step] = []
    rounds = -(-len(new) // 2)
    for i in range(rounds):
        steps += meetings[2 * i : 2 * i + 2]
        signs = new[: 2 * i + 2] if len(new) > 1 else lectern.known[-1:] + new
        steps += yield from lectern.fill("practise", signs, budget_s / rounds)
    return steps


def leaning(lectern: Lectern, new: str) -> Because:
    """What a mixed text has more of."""
    weak = lectern.weakest()
    if not weak:
        return Because("all new", new)
    return Because("weakest", "".join(weak), tuple(weak.values()))


def with_breathers(steps: list[Step], breathers: int, speed: Speed) -> list[Step]:
    """Breathers where they divide the time most evenly, between steps."""
    total_s = sum(step.duration_s for step in steps)
    laid: list[Step] = []
    passed_s, rests = 0.0, 0
    for step in steps:
        due_s = total_s * (rests + 1) / (breathers + 1)
        if rests < breathers and laid and passed_s + step.duration_s / 2.0 >= due_s:
            laid.append(timed_step("breather", "", speed))
            rests += 1
        laid.append(step)
        passed_s += step.duration_s
    return laid


def close(new: str, speed: Speed) -> Step:
    """The last step."""
    return timed_step("close", "", speed, Because("learned", new) if new else USUAL)
