"""What each learner knows, by sound, day and speed: the one model under table, pace, plan, texts and review.

A learner l knows a sound s at a moment with the chance sigma(eta), and writes it right with

    p = g + (1 - g) sigma(eta)        eta = x beta + z a_l + b_s + d_ls

- x, what went before (`practice`): how often l has heard s, how long ago, whether l ever met it, how fast it
  is sent. beta, how much each of these tells, is the class's own, and normal around what is usual.
- a_l, what is l's own: level, and how fast l learns and forgets; b_s, what is the sound's own; d_ls, what l
  and s have between them. All three are normal around nothing, and how far they spread is found from the
  class itself: who has few copies is believed to be like the others, as far as the others are alike.
- g, what l gets right by guessing: 1 / (keys in play), as far as l writes something rather than a blank.

`posterior` finds the most plausible of all these together, and how sure they are (a normal distribution
around that point, Laplace's method). Answers of one evening that vary more than chance allows count for less
(quasi-likelihood: Wedderburn, Biometrika 61:439, 1974). Nothing else in the program estimates recall.
"""

from copyroom.core.knowledge.belief import Belief
from copyroom.core.knowledge.knowledge import Knowledge, Speeds

__all__ = ["Belief", "Knowledge", "Speeds"]
