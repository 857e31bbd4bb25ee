"""A figure from the world: its value, its range, its unit and where it was read."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import exp, hypot, log, prod
from typing import Any

from inventory.core import InventoryError
from inventory.core.sentences import FramedRefusal

NORMAL_80 = 1.2816  # two-sided 80 percent point of the normal distribution


class BadFigure(FramedRefusal, InventoryError):
    """A table of figures is not as it must be: no unit, no source, or an upside-down range."""

    frame = "The figure {where} {problem}. Mend the .toml file it stands in."
    of = ("where", "problem")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One value with its range, unit and source. Without a range, low and high are the value."""

    value: float
    low: float
    high: float
    unit: str
    source: str

    @classmethod
    def read(cls, table: Mapping[str, Any], where: str) -> "Figure":
        """A figure from its table in a .toml file.

        Errors
            BadFigure: no unit or source, or low, value and high out of order.
        """
        if "value" not in table:
            raise BadFigure(where, "has no value")
        value = float(table["value"])
        low, high = float(table.get("low", value)), float(table.get("high", value))
        if not table.get("unit") or not table.get("source"):
            raise BadFigure(where, "has no unit or no source")
        if not low <= value <= high:
            raise BadFigure(
                where, "runs {low}, {value}, {high}: put the low first", low=low, value=value, high=high
            )
        return cls(value=value, low=low, high=high, unit=table["unit"], source=table["source"])


def range_of(*figures: Figure) -> tuple[float, float]:
    """The ends of a product of figures: they go astray apart, so their ranges add as squares do."""
    likely = prod(figure.value for figure in figures)
    down = hypot(*(log(figure.low / figure.value) for figure in figures))
    up = hypot(*(log(figure.high / figure.value) for figure in figures))
    return likely * exp(-down), likely * exp(up)


@cache
def table_of(name: str, *, package: str = "inventory.core") -> Mapping[str, Any]:
    """A .toml table shipped beside the wood's rules, or in another package."""
    return tomllib.loads(files(package).joinpath(name).read_text("utf-8"))


@cache
def rule(name: str) -> Figure:
    """A rule of the trade or a physical constant, from rules.toml."""
    return Figure.read(table_of("rules.toml")[name], f"rules.{name}")
