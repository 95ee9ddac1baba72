"""Long work in slices: each yield of a generator gives others their turn; its value is the result."""

from __future__ import annotations

from collections.abc import Generator
from typing import TypeVar

T = TypeVar("T")
Slices = Generator[None, None, T]


def finish(work: Slices[T]) -> T:
    """Do all of it now; what it comes to."""
    while True:
        try:
            next(work)
        except StopIteration as done:
            result: T = done.value
            return result
