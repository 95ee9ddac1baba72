"""Records out of lists of exercises, as the tests of advice, plan and review write them down."""

from __future__ import annotations

from collections.abc import Iterable

from copyroom.core.advice.record import Exercise, Record

WORDS = tuple(
    "THE OF AND TO IN IS IT HE WAS FOR ON ARE AS WITH HIS AT BE THIS FROM HAVE OR ONE HAD BY BUT NOT WHAT"
    " ALL WERE WE WHEN YOUR CAN SAID USE AN EACH SHE DO HOW THEIR IF WILL UP OUT MANY THEN THEM SO SOME HER"
    " LIKE HIM INTO TIME HAS LOOK TWO MORE GO SEE NO WAY MY THAN BEEN CALL WHO ITS NOW FIND LONG DOWN DAY"
    " DID GET COME MADE MAY PART TEA TEN EAT SET SEA RAIN TREE NAME READ HOME TENT CAMP FIRE NEWS RADIO"
    " STATION".split()
)
"""A few short words for evenings in tests: of the list that is shipped, not all of which a test needs."""


def record_of(exercises: Iterable[Exercise]) -> Record:
    """The record of a whole history, oldest exercise first."""
    record = Record()
    record.extend(exercises)
    return record
