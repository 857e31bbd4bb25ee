"""Where a season's money comes from: what is sold and paid, so that every sum can be followed down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from routing.season.problem import SEASONED, Step
from routing.season.solved import step_hours

if TYPE_CHECKING:
    from routing.season.block import Block
    from routing.season.model import Program


class What(StrEnum):
    """What money is for."""

    SALE = "sale"
    DRIVE = "drive"
    TRIP = "trip"  # the drive of a far load
    FELL = "fell"
    SHARE = "share"  # cost-share
    MOVE = "move"
    TREAT = "treat"  # a lot of split wood
    LEFT = "left"  # wood left over at the end, at its value
    HOURS = "hours"  # at what they earn elsewhere


class Part(NamedTuple):
    """One line of a ledger. name: the market, ground, lot or state; order: the promise a sale keeps."""

    what: What
    name: str = ""
    kind: str = ""
    dryness: str = ""
    order: str = ""


class Sum(NamedTuple):
    """amount: cords; acres of ground, trips, hours. dollars: below zero when paid."""

    amount: float
    dollars: float


type Ledger = dict[Part, Sum]


def total(ledger: Ledger) -> float:
    """Dollars of all lines."""
    return sum(line.dollars for line in ledger.values())


def added(ledgers: Iterable[Ledger], share: float = 1.0) -> Ledger:
    """Line by line, each ledger by its share."""
    sums: defaultdict[Part, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for ledger in ledgers:
        for part, line in ledger.items():
            sums[part][0] += line.amount * share
            sums[part][1] += line.dollars * share
    return {part: Sum(*pair) for part, pair in sums.items()}


def difference(ledger: Ledger, other: Ledger) -> Ledger:
    """What the first has more than the other."""
    return added((ledger, {part: Sum(-line.amount, -line.dollars) for part, line in other.items()}))


def of_period(block: Block, period: int) -> Ledger:
    """One scenario's money of a period; the lots are treated in the first."""
    program = block.p
    lines = [
        {part: Sum(value, value * dollars)}
        for column, dollars, part in block.money[period]
        if (value := column.solution_value())
    ]
    if period == 0:
        lines += [
            {Part(What.TREAT, lot.key): Sum(lot.cords, -taken * choice.cash)}
            for lot in program.season.lots
            for choice in lot.choices
            if choice.cash and (taken := program.choice[lot.key, choice.key].solution_value())
        ]
    return added(lines)


def of_block(block: Block) -> Ledger:
    """One scenario's money of the season, with what is left at its end."""
    periods = range(block.season.periods)
    return added([*(of_period(block, period) for period in periods), left_over(block)])


def left_over(block: Block) -> Ledger:
    """Wood that lies there at the end, at its value; what still dries counts as dry."""
    last, values = block.season.periods - 1, block.season.keep_value
    found = []
    for state, stock in block.stock.items():
        kept = SEASONED if state == "drying" else state
        for place in block.places:
            cords, worth = stock[place, last].solution_value(), values.get((place[0], kept), 0.0)
            if cords:
                found.append({Part(What.LEFT, kept, place[0]): Sum(cords, cords * worth)})
    return added(found)


def of_program(program: Program) -> Ledger:
    """The mean of the scenarios, hours at what they earn elsewhere."""
    found = added((of_block(block) for block in program.blocks), program.share)
    worth = program.season.hour_worth
    if worth:
        periods = range(program.season.periods)
        hours = program.share * sum(
            step_hours(block, step, period) for block in program.blocks for step in Step for period in periods
        )
        found[Part(What.HOURS)] = Sum(hours, -hours * worth)
    return found
