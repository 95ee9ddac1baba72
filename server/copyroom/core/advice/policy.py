"""What to do next: one table of situations behind the plan, the card, the other choices and the filter.

The situations are asked in order, and the first that holds decides. Each has its own answer, and says whom or
what it is about. What must not decide: the mean over all that is known (it hides the newest sounds and the
weakest learner), and who was not there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from copyroom.core.advice.proposal import (
    MOST_UNKNOWN,
    About,
    Proposal,
    affordable,
    firm_company,
    in_reach,
    next_symbols,
    text_length,
    text_on,
)
from copyroom.core.advice.standing import FEWEST_BEFORE_NEXT, Standing
from copyroom.core.advice.words import and_list, named
from copyroom.core.composition import tell_apart
from copyroom.core.phrases import counted, percent
from copyroom.core.purpose import Action, Because, Sounding
from copyroom.core.record import PastRun, RunKind
from copyroom.core.similarity import likeness
from copyroom.core.slices import Slices, at_once

FIRST_SYMBOLS = 4
"""Two would be guessed, not heard."""
NEW_AT_ONCE = 2
HELD = 0.68
"""The newest sounds are held from this chance on, by the class in the mean;"""
EACH_HELD = 0.45
"""each of them from this one on;"""
WEAKEST_HELD = 0.45
"""and by the weakest quarter in the mean from this."""
CARRIED, WEAKEST_CARRIED = 0.75, 0.58
"""So much of all that is known the class writes, and its weakest quarter, before anything is added."""
SURE = 0.42
"""A chance whose bounds are further apart than this, for the class, is no knowledge."""
BREAK_DAYS = 14
"""After so many days without copying, first ask."""
FASTER = 1.12
"""Speeds are as good as the same up to this ratio."""
STUCK, STUCK_BEHIND, STUCK_TESTED = 0.5, 0.25, 18.0
"""A sound is stuck under this chance, this far behind the others' median, after so many sendings each."""
BEHIND, BEHIND_CLASS = 0.55, 0.25
"""A learner is far behind under this chance over what is known, this far under the class."""
FEW_KEYS = 6
"""A run of so few sounds is made for some of them."""
DRILL_LENGTH = 30
MOST_PAIRS_TRIED = 2
WORTH_A_DRILL = 0.05


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that could be done next: its sentence, and the exercise that does it."""

    action: Action
    proposal: Proposal

    @property
    def sentence(self) -> str:
        """Why, first of all."""
        return self.proposal.reasons[0]

    @property
    def purpose(self) -> Sounding:
        """What its text is sent for."""
        return "apart" if self.action == "contrast" else "practise"


@dataclass(frozen=True, slots=True)
class Advice:
    """What could be done, the proposed one first, each with its evidence in one sentence.

    copied : the share of the last text that the class copied.
    """

    choices: tuple[Choice, ...]
    copied: float | None = None

    @property
    def proposed(self) -> Choice:
        """The best of them."""
        return self.choices[0]

    def because(self, choice: Choice) -> Because:
        """Why a step is there that comes of a choice."""
        proposal = choice.proposal
        signs = proposal.introduce or proposal.about.symbols or "".join(dict.fromkeys(proposal.text))
        return Because(choice.action, signs, copied=None if self.copied is None else round(self.copied, 4))


class Rule(NamedTuple):
    """A situation, what is proposed in it, and for what or whom; `choose` gives None where it is not so."""

    when: str
    then: str
    about: str
    choose: Callable[[Standing, np.random.Generator], Choice | None]


def propose(standing: Standing, rng: np.random.Generator) -> Choice:
    """What this class should do next."""
    return next(choice for rule in POLICY if (choice := rule.choose(standing, rng)))


def advise_in_slices(
    standing: Standing, rng: np.random.Generator, copied: float | None = None
) -> Slices[Advice]:
    """What is proposed, and what else could be done: go on, go over it all, go back to what is firm.

    A single sound is never practised: it could be written without listening. Raises ValueError when nothing
    is known yet, or nothing is left to do but that.
    """
    if not standing.known:
        raise ValueError("There is nothing to judge before the first sounds are introduced.")
    best = propose(standing, rng)
    yield
    choices = [best]
    for other in (_pair, _new_all_the_same, _everything, _easier):
        choice = other(standing, rng)
        if choice and choice.action not in {one.action for one in choices}:
            choices.append(choice)
        yield
    left = tuple(choice for choice in choices if len(set(choice.proposal.text)) > 1)
    if not left:
        raise ValueError("One sound alone is no practice, and there is no other to go on with.")
    return Advice(left, copied)


advise = at_once(advise_in_slices)


# ------------------------------------------------------------------ the situations, in order


def _nothing_known(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if standing.known:
        return None
    situation = standing.situation
    count = max(1, min(FIRST_SYMBOLS, situation.room_for_new))
    new = next_symbols(standing, count)
    why = f"The class starts with {counted(count, 'sound')}, {and_list(new)}" + (
        ": with fewer, it would guess." if count > 2 else "."
    )
    return _exercise(standing, rng, "begin", new, why, new=new)


def _sound_is_lost(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if not standing.tonight:
        return None
    wrote = [name for name in standing.situation.present if name in standing.tonight[-1].copies]
    lost = standing.blank
    if not lost or 2 * len(lost) <= len(wrote):
        return None
    signs = firm_company(standing, "", 4) or standing.known
    why = (
        f"{len(lost)} of {len(wrote)} left nearly all of the last run blank: ask whether everybody hears the"
        " tones, and send something easy before anything else."
    )
    return _exercise(standing, rng, "sound", signs, why, About("", lost), kind="copy", short=True)


def _ask_first(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if standing.tonight or standing.believed is None:
        return None
    newcomers = tuple(
        name
        for name, has_copies in zip(standing.situation.present, standing.counted, strict=True)
        if not has_copies
    )
    why = _unasked(standing, newcomers)
    if not why:
        return None
    signs = standing.known
    return _exercise(standing, rng, "ask", signs, why, About("", newcomers), kind="copy")


def _unasked(standing: Standing, newcomers: Sequence[str]) -> str:
    """Why it is not known what the class knows tonight; "" where it is."""
    present = len(standing.situation.present)
    if len(newcomers) == present:
        return "Nobody here has copied anything yet: first see what they know."
    days = standing.days_since
    if days is not None and days >= BREAK_DAYS:
        return f"The last copies are {days} days old: first see what is still there."
    if faster := _faster(standing):
        return f"{faster}: first see how it goes."
    if 2 * len(newcomers) > present:
        return f"{len(newcomers)} of the {present} here have copied nothing yet: first see what they know."
    if days and standing.believed is not None:
        newest = standing.at(standing.newest)
        together = standing.believed.together
        unsure = float((together.high - together.low)[newest].mean())
        if unsure > SURE:
            return (
                f"What is left of {and_list(standing.newest)} after {counted(days, 'day')} is not known: ask."
            )
    return ""


def _faster(standing: Standing) -> str:
    """What tonight's speed is that nothing was ever copied at; "" where something was."""
    for speed, of, words in (
        (standing.situation.speeds[0], "wpm", "characters at"),
        (standing.situation.speeds[1], "overall_wpm", "at an overall speed of"),
    ):
        copied = [at for run in standing.runs if run.copies and (at := getattr(run, of))]
        if speed and copied and speed > FASTER * max(copied):
            return f"Nothing was copied yet with {words} {speed:g} wpm"
    return ""


