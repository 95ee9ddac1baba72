"""The order of an evening's steps, and how its time is shared out among them."""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.core.bursts import Speed
from copyroom.core.review import warm_up
from copyroom.core.steps import Kind, Lectern, Step, timed_step

_SHARES: dict[Kind, float] = {
    "warm-up": 0.12,
    "practise": 0.22,
    "mix": 0.28,
    "words": 0.13,
    "longer copy": 0.25,
}
"""Of the time that introductions leave (a judgement)."""


def lay_out(lectern: Lectern, new: str, meetings: list[Step], budget_s: float) -> list[Step]:
    """Steps in order; each kind's share of the time, what it does not use going to the next."""
    known, everything = lectern.known, lectern.known + new
    kinds: list[Kind] = ["warm-up"] if known else []
    kinds += ["practise"] if new else []
    kinds += ["mix"] if known or len(new) > 2 else []
    kinds += ["words"] if lectern.can_spell(everything) else []
    kinds += ["longer copy"]
    whole = sum(_SHARES[kind] for kind in kinds)
    steps: list[Step] = []
    carried_s = 0.0
    for kind in kinds:
        share_s = budget_s * _SHARES[kind] / whole + carried_s
        made = _make(kind, lectern, new, meetings, share_s)
        carried_s = share_s - sum(step.duration_s for step in made if step.kind != "introduce")
        steps += made
    return steps


def _make(kind: Kind, lectern: Lectern, new: str, meetings: list[Step], budget_s: float) -> list[Step]:
    everything = lectern.known + new
    if kind == "warm-up":
        signs = warm_up(lectern.record, lectern.names, lectern.known, lectern.day)
        return lectern.fill(
            kind, "Warm up", signs, budget_s, "What is weak, and what was not heard for longest."
        )
    if kind == "practise":
        return _practice(lectern, new, meetings, budget_s)
    if kind == "words":
        return lectern.fill(
            kind, "Words", everything, budget_s, "Sounds become words; these need only known ones."
        )
    if kind == "mix":
        return lectern.fill(kind, "Mix all that is known", everything, budget_s, leaning(lectern, new))
    return lectern.fill(
        kind, "A longer copy", everything, budget_s, "To keep on copying, with blanks for what is lost."
    )


def _practice(lectern: Lectern, new: str, meetings: list[Step], budget_s: float) -> list[Step]:
    """Introductions two by two, each two followed by practice of all the new sounds so far."""
    steps: list[Step] = []
    rounds = -(-len(new) // 2)
    for i in range(rounds):
        steps += meetings[2 * i : 2 * i + 2]
        signs = new[: 2 * i + 2] if len(new) > 1 else lectern.known[-1:] + new
        title = f"Practise {', '.join(signs)}"
        steps += lectern.fill(
            "practise", title, signs, budget_s / rounds, "New sounds need many turns at once."
        )
    return steps


def leaning(lectern: Lectern, new: str) -> str:
    """Say what a mixed text has more of."""
    weak = lectern.weakest()
    if not weak:
        return f"All {len(new)} sounds of tonight together."
    return f"Everything in turn, with more of {named(weak)}."


def named(weak: Sequence[tuple[str, float]]) -> str:
    """Signs with their recall, for a sentence."""
    return ", ".join(f"{sign} ({share:.0%})" for sign, share in weak)


def with_breathers(steps: list[Step], breathers: int, speed: Speed) -> list[Step]:
    """Breathers where they divide the time most evenly, between steps."""
    total_s = sum(step.duration_s for step in steps)
    laid: list[Step] = []
    passed_s, rests = 0.0, 0
    for step in steps:
        due_s = total_s * (rests + 1) / (breathers + 1)
        if rests < breathers and laid and passed_s + step.duration_s / 2.0 >= due_s:
            laid.append(
                timed_step("breather", "Breather", "", speed, "Ears tire; practice in short stretches lasts.")
            )
            rests += 1
        laid.append(step)
        passed_s += step.duration_s
    return laid


def close(new: str, speed: Speed) -> Step:
    """The last step."""
    learned = f"Tonight's new sounds were {', '.join(new)}. " if new else ""
    return timed_step(
        "close",
        "End of the evening",
        "",
        speed,
        f"{learned}Say what went well, and what to listen to at home.",
    )
