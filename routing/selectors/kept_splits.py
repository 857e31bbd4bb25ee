"""The split of each load's drive, kept in the cache under everything it hangs on.

So a month of loads is read without asking the road again; what is missing is reckoned and kept.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256

from django.core.cache import cache

from inventory.core.money import from_cents, share_out, to_cents
from routing.core import RoutingError
from routing.core.costs import MinutesRule, RunningRates, minutes_rule, rates_on
from routing.core.shares import LoadShares, split_load
from routing.engines import current_engine
from routing.models import Load, RoadExtract, Run
from routing.selectors.load_roads import roads_of_load
from routing.selectors.margin_rows import LoadRow, RunRow, StopRow, YardSpot

KEEP_SECONDS = 14 * 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A load's drive split over its orders, at the rates and minutes it was reckoned with.

    shares: None when it could not be reckoned, and `trouble` says why.
    """

    rule: MinutesRule
    rates: RunningRates | None = None
    shares: LoadShares | None = None
    is_estimate: bool = False
    trouble: str = ""


def splits_of(runs: Sequence[RunRow]) -> dict[int, Split]:
    """Split by load: two queries for what is kept, and as many again as one load takes for all the rest."""
    rules: dict[YardSpot, MinutesRule] = {}
    splits: dict[int, Split] = {}
    keys: dict[int, str] = {}
    roads = RoadExtract.objects.filter(is_current=True).values_list("sha256", flat=True).first() or "none"
    for run in runs:
        rates, trouble = _rates(run)
        text = _run_text(run, rates, roads) if rates else ""
        for load in run.loads:
            rule = rules.get(load.yard) or rules.setdefault(load.yard, rule_at(load.yard))
            if not load.stops:
                splits[load.id] = Split(rule=rule, trouble="Nothing is on this load.")
                continue
            splits[load.id] = Split(rule=rule, rates=rates, trouble=trouble)
            if rates:
                keys[load.id] = _key(load, text)
    found = cache.get_many(keys.values()) if keys else {}
    missing = {load_id for load_id, key in keys.items() if not isinstance(found.get(key), tuple)}
    for load_id, key in keys.items():
        if load_id not in missing:
            shares, is_estimate = found[key]
            splits[load_id] = replace(splits[load_id], shares=shares, is_estimate=is_estimate)
    if missing:
        for load_id, split in _reckoned(missing, splits):
            splits[load_id] = split
            if split.shares is not None:
                cache.set(keys[load_id], (split.shares, split.is_estimate), KEEP_SECONDS)
    return splits


def rule_at(yard: YardSpot) -> MinutesRule:
    """The minutes rule with the yard's own loading times."""
    return replace(
        minutes_rule(),
        yard_stop=Fraction(yard.load_fixed_minutes),
        load_per_cord=Fraction(yard.load_minutes_per_cord),
    )


def _rates(run: RunRow) -> tuple[RunningRates | None, str]:
    try:
        return rates_on(run.rates, run.on), ""
    except RoutingError as error:
        return None, str(error)


def _reckoned(load_ids: set[int], splits: Mapping[int, Split]) -> Iterable[tuple[int, Split]]:
    """Loads whose split is not kept, reckoned from the road."""
    engine = current_engine()
    runs = (
        Run.objects.filter(loads__in=load_ids)
        .distinct()
        .select_related("rig__home_yard")
        .prefetch_related("loads__yard", "loads__stops__order__place__town")
    )
    for run in runs:
        loads = sorted(run.loads.all(), key=lambda row: row.sequence)
        for place, load in enumerate(loads):
            if load.pk not in load_ids:
                continue
            split = splits[load.pk]
            assert split.rates is not None
            fixed = from_cents(share_out(to_cents(split.rates.fixed_run), [1] * len(loads))[place])
            following: Load | None = loads[place + 1] if place + 1 < len(loads) else None
            try:
                roads, is_estimate = roads_of_load(run, load, following=following, fixed=fixed, engine=engine)
                shares = split_load(roads, rates=split.rates, rule=split.rule)
            except RoutingError as error:
                yield load.pk, replace(split, trouble=str(error))
            else:
                yield load.pk, replace(split, shares=shares, is_estimate=is_estimate)


def _key(load: LoadRow, run_text: str) -> str:
    spots = ";".join(_stop_text(stop) for stop in load.stops)
    said = f"{run_text}|{load.sequence}|{load.weight_lb}|{spots}"
    return f"split-{load.id}-{sha256(said.encode()).hexdigest()[:24]}"


def _run_text(run: RunRow, rates: RunningRates, roads: str) -> str:
    """What the splits of all the run's loads hang on."""
    costs = f"{rates.loaded_mile}:{rates.empty_mile}:{rates.fixed_run}:{rates.wage_hour}"
    legs = ",".join(f"{load.leg_meters}:{load.leg_seconds}" for load in run.loads)
    yards = ",".join(
        f"{yard.id}:{yard.lat}:{yard.lon}:{yard.load_fixed_minutes}:{yard.load_minutes_per_cord}"
        for yard in (run.home, *(load.yard for load in run.loads))
    )
    rig = ":".join(map(str, run.rig))
    return f"{roads}|{legs}|{rig}|{costs}|{yards}"


def _stop_text(stop: StopRow) -> str:
    return (
        f"{stop.order_id}@{stop.lat},{stop.lon},{stop.town_lat},{stop.town_lon},"
        f"{stop.leg_meters},{stop.leg_seconds}"
    )
