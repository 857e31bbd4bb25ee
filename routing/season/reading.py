"""The answer read from the solved program: this week's work, the course of the season, and prices."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from routing.season.block import ROUNDS, Block, Place
from routing.season.plan import AheadTask, PeriodSums, SeasonPlan, Task
from routing.season.problem import GREEN, SEASONED, Choice, Step

if TYPE_CHECKING:
    from routing.season.model import Program

LEAST_HOURS = 0.25  # of a task ahead, mean of the scenarios: less is no beginning


def plan_of(program: Program, bound: float) -> SeasonPlan:
    """What the solved program says, as means over its scenarios."""
    season = program.season
    tasks = tuple(
        Task(step=step, target=target, hours=hours, amount=_amount_now(program, step, target))
        for (step, target), column in program.now.items()
        if (hours := column.solution_value()) > 1e-6
    )
    taken = program.taken()
    periods = range(season.periods)
    first = sum(row.dual_value() for row in program.now_rows)
    places = program.blocks[0].places
    return SeasonPlan(
        net=float(program.objective.Value()),
        bound=bound,
        nets=tuple(_net(program, block, taken) for block in program.blocks),
        hours=tuple(_hours(program, block, taken) for block in program.blocks),
        tasks=tasks,
        choices=taken,
        sales=_sales_now(program),
        periods=tuple(_sums(program, period) for period in periods),
        hour_price=(first, *(sum(b.hour_dual(period) for b in program.blocks) for period in periods[1:])),
        cord_price={
            place: tuple(_dual(b.balance[place, period] for b in program.blocks) for period in periods)
            for place in places
        },
        room_price={
            yard.key: sum(row.dual_value() for b in program.blocks for row in b.room_rows.get(yard.key, ()))
            for yard in season.yards
        },
        trip_price={
            market.key: tuple(
                _dual(b.trip_rows[market.key, period] for b in program.blocks) for period in periods
            )
            for market in season.markets
            if market.trip_cords is not None
        },
        day_price=tuple(_dual(b.day_rows[p] for b in program.blocks) for p in range(len(season.rig_days))),
        short=program.short(),
        trips_now={key: round(column.solution_value()) for key, column in program.trips_now.items()},
        thinned=_acres(program, lambda block: block.thinned),
        cleared=_acres(program, lambda block: block.cleared),
        slash_late={
            ground.key: program.share * sum(b.slash_late[ground.key].solution_value() for b in program.blocks)
            for ground in season.grounds
            if ground.key in program.blocks[0].slash_late
        },
        ahead=tuple(
            _ahead(
                program,
            )
        ),
        made={place: _made(program, place) for place in places if place in season.ready},
        cash_short=max(
            (b.cash_short.solution_value() for b in program.blocks if b.cash_short is not None), default=0.0
        ),
    )


def _acres(program: Program, of: Callable[[Block], Mapping[str, list[Any]]]) -> dict[str, tuple[float, ...]]:
    return {
        ground.key: tuple(
            program.share * sum(of(b)[ground.key][period].solution_value() for b in program.blocks)
            for period in range(program.season.periods)
        )
        for ground in program.season.grounds
    }


def _ahead(program: Program) -> Iterator[AheadTask]:
    for step, target in program.blocks[0].ahead:
        hours: defaultdict[int, float] = defaultdict(float)
        amount = 0.0
        for b in program.blocks:
            for period, column, each in b.ahead[step, target]:
                hours[period] += program.share * column.solution_value() * each
                if column.index() not in b.no_amount:
                    amount += program.share * column.solution_value()
        begun = [period for period, spent in sorted(hours.items()) if spent > LEAST_HOURS]
        if begun:
            yield AheadTask(
                step=step, target=target, hours=sum(hours.values()), amount=amount, first=begun[0]
            )


def _made(program: Program, place: Place) -> tuple[float, ...]:
    return tuple(
        program.share * sum(b.made[place, period].solution_value() for b in program.blocks)
        for period in range(program.season.periods)
    )


def _taken(program: Program, taken: dict[str, str]) -> Iterable[Choice]:
    return (c for lot in program.season.lots for c in lot.choices if taken[lot.key] == c.key)


def _net(program: Program, block: Block, taken: dict[str, str]) -> float:
    money = sum(block.period_net(period) for period in range(program.season.periods))
    return money + block.kept() - sum(choice.cash for choice in _taken(program, taken))


def _hours(program: Program, block: Block, taken: dict[str, str]) -> float:
    steps = sum(block.step_hours(step, period) for step in Step for period in range(program.season.periods))
    return steps + sum(choice.hours for choice in _taken(program, taken))


def _sales_now(program: Program) -> dict[tuple[str, Place, str], float]:
    found: dict[tuple[str, Place, str], float] = {}
    for block in program.blocks:
        for market, place, dryness, column in block.sold_now:
            key = (market, place, dryness)
            found[key] = found.get(key, 0.0) + column.solution_value() * program.share
    return {key: cords for key, cords in found.items() if cords > 1e-6}


def _dual(rows: Iterable[Any]) -> float:
    return sum(row.dual_value() for row in rows)


def _amount_now(program: Program, step: Step, target: str) -> float:
    return program.share * sum(
        column.solution_value()
        for b in program.blocks
        for column, _ in b.amounts_now.get((step, target), ())
        if column.index() not in b.no_amount
    )


def _sums(program: Program, period: int) -> PeriodSums:
    def mean(values: Iterable[float]) -> float:
        return program.share * sum(values)

    blocks = program.blocks
    return PeriodSums(
        hours={step: mean(b.step_hours(step, period) for b in blocks) for step in Step},
        seasoned_cords=mean(b.on_hand(SEASONED, period) for b in blocks),
        drying_cords=mean(b.on_hand("drying", period) for b in blocks),
        green_cords=mean(b.on_hand(GREEN, period) for b in blocks),
        rounds_cords=mean(b.on_hand(ROUNDS, period) for b in blocks),
        sold={m.key: mean(b.sold_to(m.key, period) for b in blocks) for m in program.season.markets},
        net=mean(b.period_net(period) for b in blocks),
    )
