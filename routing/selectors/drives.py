"""What a drive is before an order is made: from the nearest yard that holds the wood, and what one more
drop would add to each day's runs, to the cent and with every window, weight and hour kept.

A quicker guess without windows is `firewood_site.day_roads`; this is the exact answer behind it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from fractions import Fraction

from inventory.models import Lot, Yard
from orders.models import Customer, Order, Place
from routing.core.edit import as_it_stands
from routing.core.insertion import InsertionOffer, insertion_offers
from routing.core.plan import Plan, RunSketch
from routing.core.roads import CAR, Leg, Point
from routing.models import Day, Rig, Stop
from routing.selectors.parcels import Newcomer
from routing.selectors.plans import outings_of, sketch_of
from routing.selectors.problems import MAY_GO, Outing, Prepared, prepare
from routing.selectors.roads import drives_between, roads_now

FREE_STATES = (Day.State.OPEN, Day.State.DRAFT, Day.State.FIXED)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveRow:
    """One way from a yard. Units: meters, seconds; is_estimate = straight lines, to be labeled."""

    yard_id: int
    yard: str
    meters: int
    seconds: int
    is_estimate: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfferRow:
    """What bringing the drop on a day adds to what is driven anyway.

    Units
        added_cents: road and driver; drops_already: on the run it would join, 0 = a run of its own.
        begins_at: when unloading would begin. why: for the customer.
    """

    on: date
    added_cents: int
    drops_already: int
    rig: str
    yards: tuple[str, ...]
    begins_at: time
    why: str


def drive_to(*, lat: float, lon: float, wood: str, cords: Fraction) -> DriveRow | None:
    """The shortest drive from a yard with a lot of the wood that has so much open; None when none has.

    Errors
        BadPoint: no place on earth. EngineDown: the road engine does not answer.
    """
    lots = Lot.objects.filter(wood=wood, sale=Lot.Sale.FOR_SALE).select_related("yard")
    holding = {lot.yard for lot in lots if _open(lot) >= cords}
    return _nearest(lat, lon, holding)


def nearest_pick_up(*, lat: float, lon: float) -> DriveRow | None:
    """The nearest yard where customers may fetch wood.

    Errors
        BadPoint, EngineDown
    """
    return _nearest(lat, lon, set(Yard.objects.filter(pick_up_here=True)))


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
) -> tuple[DayOfferRow, ...]:
    """The cheapest way to bring one more drop on each date; dates on which no rig can are left out.

    Every stored run is open to it as far as its hours go, and so is a run of its own on each date.

    Shapes
        picks: (lot code, cords) it would take. exact: put each run in its best order as well.

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
    point = Point(lat=lat, lon=lon)
    prepared = prepare(
        outings=_outings(free),
        order_numbers=_booked(free),
        must_go=True,
        keep_parts=True,
        newcomer=Newcomer(
            order=_imagined(free, stacked, small_rig_only, window_from, window_to),
            point=point,
            picks=tuple((lots[code], cords) for code, cords in picks),
        ),
    )
    booked = as_it_stands(prepared.problem, _still_going(free, prepared.parts))
    if prepared.newcomer is None:
        return ()
    return _by_day(
        prepared, insertion_offers(prepared.problem, booked, prepared.newcomer, exact=exact), booked
    )


def _by_day(prepared: Prepared, offers: Sequence[InsertionOffer], booked: Plan) -> tuple[DayOfferRow, ...]:
    names = {yard.id: yard.label for yard in prepared.problem.yards}
    rigs = {rig.id: rig.label for rig in prepared.problem.rigs}
    shifts = {shift.id: shift for shift in prepared.problem.shifts}
    best: dict[date, DayOfferRow] = {}
    for offer in offers:
        on = prepared.dates[offer.date]
        run = booked.run_of(offer.shift)
        drops = len({part.split(".")[0] for part in run.parts}) if run else 0
        row = DayOfferRow(
            on=on,
            added_cents=max(0, offer.cost_c),
            drops_already=drops,
            rig=rigs[shifts[offer.shift].rig],
            yards=tuple(names[yard] for yard in offer.yards),
            begins_at=_clock(offer.begin_s),
            why="we are already coming your way" if drops else "a drive of its own",
        )
        if on not in best or row.added_cents < best[on].added_cents:
            best[on] = row
    return tuple(best[on] for on in sorted(best))


def _outings(dates: Sequence[date]) -> tuple[Outing, ...]:
    """Stored runs with their hours, and every other working rig with the usual ones."""
    stored = outings_of(dates)
    known = {outing.shift for outing in stored}
    working = list(Rig.objects.filter(works=True).values_list("pk", flat=True))
    others = [Outing(rig_id=rig_id, on=on) for on in dates for rig_id in working]
    return (*stored, *(outing for outing in others if outing.shift not in known))


def _booked(dates: Sequence[date]) -> set[int]:
    """Orders on the stored plans that are still to be brought."""
    stops = Stop.objects.filter(load__run__day__on__in=list(dates), order__state__in=MAY_GO)
    return set(stops.values_list("order__number", flat=True))


def _still_going(dates: Sequence[date], parts: Collection[str]) -> tuple[RunSketch, ...]:
    """What the stored plans of the dates still bring; drops that were called off or delivered are gone."""
    going = []
    for shift, loads in sketch_of(dates):
        kept = [(yard, tuple(part for part in stops if part in parts)) for yard, stops in loads]
        going.append((shift, tuple((yard, stops) for yard, stops in kept if stops)))
    return tuple(going)


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


def _nearest(lat: float, lon: float, yards: set[Yard]) -> DriveRow | None:
    rows = sorted(yards, key=lambda yard: yard.pk)
    if not rows:
        return None
    matrix = drives_between(
        [Point(lat=yard.lat, lon=yard.lon) for yard in rows], [Point(lat=lat, lon=lon)], CAR
    )
    reached: list[tuple[Leg, Yard]] = [
        (leg, yard) for row, yard in enumerate(rows) if (leg := matrix.leg(row, 0)) is not None
    ]
    if not reached:
        return None
    leg, yard = min(reached, key=lambda pair: (pair[0].meters, pair[1].pk))
    return DriveRow(
        yard_id=yard.pk,
        yard=yard.name,
        meters=leg.meters,
        seconds=leg.seconds,
        is_estimate=roads_now().is_estimate,
    )


def _open(lot: Lot) -> Fraction:
    return lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords


def _clock(seconds: int) -> time:
    seconds = max(0, min(seconds, 24 * 3600 - 1))
    return time(seconds // 3600, seconds // 60 % 60)
