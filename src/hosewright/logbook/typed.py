"""Dataclasses made of stored JSON values without pydantic: each value is held against the type its field has.

A value of another type would be met far from here, where nobody expects it.
"""

from __future__ import annotations

from functools import cache
from types import UnionType
from typing import Any, Literal, NamedTuple, TypeVar, Union, get_args, get_origin, get_type_hints

Made = TypeVar("Made")


class _May(NamedTuple):
    """What a field may hold: values of these types, these values, and in a tuple elements of these types."""

    types: frozenset[type]
    values: frozenset[object]
    elements: frozenset[type]


def made(cls: type[Made], said: dict[str, Any]) -> Made:
    """``cls`` with the values ``said`` of its fields. Raises TypeError for a value no such field can have."""
    may = _fields(cls)  # type: ignore[arg-type]  # every class is hashable
    for name, value in said.items():
        allowed = may.get(name)
        if allowed is None or (type(value) not in allowed.types and value not in allowed.values):
            raise TypeError(f"{name} of {cls.__name__} cannot be {value!r}")
        if type(value) is tuple and not all(type(one) in allowed.elements for one in value):
            raise TypeError(f"{name} of {cls.__name__} cannot hold all of {value!r}")
    return cls(**said)


def has(told: object, **needed: type | UnionType) -> bool:
    """Whether a stored object has all these keys, with values of these types."""
    return isinstance(told, dict) and all(
        name in told and isinstance(told[name], kind) for name, kind in needed.items()
    )


@cache
def _fields(cls: type) -> dict[str, _May]:
    return {name: _may(hint) for name, hint in get_type_hints(cls).items()}


def _may(hint: Any) -> _May:
    types: set[type] = set()
    values: set[object] = set()
    elements: set[type] = set()
    for part in get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,):
        if get_origin(part) is Literal:
            values.update(get_args(part))
        elif get_origin(part) is tuple:
            types.add(tuple)
            elements |= _may(get_args(part)[0]).types
        else:
            types |= {float, int} if part is float else {part}
    return _May(frozenset(types), frozenset(values), frozenset(elements))
