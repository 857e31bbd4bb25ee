"""What a cord took to make: hours by step at a wage, and cash by the cord."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core import InventoryError
from inventory.core.figures import rule
from inventory.core.money import dollars

WOOD_STEPS = ("rounds", "haul", "split", "heap")  # steps that make wood; slash is the ground's own work


class NoWoodMade(InventoryError):
    """Cost per cord was asked of no cords."""

    def __init__(self) -> None:
        super().__init__("Cost per cord needs cords: measure the lot first.")


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

    def at_wage(self, wage: Decimal) -> Decimal:
        """Dollars with the hours paid."""
        return dollars(Fraction(self.cash) + Fraction(wage) * self.hours)


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


def cash_by_use(
    lines: Mapping[str, tuple[Decimal, str]], *, cords: Fraction, miles: Fraction
) -> dict[str, Decimal]:
    """Expense lines (dollars, kind) as dollars by the cord, by the mile and by the year."""
    sums = {"cord": Decimal(0), "mile": Decimal(0), "year": Decimal(0)}
    for amount, kind in lines.values():
        sums[kind] += amount
    return {
        "cord": dollars(Fraction(sums["cord"]) / cords) if cords > 0 else Decimal("0.00"),
        "mile": dollars(Fraction(sums["mile"]) / miles) if miles > 0 else Decimal("0.00"),
        "year": dollars(sums["year"]),
    }


def wood_cost_per_cord(*, hours_per_cord: Fraction, cash_per_cord: Decimal, wage: Decimal | None) -> Decimal:
    """Dollars a cord, cash only (no wage) or with its hours paid. 5.45 h and 32.00 at 25.00 are 168.25.

    >>> wood_cost_per_cord(hours_per_cord=Fraction("5.45"), cash_per_cord=Decimal(32), wage=Decimal(25))
    Decimal('168.25')
    """
    return dollars(Fraction(cash_per_cord) + (Fraction(wage) * hours_per_cord if wage is not None else 0))


def productivity(*, worked: Iterable[Worked], cords: Fraction) -> tuple[tuple[str, Fraction], ...]:
    """Cords an hour by step that makes wood, in the order of the work; a step without hours is left out."""
    cost = cord_cost(worked=worked, cash=Decimal(0), cords=cords)
    return tuple((step, 1 / hours) for step, hours in cost.by_step if hours > 0)


def against_benchmark(hours_per_cord: Fraction) -> str:
    """How the hours stand against what others need, as a sentence."""
    usual = rule("benchmark_hours")
    hours = f"{float(hours_per_cord):.1f} hours a cord"
    others = f"others with little equipment take {usual.low:g} to {usual.high:g}"
    if float(hours_per_cord) < usual.low:
        return f"{hours}: quick, {others}."
    if float(hours_per_cord) > usual.high:
        return f"{hours}: slow, {others}."
    return f"{hours}: usual, {others}."
