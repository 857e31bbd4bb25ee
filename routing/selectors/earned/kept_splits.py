"""The split of each load's drive, kept in the cache under everything it hangs on.

So a month of loads is read without asking the road again; what is missing is reckoned and kept.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from hashlib import sha256

from django.core.cache import cache

from inventory.core.money import from_cents, share_out, to_cents
from routing.core import RoutingError
from routing.earned.costs import MinutesRule, RunningRates, crew_wage, minutes_rule, rates_on
from routing.earned.shares import LoadShares, split_load
from routing.engines import current_engine, road_marks
from routing.models import Load, RoadExtract, Run
from routing.selectors.earned.load_legs import legs_of_load
from routing.selectors.rigs import rates_by_rig
from routing.selectors.roads.rig_roads import posted_limits, roads_of
from routing.selectors.runs.run_rows import LoadRow, OrderStop, WholeRun, YardSpot

KEEP_SECONDS = 14 * 86_400
type Kept = dict[int, tuple[LoadShares, bool]]  # by load: how its drive is split, whether estimated


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadReckoning:
    """The rates and minutes a load is reckoned with; `problem` says why it could not be."""

    rule: MinutesRule
    rates: RunningRates | None = None
    is_estimate: bool = False
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Split(LoadReckoning):
    """A load's drive split over its orders; no shares when it could not be reckoned."""

    shares: LoadShares | None = None

    def crew_wage(self, run: WholeRun) -> Decimal | None:
        """Dollars an hour of the run's people; None where nobody on it has a wage of their own."""
        has_own = any(wage is not None for wage in run.wages)
        return self.rates.wage_hour if has_own and self.rates is not None else None


def splits_of(runs: Sequence[WholeRun]) -> dict[int, Split]:
    """Split by load. What is kept takes three queries; the rest is reckoned load by load from kept drives."""
    costs = rates_by_rig({run.rig_id for run in runs})
    rules: dict[YardSpot, MinutesRule] = {}
    splits: dict[int, Split] = {}
    keys: dict[int, str] = {}
    extract = RoadExtract.objects.filter(is_current=True).values_list("sha256", flat=True).first()
    roads = f"{extract or 'none'}{road_marks().key}:{posted_limits()}"
    for run in runs:
        rates, problem = _rates(run, costs[run.rig_id])
        if rates:
            keys[run.id] = _key(run, rates, roads)
        for load in run.loads:
            rule = rules.get(load.yard) or rules.setdefault(load.yard, rule_at(load.yard))
            splits[load.id] = (
                Split(rule=rule, rates=rates, problem=problem)
                if load.stops
                else Split(rule=rule, problem="Nothing is on this load.")
            )
    found = cache.get_many(keys.values()) if keys else {}
    missing: dict[int, Kept] = {}
    for run in runs:
        kept = found.get(keys.get(run.id, ""), {})
        for load in run.loads:
            split = splits[load.id]
            if split.rates is None:
                continue
            if load.id in kept:
                shares, is_estimate = kept[load.id]
                splits[load.id] = replace(split, shares=shares, is_estimate=is_estimate)
            else:
                missing[run.id] = kept
    for run_id, reckoned in _reckoned(missing, splits, costs) if missing else ():
        splits |= reckoned
        kept = missing[run_id] | {
            load_id: (split.shares, split.is_estimate)
            for load_id, split in reckoned.items()
            if split.shares is not None
        }
        if kept:
            cache.set(keys[run_id], kept, KEEP_SECONDS)
    return splits


def rule_at(yard: YardSpot) -> MinutesRule:
    """The minutes rule with the yard's own loading times."""
    return replace(
        minutes_rule(),
        yard_stop=Fraction(yard.load_fixed_minutes),
        load_per_cord=Fraction(yard.load_minutes_per_cord),
    )


def _rates(run: WholeRun, costs: Sequence[RunningRates]) -> tuple[RunningRates | None, str]:
    """What its miles cost and, together, its people."""
    try:
        rates = rates_on(costs, run.on)
        return replace(rates, wage_hour=crew_wage(rates.wage_hour, run.wages)), ""
    except RoutingError as error:
        return None, str(error)


def _reckoned(
    missing: Mapping[int, Kept], splits: Mapping[int, Split], costs: Mapping[int, Sequence[RunningRates]]
) -> Iterable[tuple[int, dict[int, Split]]]:
    """By run, the loads whose split is not kept, reckoned from the road."""
    engine, posted_lb = current_engine(), posted_limits()
    runs = (
        Run.objects.filter(pk__in=missing)
        .select_related("rig__home_yard", "day")
        .prefetch_related("loads__yard", "loads__more_fills__yard", "loads__stops__order__place__town")
    )
    for run in runs:
        loads = sorted(run.loads.all(), key=lambda row: row.sequence)
        told = {}
        for place, load in enumerate(loads):
            split = splits[load.pk]
            if split.rates is None or load.pk in missing[run.pk]:
                continue
            fixed = from_cents(share_out(to_cents(split.rates.fixed_run), [1] * len(loads))[place])
            following: Load | None = loads[place + 1] if place + 1 < len(loads) else None
            try:
                legs, is_estimate = legs_of_load(
                    run,
                    load,
                    following=following,
                    fixed=fixed,
                    # the road is chosen at the rig's own wage, as in quotes and plans
                    roads=roads_of(run.rig, rates_on(costs[run.rig_id], run.day.on), posted_lb),
                    engine=engine,
                )
                shares = split_load(legs, rates=split.rates, rule=split.rule)
            except RoutingError as error:
                told[load.pk] = replace(split, problem=str(error))
            else:
                told[load.pk] = replace(split, shares=shares, is_estimate=is_estimate)
        yield run.pk, told


def _key(run: WholeRun, rates: RunningRates, roads: str) -> str:
    """Everything the splits of a run's loads hang on."""
    costs = f"{rates.loaded_mile}:{rates.empty_mile}:{rates.fixed_run}:{rates.wage_hour}"
    yards = {yard.id: yard for yard in (run.home, *(load.yard for load in run.loads))}
    around = ",".join(
        f"{yard.id}:{yard.lat}:{yard.lon}:{yard.load_fixed_minutes}:{yard.load_minutes_per_cord}"
        for yard in yards.values()
    )
    loads = "|".join(_load_text(load) for load in run.loads)
    driven = f"{run.home.id}|{around}|{run.loaded_meters}|{loads}"
    text = f"{roads}|{run.rig_id}:{':'.join(map(str, run.rig_seen))}|{costs}|{driven}"
    return f"splits-{run.id}-{sha256(text.encode()).hexdigest()[:24]}"


def _load_text(load: LoadRow) -> str:
    spots = ";".join(_stop_text(stop) for stop in load.stops)
    return f"{load.id}:{load.yard.id}:{load.weight_lb}:{load.leg_meters}:{load.leg_seconds}:{spots}"


def _stop_text(stop: OrderStop) -> str:
    return (
        f"{stop.order_id}@{stop.lat},{stop.lon},{stop.town_lat},{stop.town_lon},"
        f"{stop.leg_meters},{stop.leg_seconds}"
    )
