"""The driving of the seasons in bulk: days, runs, loads, drops, what phones told, and the rigs it took."""

from collections import defaultdict
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils import timezone

from orders.models import Order
from routing.models import Day, Driver, DriverEvent, Load, Rig, Run, Stop

LOADS_A_RUN = 4
HOURS_A_LOAD = 2


def noon(on: date, hour: int = 12) -> datetime:
    return timezone.make_aware(datetime.combine(on, time(hour)))


def _filled(orders: list[Order]) -> list[list[Order]]:
    """The day's orders in loads of a cord at most, one after the other."""
    loads: list[list[Order]] = []
    for order in sorted(orders, key=lambda row: (row.place.town_id, row.number)):
        if loads and sum((row.cords for row in loads[-1]), order.cords) <= 1:
            loads[-1].append(order)
        else:
            loads.append([order])
    return loads


def drive(maker: Any, orders: list[Order]) -> None:
    """Days, runs, loads and drops: a cord a load, four loads a run, as many rigs as it takes."""
    by_day: dict[date, list[Order]] = defaultdict(list)
    for order in orders:
        by_day[order.delivered_on].append(order)
    fillings = {on: _filled(orders) for on, orders in by_day.items()}
    _rigs(maker, -(-max(map(len, fillings.values())) // LOADS_A_RUN))
    days = maker.keep(
        [
            Day(
                on=on,
                state=Day.State.DONE,
                proof="optimal",
                version=2,
                cost_cents=9000,
                lower_bound_cents=9000,
                gap_percent=Decimal(0),
                engine="estimate",
                is_estimate=True,
                planned_at=noon(on, 5),
                committed_at=noon(on, 6),
            )
            for on in by_day
        ]
    )
    driver, _ = Driver.objects.get_or_create(name="Tam")
    runs, loads, stops, events = [], [], [], []
    for day in days:
        day_loads = fillings[day.on]
        for place in range(0, len(day_loads), LOADS_A_RUN):
            run = Run(
                day=day, rig=maker.rigs[place // LOADS_A_RUN], driver=driver, loaded_meters=40_000,
                empty_meters=40_000, paid_seconds=6 * 3600, cost_cents=9000, is_frozen=True,
                leaves_at=time(7), home_at=time(15), actual_leave_at=noon(day.on, 7),
                actual_home_at=noon(day.on, 15), actual_loaded_miles=Decimal(25),
                actual_empty_miles=Decimal(25),
            )  # fmt: skip
            runs.append(run)
            for sequence, drops in enumerate(day_loads[place : place + LOADS_A_RUN], start=1):
                _load(maker, run, sequence, drops, loads, stops, events)
    for rows in (runs, loads, stops, events):
        maker.keep(rows)


def _load(
    maker: Any,
    run: Run,
    sequence: int,
    orders: list[Order],
    loads: list[Load],
    stops: list[Stop],
    events: list[DriverEvent],
) -> None:
    hour = 7 + HOURS_A_LOAD * (sequence - 1)
    cords = sum((order.cords for order in orders), Fraction(0))
    load = Load(
        run=run, sequence=sequence, yard=maker.dice.choice(maker.yards), cords=cords,
        loose_ft3=Decimal(180), weight_lb=3000, arrive_at=time(hour), begin_at=time(hour),
        leave_at=time(hour, 40), leg_meters=9000, leg_seconds=900,
    )  # fmt: skip
    loads.append(load)
    for place, order in enumerate(orders, start=1):
        done = noon(run.day.on, hour) + timedelta(minutes=40 + 30 * place)
        stop = Stop(
            load=load, sequence=place, order=order, cords=order.cords, lot=order.lot_used,
            leg_meters=11_000, leg_seconds=1100, unload_seconds=900, state=Stop.State.DELIVERED,
            done_at=done, arrive_at=time(hour, 50), begin_at=time(hour, 50), leave_at=time(hour + 1),
        )  # fmt: skip
        stops.append(stop)
        for kind, at in (("arrived", done - timedelta(minutes=20)), ("delivered", done)):
            events.append(
                DriverEvent(
                    kind=kind, stop=stop, load=load, run=run, order=order, input={"kind": kind},
                    happened_at=at, received_at=at, who="tam", outcome="applied",
                )
            )  # fmt: skip


def _rigs(maker: Any, count: int) -> None:
    """Rigs of past seasons, sold since: they stand in the books and plan nothing now."""
    pattern = maker.rigs[0]
    costs = list(pattern.running_costs.order_by("from_on"))
    while len(maker.rigs) < count:
        rig = Rig.objects.get(pk=pattern.pk)
        rig.pk = None
        rig.name, rig.works = f"Old rig {len(maker.rigs)}", False
        rig._state.adding = True
        rig.save()
        maker.rigs.append(rig)
    for rig in maker.rigs:
        first = rig.running_costs.order_by("from_on").first()
        if first is None or first.from_on > maker.first_on:
            rig.running_costs.create(
                from_on=maker.first_on - timedelta(days=400), loaded_mile=costs[0].loaded_mile,
                empty_mile=costs[0].empty_mile,
            )  # fmt: skip
