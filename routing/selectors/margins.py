"""What loads leave: planned from the plan's rows, actual once the run is home.

An order over all its loads is in `order_margins`; the split of a load's drive is in `kept_splits`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, QuerySet, Sum

from inventory.core.money import dollars_for
from inventory.core.sums import exact_sum
from inventory.selectors.business import BusinessRow, business
from orders.models import Payment
from routing.core.actuals import Happened, margins_as_driven
from routing.core.costs import METERS_PER_MILE, MinutesRule, RunningRates, exact_road_dollars
from routing.core.margins import LoadMargin, Margin, Sale, added_up, margins_of_load
from routing.core.shares import Share
from routing.models import Day, DriverEvent, Load, Run, Stop
from routing.selectors.kept_splits import Split, splits_of
from routing.selectors.margin_rows import LoadRow, RunRow, StopRow, run_rows
from routing.selectors.wood_costs import WoodCostRow, usual_wood_cost, wood_costs

STACKED_FT3 = 128
DEFAULT_BUNDLE_FT3 = Fraction(3, 4)  # where the lot does not say
STATE_WORDS = {state.value: str(state.label) for state in Stop.State}


@dataclass(frozen=True, slots=True, kw_only=True)
class DropEarned:
    """One drop of a load and what it leaves. `actual` is None until the run is home."""

    number: int
    customer: str
    town: str
    market: str
    market_name: str
    is_far: bool
    wood: str
    cords: Fraction
    bundles: int
    stacked: bool
    state: str
    state_words: str
    lot: str
    planned: Margin
    actual: Margin | None
    share: Share
    wood_from: str

    @property
    def latest(self) -> Margin:
        """The actual margin where there is one, else the planned."""
        return self.actual or self.planned


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadEarned:
    """One load and what it leaves; `trouble` says why nothing could be reckoned."""

    id: int
    run_id: int
    on: date
    rig: str
    yard: str
    sequence: int
    name: str
    is_home: bool
    is_estimate: bool
    trouble: str
    planned: LoadMargin | None
    actual: Margin | None
    drops: tuple[DropEarned, ...]
    rates: RunningRates | None
    rule: MinutesRule

    @property
    def latest(self) -> Margin | None:
        """The actual margin where there is one, else the planned."""
        return self.actual or (self.planned.whole if self.planned else None)


def months_with_loads() -> tuple[date, ...]:
    """First days of the months that have loads, newest first."""
    days = Day.objects.filter(Exists(Load.objects.filter(run__day=OuterRef("pk")))).order_by("-on")
    return tuple(dict.fromkeys(on.replace(day=1) for on in days.values_list("on", flat=True)))


def loads_earned(first: date, last: date) -> tuple[LoadEarned, ...]:
    """Every load of some days and what it leaves, newest day first; the same few queries however many."""
    return earned_of(Run.objects.filter(day__on__gte=first, day__on__lte=last), business())


def load_earned(load_id: int) -> LoadEarned | None:
    """One load and what it leaves."""
    rows = earned_of(Run.objects.filter(loads__id=load_id), business())
    return next((row for row in rows if row.id == load_id), None)


def earned_of(runs: QuerySet[Run], seller: BusinessRow) -> tuple[LoadEarned, ...]:
    """The loads of some runs and what they leave, newest day first."""
    rows = run_rows(runs)
    facts = _Facts.of(rows, seller)
    splits = splits_of(rows)
    return tuple(earned for run in rows for earned in _run_earned(run, facts, splits))


def bundle_cords(bundles: int, bundle_ft3: Decimal | None) -> Fraction:
    """Cords in so many bundles of a lot."""
    each = Fraction(bundle_ft3) if bundle_ft3 else DEFAULT_BUNDLE_FT3
    return bundles * each / STACKED_FT3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Facts:
    """What is read once for all the loads of a page: wood by lot, credits by order, arrivals by stop."""

    wood: Mapping[int, WoodCostRow]
    usual: WoodCostRow
    credited: Mapping[int, Decimal]
    arrived: Mapping[int, datetime]

    @classmethod
    def of(cls, runs: Iterable[RunRow], seller: BusinessRow) -> "_Facts":
        run_ids = [run.id for run in runs]
        stops = [stop for run in runs for load in run.loads for stop in load.stops]
        carried = Stop.objects.filter(load__run__in=run_ids).values("order")
        credits = Payment.objects.filter(order__in=carried, kind=Payment.Kind.CREDIT)
        arrivals = DriverEvent.objects.filter(kind="arrived", stop__load__run__in=run_ids)
        return cls(
            wood=wood_costs(stop.lot_id for stop in stops if stop.lot_id),
            usual=usual_wood_cost(seller),
            credited=dict(credits.order_by().values_list("order_id").annotate(sum=Sum("dollars"))),
            arrived=dict(arrivals.order_by("-happened_at").values_list("stop_id", "happened_at")),
        )


@dataclass(frozen=True, slots=True)
class _Part:
    """One order's wood on one load, its parts there added up; `stop` is the first of them."""

    stop: StopRow
    cords: Fraction
    bundles: int
    share_of_order: Fraction
    wood: WoodCostRow


