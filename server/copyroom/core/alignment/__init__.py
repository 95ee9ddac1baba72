"""Alignment: which sent symbol each written one answers.

A learner who loses one character and goes on must not have the rest counted wrong. Position by position,
a copy with 30 % errors gets one mark in ten attributed right. Edit distance does better, and goes wrong
just where it matters: on the substitutions of which the confusion table is made. It does not know that 5
sounds like H, and it does not know *when* the mark was written. A mark comes a second or so after its
sound, and that settles most of what the signs leave open.

**The model.** A copy is thought to come about like this (a pair hidden Markov model: Durbin, Eddy, Krogh
and Mitchison, Biological Sequence Analysis, 1998, chapter 4, with time added). The learner goes through
the sent symbols x_1 ... x_n in order. Between two marks some may be passed over in silence. Then one is
answered: a mark y is written, a certain while after the sound. Now and then a mark answers nothing.

====================  ======================================================================  ===========
part                  formula                                                                 module
====================  ======================================================================  ===========
g symbols passed      S(0) = 1 - w; S(g) = w ((1 - l)(1 - c) c^(g-1) + l/n)                   `gaps`
the mark              P(x|x) = r; P(blank|x) = b; else (1 - r - b) (.8 R_xy + .2/(K - 1))     `marks`
the lag               ln(lag + 0.3 s) normal (mu, s), AR(1) from mark to mark with rho; with  `lag`
                      probability p one behind: measured from the next sound's end
an extra mark         probability e; half the time the last mark again, mostly at once        `marks`
====================  ======================================================================  ===========

R is the likeness of sounds (core/similarity), K the number of symbols in play. All terms of a timed copy
are densities per second, so that an extra mark and an answer can be weighed against each other.

**The orders.** Without memory each lag stands for itself (zero order). With memory (first order) the
state is which symbol was answered *and how late*, since who is slow now is slow next, and who is one
behind stays so for a while. `scoring` fits both to a seat that is not known yet, and keeps what makes
the copy more likely.

**The learner.** mu, s, rho, p, r, b, w, c, e differ from one learner to the next, and with none of them
known the model is already good. They are learned from the chosen alignment (`fit`), held back by what
the seat's earlier runs taught (`Habits`), and handed on to its next.

**The machines.** `timed` sums over all alignments of a group of copies at once, forwards and backwards,
looking only at the few symbols whose sound a mark can mean (`slots`). `sheet` does the same without
times. `decode` takes the most probable symbol for each mark. Sums beat the single best way a little on
the marks, and give the confidence. `live` follows one seat key by key, with the best way only.

**Ties.** Without times, equal signs in a row and a blank beside a silence are exact ties. The rule: of
equally probable symbols the earlier is answered. A double press: the first mark is the answer, the
second is extra.

**Measured** on simulated learners nobody tuned it to (`scripts/dev.py bench align`): .995 of the marks of
timed copies find their symbol, .991 on sheets; at 50 % errors .989, on five similar symbols .988, at 20 words
a minute .995. In a large class falling behind is not remembered from mark to mark and lags beyond three
standard deviations are not looked at: half the work, and .001 fewer marks right.
"""

from __future__ import annotations

from collections.abc import Sequence

from copyroom.core.alignment.copies import Aligned, Alignment, Copy, CopyRefused, Habits, without_spaces
from copyroom.core.alignment.live import LiveAlignment
from copyroom.core.alignment.scoring import Scoring
from copyroom.core.slices import Slices, at_once

__all__ = [
    "Aligned",
    "Alignment",
    "Copy",
    "CopyRefused",
    "Habits",
    "LiveAlignment",
    "align",
    "align_class",
    "align_class_in_slices",
    "align_one",
]

FEW_MARKS = 10_000
"""A class that wrote no more than this is aligned as thoroughly as a single copy."""


def align_one(sent: str, end_s: Sequence[float] | None, copy: Copy) -> Aligned:
    """Align one copy as well as is possible, however long it takes (some 50 ms), and learn from it.

    sent : signs, without spaces; end_s : (n,), seconds, ascending, when each sound ended, or None.
    Raises ValueError when lengths or signs do not fit.
    """
    scoring = Scoring(sent, end_s, [copy], thorough=True)
    for _ in scoring.run():
        pass
    (aligned,) = scoring.aligned
    assert aligned is not None
    return aligned


def align(
    sent: str,
    end_s: Sequence[float] | None,
    written: str,
    at_s: Sequence[float | None] | None,
    habits: Habits | None = None,
) -> Alignment:
    """Align one copy with what was sent.

    Parameters
    ----------
    sent : signs, without spaces.
    end_s : (n,), seconds, ascending: when each sound ended; None when there are no times.
    written : signs and blanks; word spaces count for nothing, and their places have no index.
    at_s : per mark of `written`, seconds on the clock of `end_s`; None for a mark edited afterwards. None
        instead of a sequence: a sheet.
    habits : what earlier runs of the same learner taught.

    Raises
    ------
    CopyRefused, with a sentence, when most times lie outside the push; ValueError when lengths or signs do
    not fit.
    """
    aligned = align_one(sent, end_s, Copy(*without_spaces(written, at_s), habits))
    if aligned.refused:
        raise CopyRefused(aligned.refused)
    return aligned.alignment


def align_class_in_slices(
    sent: str, end_s: Sequence[float] | None, copies: Sequence[Copy]
) -> Slices[list[Aligned]]:
    """Align a whole class's copies of one push, in the copies' order, yielding after each few milliseconds.

    A copy whose times cannot be of the push is aligned by its order alone, and says so in `refused`.

    Raises ValueError when lengths or signs do not fit.
    """
    few = sum(len(copy.written) for copy in copies) <= FEW_MARKS
    scoring = Scoring(sent, end_s, copies, thorough=few)
    yield from scoring.run()
    return [aligned for aligned in scoring.aligned if aligned is not None]


align_class = at_once(align_class_in_slices)
