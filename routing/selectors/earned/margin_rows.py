"""The columns the margins read of runs, their loads and drops: bare values, four queries however many.

A month holds hundreds of loads, so no model instances are made of them; named tuples take a row as it comes.
"""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from django.db.models import QuerySet

from routing.earned.costs import RunningRates
from routing.models import Load, Run, Stop
from routing.selectors.rigs import rates_by_rig


class YardSpot(NamedTuple):
    """A yard where a load begins or a run ends. Units: minutes."""

    id: int
    name: str
    lat: float
    lon: float
    load_fixed_minutes: Decimal
    load_minutes_per_cord: Decimal


class StopRow(NamedTuple):
    """A drop, its order and its lot; what was asked is of the whole order. Units: dollars, meters."""

    id: int
    load_id: int
    sequence: int
    cords: Fraction
    bundles: int
    leg_meters: int
    leg_seconds: int
    state: str
    done_at: datetime | None
    order_id: int
    number: int
    customer: str
    town: str | None
    market_name: str
    is_far: bool
    wood: str
    stacked: bool
    cords_asked: Fraction
    bundles_asked: int
    delivered_cords: Fraction | None
    total_dollars: Decimal
    tax_dollars: Decimal
    lat: float | None
    lon: float | None
    town_lat: float | None
    town_lon: float | None
    lot_id: int | None
    lot: str | None
    bundle_ft3: Decimal | None


class LoadRow(NamedTuple):
    """A load of a run with its stops in the order of the drive."""

    id: int
    sequence: int
    weight_lb: int
    leg_meters: int
    leg_seconds: int
    yard: YardSpot
    stops: tuple[StopRow, ...]


class RunRow(NamedTuple):
    """A run with its loads in order. Units: meters, miles as the driver told them.

    rig_seen: whatever of the rig may change its roads. rates: all of its running costs; wages: of driver
    and helper, None where the rig's counts.
    """

    id: int
    on: date
    day_state: str
    rig: str
    loaded_meters: int
    empty_meters: int
    actual_leave_at: datetime | None
    actual_home_at: datetime | None
    actual_loaded_miles: Decimal | None
    actual_empty_miles: Decimal | None
    wages: tuple[Decimal | None, ...]
    rig_seen: tuple[object, ...]
    home: YardSpot
    rates: tuple[RunningRates, ...]
    loads: tuple[LoadRow, ...]


YARD = ("id", "name", "lat", "lon", "load_fixed_minutes", "load_minutes_per_cord")
RIG = ("id", "has_trailer", "truck_lb", "trailer_empty_lb", "length_ft", "height_ft", "top_speed_mph")
RUN = (
    "id", "day__on", "day__state", "rig__name", "loaded_meters", "empty_meters", "actual_leave_at",
    "actual_home_at", "actual_loaded_miles", "actual_empty_miles", "driver__wage_hour", "helper_id",
    "helper__wage_hour",
    *(f"rig__{name}" for name in RIG),
    *(f"rig__home_yard__{name}" for name in YARD),
)  # fmt: skip
LOAD = (
    "run_id", "id", "sequence", "weight_lb", "leg_meters", "leg_seconds", *(f"yard__{name}" for name in YARD)
)  # fmt: skip
STOP = (
    "id", "load_id", "sequence", "cords", "bundles", "leg_meters", "leg_seconds", "state", "done_at",
    "order_id", "order__number", "order__customer__name", "order__place__town__name", "order__market__name",
    "order__market__is_far", "order__wood", "order__stacked", "order__cords", "order__bundles",
    "order__delivered_cords", "order__total_dollars", "order__tax_dollars",
    "order__place__lat", "order__place__lon", "order__place__town__lat", "order__place__town__lon", "lot_id",
    "lot__code", "lot__bundle_ft3",
)  # fmt: skip
WAGES_AT = RUN.index("driver__wage_hour")
RIG_AT, HOME_AT, YARD_AT = RUN.index("rig__id"), RUN.index("rig__home_yard__id"), LOAD.index("yard__id")


def run_rows(runs: QuerySet[Run]) -> tuple[RunRow, ...]:
    """Runs with their loads and drops, newest day first."""
    rows = list(runs.order_by("-day__on", "rig__name", "id").values_list(*RUN))
    run_ids = [row[0] for row in rows]
    rates = rates_by_rig({row[RIG_AT] for row in rows})
    loads = _loads(run_ids)
    return tuple(
        RunRow._make(
            (
                *row[:WAGES_AT],
                _wages(*row[WAGES_AT:RIG_AT]),
                row[RIG_AT:HOME_AT],
                YardSpot._make(row[HOME_AT:]),
                rates[row[RIG_AT]],
                tuple(loads[row[0]]),
            )
        )
        for row in rows
    )


def _wages(
    driver: Decimal | None, helper_id: int | None, helper: Decimal | None
) -> tuple[Decimal | None, ...]:
    return (driver, helper) if helper_id is not None else (driver,)


def _loads(run_ids: list[int]) -> Mapping[int, list[LoadRow]]:
    stops = defaultdict(list)
    for row in Stop.objects.filter(load__run__in=run_ids).order_by("load_id", "sequence").values_list(*STOP):
        stop = StopRow._make(row)
        stops[stop.load_id].append(stop)
    yards: dict[int, YardSpot] = {}
    loads = defaultdict(list)
    for row in Load.objects.filter(run__in=run_ids).order_by("run_id", "sequence").values_list(*LOAD):
        yard = yards.setdefault(row[YARD_AT], YardSpot._make(row[YARD_AT:]))
        loads[row[0]].append(LoadRow._make((*row[1:YARD_AT], yard, tuple(stops[row[1]]))))
    return loads
