"""What the class's copies say, with how sure it is."""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.core.alphabet import BLANK, SYMBOLS
from copyroom.core.evidence.intervals import Interval
from copyroom.core.evidence.mix_ups import Pair
from copyroom.core.tally import BLANK_COLUMN, MISSED_COLUMN, NOTHING_SENT, Counts
from copyroom.room.contract import Audience, Message, Part, message
from copyroom.room.figures import Figures, Findings
from copyroom.room.findings import SCOPES

Cell = list[str | int]
RecallRow = list[str | int | float | bool]


class PairOut(Part, frozen=True, kw_only=True):
    """A pair worth teaching: `sent` heard as `written`, n of so many sendings, and the other way round."""

    sent: str
    written: str
    n: int
    sendings: int
    learners: int
    back: int
    back_sendings: int
    lost: float


class EvidenceOut(Part, frozen=True, kw_only=True):
    """recall: [sign, right, sendings, low, high, enough] per symbol; `enough` False: too few copies.

    unseen: sounds of which too little was copied to say that they are mixed up with nothing.
    """

    recall: list[list[str | int | float | bool]]
    pairs: list[PairOut]
    enough: bool
    unseen: str


@message(Audience.CONSOLE, name="findings")
class FindingsOut(Message, frozen=True, kw_only=True):
    """What the tables say, with how sure it is; told when copies became final."""

    push: int
    run: EvidenceOut
    evening: EvidenceOut
    course: EvidenceOut


def findings_view(figures: Figures) -> FindingsOut:
    """The evidence of the last run, of the evening and of the course."""
    evidence = {scope: _evidence_view(figures.findings.get(scope)) for scope in SCOPES}
    return FindingsOut(push=figures.room.run.id if figures.room.run else 0, **evidence)


def _evidence_view(found: Findings | None) -> EvidenceOut:
    if found is None:
        return EvidenceOut(recall=[], pairs=[], enough=False, unseen="")
    return EvidenceOut(
        recall=recall_view(found.recall),
        pairs=pairs_view(found),
        enough=found.pairs.enough,
        unseen=found.pairs.unseen,
    )


def recall_view(intervals: Sequence[Interval]) -> list[RecallRow]:
    """[sign, right, sendings, low, high, enough] for each symbol that was sent."""
    return [
        [symbol.sign, i.k, i.n, round(i.low, 4), round(i.high, 4), i.enough]
        for symbol, i in zip(SYMBOLS, intervals, strict=True)
        if i.n
    ]


def pairs_view(found: Findings) -> list[PairOut]:
    """The pairs worth teaching, strongest first."""
    return [_pair_view(pair) for pair in found.pairs.pairs]


def _pair_view(pair: Pair) -> PairOut:
    return PairOut(
        sent=pair.sent,
        written=pair.written,
        n=pair.n,
        sendings=pair.sendings,
        learners=pair.learners,
        back=pair.back,
        back_sendings=pair.back_sendings,
        lost=round(pair.lost, 4),
    )


def cells_of(counts: Counts) -> list[Cell]:
    """The cells that are not empty: [sent, written, count]; sent "" = an extra mark, written "" = missed."""
    row = {NOTHING_SENT: ""}
    column = {BLANK_COLUMN: BLANK, MISSED_COLUMN: ""}
    return [
        [row.get(i, _sign(i)), column.get(j, _sign(j)), int(counts[i, j])]
        for i, j in zip(*counts.nonzero(), strict=True)
    ]


def _sign(i: int) -> str:
    return SYMBOLS[i].sign if i < len(SYMBOLS) else ""
