"""What loads and orders leave: planned from the plan's rows, actual once the run is home.

The split of a load's drive is kept in the cache under everything it hangs on, so a month of loads is
read without asking the road again.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from hashlib import sha256

from django.core.cache import cache
from django.db.models import QuerySet, Sum

from inventory.core.money import dollars, from_cents, share_out, to_cents
from inventory.selectors.business import BusinessRow, business
from orders.models import Order, Payment
from routing.core import RoutingError
from routing.core.costs import (
    METERS_PER_MILE,
    DropWork,
    MinutesRule,
    RunningRates,
    exact_road_dollars,
    hand_minutes,
    minutes_rule,
    rates_on,
)
from routing.core.margins import LoadMargin, Margin, Sale, WoodCost, added_up, margins_of_load
from routing.core.roads import RoadEngine
from routing.core.shares import Share, split_load
from routing.engines import current_engine
from routing.models import DriverEvent, Load, RoadExtract, Run, Stop
from routing.selectors.load_roads import roads_of_load
from routing.selectors.wood_costs import WoodCostRow, usual_wood_cost, wood_costs

STACKED_FT3 = 128
KEEP_SECONDS = 14 * 86_400
DEFAULT_BUNDLE_FT3 = Fraction(3, 4)  # where the lot does not say


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


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderEarned:
    """One order over all the loads that carry a part of it.

    loads: (load id, name, the part's drop). margin: the parts added up, None while no load carries it.
    drive_price: what the customer pays for the drive; it stands, whatever the plan becomes.
    """

    number: int
    customer: str
    town: str
    market_name: str
    is_far: bool
    wood: str
    cords: Fraction
    bundles: int
    how: str
    state_words: str
    on: date | None
    price: Decimal
    loads: tuple[tuple[int, str, DropEarned], ...]
    margin: Margin | None
    trouble: str
    drive_price: Decimal = Decimal(0)

    @property
    def drive_left(self) -> Decimal | None:
        """What was charged for the drive less its share of the road as it is now, dollars."""
        return None if self.margin is None else self.drive_price - self.margin.road


def months_with_loads() -> tuple[date, ...]:
    """First days of the months that have loads, newest first."""
    return tuple(Run.objects.filter(loads__isnull=False).dates("day__on", "month", order="DESC"))


def loads_earned(first: date, last: date) -> tuple[LoadEarned, ...]:
    """Every load of some days and what it leaves, newest day first; the same few queries however many."""
    return _earned(Run.objects.filter(day__on__gte=first, day__on__lte=last), business())


def load_earned(load_id: int) -> LoadEarned | None:
    """One load and what it leaves."""
    rows = _earned(Run.objects.filter(loads=load_id), business())
    return next((row for row in rows if row.id == load_id), None)


def order_earned(number: int) -> OrderEarned | None:
    """One order and what it leaves, over its loads; a picked-up one needs no load."""
    order = Order.objects.select_related("customer", "market", "place__town").filter(number=number).first()
    if order is None:
        return None
    seller = business()
    runs = Run.objects.filter(loads__stops__order=order).distinct()
    loads = _earned(runs, seller)
    parts = tuple(
        (load.id, load.name, drop) for load in loads for drop in load.drops if drop.number == number
    )
    price = net_prices([order])[order.pk]
    trouble = next((load.trouble for load in loads if load.trouble), "")
    margin = None
    if parts:
        margin = added_up([drop.latest for _, _, drop in parts], name=str(number))
    elif order.how == Order.How.PICK_UP:
        margin = _picked_up(order, price, seller)
    elif not trouble:
        trouble = (
            "No load was kept for it, so its drive is not known."
            if order.delivered_on
            else "No load carries it yet: plan its day, then look here again."
        )
    return OrderEarned(
        number=order.number,
        customer=order.customer.name,
        town=order.place.town.name if order.place and order.place.town else "",
        market_name=order.market.name,
        is_far=order.market.is_far,
        wood=order.wood,
        cords=order.cords,
        bundles=order.bundles,
        how=order.how,
        state_words=str(order.get_state_display()),
        on=order.delivered_on or order.promised_on,
        price=price,
        loads=parts,
        margin=margin,
        trouble=trouble,
        drive_price=order.drive_dollars,
    )


def net_prices(orders: Iterable[Order]) -> dict[int, Decimal]:
    """Orders' prices without sales tax and less what was credited for short wood, in one query."""
    rows = list(orders)
    credits = dict(
        Payment.objects.filter(order_id__in=[row.pk for row in rows], kind=Payment.Kind.CREDIT)
        .order_by()
        .values_list("order_id")
        .annotate(sum=Sum("dollars"))
    )
    return {row.pk: row.total_dollars - row.tax_dollars - credits.get(row.pk, Decimal(0)) for row in rows}


def _picked_up(order: Order, price: Decimal, seller: BusinessRow) -> Margin:
    """A picked-up order: its wood and the loading, no road."""
    hold = order.order_holds.select_related("hold__lot").first()
    lot = hold.hold.lot if hold else None
    cost = wood_costs([lot.pk]).get(lot.pk) if lot else None
    cords = order.delivered_cords or order.cords or _bundle_cords(order.bundles, lot)
    used = (cost or usual_wood_cost(seller)).cost
    work = hand_minutes(DropWork(order=str(order.number), cords=cords), minutes_rule())
    return Margin(
        name=str(order.number),
        cords=cords,
        price=dollars(price),
        wood_cash=dollars(Fraction(used.cash) * cords),
        road=Decimal("0.00"),
        fees=Decimal("0.00"),
        own_minutes=work.loading + work.halt,
        joint_minutes=Fraction(0),
        wood_hours=used.hours * cords,
    )


def _earned(runs: QuerySet[Run], seller: BusinessRow) -> tuple[LoadEarned, ...]:
    rows = list(
        runs.select_related("day", "rig__home_yard")
        .prefetch_related(
            "rig__running_costs",
            "loads__yard",
            "loads__stops__lot",
            "loads__stops__order__customer",
            "loads__stops__order__market",
            "loads__stops__order__place__town",
        )
        .order_by("-day__on", "rig__name", "id")
    )
    stops = [stop for run in rows for load in run.loads.all() for stop in load.stops.all()]
    facts = _Facts.of(stops, seller)
    roads = RoadExtract.objects.filter(is_current=True).values_list("sha256", flat=True).first() or "none"
    keys = {load.pk: _split_key(run, load, roads) for run in rows for load in run.loads.all()}
    found = cache.get_many(keys.values()) if keys else {}
    kept = {load_id: found.get(key) for load_id, key in keys.items()}
    engine = current_engine() if None in kept.values() else None
    return tuple(earned for run in rows for earned in _run_earned(run, facts, kept, keys, engine))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Facts:
    """What is read once for all the loads of a page."""

    wood: Mapping[int, WoodCostRow]
    usual: WoodCostRow
    credited: Mapping[int, Decimal]
    arrived: Mapping[int, object]

    @classmethod
    def of(cls, stops: Sequence[Stop], seller: BusinessRow) -> "_Facts":
        orders = {stop.order_id: stop.order for stop in stops}
        arrived = {}
        if stops:
            arrived = dict(
                DriverEvent.objects.filter(kind="arrived", stop_id__in=[stop.pk for stop in stops])
                .order_by("-happened_at")
                .values_list("stop_id", "happened_at")
            )
        return cls(
            wood=wood_costs(stop.lot_id for stop in stops if stop.lot_id),
            usual=usual_wood_cost(seller),
            credited=net_prices(orders.values()) if orders else {},
            arrived=arrived,
        )


@dataclass(frozen=True, slots=True)
class _Part:
    """One order's wood on one load, its parts there added up."""

    stop: Stop
    cords: Fraction
    bundles: int
    share_of_order: Fraction
    wood: WoodCostRow


def _run_earned(
    run: Run,
    facts: _Facts,
    kept: Mapping[int, object],
    keys: Mapping[int, str],
    engine: RoadEngine | None,
) -> tuple[LoadEarned, ...]:
    loads = sorted(run.loads.all(), key=lambda row: row.sequence)
    planned: list[LoadEarned] = []
    parts_of: dict[int, tuple[_Part, ...]] = {}
    for place, load in enumerate(loads):
        parts = _parts(load, facts)
        parts_of[load.pk] = parts
        following = loads[place + 1] if place + 1 < len(loads) else None
        planned.append(
            _load_planned(
                run,
                load,
                parts,
                following=following,
                place=place,
                count=len(loads),
                kept=kept,
                keys=keys,
                engine=engine,
            )
        )
    if run.actual_leave_at is None or run.actual_home_at is None:
        return tuple(planned)
    return _with_actual(run, planned, parts_of, facts)


def _load_planned(
    run: Run,
    load: Load,
    parts: tuple[_Part, ...],
    *,
    following: Load | None,
    place: int,
    count: int,
    kept: Mapping[int, object],
    keys: Mapping[int, str],
    engine: RoadEngine | None,
) -> LoadEarned:
    rule = rule_of(load)
    name = f"{run.day.on:%a} {run.day.on.day} {run.day.on:%b}, load {load.sequence}"
    rates: RunningRates | None = None
    margin: LoadMargin | None = None
    is_estimate, trouble = False, ""
    try:
        if not parts:
            raise _EmptyLoad
        rates = rates_on(_rates(run), run.day.on)
        found = kept.get(load.pk)
        if not isinstance(found, tuple):
            fixed = from_cents(share_out(to_cents(rates.fixed_run), [1] * count)[place])
            roads, is_estimate = roads_of_load(run, load, following=following, fixed=fixed, engine=engine)
            found = (split_load(roads, rates=rates, rule=rule), is_estimate)
            cache.set(keys[load.pk], found, KEEP_SECONDS)
        shares, is_estimate = found
        margin = margins_of_load([_sale(part) for part in parts], shares=shares, rule=rule, name=name)
    except _EmptyLoad:
        trouble = "Nothing is on this load."
    except RoutingError as error:
        trouble = str(error)
    return LoadEarned(
        id=load.pk,
        run_id=run.pk,
        on=run.day.on,
        rig=run.rig.name,
        yard=load.yard.name,
        sequence=load.sequence,
        name=name,
        is_home=run.actual_home_at is not None,
        is_estimate=is_estimate,
        trouble=trouble,
        planned=margin,
        actual=None,
        drops=_drops(parts, margin),
        rates=rates,
        rule=rule,
    )


class _EmptyLoad(Exception):
    """A load without drops."""


def rule_of(load: Load) -> MinutesRule:
    """The minutes rule with the yard's own loading times."""
    return replace(
        minutes_rule(),
        yard_stop=Fraction(load.yard.load_fixed_minutes),
        load_per_cord=Fraction(load.yard.load_minutes_per_cord),
    )


def _rates(run: Run) -> tuple[RunningRates, ...]:
    return tuple(
        RunningRates(
            from_on=row.from_on,
            loaded_mile=row.loaded_mile,
            empty_mile=row.empty_mile,
            fixed_run=row.fixed_run,
            wage_hour=row.wage_hour,
        )
        for row in run.rig.running_costs.all()
    )


def _parts(load: Load, facts: _Facts) -> tuple[_Part, ...]:
    by_order: dict[int, list[Stop]] = {}
    for stop in sorted(load.stops.all(), key=lambda row: row.sequence):
        by_order.setdefault(stop.order_id, []).append(stop)
    parts = []
    for stops in by_order.values():
        first = stops[0]
        cords = sum((stop.cords for stop in stops), Fraction(0))
        bundles = sum(stop.bundles for stop in stops)
        if first.order.cords:
            share = min(Fraction(1), cords / first.order.cords)
        else:
            share = min(Fraction(1), Fraction(bundles, first.order.bundles or 1))
        parts.append(
            _Part(
                stop=first,
                cords=cords or _bundle_cords(bundles, first.lot),
                bundles=bundles,
                share_of_order=share,
                wood=facts.wood.get(first.lot_id or 0, facts.usual),
            )
        )
    return tuple(parts)


def _bundle_cords(bundles: int, lot: object) -> Fraction:
    each = getattr(lot, "bundle_ft3", None)
    return bundles * (Fraction(each) if each else DEFAULT_BUNDLE_FT3) / STACKED_FT3


def _sale(part: _Part) -> Sale:
    order = part.stop.order
    return Sale(
        order=str(order.number),
        price=dollars(Fraction(order.total_dollars - order.tax_dollars) * part.share_of_order),
        cords=part.cords,
        wood=part.wood.cost,
        is_stacked=order.stacked,
    )


def _drops(parts: tuple[_Part, ...], margin: LoadMargin | None) -> tuple[DropEarned, ...]:
    if margin is None:
        return ()
    drops = []
    for part, planned in zip(parts, margin.orders, strict=True):
        order = part.stop.order
        drops.append(
            DropEarned(
                number=order.number,
                customer=order.customer.name,
                town=order.place.town.name if order.place and order.place.town else "",
                market=order.market.key,
                market_name=order.market.name,
                is_far=order.market.is_far,
                wood=order.wood,
                cords=part.cords,
                bundles=part.bundles,
                stacked=order.stacked,
                state=part.stop.state,
                state_words=str(part.stop.get_state_display()),
                lot=part.stop.lot.code if part.stop.lot else "",
                planned=planned,
                actual=None,
                share=margin.shares.of(str(order.number)),
                wood_from=part.wood.source,
            )
        )
    return tuple(drops)


def _with_actual(
    run: Run, planned: Sequence[LoadEarned], parts_of: Mapping[int, tuple[_Part, ...]], facts: _Facts
) -> tuple[LoadEarned, ...]:
    """The loads with what really happened: the run's own miles and hours laid over the planned shares."""
    if any(load.planned is None or load.rates is None for load in planned):
        return tuple(planned)
    assert run.actual_home_at is not None
    assert run.actual_leave_at is not None
    drops = [
        (load, drop, part)
        for load in planned
        for drop, part in zip(load.drops, parts_of[load.id], strict=True)
    ]
    own = [_own_minutes(drop, part, facts) for _, drop, part in drops]
    seconds = int((run.actual_home_at - run.actual_leave_at).total_seconds())
    joint = max(Fraction(0), Fraction(seconds, 60) - sum(own, Fraction(0)))
    joint_planned = sum((drop.planned.joint_minutes for _, drop, _ in drops), Fraction(0))
    rates = planned[0].rates
    assert rates is not None
    road = exact_road_dollars(
        loaded_miles=_miles(run.actual_loaded_miles, run.loaded_meters),
        empty_miles=_miles(run.actual_empty_miles, run.empty_meters),
        rates=rates,
        fixed=rates.fixed_run,
    )
    weights = [Fraction(to_cents(drop.planned.road)) for _, drop, _ in drops]
    cents = share_out(to_cents(road), weights if sum(weights) > 0 else [1] * len(weights))
    happened: dict[int, list[DropEarned]] = {}
    for place, (load, drop, part) in enumerate(drops):
        minutes = joint * drop.planned.joint_minutes / joint_planned if joint_planned else joint / len(drops)
        margin = _actual(drop, part, facts, own=own[place], joint=minutes, road=from_cents(cents[place]))
        happened.setdefault(load.id, []).append(replace(drop, actual=margin))
    return tuple(
        replace(
            load,
            drops=tuple(happened[load.id]),
            actual=added_up([drop.actual for drop in happened[load.id] if drop.actual], name=load.name),
        )
        for load in planned
    )


def _actual(
    drop: DropEarned, part: _Part, facts: _Facts, *, own: Fraction, joint: Fraction, road: Decimal
) -> Margin:
    order = part.stop.order
    is_delivered = part.stop.state == Stop.State.DELIVERED
    is_whole = part.share_of_order == 1
    cords = order.delivered_cords if is_whole and order.delivered_cords is not None else drop.cords
    net = facts.credited[order.pk]
    price = dollars(Fraction(net) * part.share_of_order) if is_delivered else Decimal("0.00")
    if not is_delivered:
        cords = Fraction(0)
    over = max(Fraction(0), cords - drop.cords)
    cost: WoodCost = part.wood.cost
    return replace(
        drop.planned,
        cords=cords,
        price=price,
        wood_cash=dollars(Fraction(cost.cash) * cords),
        road=road,
        own_minutes=own,
        joint_minutes=joint,
        wood_hours=cost.hours * cords,
        over_given=dollars(Fraction(drop.planned.price) * over / drop.cords)
        if drop.cords
        else Decimal("0.00"),
    )


def _own_minutes(drop: DropEarned, part: _Part, facts: _Facts) -> Fraction:
    """Loading as planned, and the halt from arriving to done where the phone told both."""
    arrived, done = facts.arrived.get(part.stop.pk), part.stop.done_at
    if arrived is None or done is None or done <= arrived:  # type: ignore[operator]
        return drop.planned.own_minutes
    load_minutes = Fraction(part.stop.load.yard.load_minutes_per_cord) * drop.cords
    return load_minutes + Fraction(int((done - arrived).total_seconds()), 60)  # type: ignore[operator]


def _miles(told: Decimal | None, meters: int) -> Fraction:
    return Fraction(told) if told is not None else meters / METERS_PER_MILE


def _split_key(run: Run, load: Load, roads: str) -> str:
    """Everything the split of the drive hangs on."""
    costs = ",".join(
        f"{row.from_on}:{row.loaded_mile}:{row.empty_mile}:{row.fixed_run}:{row.wage_hour}"
        for row in run.rig.running_costs.all()
        if row.from_on <= run.day.on
    )
    spots = ";".join(
        f"{stop.order_id}@{stop.order.place.lat if stop.order.place else ''},"
        f"{stop.order.place.lon if stop.order.place else ''},{stop.leg_meters},{stop.leg_seconds}"
        for stop in sorted(load.stops.all(), key=lambda row: row.sequence)
    )
    yards = [run.rig.home_yard, *(other.yard for other in run.loads.all())]
    legs = ",".join(f"{other.leg_meters}:{other.leg_seconds}" for other in run.loads.all())
    around = ",".join(
        f"{yard.pk}:{yard.lat}:{yard.lon}:{yard.load_fixed_minutes}:{yard.load_minutes_per_cord}"
        for yard in yards
    )
    said = f"{roads}|{legs}|{run.rig_id}|{costs}|{load.sequence}|{load.weight_lb}|{around}|{spots}"
    return f"split-{load.pk}-{sha256(said.encode()).hexdigest()[:24]}"
