"""Keying: reading what a hand sends, and saying how it sends.

A hand that learns to send keeps no speed, holds dahs for two dits or four, and leaves gaps that are now
long, now short. No length by itself says what it is: at 25 % unsteadiness one mark in thirty lies on the
wrong side of the best bound between dit and dah, even for who knows where that bound is. What helps is that
only some sequences are symbols, and that the hand that sent the last letter sends the next.

**The model.** The logarithm of each length is normal: about the dit's at this place in the text, plus what
the kind of mark or gap adds (dah, gap inside a letter, between letters, between words). The dit's goes
straight from knot to knot, one in 24 marks. Letters and words have gaps of their own, since characters may
be sent faster than they are spaced. One word space in a hundred is a pause of any length. The marks are cut
into symbols, all of one kind (letters, figures, punctuation, signals) equally likely, the kinds as the text
has them.

**The machine.** `lattice` sums over all ways of cutting the marks into symbols, forwards and backwards.
Since a symbol's score depends on its own marks and gaps alone, the sum runs over (first mark, length),
which needs no tree of prefixes and carries many hypotheses about the hand along at once. `fit` learns the
hand from these sums, by expectation and maximisation, from every speed that the marks allow and three
spacings; most starts are dropped after four rounds, and a long text is begun with its first 200 marks.
`reading` weighs the hypotheses that remain, and cuts the marks so that as many symbols as possible are
expected to be right. `fist` takes the measure of the hand. All is relative to the text's own speed; bounds
stand only where it is no code any more (a dah below 1.8 dits, a gap inside letters above 2).

**What cannot be known.** Three dits with gaps of a dit are S, or TTT at a third of the speed: machine-sent
texts of one repeated symbol are read as what is more usual. A text of single letters as words has only one
kind of gap beside the inner one.

**Measured** with simulated hands nobody tuned it to (`scripts/dev.py bench keying`, 200 texts a row): no
error on machine-sent edges; with dahs of 2.5 to 4 dits and a drift of a fifth, 0.1 % of symbols wrong at 15 %
unsteadiness, 5.0 % at 25 % (6.3 on letters alone, which are shorter and so nearer to each other).

**Dropped**, 100 texts each: the most probable cut instead of the expected number of right symbols (6.9 %
instead of 6.5 on letters at 25 %); learning how often each symbol is used, not only each kind (5.2 % instead
of 4.7 on all symbols, though 3.8 instead of 8.0 when eight are in play: name those in `symbols` instead).
Knots twice or half as dense, and steps of 3 %, made no difference beyond chance.
"""

from __future__ import annotations

from copyroom.core.keying.fist import Fist
from copyroom.core.keying.hearing import hear, hear_in_slices
from copyroom.core.keying.keyed import Keyed, keyed
from copyroom.core.keying.reading import Reading, read, read_in_slices

__all__ = ["Fist", "Keyed", "Reading", "hear", "hear_in_slices", "keyed", "read", "read_in_slices"]
