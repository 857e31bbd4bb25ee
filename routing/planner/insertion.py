"""What one more order would add to the runs already booked: the price that knows the road.

The quick answer puts the order where it adds least and leaves the rest as it is. The exact answer also puts
each run in its best order together with the new one. Both leave the booked plan untouched.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from routing.planner.arrays import Laid
from routing.planner.clock import Clock, NoSuchTime, timed_run
from routing.planner.exact.labeling import Earnings, RunFinder, Runs
from routing.planner.exact.load_sequences import TooMany
from routing.planner.exact.master import wood_taken
from routing.planner.fleet import Roads
from routing.planner.hand_edits import as_it_stands, without_parts
from routing.planner.lay_out import lay_out
from routing.planner.params import INSERTION, PROOF
from routing.planner.plan import Plan, RunPlan, half_up_cents
from routing.planner.problem import COST_UNITS_PER_CENT, DayProblem, PlanOrder
from routing.planner.search.annealing import Annealing
from routing.planner.search.repair import put_order_in_run, take_order_off
from routing.planner.search.ruin_and_recreate import set_runs
from routing.planner.search.state import NEVER
from routing.planner.sketches import RunSketch
from routing.planner.tokens import loads_of, rows_of, sketch_of

type Taken = dict[tuple[str, str], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertionOffer:
    """The cheapest way to bring a new order in one run.

    Units
        cost_c: cents the run costs more. begin_s: when its (first) unloading would begin.
        is_empty_run: nothing was booked in it. run: the run with the order in it.
    """

    date: int
    cost_c: int
    begin_s: int
    is_empty_run: bool
    yards: tuple[str, ...]
    run: RunPlan


def insertion_offers(
    problem: DayProblem, booked: Plan, new_order: PlanOrder, *, exact: bool = False
) -> tuple[InsertionOffer, ...]:
    """Marginal cost of a new order in every run that can take it, cheapest first.

    `booked` is kept as it is, only the new order's parts are put in (all in one shift). With `exact` the
    cheapest runs are also put in their best order together with the new one. The order's `loc` must be a
    row of the road tables; it need not be among `problem.orders`. Fixed runs take nothing more.

    Errors
        NoSuchTime: a booked run cannot keep its hours.
    """
    if new_order.id not in {order.id for order in problem.orders}:
        problem = replace(problem, orders=(*problem.orders, new_order))
    laid = lay_out(problem)
    if new_order.id not in laid.order_ids or not laid.run_ids:
        return ()
    search = Annealing(laid, seed=0, pool_rows=1)
    standing = as_it_stands(problem, _without(booked, new_order))
    if not set_runs(laid.arrays, search.state, *rows_of(laid, standing.sketch)):
        for run in booked.runs:
            timed_run(problem, run.sketch)
    order = laid.order_ids.index(new_order.id)
    clock = Clock(problem)
    offers = []
    for s in range(len(laid.run_ids)):
        if put_order_in_run(laid.arrays, search.state, order, s) >= NEVER:
            continue
        sketch = search.sketch_of(s)
        take_order_off(laid.arrays, search.state, order)
        if (offer := _offer(problem, clock, standing, new_order, sketch)) is not None:
            offers.append(offer)
    if exact:
        offers = [
            _bettered(problem, clock, standing, new_order, offer) if rank < INSERTION.exact_runs else offer
            for rank, offer in enumerate(sorted(offers, key=_cheapest))
        ]
    return tuple(sorted(offers, key=_cheapest))


def best_run(problem: DayProblem, run: RunSketch, *, below: int | None = None) -> RunSketch:
    """One run's drops in their best loads and order, none left out; the run itself when none is cheaper.

    Units
        below: cost units to beat; the run's own cost when not given.
    """
    limit = below if below is not None else timed_run(problem, run).cost_units
    return _best_run(problem, run, limit, {})


def _best_run(problem: DayProblem, run: RunSketch, limit: int, taken: Taken) -> RunSketch:
    only = {part for _, parts in run[1] for part in parts}
    laid = lay_out(_alone(problem, run[0], only, taken))
    parts = len(laid.part_ids)
    if parts != len(only) or parts > PROOF.coded_parts:
        return run
    for tokens in _cheapest_runs(laid, limit):
        if _within_stock(laid, tokens):
            return sketch_of(laid, 0, tokens)
    return run


def _cheapest_runs(laid: Laid, limit: int) -> tuple[tuple[int, ...], ...]:
    """Runs of the one shift with every part on them that cost less, cheapest first."""
    parts = len(laid.part_ids)
    sure = float(INSERTION.sure_cents * COST_UNITS_PER_CENT)
    earnings = Earnings(part=np.full(parts, sure), run=0.0, wood=np.zeros(laid.arrays.stock.shape))

    def found(*, plain: bool) -> Runs:
        return finder.find(
            earnings,
            below=limit - sure * parts - 0.5,
            most_labels=INSERTION.labels,
            most_runs=INSERTION.runs,
            keep_usage=bool(laid.arrays.is_tight),
            plain=plain,
        )

    try:
        finder = RunFinder(laid.arrays, 0, INSERTION.sequences)
        if parts <= INSERTION.few_parts:
            runs = found(plain=True)
            if runs.is_complete:
                return runs.tokens
        return found(plain=False).tokens
    except TooMany:
        return ()


def _alone(problem: DayProblem, shift: str, parts: set[str], taken: Taken) -> DayProblem:
    """The problem of one shift and some parts, with no place, yard, wood and road it has no use for."""
    left = {
        yard.id: tuple((wood, max(0, units - taken.get((yard.id, wood), 0))) for wood, units in yard.stock)
        for yard in problem.yards
    }
    [out] = (row for row in problem.runs if row.id == shift)
    [rig] = (row for row in problem.rigs if row.id == out.rig)
    orders = [
        replace(order, parts=tuple(part for part in order.parts if part.id in parts))
        for order in problem.orders
        if any(part.id in parts for part in order.parts)
    ]
    woods = {wood for order in orders for part in order.parts for wood, _ in part.lines}
    yards = [
        yard
        for yard in problem.yards
        if yard.id == rig.home or any(units and wood in woods for wood, units in left[yard.id])
    ]
    places = [*(yard.loc for yard in yards), *(order.loc for order in orders)]
    at = {loc: row for row, loc in enumerate(dict.fromkeys(places))}
    roads = tuple(
        (name, Roads(meters=_corner(table.meters, at), seconds=_corner(table.seconds, at)))
        for name, table in problem.roads
        if name in {band.table for band in rig.roads}
    )
    return replace(
        problem,
        woods=tuple(wood for wood in problem.woods if wood.id in woods),
        yards=tuple(
            replace(
                yard,
                loc=at[yard.loc],
                stock=tuple((wood, units) for wood, units in left[yard.id] if wood in woods),
            )
            for yard in yards
        ),
        rigs=(rig,),
        runs=(out,),
        orders=tuple(replace(order, loc=at[order.loc]) for order in orders),
        roads=roads,
        pins=tuple(pin for pin in problem.pins if pin.part in parts),
        shuts=tuple(shut for shut in problem.shuts if any(yard.id == shut.yard for yard in yards)),
        frozen=(),
    )


def _corner[T](table: tuple[tuple[T, ...], ...], places: Iterable[int]) -> tuple[tuple[T, ...], ...]:
    kept = tuple(places)
    return tuple(tuple(table[start][end] for end in kept) for start in kept)


def _bettered(
    problem: DayProblem, clock: Clock, booked: Plan, order: PlanOrder, offer: InsertionOffer
) -> InsertionOffer:
    """The offer with its run in its best order."""
    others = [run for run in booked.runs if run.id != offer.run.id]
    sketch = _best_run(problem, offer.run.sketch, offer.run.cost_units, _taken(problem, others))
    better = _offer(problem, clock, booked, order, sketch)
    return offer if better is None else min(offer, better, key=_cheapest)


def _taken(problem: DayProblem, runs: Iterable[RunPlan]) -> Taken:
    """The wood on these runs: units by yard and wood."""
    lines = {part.id: part.lines for order in problem.orders for part in order.parts}
    taken: Taken = {}
    for fill in (fill for run in runs for load in run.loads for fill in load.fills):
        for wood, units in (line for part in fill.parts for line in lines[part]):
            taken[fill.yard, wood] = taken.get((fill.yard, wood), 0) + units
    return taken


def _offer(
    problem: DayProblem, clock: Clock, booked: Plan, order: PlanOrder, sketch: RunSketch
) -> InsertionOffer | None:
    """What the run costs more with this in it; None where its truck or driver is out with a booked run."""
    was = booked.run_of(sketch[0])
    run = _between(problem, clock, booked, sketch)
    if run is None:
        return None
    drops = [
        (load.yard_of(stop.part), stop) for load in run.loads for stop in load.stops if stop.order == order.id
    ]
    return InsertionOffer(
        date=clock.runs[run.id].date,
        cost_c=half_up_cents(run.cost_units - (was.cost_units if was else 0)),
        begin_s=min(stop.begin_s for _, stop in drops),
        is_empty_run=all(stop.order == order.id for load in run.loads for stop in load.stops),
        yards=tuple(dict.fromkeys(yard for yard, _ in drops)),
        run=run,
    )


def _between(problem: DayProblem, clock: Clock, booked: Plan, sketch: RunSketch) -> RunPlan | None:
    """The run with its clock where it leaves the times of all booked runs as they are, at the least cost."""
    own = clock.runs[sketch[0]]
    near = [
        run
        for run in booked.runs
        if run.id != own.id and problem.wait_between(own, clock.runs[run.id]) is not None
    ]
    best: RunPlan | None = None
    for place in range(len(near) + 1):
        try:
            run = clock.run(sketch, after=near[:place])
        except NoSuchTime:
            continue
        is_kept = all(
            clock.earliest_departure(clock.runs[later.id], (run,)) <= later.leave_s for later in near[place:]
        )
        if is_kept and run.paid_s <= own.max_s and (best is None or run.cost_units < best.cost_units):
            best = run
    return best


def _cheapest(offer: InsertionOffer) -> tuple[int, int, str]:
    return offer.cost_c, offer.date, offer.run.id


def _without(booked: Plan, order: PlanOrder) -> tuple[RunSketch, ...]:
    own = {part.id for part in order.parts}
    return tuple((run, tuple(without_parts(load, own) for load in loads)) for run, loads in booked.sketch)


def _within_stock(laid: Laid, tokens: tuple[int, ...]) -> bool:
    stops = [stop for _, stops in loads_of(tokens, len(laid.part_ids)) for stop in stops]
    return bool((wood_taken(laid.arrays, stops) <= laid.arrays.stock).all())
