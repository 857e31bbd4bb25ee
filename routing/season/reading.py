"""The answer read from the solved program: this week's work, the course of the season, and prices."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from statistics import mean
from typing import TYPE_CHECKING, Any

from routing.season.block import ROUNDS, Block, Place
from routing.season.ledger import Part, added, of_block, of_period, of_program
from routing.season.plan import AheadTask, PeriodSums, SeasonPlan, Task, TaskPart, Way
from routing.season.problem import GREEN, SEASONED, Step
from routing.season.solved import days_used, hour_dual, on_hand, sold_to, step_dual, step_hours, there

if TYPE_CHECKING:
    from routing.season.model import Program

LEAST_HOURS = 0.25  # of a task ahead, mean of the scenarios: less is no beginning
LEAST_PART = 1e-6


def plan_of(program: Program, bound: float) -> SeasonPlan:
    """What the solved program says, as means over its scenarios."""
    season = program.season
    periods = range(season.periods)
    blocks = program.blocks
    places = blocks[0].places

    def likely(values: Iterable[Any]) -> float:
        return program.share * sum(column.solution_value() for column in values)

    return SeasonPlan(
        net=float(program.objective.Value()),
        bound=bound,
        ways=tuple(_way(block) for block in blocks),
        money=of_program(program),
        tasks=tuple(_tasks(program)),
        choices=program.taken(),
        sales=_sales_now(program),
        periods=tuple(_sums(program, period) for period in periods),
        step_price={step: step_dual(program.now_rows, step) for step in Step},
        hour_price=tuple(_hour_price(program, period) for period in periods),
        cord_price={
            place: tuple(_dual(b.balance[place, period] for b in blocks) for period in periods)
            for place in places
        },
        room_price={
            yard.key: sum(row.dual_value() for b in blocks for row in b.room_rows.get(yard.key, ()))
            for yard in season.yards
        },
        trip_price={
            key: tuple(_dual(b.trip_rows[key, period] for b in blocks) for period in periods)
            for key in program.trips_now
        },
        day_price=tuple(_dual(b.day_rows[p] for b in blocks) for p in range(len(season.rig_days))),
        days=tuple(program.share * sum(days_used(b, p) for b in blocks) for p in range(len(season.rig_days))),
        short=program.short(),
        trips={
            key: tuple(likely(b.trips[key, period] for b in blocks) for period in periods)
            for key in program.trips_now
        },
        thinned=_acres(program, lambda block: block.thinned),
        cleared=_acres(program, lambda block: block.cleared),
        slash_late={
            ground.key: likely(b.slash_late[ground.key] for b in blocks)
            for ground in season.grounds
            if ground.key in blocks[0].slash_late
        },
        ahead=tuple(_ahead(program)),
        made={
            place: tuple(likely(b.made[place, period] for b in blocks) for period in periods)
            for place in places
            if place in season.ready
        },
        cut={
            ground.key: sum(
                program.share * column.solution_value() * b.cords_an_acre(ground)
                for b in blocks
                for column in b.thinned[ground.key]
            )
            for ground in season.grounds
        },
        most_there={
            yard.key: max(
                program.share * sum(there(b, yard.key, period) for b in blocks) for period in periods
            )
            for yard in season.yards
        },
        cash_short=max(
            (b.cash_short.solution_value() for b in blocks if b.cash_short is not None), default=0.0
        ),
    )


def _hour_price(program: Program, period: int) -> float:
    """Of one more hour of the first who works; as much of it is found as each scenario says."""
    if not program.season.people:
        return 0.0
    if period == 0:
        return hour_dual(program.now_rows, 0)
    return sum(b.scenario.hours[period] * hour_dual(b.hour_rows[period], 0) for b in program.blocks)


def _way(block: Block) -> Way:
    scenario, periods = block.scenario, range(block.season.periods)
    return Way(
        money=of_block(block),
        hours=sum(step_hours(block, step, period) for step in Step for period in periods),
        demand=mean(scenario.demand),
        found=mean(scenario.hours),
        drying=scenario.drying,
    )


def _tasks(program: Program) -> Iterator[Task]:
    for (step, target), column in program.now.items():
        hours = column.solution_value()
        if hours > 1e-6:
            terms = [(b, 0, *term) for b in program.blocks for term in b.amounts_now.get((step, target), ())]
            parts = _parts(program, step, target, terms)
            amount = sum(part.amount for part in parts)
            yield Task(step=step, target=target, hours=hours, amount=amount, parts=parts)


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
        terms = [(b, *term) for b in program.blocks for term in b.ahead[step, target]]
        begun: defaultdict[int, float] = defaultdict(float)
        for _, period, column, each in terms:
            begun[period] += program.share * column.solution_value() * each
        least, first = _least_hours(program, target), None
        for period, spent in sorted(begun.items()):
            least -= spent
            if least < 0:
                first = period
                break
        if first is not None:
            parts = _parts(program, step, target, terms)
            yield AheadTask(
                step=step,
                target=target,
                hours=sum(part.hours for part in parts),
                amount=sum(part.amount for part in parts),
                first=first,
                parts=parts,
            )


def _least_hours(program: Program, target: str) -> float:
    """Hours from which work counts as begun: of a far load, half its way."""
    far = (m.trip_hours / 2 for m in program.season.markets if m.key == target and m.trip_cords is not None)
    return next(far, LEAST_HOURS)


def _parts(
    program: Program, step: Step, target: str, terms: Iterable[tuple[Block, int, Any, float]]
) -> tuple[TaskPart, ...]:
    """A task's columns by the wood they deliver; a trip's own drive counts no cords."""
    sums: defaultdict[Part | None, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for b, _, column, each in terms:
        done = program.share * column.solution_value()
        line = sums[b.part_of.get(column.index())]
        line[0] += 0.0 if column.index() in b.no_amount else done
        line[1] += done * each
    return tuple(
        TaskPart(step=step, target=target, sale=sale, amount=amount, hours=hours)
        for sale, (amount, hours) in sums.items()
        if amount > LEAST_PART or hours > LEAST_PART
    )


def _sales_now(program: Program) -> dict[tuple[str, Place, str], float]:
    found: dict[tuple[str, Place, str], float] = {}
    for block in program.blocks:
        for market, place, dryness, column in block.sold_now:
            key = (market, place, dryness)
            found[key] = found.get(key, 0.0) + column.solution_value() * program.share
    return {key: cords for key, cords in found.items() if cords > 1e-6}


def _dual(rows: Iterable[Any]) -> float:
    return sum(row.dual_value() for row in rows)


def _sums(program: Program, period: int) -> PeriodSums:
    def likely(values: Iterable[float]) -> float:
        return program.share * sum(values)

    blocks = program.blocks
    return PeriodSums(
        hours={step: likely(step_hours(b, step, period) for b in blocks) for step in Step},
        seasoned_cords=likely(on_hand(b, SEASONED, period) for b in blocks),
        drying_cords=likely(on_hand(b, "drying", period) for b in blocks),
        green_cords=likely(on_hand(b, GREEN, period) for b in blocks),
        rounds_cords=likely(on_hand(b, ROUNDS, period) for b in blocks),
        sold={m.key: likely(sold_to(b, m.key, period) for b in blocks) for m in program.season.markets},
        money=added((of_period(b, period) for b in blocks), program.share),
    )
