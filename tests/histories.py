"""Records out of lists of exercises, as the tests of advice, plan and review write them down."""

from __future__ import annotations

from collections.abc import Iterable

from copyroom.core.advice.record import Exercise, Record


def record_of(exercises: Iterable[Exercise]) -> Record:
    """The record of a whole history, oldest exercise first."""
    record = Record()
    record.extend(exercises)
    return record
