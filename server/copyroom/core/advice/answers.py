"""What is answered in each situation of the policy: a choice, or None where it is not so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from copyroom.core.advice.needs import need
from copyroom.core.advice.pace import (
    FIRST_SYMBOLS,
    far_behind,
    may_go_on,
    not_held,
    of_newest,
    steady_shares,
    stuck_signs,
    weakest_quarter,
)
from copyroom.core.advice.proposal import (
    MOST_UNKNOWN,
    About,
    Choice,
    Proposal,
    affordable,
    firm_company,
    in_reach,
    next_symbols,
    text_length,
    text_on,
)
from copyroom.core.advice.standing import FEW_KEYS, Standing
from copyroom.core.advice.words import and_list, named
from copyroom.core.composition import tell_apart
from copyroom.core.evidence.mix_ups import Pair
from copyroom.core.phrases import counted, percent
from copyroom.core.purpose import Action
from copyroom.core.record import RunKind
from copyroom.core.similarity import likeness

NEW_AT_ONCE = 2
SURE = 0.42
"""A chance whose bounds are further apart than this, for the class, is no knowledge."""
BREAK_DAYS = 14
"""After so many days without copying, first ask."""
FASTER = 1.12
"""Speeds are as good as the same up to this ratio."""
WELL_HELD, WEAKEST_WELL_HELD = 0.88, 0.75
"""So much of all sounds the class writes, and its weakest quarter, before anything comes faster."""
STEP_UP = 1.1
"""By how much a speed is raised for a short run (a judgement)."""
DRILL_LENGTH = 30
SIDE_BY_SIDE = 2
"""So often two sounds are put side by side; if they are still mixed up then, each is named."""
WORTH_A_DRILL = 0.1
"""Part of a sound's sendings that a pair must cost before a run is made for it."""
RUNS_BETWEEN = 3
"""So many runs for all come between two that are made for some."""


# ------------------------------------------------------------------ nothing is known, or not whether it is


