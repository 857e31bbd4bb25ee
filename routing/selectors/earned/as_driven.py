"""The margins of a run that is home: what was unloaded, paid and driven."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars_for
from inventory.core.units import METERS_PER_MILE
from routing.earned.actuals import Happened, margins_as_driven
from routing.earned.costs import exact_road_dollars
from routing.earned.margins import LoadMargin, Margin, at_crew_wage
from routing.models import Stop
from routing.selectors.earned.kept_splits import Split
from routing.selectors.earned.load_parts import Facts, LoadPart
from routing.selectors.runs.run_rows import LoadRow, WholeRun


def actual_margins(
    run: WholeRun,
    parts: Mapping[int, Sequence[LoadPart]],
    planned: Mapping[int, LoadMargin | None],
    facts: Facts,
    splits: Mapping[int, Split],
) -> dict[int, tuple[Margin, ...]]:
    """The margins of each load's drops as they really were; none while a run is out or a load has no plan."""
    if run.actual_leave_at is None or run.actual_home_at is None:
        return {}
    margins: list[Margin] = []
    happened: list[Happened] = []
    for load in run.loads:
        margin = planned[load.id]
        if margin is None:
            return {}
        margins.extend(margin.orders)
        happened.extend(
            _happened(part, order, load, facts)
            for part, order in zip(parts[load.id], margin.orders, strict=True)
        )
    rates = splits[run.loads[0].id].rates
    assert rates is not None
    road = exact_road_dollars(
        loaded_miles=_miles(run.actual_loaded_miles, run.loaded_meters),
        empty_miles=_miles(run.actual_empty_miles, run.empty_meters),
        rates=rates,
        fixed=rates.fixed_run,
    )
    seconds = int((run.actual_home_at - run.actual_leave_at).total_seconds())
    wage = splits[run.loads[0].id].crew_wage(run)
    driven = (
        at_crew_wage(margin, wage)
        for margin in margins_as_driven(margins, happened, minutes=Fraction(seconds, 60), road=road)
    )
    return {load.id: tuple(next(driven) for _ in parts[load.id]) for load in run.loads}


def _happened(part: LoadPart, planned: Margin, load: LoadRow, facts: Facts) -> Happened:
    """What became of a drop: with the whole order here, the cords measured; the price less any credit."""
    stop = part.stop
    cords, price = Fraction(0), Decimal("0.00")
    if stop.state == Stop.State.DELIVERED:
        is_whole = part.share_of_order == 1
        cords = stop.delivered_cords if is_whole and stop.delivered_cords is not None else part.cords
        net = stop.total_dollars - stop.tax_dollars - facts.credited.get(stop.order_id, Decimal(0))
        price = dollars_for(net, part.share_of_order)
    return Happened(
        cords=cords,
        price=price,
        wood=part.wood.cost,
        own_minutes=_own_minutes(part, planned, load, facts),
    )


def _own_minutes(part: LoadPart, planned: Margin, load: LoadRow, facts: Facts) -> Fraction:
    """Loading as planned, and the halt from arriving to done where the phone told both."""
    arrived, done = facts.arrived.get(part.stop.id), part.stop.done_at
    if arrived is None or done is None or done <= arrived:
        return planned.own_minutes
    load_minutes = Fraction(load.yard.load_minutes_per_cord) * part.cords
    return load_minutes + Fraction(int((done - arrived).total_seconds()), 60)


def _miles(told: Decimal | None, meters: int) -> Fraction:
    return Fraction(told) if told is not None else meters / METERS_PER_MILE
