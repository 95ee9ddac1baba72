"""Long work in slices: each yield of a generator gives others their turn; its value is the result."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
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


def at_once(in_slices: Callable[P, Slices[T]]) -> Callable[P, T]:
    """The same work for who has nobody to give a turn to."""

    def whole(*args: P.args, **kwargs: P.kwargs) -> T:
        return finish(in_slices(*args, **kwargs))

    return whole