def nothing_known(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """One sound alone is as good as none: it would be written without listening."""
    known, situation = standing.known, standing.situation
    count = min(max(FIRST_SYMBOLS - len(known), 1), max(situation.room_for_new, 0 if known else 1))
    if len(known) > 1 or not count:
        return None
    new = next_symbols(standing, count)
    if known:
        why = f"{known} alone would be written without listening: {and_list(new)} with it."
    elif count > 2:
        why = f"The class starts with {count} sounds, {and_list(new)}: with fewer, it would guess."
    else:
        why = f"The class starts with {and_list(new)}."
    return _exercise(standing, rng, "go on" if known else "begin", known + new, why, new=new)


def sound_is_lost(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Most of the class heard nothing."""
    lost = standing.blank
    if not lost or 2 * len(lost) <= _copyists(standing):
        return None
    signs = firm_company(standing, "", 4) or standing.known
    why = (
        f"{len(lost)} of {_copyists(standing)} left nearly all of the last run blank: ask whether everybody"
        " hears the tones, and send something easy before anything else."
    )
    return _exercise(standing, rng, "sound", signs, why, About("", lost), kind="copy", short=True)


def some_heard_nothing(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """A few left all blank who did not before."""
    lost = standing.newly_blank
    if not lost:
        return None
    why = (
        f"{standing.called(lost)} left nearly all of the last run blank: look at their sound; nothing new"
        " until they hear."
    )
    return _exercise(standing, rng, "sound", in_reach(standing), why, About("", lost))


def ask_first(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Nobody can say what is known tonight."""
    if standing.tonight or standing.believed is None:
        return None
    newcomers = standing.newcomers
    why, signs = _unasked(standing, newcomers)
    if not why:
        return None
    return _exercise(standing, rng, "ask", standing.known, why, About(signs, newcomers), kind="copy")


def _unasked(standing: Standing, newcomers: Sequence[str]) -> tuple[str, str]:
    """Why it is not known what the class knows tonight, and of which sounds; "" where it is."""
    present, days = len(standing.situation.present), standing.days_since
    if len(newcomers) == present:
        return "Nobody here has copied anything yet: first see what they know.", ""
    if days is not None and days >= BREAK_DAYS:
        return f"The last copies are {days} days old: first see what is still there.", ""
    if faster := _faster(standing):
        return f"{faster}: first see how it goes.", ""
    if 2 * len(newcomers) > present:
        return (
            f"{len(newcomers)} of the {present} here have copied nothing yet: first see what they know.",
            "",
        )
    if days and standing.believed is not None:
        together, newest = standing.believed.together, standing.newest
        unsure = float((together.high - together.low)[standing.at(newest)].mean())
        if unsure > SURE:
            gone = counted(days, "day")
            return f"What is left of {and_list(newest)} after {gone} is not known: first ask.", newest
    return "", ""


def _faster(standing: Standing) -> str:
    """What tonight's speed is that nothing was ever copied at; "" where something was."""
    for speed, of, words in (
        (standing.situation.speeds[0], "wpm", "characters at"),
        (standing.situation.speeds[1], "overall_wpm", "an overall speed of"),
    ):
        copied = [at for run in standing.runs if run.copies and (at := getattr(run, of))]
        if speed and copied and speed > FASTER * max(copied):
            return f"Nothing was copied yet with {words} {speed:g} wpm"
    return ""


def never_met(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Somebody was away when a sound was introduced."""
    if standing.believed is None or len(standing.known) < 2:
        return None
    lacking = ~standing.believed.met
    by_symbol = lacking.sum(axis=0)
    # Who lacks more than one text can hold comes back to it at the next meeting.
    if not lacking.any() or (standing.tonight and (by_symbol > 0).sum() > MOST_UNKNOWN):
        return None
    most = np.argsort(-by_symbol, kind="stable")[:MOST_UNKNOWN]
    signs = "".join(standing.known[i] for i in most if by_symbol[i])
    present = standing.situation.present
    who = tuple(name for row, name in enumerate(present) if lacking[row, standing.at(signs)].any())
    # Several names may not lack the same: the sentence must hold of each.
    all_of_them = len(who) == 1 or bool(
        lacking[np.ix_([present.index(n) for n in who], standing.at(signs))].all()
    )
    what = and_list(signs) if all_of_them else f"all of {and_list(signs)}"
    why = f"{standing.called(who)} never met {what}: these again, for those who were not there."
    many = 3 * len(who) > len(present)
    company = firm_company(standing, signs, (FEW_KEYS if many else 2 * FEW_KEYS) - len(signs))
    kind: RunKind | None = "named" if many else None
    about = About(signs, who)
    return _exercise(standing, rng, "catch up", signs + company, why, about, kind=kind, short=True)


# ------------------------------------------------------------------ something or somebody lags


def pair(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Two sounds are taken for one another."""
    if _was_for_some(standing):
        return None
    for found in standing.pairs:
        both = found.sent + found.written
        known = set(both) <= set(standing.known)
        if known and found.lost >= WORTH_A_DRILL and not standing.drilled_tonight(both):
            return _apart(standing, rng, found)
    return None


def _apart(standing: Standing, rng: np.random.Generator, found: Pair) -> Choice:
    both = found.sent + found.written
    wrote = (
        f"{counted(found.learners, 'learner')} wrote {found.written} for {found.sent}, {found.n} times in"
        f" {found.sendings}, more than chance: "
    )
    tried = standing.drilled(both, 4)
    if tried % (2 * SIDE_BY_SIDE) >= SIDE_BY_SIDE:
        why = f"{wrote}side by side did not help; now each is named."
        company = firm_company(standing, both, 2)
        about = About(both)
        return _exercise(standing, rng, "contrast", both + company, why, about, kind="named", short=True)
    why = f"{wrote}put the two side by side."
    kind = affordable(standing, "copy", 0)
    length = min(max(standing.situation.min_length, DRILL_LENGTH), text_length(standing, 0, kind))
    text = tell_apart(both, length, rng, group=length)
    return Choice("contrast", Proposal("", text, (why, *_besides(standing, "contrast")), kind, About(both)))


def stuck(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """One sound stays behind the others."""
    if _was_for_some(standing):
        return None
    for sign in stuck_signs(standing):
        if not standing.drilled_tonight(sign):
            return _unstick(standing, rng, sign)
    return None


def _unstick(standing: Standing, rng: np.random.Generator, sign: str) -> Choice:
    tried = standing.drilled(sign)
    company, kind, how = _ways(standing, sign, tried)
    after = f" after {counted(tried, 'run')} made for it" if tried else ""
    others = standing.at("".join(other for other in standing.known if other != sign))
    own, usual = standing.of_class[standing.at(sign)].mean(), standing.of_class[others].mean()
    why = (
        f"{sign} stays behind{after}: the class writes it {percent(own)} of the time, the others"
        f" {percent(usual)}. Now {how}."
    )
    return _exercise(standing, rng, "stuck", sign + company, why, About(sign), kind=kind, short=True)


def _ways(standing: Standing, sign: str, tried: int) -> tuple[str, RunKind, str]:
    """Company, kind of run and words for it: another way each time that one did not help."""
    firm = firm_company(standing, sign, FEW_KEYS - 1)
    others = "".join(other for other in standing.known if other != sign)
    nearest = others[int(np.argmax(likeness(sign + others)[0, 1:]))]
    ways: list[tuple[str, RunKind, str]] = [
        (firm, "named", "among a few firm ones, each named after its answer"),
        (nearest + firm.replace(nearest, "")[:1], "copy", f"beside {nearest}, which sounds most like it"),
        (firm[:2], "named", "met once more, slower, then among two others, each named"),
        (firm[:1], "copy", "almost alone, in a short run"),
    ]
    return ways[tried % len(ways)]


def newest(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """The newest sounds are not held yet."""
    lack = of_newest(standing)
    if not lack.signs or len(standing.known) < 2:
        return None
    why = _not_held(standing)
    signs = in_reach(standing, lack.signs)
    if lack.weak and len(signs) > FEW_KEYS + 2 and not _was_for_some(standing, 1):
        signs = lack.signs + firm_company(standing, lack.signs, FEW_KEYS - min(4, len(lack.signs)))
    return _exercise(standing, rng, "newest", signs, why, About(lack.signs))


def _not_held(standing: Standing) -> str:
    lack = of_newest(standing)
    shares = named(lack.weak, [standing.share_of(sign) for sign in lack.weak])
    if lack.tonight:
        lost = named(lack.weak, lack.tonight)
        return f"When last sent tonight the class wrote {lost} right: nothing new before they are held."
    if lack.weakest is not None:
        return (
            f"The weakest quarter of those who came from the start writes {percent(lack.weakest)} of the"
            f" newest sounds, {and_list(lack.weak)}: nothing new before they hold them."
        )
    if not lack.weak:
        return f"{and_list(lack.few)} must first be copied more, among others; then something new."
    return f"The newest sounds are not held yet: {shares}. Nothing new before they are."


def support(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Somebody is far behind a class that copies well."""
    if len(standing.known) < 3 or _was_for_some(standing, RUNS_BETWEEN + 1):
        return None
    who = far_behind(standing)
    if not who or 3 * len(who) > int(standing.counted.sum()):
        return None
    rows = [standing.situation.present.index(name) for name in who]
    lacking = standing.shares[rows].mean(axis=0)
    signs = "".join(standing.known[i] for i in np.argsort(lacking, kind="stable")[:MOST_UNKNOWN])
    others = [row for row, is_counted in enumerate(standing.counted) if is_counted and row not in rows]
    way = standing.drilled(signs[0])
    how, kind = _SUPPORTS[way % len(_SUPPORTS)]
    own, usual = percent(standing.shares[rows].mean()), percent(standing.shares[others].mean())
    write, them = ("writes", "this learner") if len(who) == 1 else ("write", "them")
    why = (
        f"{standing.called(who)} {write} {own} of what is known, the others {usual}: {and_list(signs)} for"
        f" {them}, {how}."
    )
    company = firm_company(standing, signs, FEW_KEYS - len(signs))
    about = About(signs, who)
    return _exercise(standing, rng, "support", signs + company, why, about, kind=kind, short=True)


_SUPPORTS: tuple[tuple[str, RunKind], ...] = (
    ("each named", "named"),
    ("in a short run of few sounds", "copy"),
    ("met once more, then each named", "named"),
)
"""By turns, when the one before did not help."""


# ------------------------------------------------------------------ the class goes on


def still_there(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Before a meeting's first new sounds it is seen whether what was held is still there."""
    away = standing.days_away
    if not away or not standing.situation.room_for_new:
        return None
    newest, days = standing.newest, counted(away, "day")
    if 2 * len(set(newest) & {sign for run in standing.tonight for sign in run.sent}) >= len(newest):
        return None
    is_ = "is" if len(newest) == 1 else "are"
    why = f"First a text on what is known, to see whether {and_list(newest)} {is_} still there after {days}."
    return _exercise(standing, rng, "ask", in_reach(standing), why, About(newest), kind="copy")


def go_on(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """The newest is held, and tonight may have more."""
    count = _new_now(standing)
    if count < 1 or not may_go_on(standing):
        return None
    new, hard = next_symbols(standing, count), stuck_signs(standing)
    newest = "".join(sign for sign in standing.newest if sign not in hard)
    shares = named(newest, [standing.share_of(sign) for sign in newest])
    held = f"The newest sounds are held, {shares}" if newest else f"All but {and_list(hard)} is held"
    why = f"{held}: go on with {and_list(new)}."
    return _exercise(standing, rng, "go on", in_reach(standing, new), why, new=new)


def _new_now(standing: Standing) -> int:
    """How many sounds may come now: as the limit and the time allow, and what is still unknown."""
    free = max(0, MOST_UNKNOWN - len(standing.unknown))
    return min(standing.situation.room_for_new, free, NEW_AT_ONCE)


def faster(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """All is taught and held at tonight's speed: the spacing closes first, then characters come faster."""
    situation = standing.situation
    wpm, overall_wpm = situation.speeds
    if situation.untaught or not (wpm and overall_wpm) or not standing.known or not standing.tonight:
        return None
    by_learner = steady_shares(standing).mean(axis=1)
    mean = float(by_learner.mean())
    if mean < WELL_HELD or weakest_quarter(by_learner) < WEAKEST_WELL_HELD or standing.unknown:
        return None
    if overall_wpm < wpm:
        at, then = f"an overall speed of {overall_wpm:g} wpm", min(wpm, _next_speed(overall_wpm))
    else:
        at, then = f"characters of {wpm:g} wpm", _next_speed(wpm)
    why = (
        f"All {len(standing.known)} sounds are held at {at}, {percent(mean)} right: try {then:g} wpm in a"
        " short run, and come back."
    )
    return _exercise(standing, rng, "faster", in_reach(standing), why, short=True)


def _next_speed(wpm: float) -> float:
    """The next step up, in whole or half words a minute."""
    return round(wpm * STEP_UP * 2.0) / 2.0


def everything(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """All that is in reach, by need."""
    if not standing.known:
        return None
    signs = in_reach(standing)
    most = np.argsort(-need(standing.shares), kind="stable")[:3]
    needed = "".join(standing.known[i] for i in most)
    shares = named(needed, [standing.share_of(sign) for sign in needed])
    resting = "".join(sign for sign in standing.known if sign not in signs)
    rest = (
        f" {and_list(resting)} rest{'s' if len(resting) == 1 else ''} until these are known."
        if resting
        else ""
    )
    limit = standing.situation.untaught and not standing.situation.new_limit
    wait = " No more new sounds tonight." if limit else ""
    why = f"Everything in reach once more; needed most: {shares}.{rest}{wait}"
    return _exercise(standing, rng, "repeat", signs, why)


# ------------------------------------------------------------------ what can be chosen besides


def once_more(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """All that is in reach, as a text to be copied: who asks for one more does not mean rounds."""
    choice = everything(standing, rng)
    if choice is None or choice.proposal.kind == "copy":
        return choice
    text, kind = text_on(standing, in_reach(standing), rng, kind="copy")
    return replace(choice, proposal=replace(choice.proposal, text=text, kind=kind))


def new_all_the_same(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """The instructor may go on whatever is held."""
    count = min(NEW_AT_ONCE, standing.situation.room_for_new)
    if count < 1:
        return None
    new, weak = next_symbols(standing, count), not_held(standing)
    why = f"Go on with {and_list(new)}" + (
        f" all the same, though {and_list(weak)} {'is' if len(weak) == 1 else 'are'} not held yet."
        if weak
        else "."
    )
    return _exercise(standing, rng, "go on", in_reach(standing, new), why, new=new)


def easier(standing: Standing, rng: np.random.Generator) -> Choice | None:
    """Back to what is firm."""
    kept = max(4, len(standing.known) // 2)
    if kept >= len(standing.known) or not standing.counted.any():
        return None
    best = firm_company(standing, "", kept)
    why = f"Back to the {kept} sounds that the class knows best, {and_list(best)}, to build up again."
    return _exercise(standing, rng, "go back", best, why, kind="copy")


# ------------------------------------------------------------------ common to all


def _exercise(
    standing: Standing,
    rng: np.random.Generator,
    action: Action,
    signs: str,
    why: str,
    about: About | None = None,
    *,
    new: str = "",
    kind: RunKind | None = None,
    short: bool = False,
) -> Choice:
    text, kind = text_on(standing, signs, rng, new=new, kind=kind)
    if short and len(text) > DRILL_LENGTH:
        text = text[: max(standing.situation.min_length, DRILL_LENGTH)]
    reasons = (why, *_besides(standing, action))
    return Choice(action, Proposal(new, text, reasons, kind, about or About()))


def _besides(standing: Standing, action: Action) -> list[str]:
    """What is to be said whatever is done."""
    said_of = []
    if action not in ("support", "begin", "sound") and (who := far_behind(standing)):
        rows = [standing.situation.present.index(name) for name in who]
        own = percent(float(standing.shares[rows].mean()))
        are = "is" if len(who) == 1 else "are"
        said_of.append(f"{standing.called(who)} {are} far behind, at {own} of what is known.")
    if action != "sound" and (blank := standing.blank):
        said_of.append(
            f"{standing.called(blank)} left nearly all of the last run blank: ask about their sound."
        )
    if action not in ("begin", "ask") and standing.runs and (new := standing.newcomers):
        have = "has copied nothing yet and counts" if len(new) == 1 else "have copied nothing yet and count"
        said_of.append(f"{standing.called(new)} {have} in no figure.")
    return said_of


def _was_for_some(standing: Standing, last: int = RUNS_BETWEEN) -> bool:
    """Whether one of tonight's last runs was made for some: then all have their turn."""
    return any(standing.is_for_some(run) for run in standing.tonight[-last:])


def _copyists(standing: Standing) -> int:
    """How many of those here have a copy of tonight's last run."""
    copies = standing.tonight[-1].copies if standing.tonight else {}
    return sum(name in copies for name in standing.situation.present)
