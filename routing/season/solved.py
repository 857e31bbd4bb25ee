"""What one scenario's columns came out with, once the program is solved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from routing.season.problem import Step

if TYPE_CHECKING:
    from routing.season.block import Block, HourRow, Place


def step_hours(block: Block, step: Step, period: int) -> float:
    """Hours of a step in a period; in the first they are shared by all scenarios."""
    if step == Step.TEND:
        return sum(column.solution_value() for column in block.p.tend[period : period + 1])
    if period == 0:
        return sum(column.solution_value() for (s, _), column in block.p.now.items() if s == step)
    return sum(
        column.solution_value() * hours
        for s, terms in block.work[period]
        if s == step
        for column, hours in terms
    )


def days_used(block: Block, period: int) -> float:
    """Days rigs go out."""
    return sum(column.solution_value() * days for column, days in block.days[period])


def hour_dual(rows: Iterable[HourRow], person: int) -> float:
    """What the first bit of one more hour of a person brings."""
    return sum(row.dual_value() * limit.shares[person] for row, limit in rows)


def step_dual(rows: Iterable[HourRow], step: Step) -> float:
    """What an hour of a step takes from all else."""
    return sum(row.dual_value() for row, limit in rows if step in limit.steps)


def on_hand(block: Block, state: str, period: int) -> float:
    """Cords of one state in all places."""
    stock: Mapping[tuple[Place, int], Any] = block.stock[state]
    return sum(stock[place, period].solution_value() for place in block.places)


def there(block: Block, yard: str, period: int) -> float:
    """Cords of all wood in a yard."""
    stocks = block.stock.values()
    return sum(s[p, period].solution_value() for s in stocks for p in block.places if p[1] == yard)


def sold_to(block: Block, market: str, period: int) -> float:
    """Cords a market takes."""
    return sum(column.solution_value() for column, _ in block.sold[market, period])
