"""Copy checks: what a published rule asks, a fresh text that meets it, marking by the rule's counting.

A **form** is data: how characters are counted, how long the text is and how fast, which symbols must occur,
what passes, each beside its source and year. The shipped ones (`shipped`) can be edited; a changed form says
so. A **text** is drawn to meet the form exactly, and shares no long stretch with one that the candidate has
heard. **Marking** counts as the form does, lists each decision, and takes an examiner's contrary decision
beside its own: both are kept.

Two speeds are never mixed up. The *keying* speed sets the length of a dot, 1.2 s / wpm with the standard word
PARIS. The *counted* speed is counted characters by five a minute; random groups and figures take longer than
PARIS, so at the same wpm they are keyed faster (`pacing` says how fast).

Nothing here grants a licence or a badge: the result is what was copied, held against a rule.
"""

from __future__ import annotations

from copyroom.core.checks.counting import Counting, longest_run
from copyroom.core.checks.drawing import Drawn, draw
from copyroom.core.checks.form import Form, Passing, faults_of
from copyroom.core.checks.marking import Decision, Marked, Overruled, mark
from copyroom.core.checks.pacing import Pace, pace_of
from copyroom.core.checks.sending import as_meant
from copyroom.core.checks.shipped import FORMS

__all__ = [
    "FORMS",
    "Counting",
    "Decision",
    "Drawn",
    "Form",
    "Marked",
    "Overruled",
    "Pace",
    "Passing",
    "as_meant",
    "draw",
    "faults_of",
    "longest_run",
    "mark",
    "pace_of",
]
