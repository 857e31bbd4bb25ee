"""What a cord took to make: hours by step at a wage, and cash by the cord."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core import InventoryError
from inventory.core.money import dollars

WOOD_STEPS = ("rounds", "haul", "split", "heap")  # steps that make wood; slash is the ground's own work


class NoWoodMade(InventoryError):
    """Cost per cord was asked of no cords."""

    says = "Cost per cord needs cords: measure the lot first."


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """Hours of one step."""

    step: str
    hours: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class CordCost:
    """One cord's making.

    Units
        cash: dollars; hours; by_step: hours by step.
    """

    cash: Decimal
    hours: Fraction
    by_step: tuple[tuple[str, Fraction], ...]


def cord_cost(*, worked: Iterable[Worked], cash: Decimal, cords: Fraction) -> CordCost:
    """Hours and cash of making some cords, by the cord; slash hours are left out.

    Errors
        NoWoodMade: there are no cords to divide by.
    """
    if cords <= 0:
        raise NoWoodMade
    sums: dict[str, Fraction] = {}
    for entry in worked:
        if entry.step in WOOD_STEPS:
            sums[entry.step] = sums.get(entry.step, Fraction(0)) + entry.hours
    return CordCost(
        cash=dollars(Fraction(cash) / cords),
        hours=sum(sums.values(), Fraction(0)) / cords,
        by_step=tuple((step, sums[step] / cords) for step in WOOD_STEPS if step in sums),
    )
