"""Records of several classes, continued where a history goes on and made anew where it differs.

A request carries its whole history, so nothing is lost with this memory; it only saves time.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Sequence

from copyroom.core.advice.record import Exercise, Record

MOST_CLASSES = 64
"""The class asked for longest ago is forgotten beyond so many."""


class Histories:
    """Keeps a record for each class."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, tuple[list[Exercise], Record]] = OrderedDict()

    def record(self, class_id: Hashable, exercises: Sequence[Exercise]) -> Record:
        """The record of exactly these exercises, oldest first. Do not change it.

        Continues the kept one if its exercises are the beginning of these; else starts anew.
        Raises ValueError for an exercise that cannot be; the class is then forgotten.
        """
        done, record = self._kept.pop(class_id, ([], Record()))
        if len(done) > len(exercises) or any(a != b for a, b in zip(done, exercises, strict=False)):
            done, record = [], Record()
        record.extend(exercises[len(done) :])
        self._kept[class_id] = (list(exercises), record)
        if len(self._kept) > MOST_CLASSES:
            self._kept.popitem(last=False)
        return record
