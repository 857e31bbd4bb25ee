"""What one more drop would add to a day's driving: a quick look at every gap of every load already set.

The quick answer behind the days on offer: the cheapest gap by miles and minutes. Windows and the order of
drops are left to the planner, which has the last word when the day is planned; the customer's price stands.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

from django.db.models import F, Q, QuerySet

from inventory.core.money import dollars as to_the_cent
from orders.core.floors import DayRoad
from orders.models import Order, OrderHold
from routing.core.costs import RunningRates
from routing.core.roads import CAR, EngineDown, Leg, Matrix, OffTheMap, Point
from routing.engines import current_engine
from routing.models import Day, Rig, Shut, Stop
from routing.selectors.roads import drives_between

SET_STATES = (Order.State.CONFIRMED, Order.State.PLANNED)
SUNDAY = 6
STOP_FIELDS = (
    "load_id",
    "load__yard__lat",
    "load__yard__lon",
    "load__run__day__on",
    "load__run__rig__capacity_ft3",
    "load__run__rig__heap_number",
    "order_id",
    "order__place__lat",
    "order__place__lon",
    "cords",
)
HELD_FIELDS = (
    "order_id",
    "order__promised_on",
    "order__first_on",
    "order__cords",
    "order__place__lat",
    "order__place__lon",
    "hold__lot__yard__lat",
    "hold__lot__yard__lon",
)
LOOSE_FT3 = Fraction(180)  # of a cord, where the rig's own heap number is not known (Maine 10 MRSA 2302)
MOST_LEGS = 20_000
_LEGS: dict[tuple[str, Point, Point], Leg | None] = {}  # what does not change while the roads do not


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """A load that is set for a day: where it goes, from yard to yard or home, and what rides on it."""

    points: tuple[Point, ...]
    drops: int
    cords: Fraction
    room_cords: Fraction


def day_roads(
    *,
    dates: tuple[date, ...],
    to: Point,
    cords: Fraction,
    alone_dollars: Decimal,
    rates: RunningRates | None,
    wage: Decimal,
    planned: Collection[int] = (),
) -> tuple[DayRoad, ...]:
    """The added road cost of a drop on each of these dates.

    Units
        alone_dollars: the road cost of a run for this drop alone, used where nothing is set that day.
        wage: dollars an hour at the wheel.
        planned: orders (ids) on the plan of another day on offer; they are no loads of their own.
    """
    trips = trips_on(dates, planned=planned)
    reach = _Reach(to=to, trips=[trip for on in dates for trip in trips[on]])
    roads = []
    for on in dates:
        best, drops = alone_dollars, 0
        for trip in trips[on]:
            if rates is None or trip.cords + cords > trip.room_cords:
                continue
            added = reach.added_dollars(trip, rates=rates, wage=wage)
            if added is not None and added < best:
                best, drops = added, trip.drops
        roads.append(DayRoad(on=on, marginal_dollars=best, drops_already=drops))
    return tuple(roads)


def open_dates(dates: Iterable[date], *, town_id: int | None) -> tuple[date, ...]:
    """Those on which a drop in the town can be offered: no Sundays, no days done, no shut roads."""
    wanted = tuple(dates)
    done = set(Day.objects.filter(on__in=wanted, state=Day.State.DONE).values_list("on", flat=True))
    shuts = list(
        Shut.objects.filter(kind=Shut.Kind.ROAD, town_id=town_id) if town_id else Shut.objects.none()
    )
    return tuple(
        on
        for on in wanted
        if on.weekday() != SUNDAY
        and on not in done
        and not any(shut.from_on <= on <= shut.to_on and shut.from_time is None for shut in shuts)
    )


def trips_on(dates: tuple[date, ...], *, planned: Collection[int] = ()) -> dict[date, list[Trip]]:
    """Loads planned for each day, and orders set for a day that are not planned yet as loads of their own."""
    found: dict[date, list[Trip]] = defaultdict(list)
    loads: dict[int, list[dict[str, Any]]] = defaultdict(list)
    on_plans = set(planned)
    stops = Stop.objects.filter(load__run__day__on__in=dates).order_by("load", "sequence")
    for row in stops.values(*STOP_FIELDS):
        loads[row["load_id"]].append(row)
        on_plans.add(row["order_id"])
    for on_board in loads.values():
        load = on_board[0]
        yard = Point(lat=load["load__yard__lat"], lon=load["load__yard__lon"])
        spots = [_point(row["order__place__lat"], row["order__place__lon"]) for row in on_board]
        found[load["load__run__day__on"]].append(
            Trip(
                points=(yard, *(spot for spot in spots if spot is not None), yard),
                drops=len({row["order_id"] for row in on_board}),
                cords=sum((row["cords"] for row in on_board), Fraction(0)),
                room_cords=Fraction(load["load__run__rig__capacity_ft3"])
                / Fraction(load["load__run__rig__heap_number"]),
            )
        )
    set_rows = list(_set_for(dates).values(*HELD_FIELDS))
    room = _most_room() if set_rows else Fraction(0)
    for row in set_rows:
        spot = _point(row["order__place__lat"], row["order__place__lon"])
        if spot is None or row["order_id"] in on_plans:
            continue
        on_plans.add(row["order_id"])
        yard = Point(lat=row["hold__lot__yard__lat"], lon=row["hold__lot__yard__lon"])
        found[row["order__promised_on"] or row["order__first_on"]].append(
            Trip(points=(yard, spot, yard), drops=1, cords=row["order__cords"], room_cords=room)
        )
    return found


def _set_for(dates: tuple[date, ...]) -> QuerySet[OrderHold]:
    """What is held for orders that come on one of the dates and on no other."""
    promised = Q(order__promised_on__in=dates)
    only_then = Q(order__promised_on=None, order__first_on=F("order__last_on"), order__first_on__in=dates)
    links = OrderHold.objects.filter(order__state__in=SET_STATES, order__how=Order.How.DELIVERED)
    return links.filter(promised | only_then).order_by("order", "id")


class _Reach:
    """Drives between a new place and all points of the trips, asked of the roads once."""

    def __init__(self, *, to: Point, trips: list[Trip]) -> None:
        self.to = to
        self.points = sorted({point for trip in trips for point in trip.points})
        self.at = {point: row for row, point in enumerate(self.points)}
        self.known: tuple[Matrix, Matrix] | None = None
        self.straight: dict[tuple[Point, Point], Leg | None] = {}
        if not self.points:
            return
        try:
            self.known = (drives_between(self.points, [to], CAR), drives_between([to], self.points, CAR))
            self.straight = _straight_legs(trips)
        except (EngineDown, OffTheMap):
            self.known = None

    def added_dollars(self, trip: Trip, *, rates: RunningRates, wage: Decimal) -> Decimal | None:
        """The cheapest gap of a trip for the new place; None where no road is known."""
        options = []
        for before, after in pairwise(trip.points):
            legs = self._legs(before, after)
            if legs is not None:
                there, onward, straight = legs
                meters = max(0, there.meters + onward.meters - straight.meters)
                seconds = max(0, there.seconds + onward.seconds - straight.seconds)
                miles = Fraction(meters) / Fraction("1609.344")
                cost = miles * Fraction(rates.loaded_mile) + Fraction(seconds, 3600) * Fraction(wage)
                options.append(cost)
        return to_the_cent(min(options)) if options else None

    def _legs(self, before: Point, after: Point) -> tuple[Leg, Leg, Leg] | None:
        if self.known is None:
            return None
        to_new, from_new = self.known
        there = to_new.leg(self.at[before], 0)
        onward = from_new.leg(0, self.at[after])
        straight = self.straight.get((before, after))
        if there is None or onward is None or straight is None:
            return None
        return there, onward, straight


def _straight_legs(trips: list[Trip]) -> dict[tuple[Point, Point], Leg | None]:
    """The drives the trips make as they are; each is asked of the tables once in this process."""
    engine = current_engine().key
    found: dict[tuple[Point, Point], Leg | None] = {}
    for trip in trips:
        pairs = list(pairwise(trip.points))
        if any((engine, *pair) not in _LEGS for pair in pairs):
            starts, ends = trip.points[:-1], trip.points[1:]
            matrix = drives_between(starts, ends, CAR)
            if len(_LEGS) > MOST_LEGS:
                _LEGS.clear()
            for row, pair in enumerate(pairs):
                _LEGS[engine, *pair] = matrix.leg(row, row)
        found.update({pair: _LEGS[engine, *pair] for pair in pairs})
    return found


def _point(lat: float | None, lon: float | None) -> Point | None:
    return None if lat is None or lon is None else Point(lat=lat, lon=lon)


def _most_room() -> Fraction:
    rooms = [
        Fraction(rig.capacity_ft3) / Fraction(rig.heap_number or LOOSE_FT3)
        for rig in Rig.objects.filter(works=True)
    ]
    return max(rooms, default=Fraction(0))
