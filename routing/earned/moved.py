"""Why a margin moved: what price, wood, road, fees and time each did to what was left after wages."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core.charts.bars import Bar, bars_chart
from inventory.core.charts.figure import Chart
from inventory.core.charts.marks import money
from inventory.core.money import dollars
from routing.earned.margins import Margin


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One cause. dollars: below zero when it took from what was left."""

    cause: str
    dollars: Decimal


def why_moved(
    before: Margin, after: Margin, *, target_wage: Decimal, a_cord: bool = False
) -> tuple[Moved, ...]:
    """What each cause added to what was left after wages; together they are the whole difference.

    a_cord: by the cord, for months and seasons of unlike size; nothing where either has no wood.
    """
    if a_cord and not (before.cords and after.cords):
        return ()
    causes = (
        ("price", [margin.price for margin in (before, after)]),
        ("wood", [-margin.wood_cash for margin in (before, after)]),
        ("road", [-margin.road for margin in (before, after)]),
        ("fees", [-margin.fees for margin in (before, after)]),
        ("time", [-margin.wages(target_wage) for margin in (before, after)]),
    )
    per = (before.cords, after.cords) if a_cord else (Fraction(1), Fraction(1))
    moved = [
        Moved(cause=cause, dollars=dollars(Fraction(now) / per[1] - Fraction(was) / per[0]))
        for cause, (was, now) in causes
    ]
    return tuple(row for row in moved if row.dollars or row.cause != "fees")


def moved_chart(moved: Sequence[Moved], *, key: str, title: str, of: str = "the load") -> Chart:
    """A bar for each cause, and the strongest in words."""
    whole = sum((row.dollars for row in moved), Decimal(0))
    most = max(moved, key=lambda row: abs(row.dollars))
    if not most.dollars:
        finding = "Nothing moved."
    else:
        gained = "gained" if most.dollars > 0 else "lost"
        more = "more" if whole >= 0 else "less"
        finding = f"{money(abs(whole))} {more} was left of {of}; "
        finding += f"{most.cause} {gained} most, {money(abs(most.dollars))}."
    return bars_chart(
        [Bar(label=row.cause, value=row.dollars) for row in moved], key=key, title=title, finding=finding
    )
