"""The season ahead in pictures: money, hours, wood as it lies and wood sold, each four weeks."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from inventory.core.charts.columns import Column, columns_chart
from inventory.core.charts.figure import Chart
from inventory.core.charts.stacks import Stack, stacks_chart
from inventory.core.dates import month_day
from inventory.core.local import in_local_units
from inventory.core.units import cord_units

MONTH_WEEKS = 4
STEPS = {
    "woods": ("fell", "haul", "slash"), "yard": ("split", "stack", "tend", "move"),
    "driving": ("deliver_near", "deliver_far"),
}  # fmt: skip


def season_charts(periods: Sequence[Mapping[str, Any]]) -> tuple[Chart, ...]:
    """Money first, then hours, wood and sales; periods as an answer keeps them."""
    months, each = list(_months(periods)), float(cord_units())
    hours = sum(row["all_hours"] for row in periods)
    money = columns_chart(
        [Column(label=label, value=Decimal(sum(row["net"] for row in rows))) for label, rows in months],
        key="season-ahead",
        title=in_local_units("Money in less money out, each four weeks ($)"),
        finding="The likely course, mean of the ways it may turn out.",
    )
    work = stacks_chart(
        [
            Stack(label=label, parts=tuple(_hours(rows, steps) for steps in STEPS.values()))
            for label, rows in months
        ],
        names=tuple(STEPS),
        key="season-hours",
        title="Hours of work, each four weeks",
        finding=f"{hours:.0f} hours in all.",
    )
    wood = stacks_chart(
        [
            Stack(
                label=label,
                parts=tuple(
                    each * amount
                    for amount in (
                        rows[-1]["seasoned"],
                        rows[-1]["drying"],
                        rows[-1]["rounds"] + rows[-1]["green"],
                    )
                ),
            )
            for label, rows in months
        ],
        names=("dry", "drying", "rounds and green"),
        key="season-wood",
        title=in_local_units("Wood in the yards at the end of each four weeks, cords"),
    )
    sold = stacks_chart(
        [
            Stack(
                label=label,
                parts=(each * _sold(rows, "near"), each * _sold(rows, "far")),
            )
            for label, rows in months
        ],
        names=("near", "far"),
        key="season-sales",
        title=in_local_units("Wood sold, each four weeks, cords"),
    )
    return money, work, wood, sold


def _months(periods: Sequence[Mapping[str, Any]]) -> Iterator[tuple[str, list[Mapping[str, Any]]]]:
    """The single weeks put together to four."""
    rows: list[Mapping[str, Any]] = []
    for row in periods:
        rows.append(row)
        if sum(one["weeks"] for one in rows) >= MONTH_WEEKS:
            yield month_day(date.fromisoformat(rows[0]["from"])), rows
            rows = []


def _hours(rows: Sequence[Mapping[str, Any]], steps: tuple[str, ...]) -> float:
    return sum(row["hours"].get(step, 0.0) for row in rows for step in steps)


def _sold(rows: Sequence[Mapping[str, Any]], market: str) -> float:
    return sum(row["sold"].get(market, 0.0) for row in rows)
