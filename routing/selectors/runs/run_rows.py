"""Rows of runs, their loads and drops as bare values: what margins, the calendar and the week read.

A month holds hundreds of loads, so no model instances are made of them. What a page shows of one day's runs
is built on the same rows in `runs` and `drops`.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime, time
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from django.db.models import QuerySet

from routing.core.day_clock import HaltTimes, RunHours
from routing.models import Load, Run, Stop


class YardSpot(NamedTuple):
    """A yard where a load begins or a run ends. Units: minutes."""

    id: int
    name: str
    lat: float
    lon: float
    load_fixed_minutes: Decimal
    load_minutes_per_cord: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRow(HaltTimes):
    """A drop's own columns."""

    id: int
    load_id: int
    order_id: int
    lot_id: int | None
    sequence: int
    part: int
    cords: Fraction
    bundles: int
    state: str
    done_at: datetime | None

    @property
    def is_open(self) -> bool:
        return self.state in (Stop.State.PLANNED, Stop.State.ARRIVED)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderStop(StopRow):
    """A drop, its order and its lot; what was asked is of the whole order. Units: dollars."""

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
    stops: tuple[OrderStop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow(RunHours):
    """A run's own columns, and of its day, rig and driver what names them."""

    id: int
    day_state: str
    version: int
    rig: str
    driver_name: str | None
    leaves_at: time | None
    home_at: time | None
    loaded_meters: int
    empty_meters: int
    actual_leave_at: datetime | None
    actual_home_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeRun(RunRow):
    """A run with its loads in order. Units: miles as the driver told them.

    rig_seen: whatever of the rig may change its roads. wages: of driver and helper, None where the rig's
    counts.
    """

    committed_at: datetime | None
    actual_loaded_miles: Decimal | None
    actual_empty_miles: Decimal | None
    wages: tuple[Decimal | None, ...]
    rig_seen: tuple[object, ...]
    home: YardSpot
    loads: tuple[LoadRow, ...]

    @property
    def stops(self) -> tuple[OrderStop, ...]:
        return tuple(stop for load in self.loads for stop in load.stops)


YARD = ("id", "name", "lat", "lon", "load_fixed_minutes", "load_minutes_per_cord")
RIG = ("has_trailer", "truck_lb", "trailer_empty_lb", "length_ft", "height_ft", "top_speed_mph")
LOAD = (
    "id", "sequence", "weight_lb", "leg_meters", "leg_seconds", *(f"yard__{name}" for name in YARD)
)  # fmt: skip
RUN = {field.name: field.name for field in fields(RunRow)} | {
    "on": "day__on", "day_state": "day__state", "version": "day__version", "rig": "rig__name",
    "driver_name": "driver__name", "committed_at": "day__committed_at",
    "actual_loaded_miles": "actual_loaded_miles", "actual_empty_miles": "actual_empty_miles",
}  # fmt: skip
BESIDE_RUN = (
    "driver__wage_hour", "helper__wage_hour",
    *(f"rig__{name}" for name in RIG),
    *(f"rig__home_yard__{name}" for name in YARD),
)  # fmt: skip
STOP = {field.name: field.name for field in fields(StopRow)} | {
    "number": "order__number", "customer": "order__customer__name", "town": "order__place__town__name",
    "market_name": "order__market__name", "is_far": "order__market__is_far", "wood": "order__wood",
    "stacked": "order__stacked", "cords_asked": "order__cords", "bundles_asked": "order__bundles",
    "delivered_cords": "order__delivered_cords", "total_dollars": "order__total_dollars",
    "tax_dollars": "order__tax_dollars", "lat": "order__place__lat", "lon": "order__place__lon",
    "town_lat": "order__place__town__lat", "town_lon": "order__place__town__lon", "lot": "lot__code",
    "bundle_ft3": "lot__bundle_ft3",
}  # fmt: skip
RUN_ID_AT = list(RUN).index("id")
WAGES_AT = len(RUN)
RIG_AT = WAGES_AT + 2
HOME_AT = RIG_AT + len(RIG)
LOAD_AT = HOME_AT + len(YARD)
YARD_AT = LOAD_AT + LOAD.index("yard__id")


def run_rows(runs: QuerySet[Run]) -> tuple[WholeRun, ...]:
    """Runs that have loads, with these and their drops, newest day first; two queries however many."""
    rows = list(
        Load.objects.filter(run__in=runs)
        .order_by("-run__day__on", "run__rig__name", "run_id", "sequence")
        .values_list(*(f"run__{column}" for column in (*RUN.values(), *BESIDE_RUN)), *LOAD)
    )
    run_ids = {load[RUN_ID_AT] for load in rows}
    stops = defaultdict(list)
    for stop, _ in stop_rows(Stop.objects.filter(load__run__in=run_ids).order_by("load_id", "sequence")):
        stops[stop.load_id].append(stop)
    return tuple(_run(list(of_run), stops) for _, of_run in groupby(rows, key=itemgetter(RUN_ID_AT)))


def stop_rows(stops: QuerySet[Stop], *more: str) -> Iterator[tuple[OrderStop, tuple[Any, ...]]]:
    """Drops in the order asked, each with `more` columns of it."""
    for row in stops.values_list(*STOP.values(), *more):
        yield OrderStop(**dict(zip(STOP, row, strict=False))), row[len(STOP) :]


def _run(rows: list[tuple[Any, ...]], stops: Mapping[int, list[OrderStop]]) -> WholeRun:
    """Of a row for each of its loads."""
    row = rows[0]
    own = dict(zip(RUN, row, strict=False))
    driver_wage, helper_wage = row[WAGES_AT:RIG_AT]
    return WholeRun(
        **own,
        wages=(driver_wage, helper_wage) if own["helper_id"] is not None else (driver_wage,),
        rig_seen=row[RIG_AT:HOME_AT],
        home=YardSpot._make(row[HOME_AT:LOAD_AT]),
        loads=tuple(
            LoadRow._make(
                (*load[LOAD_AT:YARD_AT], YardSpot._make(load[YARD_AT:]), tuple(stops[load[LOAD_AT]]))
            )
            for load in rows
        ),
    )
