"""Frozen values read from rows."""

from dataclasses import fields
from functools import cache
from typing import Any


def columns_of(shape: type, row: object) -> dict[str, Any]:
    """What a row, or a value of a wider shape, holds in each field of a dataclass."""
    return {name: getattr(row, name) for name in _names(shape)}


def from_row[T](shape: type[T], row: object, /, **more: Any) -> T:
    """A dataclass from a row: the fields in `more` as given, every other one from the row's own column.

    >>> from dataclasses import dataclass
    >>> from types import SimpleNamespace
    >>> Yard = dataclass(type("Yard", (), {"__annotations__": {"name": str, "cords": int}}))
    >>> from_row(Yard, SimpleNamespace(name="Creek", note="mud"), cords=3).name
    'Creek'
    """
    names = (name for name in _names(shape) if name not in more)  # type: ignore[arg-type]
    return shape(**{name: getattr(row, name) for name in names}, **more)


@cache
def _names(shape: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(shape))
