"""Work told with the wood: what went into a heap before it was sold counts on the days it was sold.

Each cord of a heap carries the same share of the hours and receipts put into it; what is not sold yet waits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import from_cents, share_out, to_cents
from inventory.core.sums import exact_sum
from routing.earned.worth import Earned


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """Hours and dollars put into wood."""

    hours: Fraction
    cash: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Heap:
    """Wood that belongs together: lots that came of one another, or were put onto one another.

    Units
        sold: cords by day; left: cords on hand or burned at home, which nobody paid for.
    """

    put: Put
    sold: Mapping[date, Fraction]
    left: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A heap's work by the day its wood was sold, and what waits in the rest. Adds up to what was put in."""

    by_day: Mapping[date, Put]
    waiting: Put


def carry(heap: Heap) -> Carried:
    """Share a heap's work out by the cord.

    Errors
        NothingToShareBy: the heap never held any wood.
    """
    days = sorted(heap.sold)
    cords = [*(heap.sold[day] for day in days), heap.left]
    whole = sum(cords, Fraction(0))
    cents = share_out(to_cents(heap.put.cash), cords)
    puts = [
        Put(hours=heap.put.hours * size / whole, cash=from_cents(cash))
        for size, cash in zip(cords, cents, strict=True)
    ]
    return Carried(by_day=dict(zip(days, puts[:-1], strict=True)), waiting=puts[-1])


def by_the_cord(months: Sequence[Earned]) -> tuple[Earned, ...]:
    """Months known by their totals alone, their yard hours and receipts told with the cords they sold: each
    cord took what a cord of all these months took. The hours of the road stay where they were."""
    cords = exact_sum(month.cords for month in months)
    if not cords:
        return tuple(months)
    each = exact_sum(month.yard_hours for month in months) / cords
    spent = sum((month.cash_out for month in months), Decimal(0))
    cash = share_out(to_cents(spent), [month.cords for month in months])
    return tuple(
        replace(month, yard_hours=each * month.cords, cash_out=from_cents(cents))
        for month, cents in zip(months, cash, strict=True)
    )