def _run_earned(run: RunRow, facts: _Facts, splits: Mapping[int, Split]) -> tuple[LoadEarned, ...]:
    names = {load.id: f"{run.on:%a} {run.on.day} {run.on:%b}, load {load.sequence}" for load in run.loads}
    parts = {load.id: _parts(load, facts) for load in run.loads}
    planned = {load.id: _planned(parts[load.id], splits[load.id], name=names[load.id]) for load in run.loads}
    actual = _actual(run, parts, planned, facts, splits)
    return tuple(
        _load_earned(
            run,
            load,
            splits[load.id],
            name=names[load.id],
            planned=planned[load.id],
            actual=actual.get(load.id, ()),
            parts=parts[load.id],
        )
        for load in run.loads
    )


def _parts(load: LoadRow, facts: _Facts) -> tuple[_Part, ...]:
    by_order: dict[int, list[StopRow]] = {}
    for stop in load.stops:
        by_order.setdefault(stop.order_id, []).append(stop)
    parts = []
    for stops in by_order.values():
        first = stops[0]
        cords = exact_sum(stop.cords for stop in stops)
        bundles = sum(stop.bundles for stop in stops)
        share = (
            cords / first.cords_asked if first.cords_asked else Fraction(bundles, first.bundles_asked or 1)
        )
        parts.append(
            _Part(
                stop=first,
                cords=cords or bundle_cords(bundles, first.bundle_ft3),
                bundles=bundles,
                share_of_order=min(Fraction(1), share),
                wood=facts.wood.get(first.lot_id or 0, facts.usual),
            )
        )
    return tuple(parts)


def _planned(parts: Sequence[_Part], split: Split, *, name: str) -> LoadMargin | None:
    if split.shares is None:
        return None
    return margins_of_load([_sale(part) for part in parts], shares=split.shares, rule=split.rule, name=name)


def _sale(part: _Part) -> Sale:
    stop = part.stop
    return Sale(
        order=str(stop.number),
        price=dollars_for(stop.total_dollars - stop.tax_dollars, part.share_of_order),
        cords=part.cords,
        wood=part.wood.cost,
        is_stacked=stop.stacked,
    )


def _actual(
    run: RunRow,
    parts: Mapping[int, Sequence[_Part]],
    planned: Mapping[int, LoadMargin | None],
    facts: _Facts,
    splits: Mapping[int, Split],
) -> dict[int, tuple[Margin, ...]]:
    """The margins of each load's drops as they really were; none while a run is out or a load has no plan."""
    if run.actual_leave_at is None or run.actual_home_at is None or not run.loads:
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
    driven = iter(margins_as_driven(margins, happened, minutes=Fraction(seconds, 60), road=road))
    return {load.id: tuple(next(driven) for _ in parts[load.id]) for load in run.loads}


def _happened(part: _Part, planned: Margin, load: LoadRow, facts: _Facts) -> Happened:
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


def _own_minutes(part: _Part, planned: Margin, load: LoadRow, facts: _Facts) -> Fraction:
    """Loading as planned, and the halt from arriving to done where the phone told both."""
    arrived, done = facts.arrived.get(part.stop.id), part.stop.done_at
    if arrived is None or done is None or done <= arrived:
        return planned.own_minutes
    load_minutes = Fraction(load.yard.load_minutes_per_cord) * part.cords
    return load_minutes + Fraction(int((done - arrived).total_seconds()), 60)


def _miles(told: Decimal | None, meters: int) -> Fraction:
    return Fraction(told) if told is not None else meters / METERS_PER_MILE


def _load_earned(
    run: RunRow,
    load: LoadRow,
    split: Split,
    *,
    name: str,
    planned: LoadMargin | None,
    actual: tuple[Margin, ...],
    parts: Sequence[_Part],
) -> LoadEarned:
    return LoadEarned(
        id=load.id,
        run_id=run.id,
        on=run.on,
        rig=run.rig.name,
        yard=load.yard.name,
        sequence=load.sequence,
        name=name,
        is_home=run.actual_home_at is not None,
        is_estimate=split.is_estimate,
        trouble=split.trouble,
        planned=planned,
        actual=added_up(actual, name=name) if actual else None,
        drops=tuple(
            _drop(part, order, actual[place] if actual else None, planned.shares.of(str(part.stop.number)))
            for place, (part, order) in enumerate(zip(parts, planned.orders, strict=True))
        )
        if planned
        else (),
        rates=split.rates,
        rule=split.rule,
    )


def _drop(part: _Part, planned: Margin, actual: Margin | None, share: Share) -> DropEarned:
    stop = part.stop
    return DropEarned(
        number=stop.number,
        customer=stop.customer,
        town=stop.town or "",
        market=stop.market,
        market_name=stop.market_name,
        is_far=stop.is_far,
        wood=stop.wood,
        cords=part.cords,
        bundles=part.bundles,
        stacked=stop.stacked,
        state=stop.state,
        state_words=STATE_WORDS[stop.state],
        lot=stop.lot or "",
        planned=planned,
        actual=actual,
        share=share,
        wood_from=part.wood.source,
    )
