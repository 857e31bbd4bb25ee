"""What one more order would add to the runs already booked: the price that knows the road.

The quick answer puts the order where it adds least and leaves the rest as it is. The exact answer also puts
each run in its best order together with the new one. Both leave the booked plan untouched.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from routing.core.anneal import Annealing
from routing.core.arrays import Laid, lay_out
from routing.core.fillings import TooMany
from routing.core.labels import MOST_CODED_PARTS, Earnings, RunFinder, Runs
from routing.core.plan import Plan, RunPlan, RunSketch, half_up_cents, timed_run
from routing.core.problem import COST_UNITS_PER_CENT, DayProblem, PlanOrder, Roads
from routing.core.routes import NEVER
from routing.core.search import put_order_in_shift, set_runs, take_order_off

SURE_CENTS = 10_000_000
MOST_FILLINGS = 6_000
MOST_LABELS = 2_000
EXACT_SHIFTS = 3
FEW_PARTS = 6  # of which a plain search is done before a bound is

type Taken = dict[tuple[str, str], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertionOffer:
    """The cheapest way to bring a new order in one shift.

    Units
        cost_c: cents the shift's run costs more. begin_s: when its (first) unloading would begin.
        is_empty_run: nothing was booked in that shift. run: the run with the order in it.
    """

    shift: str
    date: int
    cost_c: int
    begin_s: int
    is_empty_run: bool
    yards: tuple[str, ...]
    run: RunPlan


def insertion_offers(
    problem: DayProblem, booked: Plan, new_order: PlanOrder, *, exact: bool = False
) -> tuple[InsertionOffer, ...]:
    """Marginal cost of a new order in every shift that can take it, cheapest first.

    `booked` is kept as it is, only the new order's parts are put in (all in one shift). With `exact` the
    cheapest runs are also put in their best order together with the new one. The order's `loc` must be a
    row of the road tables; it need not be among `problem.orders`. Fixed runs take nothing more.

    Errors
        NoSuchTime: a booked run cannot keep its hours.
    """
    if new_order.id not in {order.id for order in problem.orders}:
        problem = replace(problem, orders=(*problem.orders, new_order))
    laid = lay_out(problem)
    if new_order.id not in laid.order_ids or not laid.shift_ids:
        return ()
    state = Annealing(laid, seed=0, pool_rows=1)
    tokens, length = state.tokens_of(_without(booked, new_order))
    if not set_runs(laid.arrays, state.routes, tokens, length):
        for run in booked.runs:
            timed_run(problem, run.sketch)
    order = laid.order_ids.index(new_order.id)
    offers = []
    for s, shift_id in enumerate(laid.shift_ids):
        before = int(state.routes.state[s, 1])
        added = int(put_order_in_shift(laid.arrays, state.routes, order, s))
        if added >= NEVER:
            continue
        sketch = state.sketch_of(s)
        take_order_off(laid.arrays, state.routes, order)
        offers.append(_offer(problem, new_order, shift_id, sketch, before))
    if exact:
        offers = [
            _bettered(problem, booked, new_order, offer) if rank < EXACT_SHIFTS else offer
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
    if parts != len(only) or parts > MOST_CODED_PARTS:
        return run
    for tokens in _cheapest_runs(laid, limit):
        if _within_stock(laid, tokens):
            return Annealing(laid, seed=0, pool_rows=1).sketch(0, np.array(tokens))
    return run


def _cheapest_runs(laid: Laid, limit: int) -> tuple[tuple[int, ...], ...]:
    """Runs of the one shift with every part on them that cost less, cheapest first."""
    parts = len(laid.part_ids)
    sure = float(SURE_CENTS * COST_UNITS_PER_CENT)
    earnings = Earnings(part=np.full(parts, sure), shift=0.0, wood=np.zeros(laid.arrays.stock.shape))

    def found(*, plain: bool) -> Runs:
        return finder.find(
            earnings,
            below=limit - sure * parts - 0.5,
            most_labels=MOST_LABELS,
            most_runs=50,
            keep_usage=bool(laid.arrays.is_tight),
            plain=plain,
        )

    try:
        finder = RunFinder(laid.arrays, 0, MOST_FILLINGS)
        if parts <= FEW_PARTS:
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
    [out] = (row for row in problem.shifts if row.id == shift)
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
        if name in (rig.loaded_roads, rig.empty_roads)
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
        shifts=(out,),
        orders=tuple(replace(order, loc=at[order.loc]) for order in orders),
        roads=roads,
        pins=tuple(pin for pin in problem.pins if pin.part in parts),
        shuts=tuple(shut for shut in problem.shuts if any(yard.id == shut.yard for yard in yards)),
        frozen=(),
    )


def _corner(table: tuple[tuple[int, ...], ...], places: Iterable[int]) -> tuple[tuple[int, ...], ...]:
    kept = tuple(places)
    return tuple(tuple(table[start][end] for end in kept) for start in kept)


def _bettered(problem: DayProblem, booked: Plan, order: PlanOrder, offer: InsertionOffer) -> InsertionOffer:
    """The offer with its run in its best order."""
    others = [run for run in booked.runs if run.shift != offer.shift]
    sketch = _best_run(problem, offer.run.sketch, offer.run.cost_units, _taken(problem, others))
    before = offer.run.cost_units - offer.cost_c * COST_UNITS_PER_CENT
    was = next((run.cost_units for run in booked.runs if run.shift == offer.shift), None)
    return _offer(problem, order, offer.shift, sketch, before if was is None else was)


def _taken(problem: DayProblem, runs: Iterable[RunPlan]) -> Taken:
    """The wood on these runs: units by yard and wood."""
    lines = {part.id: part.lines for order in problem.orders for part in order.parts}
    taken: Taken = {}
    for run in runs:
        for load in run.loads:
            for part in load.parts:
                for wood, units in lines[part]:
                    taken[load.yard, wood] = taken.get((load.yard, wood), 0) + units
    return taken


def _offer(
    problem: DayProblem, order: PlanOrder, shift: str, sketch: RunSketch, before: int
) -> InsertionOffer:
    run = timed_run(problem, sketch)
    drops = [(load.yard, stop) for load in run.loads for stop in load.stops if stop.order == order.id]
    return InsertionOffer(
        shift=shift,
        date=next(s.date for s in problem.shifts if s.id == shift),
        cost_c=half_up_cents(run.cost_units - before),
        begin_s=min(stop.begin_s for _, stop in drops),
        is_empty_run=all(stop.order == order.id for load in run.loads for stop in load.stops),
        yards=tuple(dict.fromkeys(yard for yard, _ in drops)),
        run=run,
    )


def _cheapest(offer: InsertionOffer) -> tuple[int, int, str]:
    return offer.cost_c, offer.date, offer.shift


def _without(booked: Plan, order: PlanOrder) -> tuple[RunSketch, ...]:
    own = {part.id for part in order.parts}
    return tuple(
        (shift, tuple((yard, tuple(part for part in parts if part not in own)) for yard, parts in loads))
        for shift, loads in booked.sketch
    )


def _within_stock(laid: Laid, tokens: tuple[int, ...]) -> bool:
    arrays = laid.arrays
    taken = np.zeros(arrays.stock.shape, np.int64)
    yard = 0
    for token in tokens:
        if token < 0:
            yard = -1 - token
        else:
            taken[yard] += arrays.part_wood[token]
    return bool((taken <= arrays.stock).all())