def _never_met(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if standing.believed is None or len(standing.known) < 2:
        return None
    lacking = ~standing.believed.met
    if not lacking.any() or any(
        run.kind == "named" and run.day == standing.situation.today and not run.introduce
        for run in standing.tonight[-4:]
    ):
        return None
    by_symbol = lacking.sum(axis=0)
    most = np.argsort(-by_symbol, kind="stable")[:MOST_UNKNOWN]
    signs = "".join(standing.known[i] for i in most if by_symbol[i])
    who = tuple(
        name for row, name in enumerate(standing.situation.present) if lacking[row, standing.at(signs)].any()
    )
    why = f"{standing.called(who)} never met {and_list(signs)}: these again, for those who were not there."
    many = 3 * len(who) > len(standing.situation.present)
    company = firm_company(standing, signs, max(2, FEW_KEYS - len(signs)) if many else len(standing.known))
    kind: RunKind | None = "named" if many else None
    return _exercise(
        standing, rng, "catch up", signs + company, why, About(signs, who), kind=kind, short=many
    )


def _newest_not_held(standing: Standing, rng: np.random.Generator) -> Choice | None:
    weak = not_held(standing)
    if not weak or len(standing.known) < 2:
        return None
    shares = named(weak, [standing.share_of(sign) for sign in weak])
    why = f"The newest sounds are not held yet: {shares}. Nothing new before they are."
    signs = "".join(sign for sign in in_reach(standing) if sign not in weak)
    others = firm_company(standing, weak, max(4, 2 * len(weak))) if standing.just_drilled(weak, 99) else signs
    few = firm_company(standing, weak, max(2, FEW_KEYS + 2 - len(weak)))
    chosen = few if len(signs) > 8 and not _last_was_made_for_some(standing) else others
    return _exercise(standing, rng, "newest", weak + chosen, why, About(weak))


def not_held(standing: Standing) -> str:
    """Those of the newest sounds that are not held, by the class and by its weakest; "" where all are."""
    newest = standing.newest
    at = standing.at(newest)
    if not at:
        return ""
    means, tested = standing.of_class[at], standing.tested[at]
    few = [sign for sign, times in zip(newest, tested, strict=True) if times < FEWEST_BEFORE_NEXT]
    low = [sign for sign, mean in zip(newest, means, strict=True) if mean < EACH_HELD]
    counted_rows = standing.shares[standing.counted] if standing.counted.any() else standing.shares
    by_learner = np.sort(counted_rows[:, at].mean(axis=1))
    weakest = by_learner[: max(1, len(by_learner) // 4)].mean()
    if few or low or means.mean() < HELD or weakest < WEAKEST_HELD:
        order = np.argsort(means, kind="stable")
        weak = [newest[i] for i in order if means[i] < HELD or newest[i] in few]
        return "".join(weak or [newest[i] for i in order[:2]])
    return ""


def _stuck(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if len(standing.known) < 3 or any(len(run.in_play) <= FEW_KEYS for run in standing.tonight[-3:]):
        return None
    for i in np.argsort(standing.of_class, kind="stable"):
        sign, mean = standing.known[i], float(standing.of_class[i])
        others = float(np.median(np.delete(standing.of_class, i)))
        if mean >= STUCK or mean > others - STUCK_BEHIND:
            return None
        if standing.tested[i] < STUCK_TESTED:
            continue
        return _unstick(standing, rng, sign, mean, others)
    return None


def _unstick(standing: Standing, rng: np.random.Generator, sign: str, mean: float, others: float) -> Choice:
    """Another way each time that one did not help."""
    tried = standing.drilled(sign, FEW_KEYS)
    firm = firm_company(standing, sign, FEW_KEYS - 1)
    alike = likeness(sign + firm_company(standing, sign, len(standing.known)))[0, 1:]
    nearest = firm_company(standing, sign, len(standing.known))[int(np.argmax(alike))]
    ways: list[tuple[str, RunKind, str]] = [
        (firm, "named", "among a few firm ones, each named after its answer"),
        (nearest + firm[:1], "copy", f"beside {nearest}, which sounds most like it"),
        (firm[:2], "named", "met again first, and slower"),
        (firm[:1], "copy", "almost alone, in a short run"),
    ]
    company, kind, how = ways[tried % len(ways)]
    after = f" after {counted(tried, 'run')} made for it" if tried else ""
    why = (
        f"{sign} stays behind{after}: the class writes it {percent(mean)} of the time, the others"
        f" {percent(others)}. Now {how}."
    )
    company = "".join(dict.fromkeys(company.replace(sign, "")))
    return _exercise(standing, rng, "stuck", sign + company, why, About(sign), kind=kind, short=True)


def _pair(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if any(len(run.in_play) <= FEW_KEYS for run in standing.tonight[-2:]):
        return None
    for pair in standing.pairs:
        both = pair.sent + pair.written
        if not set(both) <= set(standing.known) or pair.lost < WORTH_A_DRILL:
            continue
        tried = standing.drilled(both, FEW_KEYS)
        if standing.drilled_tonight(both, FEW_KEYS):
            continue
        why = (
            f"{counted(pair.learners, 'learner')} wrote {pair.written} for {pair.sent}, {pair.n} times in"
            f" {pair.sendings}, more than chance: put the two side by side."
        )
        if tried >= MOST_PAIRS_TRIED:
            why = why.replace("put the two side by side.", "side by side did not help; now each is named.")
            company = firm_company(standing, both, 2)
            return _exercise(
                standing, rng, "contrast", both + company, why, About(both), kind="named", short=True
            )
        kind = affordable(standing, "copy", 0)
        length = min(max(standing.situation.min_length, DRILL_LENGTH), text_length(standing, 0, kind))
        text = tell_apart(both, length, rng, group=length)
        return Choice("contrast", Proposal("", text, (why,), kind, About(both)))
    return None


def _far_behind(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if len(standing.known) < 3 or any(_was_made_for_some(run) for run in standing.tonight[-4:]):
        return None
    who = far_behind(standing)
    if not who or 3 * len(who) > int(standing.counted.sum()):
        return None
    rows = [standing.situation.present.index(name) for name in who]
    lacking = standing.shares[rows].mean(axis=0)
    signs = "".join(standing.known[i] for i in np.argsort(lacking, kind="stable")[:MOST_UNKNOWN])
    of_class = float(standing.of_class.mean())
    own = float(standing.shares[rows].mean())
    why = (
        f"{standing.called(who)} {'writes' if len(who) == 1 else 'write'} {percent(own)} of what is known"
        f" where the class writes {percent(of_class)}: {and_list(signs)} for them, each named."
    )
    company = firm_company(standing, signs, FEW_KEYS - len(signs))
    about = About(signs, who)
    return _exercise(standing, rng, "support", signs + company, why, about, kind="named", short=True)


def far_behind(standing: Standing) -> tuple[str, ...]:
    """Those present who are far behind the others, by what they copied."""
    if standing.believed is None or standing.counted.sum() < 3:
        return ()
    own = standing.believed.learners.mean.mean(axis=1)
    usual = float(np.median(own[standing.counted]))
    enough = standing.believed.tested.sum(axis=1) >= 2 * FEWEST_BEFORE_NEXT
    return tuple(
        name
        for row, name in enumerate(standing.situation.present)
        if enough[row] and own[row] < BEHIND and own[row] < usual - BEHIND_CLASS
    )


def _go_on(standing: Standing, rng: np.random.Generator) -> Choice | None:
    count = _new_now(standing)
    if count < 1 or not may_go_on(standing):
        return None
    new = next_symbols(standing, count)
    newest = standing.newest
    why = f"The newest sounds are held, {named(newest, [standing.share_of(s) for s in newest])}: go on with"
    return _exercise(standing, rng, "go on", in_reach(standing) + new, f"{why} {and_list(new)}.", new=new)


def may_go_on(standing: Standing) -> bool:
    """Whether the class can take something new."""
    return not not_held(standing) and _carried(standing)


def _carried(standing: Standing) -> bool:
    """Whether all that is known is carried, by the class and by its weakest quarter: more would bury it."""
    rows = standing.shares[standing.counted] if standing.counted.any() else standing.shares
    by_learner = np.sort(rows.mean(axis=1))
    weakest = float(by_learner[: max(1, len(by_learner) // 4)].mean())
    return float(by_learner.mean()) >= CARRIED and weakest >= WEAKEST_CARRIED


def _new_now(standing: Standing) -> int:
    """How many sounds may come now: as the limit and the time allow, and what is still unknown."""
    free = max(0, MOST_UNKNOWN - len(standing.unknown))
    return min(standing.situation.room_for_new, free, MOST_UNKNOWN)


def _everything(standing: Standing, rng: np.random.Generator) -> Choice | None:
    if not standing.known:
        return None
    signs = in_reach(standing)
    order = np.argsort(standing.of_class, kind="stable")[:3]
    weakest = "".join(standing.known[i] for i in order)
    shares = named(weakest, [standing.share_of(sign) for sign in weakest])
    untaught = standing.situation.untaught
    wait = ""
    if untaught and not standing.situation.new_limit:
        wait = " Tonight has had its new sounds."
    why = f"Everything in reach once more, with most of what is needed most; the weakest: {shares}.{wait}"
    return _exercise(standing, rng, "repeat", signs, why)


POLICY = (
    Rule("nothing is known", "the first sounds, and a text on them", "all", _nothing_known),
    Rule(
        "most of the class left the last run blank",
        "look at the sound, then a short easy text; nothing new",
        "who",
        _sound_is_lost,
    ),
    Rule(
        "nothing copied tonight: after a break, at a faster speed, by newcomers, or what is left is unsure",
        "a text that asks after all that is known; nothing new",
        "who has copied nothing yet",
        _ask_first,
    ),
    Rule(
        "somebody here never met some known sounds",
        "those few among firm ones, each named",
        "who, and which",
        _never_met,
    ),
    Rule(
        "the newest sounds are not held", "these among what is known; nothing new", "which", _newest_not_held
    ),
    Rule(
        "one sound stays behind the others for long",
        "it among a few firm ones, named; beside its likeness; met again, slower; almost alone: by turns",
        "which",
        _stuck,
    ),
    Rule(
        "the class really mixes two sounds up",
        "the two side by side; when that did not help twice, each named",
        "which",
        _pair,
    ),
    Rule(
        "a learner is far behind a class that copies well",
        "what that learner lacks, among firm ones, each named",
        "who, and which",
        _far_behind,
    ),
    Rule("the newest sounds are held, and tonight may have more", "new sounds", "all", _go_on),
    Rule("else", "everything in reach, by need", "all", _everything),
)
"""Asked in order; the first that has an answer decides."""


# ------------------------------------------------------------------ what can be chosen besides


def _new_all_the_same(standing: Standing, rng: np.random.Generator) -> Choice | None:
    situation = standing.situation
    count = min(NEW_AT_ONCE, situation.room_for_new, len(situation.untaught))
    if count < 1:
        return None
    new = next_symbols(standing, count)
    weak = not_held(standing)
    why = f"Go on with {and_list(new)}" + (
        f" all the same, though {and_list(weak)} {'is' if len(weak) == 1 else 'are'} not held yet."
        if weak
        else "."
    )
    return _exercise(standing, rng, "go on", in_reach(standing) + new, why, new=new)


def _easier(standing: Standing, rng: np.random.Generator) -> Choice | None:
    kept = max(4, len(standing.known) // 2)
    if kept >= len(standing.known):
        return None
    best = firm_company(standing, "", kept)
    why = f"Back to the {kept} sounds that the class knows best, {and_list(best)}, to build up again."
    return _exercise(standing, rng, "go back", best, why)


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
    return said_of


def _last_was_made_for_some(standing: Standing) -> bool:
    """Whether tonight's last run was one of few sounds or with names: then the others have their turn."""
    return bool(standing.tonight) and _was_made_for_some(standing.tonight[-1])


def _was_made_for_some(run: PastRun) -> bool:
    return run.kind == "named" or len(run.in_play) <= FEW_KEYS
