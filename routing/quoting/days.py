"""The days on offer: what bringing one more drop adds to what is driven on each of them anyway.

The planner answers, with every window, weight and hour kept: on planned days for the runs as they stand, on
days that are not planned yet for the orders that can only come then, each as a load of its own. A day nobody
drives on costs what the drive costs alone.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import F, Q

from inventory.models import Lot
from orders.core.drives import Drive
from orders.core.floors import DayRoad, SellerCost
from orders.core.order_request import OrderRequest
from orders.core.picking import Pick
from orders.models import Customer, Order, Place
from routing.core import RoutingError
from routing.core.day_clock import time_at
from routing.core.roads import Point
from routing.models import Day, Rig, Shut, Stop
from routing.planner.clock import NoSuchTime, timed_run
from routing.planner.hand_edits import as_it_stands, without_parts
from routing.planner.insertion import InsertionOffer, insertion_offers
from routing.planner.plan import Plan
from routing.planner.sketches import RunSketch
from routing.selectors.drivers import usual_crews
from routing.selectors.planning.parcels import Newcomer
from routing.selectors.planning.plans import open_runs_of, sketch_of
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import MAY_GO, Prepared, prepare

DAYS_AHEAD = 14
SUNDAY = 6
FREE_STATES = (Day.State.OPEN, Day.State.DRAFT, Day.State.FIXED)
CENTS = Decimal(100)
ALONE_WITHOUT_RATES = Decimal(3)  # dollars a mile, dearer than any fee: nothing is given away unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class DayByPlan(DayRoad):
    """What bringing the drop on a day adds to what is driven anyway, road and driver, as the planner would.

    begins_at: when unloading would begin.
    """

    rig: str
    yards: tuple[str, ...]
    begins_at: time


def drives_on_offer(
    *,
    order_request: OrderRequest,
    lat: float,
    lon: float,
    town_id: int | None,
    drive: Drive,
    cost: SellerCost | None,
    first_on: date,
    picks: Iterable[Pick],
) -> tuple[DayRoad, ...]:
    """What coming on each of the next days would add; days on which no rig can bring it are left out.

    Where the planner cannot answer, and where it would be a run of its own, a day costs the drive alone.

    Shapes
        picks: the lots it would take; with none the planner is not asked.
    """
    alone = cost.road_dollars if cost else Decimal(drive.miles) * ALONE_WITHOUT_RATES
    handling = cost.handling_dollars if cost else Decimal(0)
    dates = _open_dates((first_on + timedelta(days=ahead) for ahead in range(DAYS_AHEAD)), town_id=town_id)
    roads = {on: DayRoad(on=on, marginal_dollars=alone) for on in dates}
    lots = tuple((pick.lot, pick.cords) for pick in picks)
    planned = _planned_dates(dates)
    promised = _promised(on for on in dates if on not in planned)
    busy = sorted(planned | promised.keys())
    if not lots or not busy:
        return tuple(roads.values())
    try:
        offers = day_offers(
            dates=busy,
            lat=lat,
            lon=lon,
            picks=lots,
            stacked=order_request.stacked,
            small_rig_only=order_request.small_rig_only,
            exact=True,
            promised=promised,
        )
    except RoutingError:
        return tuple(roads.values())
    for on in planned:
        del roads[on]
    for offer in offers:
        added = max(Decimal(0), offer.marginal_dollars - handling)
        roads[offer.on] = replace(offer, marginal_dollars=added if offer.drops_already else alone)
    return tuple(roads[on] for on in sorted(roads))


def day_offers(
    *,
    dates: Sequence[date],
    lat: float,
    lon: float,
    picks: Sequence[tuple[str, Fraction]],
    stacked: bool = False,
    small_rig_only: bool = False,
    window_from: time = time(8),
    window_to: time = time(18),
    exact: bool = False,
    promised: Mapping[date, Sequence[int]] | None = None,
) -> tuple[DayByPlan, ...]:
    """The cheapest way to bring one more drop on each date; dates on which no rig can are left out.

    Every stored run is open to it as far as its hours go, and so is a run of its own on each date.

    Shapes
        picks: (lot code, cords) it would take. exact: put each run in its best order as well.
        promised: numbers of orders not planned yet that come on a date whatever happens.

    Errors
        BadPoint, EngineDown, NoRates, NoRigOut
    """
    days = {day.on: day for day in Day.objects.filter(on__in=list(dates))}
    free = [on for on in sorted(dates) if on not in days or days[on].state in FREE_STATES]
    lots = {
        lot.code: lot
        for lot in Lot.objects.filter(code__in=[code for code, _ in picks]).select_related("yard")
    }
    if not free or len(lots) < len({code for code, _ in picks}):
        return ()
    promised = promised or {}
    prepared = prepare(
        open_runs=_open_runs(free),
        order_numbers=_booked(free).union(*promised.values()),
        must_go=True,
        keep_parts=True,
        newcomer=Newcomer(
            order=_imagined(free, stacked, small_rig_only, window_from, window_to),
            point=Point(lat=lat, lon=lon),
            picks=tuple((lots[code], cords) for code, cords in picks),
        ),
    )
    if prepared.newcomer is None:
        return ()
    sketches = (*_still_going(free, prepared.parts), *_loads_of_their_own(prepared, promised))
    booked = as_it_stands(prepared.problem, sketches)
    offers = insertion_offers(prepared.problem, booked, prepared.newcomer, exact=exact)
    return _cheapest_by_day(prepared, offers, booked)


def _cheapest_by_day(
    prepared: Prepared, offers: Sequence[InsertionOffer], booked: Plan
) -> tuple[DayByPlan, ...]:
    names = {yard.id: yard.label for yard in prepared.problem.yards}
    rigs = {rig.id: rig.label for rig in prepared.problem.rigs}
    runs = {run.id: run for run in prepared.problem.runs}
    best: dict[date, DayByPlan] = {}
    for offer in offers:
        run = booked.run_of(offer.run.id)
        found = DayByPlan(
            on=prepared.dates[offer.date],
            marginal_dollars=Decimal(max(0, offer.cost_c)) / CENTS,
            drops_already=len({prepared.parts[part].number for part in run.parts}) if run else 0,
            rig=rigs[runs[offer.run.id].rig],
            yards=tuple(names[yard] for yard in offer.yards),
            begins_at=time_at(offer.begin_s),
        )
        if found.on not in best or found.marginal_dollars < best[found.on].marginal_dollars:
            best[found.on] = found
    return tuple(best[on] for on in sorted(best))


def _open_dates(dates: Iterable[date], *, town_id: int | None) -> tuple[date, ...]:
    """Those on which a drop in the town can be offered: no Sundays, no days done, no shut roads."""
    wanted = tuple(dates)
    done = set(Day.objects.filter(on__in=wanted, state=Day.State.DONE).values_list("on", flat=True))
    shuts = Shut.objects.filter(kind=Shut.Kind.ROAD, town_id=town_id, from_time=None) if town_id else ()
    closed = [(shut.from_on, shut.to_on) for shut in shuts]
    return tuple(
        on
        for on in wanted
        if on.weekday() != SUNDAY
        and on not in done
        and not any(first <= on <= last for first, last in closed)
    )


def _planned_dates(dates: Collection[date]) -> set[date]:
    stops = Stop.objects.filter(load__run__day__on__in=dates).order_by()
    return set(stops.values_list("load__run__day__on", flat=True).distinct())


def _promised(dates: Iterable[date]) -> dict[date, list[int]]:
    """Orders on no plan that come on one of the dates and on no other, by date."""
    wanted = tuple(dates)
    only_then = Q(promised_on=None, first_on=F("last_on"), first_on__in=wanted)
    rows = (
        Order.objects.filter(Q(promised_on__in=wanted) | only_then, state__in=MAY_GO, how=Order.How.DELIVERED)
        .exclude(stops__state=Stop.State.PLANNED)
        .order_by("number")
    )
    found: dict[date, list[int]] = defaultdict(list)
    for number, promised_on, first_on in rows.values_list("number", "promised_on", "first_on"):
        found[promised_on or first_on].append(number)
    return dict(found)


def _open_runs(dates: Sequence[date]) -> tuple[OpenRun, ...]:
    """Stored runs with their hours, and every other working rig with the usual ones."""
    stored = open_runs_of(dates)
    known = {open_run.id for open_run in stored}
    working = list(Rig.objects.filter(works=True).values_list("pk", flat=True))
    crews = usual_crews(working)
    others = [
        OpenRun(rig_id=rig_id, on=on, driver_id=crews[rig_id][0], helper_id=crews[rig_id][1])
        for on in dates
        for rig_id in working
    ]
    return (*stored, *(open_run for open_run in others if open_run.id not in known))


def _booked(dates: Sequence[date]) -> set[int]:
    """Orders on the stored plans that are still to be brought."""
    stops = Stop.objects.filter(load__run__day__on__in=list(dates), order__state__in=MAY_GO)
    return set(stops.values_list("order__number", flat=True))


def _still_going(dates: Sequence[date], parts: Collection[str]) -> tuple[RunSketch, ...]:
    """What the stored plans of the dates still bring; drops that were called off or delivered are gone."""
    going = []
    for run, loads in sketch_of(dates):
        gone = {part for _, stops in loads for part in stops} - set(parts)
        kept = [without_parts(load, gone) for load in loads]
        going.append((run, tuple(load for load in kept if load[1])))
    return tuple(going)


def _loads_of_their_own(prepared: Prepared, promised: Mapping[date, Sequence[int]]) -> tuple[RunSketch, ...]:
    """Promised orders as loads of their own, on the first rig of their day that may bring them in its hours.

    Those that fit nowhere so are left to the planning of their day.
    """
    problem = prepared.problem
    roomy = sorted(problem.rigs, key=lambda rig: (-rig.cap_ft3, rig.id))
    no_trailer = {order.id for order in problem.orders if order.no_trailer}
    runs: dict[str, RunSketch] = {}
    for on, numbers in promised.items():
        for number in numbers:
            parts = [part for part in prepared.parts.values() if part.number == number]
            loads = tuple((str(part.yard_id), (part.id,)) for part in parts)
            for rig in roomy:
                if rig.has_trailer and str(number) in no_trailer:
                    continue
                run = OpenRun(rig_id=int(rig.id), on=on).id
                longer = (run, (*runs.get(run, (run, ()))[1], *loads))
                try:
                    timed_run(problem, longer)
                except NoSuchTime:
                    continue
                runs[run] = longer
                break
    return tuple(runs.values())


def _imagined(
    dates: Sequence[date], stacked: bool, small_rig_only: bool, window_from: time, window_to: time
) -> Order:
    """A row that is never saved."""
    return Order(
        number=0,
        customer=Customer(name="a new customer"),
        place=Place(address=""),
        stacked=stacked,
        small_rig_only=small_rig_only,
        total_dollars=Decimal(0),
        window_from=window_from,
        window_to=window_to,
        first_on=dates[0],
        last_on=dates[-1],
    )
