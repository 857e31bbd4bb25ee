"""Low, likely and high: every figure that is not known for sure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Band[T]:
    """Low, likely and high of anything."""

    low: T
    likely: T
    high: T
