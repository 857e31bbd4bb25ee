"""What one more would bring: an hour in each week, a dry cord, a row in a yard, a rig day, a far day.

Each is a plan of its own with one whole hour, cord or day more, so that what changes can be followed down;
the program's duals are what the first little bit of it would bring.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from statistics import mean
from typing import Any

from routing.season.ledger import Ledger, difference, total
from routing.season.model import Program
from routing.season.plan import SeasonPlan

SHORT = 0.01  # cords: less is nothing
CENT = 0.01


class Kind(StrEnum):
    HOUR = "hour"
    CORD = "cord"
    ROOM = "room"
    DAY = "day"
    TRIP = "trip"


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """One more of something in a period. name: the wood, yard or market.

    Units
        gains: what the season has more with it, at least nothing. keeps: promises it keeps that would be
        broken. used, of: how many the plan takes of those there are, over the season; of 0 = not counted.
    """

    kind: Kind
    period: int
    gains: Ledger
    name: str = ""
    keeps: tuple[str, ...] = ()
    used: float = 0.0
    of: float = 0.0

    @property
    def worth(self) -> float:
        return total(self.gains)


def one_more(program: Program, plan: SeasonPlan, *, dry_by: int) -> tuple[OneMore, ...]:
    """Everything that may be short, priced; days and trips in the period where they bring most."""
    return (
        *_hours(program, plan),
        *_cords(program, plan, dry_by),
        *_room(program, plan),
        *_days(program, plan),
        *_trips(program, plan),
    )


def _eased(
    program: Program, plan: SeasonPlan, price: float, rows: Iterable[tuple[Any, float]]
) -> tuple[Ledger, tuple[str, ...]]:
    """What the season gains; nothing where the dual says that even the first little bit brings nothing."""
    if price < CENT:
        return {}, ()
    money, short = program.eased(rows)
    keeps = tuple(sorted(name for name, cords in plan.short.items() if cords - short[name] > SHORT))
    gains = difference(money, plan.money)
    return (gains if total(gains) > 0 or keeps else {}), keeps


def _hours(program: Program, plan: SeasonPlan) -> Iterable[OneMore]:
    """One more hour of the first who works, in each period."""
    for period in range(program.season.periods):
        of_all = [(1.0, program.now_rows)]
        if period:
            of_all = [(b.scenario.hours[period], b.hour_rows[period]) for b in program.blocks]
        rows = [
            (row, found * limit.shares[0]) for found, these in of_all for row, limit in these if limit.shares
        ]
        gains, keeps = _eased(program, plan, plan.hour_price[period], rows)
        found = mean(b.scenario.hours[period] for b in program.blocks) if period else 1.0
        yield OneMore(
            kind=Kind.HOUR,
            period=period,
            gains=gains,
            keeps=keeps,
            used=sum(plan.periods[period].hours.values()),
            of=found * sum(person.hours[period] for person in program.season.people),
        )


def _cords(program: Program, plan: SeasonPlan, period: int) -> Iterable[OneMore]:
    """A dry cord of each wood, in the yard where the program prices it highest."""
    for kind in program.season.kinds:
        places = [place for place in plan.cord_price if place[0] == kind]
        place = max(places, key=lambda place: plan.cord_price[place][period])
        gains, keeps = _eased(
            program,
            plan,
            plan.cord_price[place][period],
            [(b.balance[place, period], 1.0) for b in program.blocks],
        )
        yield OneMore(kind=Kind.CORD, period=period, name=kind, gains=gains, keeps=keeps)


def _room(program: Program, plan: SeasonPlan) -> Iterable[OneMore]:
    for yard in program.season.yards:
        if yard.room_cords is None:
            continue
        gains, keeps = _eased(
            program,
            plan,
            plan.room_price[yard.key],
            [(r, 1.0) for b in program.blocks for r in b.room_rows[yard.key]],
        )
        yield OneMore(
            kind=Kind.ROOM,
            period=0,
            name=yard.key,
            gains=gains,
            keeps=keeps,
            used=plan.most_there[yard.key],
            of=yard.room_cords,
        )


def _days(program: Program, plan: SeasonPlan) -> Iterable[OneMore]:
    if not plan.day_price:
        return
    period = max(range(len(plan.day_price)), key=lambda p: plan.day_price[p])
    gains, keeps = _eased(
        program, plan, plan.day_price[period], [(b.day_rows[period], 1.0) for b in program.blocks]
    )
    days = program.season.rig_days
    yield OneMore(kind=Kind.DAY, period=period, gains=gains, keeps=keeps, used=sum(plan.days), of=sum(days))


def _trips(program: Program, plan: SeasonPlan) -> Iterable[OneMore]:
    """This week's trips are chosen whole, so one more is looked for in the weeks after."""
    for market in program.season.markets:
        later = range(1, program.season.periods)
        if market.trip_cords is None or not later:
            continue
        period = max(later, key=lambda p: plan.trip_price[market.key][p])
        rows = [(b.trip_rows[market.key, period], 1.0) for b in program.blocks]
        gains, keeps = _eased(program, plan, plan.trip_price[market.key][period], rows)
        yield OneMore(
            kind=Kind.TRIP,
            period=period,
            name=market.key,
            gains=gains,
            keeps=keeps,
            used=sum(plan.trips[market.key]),
            of=float(sum(market.trips)),
        )
