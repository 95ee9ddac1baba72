"""Hypothesis strategies out of declarations: any value that a field's limits allow."""

from __future__ import annotations

import dataclasses
import types
import typing
from typing import Any

import msgspec
from hypothesis import strategies as st


def any_of(hint: Any, meta: msgspec.Meta | None = None) -> st.SearchStrategy[Any]:
    """Any value of this type, within the limits of its annotation."""
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    limits = meta or msgspec.Meta()
    if origin is typing.Annotated:
        return any_of(arguments[0], next((m for m in arguments[1:] if isinstance(m, msgspec.Meta)), meta))
    if origin is typing.Literal:
        return st.sampled_from(arguments)
    if origin in (typing.Union, types.UnionType):
        return st.one_of(*map(any_of, arguments))
    if origin is tuple and arguments[-1] is Ellipsis:
        return st.lists(any_of(arguments[0]), min_size=limits.min_length or 0, max_size=4).map(tuple)
    if hint is Any:
        return st.none() | st.booleans() | st.integers(0, 99) | st.text(max_size=9)
    if origin is dict:
        return st.dictionaries(any_of(arguments[0]), any_of(arguments[1]), max_size=3)
    if origin is tuple:
        return st.tuples(*map(any_of, arguments))
    if isinstance(hint, type) and (dataclasses.is_dataclass(hint) or issubclass(hint, msgspec.Struct)):
        hints = typing.get_type_hints(hint, include_extras=True)
        return st.builds(hint, **{name: any_of(inner) for name, inner in hints.items()})
    return _plain(hint, limits)


def _plain(hint: Any, limits: msgspec.Meta) -> st.SearchStrategy[Any]:
    if hint is int:
        below = None if limits.lt is None else int(limits.lt) - 1
        return st.integers(limits.ge, limits.le if limits.le is not None else below)
    if hint is float:
        return st.floats(limits.ge, limits.le, allow_nan=False, allow_infinity=False)
    if hint is str:
        return st.text(min_size=limits.min_length or 0, max_size=min(limits.max_length or 30, 30))
    return st.from_type(hint)
