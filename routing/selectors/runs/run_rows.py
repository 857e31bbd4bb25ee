"""The columns that margins, the calendar and the week read of runs, their loads and drops: bare values.

A month holds hundreds of loads, so no model instances are made of them; named tuples take a row as it comes.
What a page shows of one day's runs is in `runs`.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from django.db.models import QuerySet

from routing.models import Load, Run, Stop


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
    begin_at: time | None
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

    version, committed_at: of its day. rig_seen: whatever of the rig may change its roads. wages: of driver
    and helper, None where the rig's counts.
    """

    id: int
    on: date
    day_state: str
    version: int
    committed_at: datetime | None
    rig_id: int
    rig: str
    driver: str | None
    leaves_at: time | None
    home_at: time | None
    loaded_meters: int
    empty_meters: int
    actual_leave_at: datetime | None
    actual_home_at: datetime | None
    actual_loaded_miles: Decimal | None
    actual_empty_miles: Decimal | None
    wages: tuple[Decimal | None, ...]
    rig_seen: tuple[object, ...]
    home: YardSpot
    loads: tuple[LoadRow, ...]

    @property
    def stops(self) -> tuple[StopRow, ...]:
        return tuple(stop for load in self.loads for stop in load.stops)


YARD = ("id", "name", "lat", "lon", "load_fixed_minutes", "load_minutes_per_cord")
RIG = ("has_trailer", "truck_lb", "trailer_empty_lb", "length_ft", "height_ft", "top_speed_mph")
RUN = (
    "id", "day__on", "day__state", "day__version", "day__committed_at", "rig_id", "rig__name", "driver__name",
    "leaves_at", "home_at", "loaded_meters", "empty_meters", "actual_leave_at", "actual_home_at",
    "actual_loaded_miles", "actual_empty_miles", "driver__wage_hour", "helper_id", "helper__wage_hour",
    *(f"rig__{name}" for name in RIG),
    *(f"rig__home_yard__{name}" for name in YARD),
)  # fmt: skip
LOAD = (
    "id", "sequence", "weight_lb", "leg_meters", "leg_seconds", *(f"yard__{name}" for name in YARD)
)  # fmt: skip
STOP = (
    "id", "load_id", "sequence", "cords", "bundles", "begin_at", "leg_meters", "leg_seconds", "state",
    "done_at", "order_id", "order__number", "order__customer__name", "order__place__town__name",
    "order__market__name", "order__market__is_far", "order__wood", "order__stacked", "order__cords",
    "order__bundles", "order__delivered_cords", "order__total_dollars", "order__tax_dollars",
    "order__place__lat", "order__place__lon", "order__place__town__lat", "order__place__town__lon", "lot_id",
    "lot__code", "lot__bundle_ft3",
)  # fmt: skip
WAGES_AT = RUN.index("driver__wage_hour")
RIG_AT, HOME_AT = RUN.index("rig__has_trailer"), RUN.index("rig__home_yard__id")
LOAD_AT, YARD_AT = len(RUN), len(RUN) + LOAD.index("yard__id")


def run_rows(runs: QuerySet[Run]) -> tuple[RunRow, ...]:
    """Runs that have loads, with these and their drops, newest day first; two queries however many."""
    rows = list(
        Load.objects.filter(run__in=runs)
        .order_by("-run__day__on", "run__rig__name", "run_id", "sequence")
        .values_list(*(f"run__{name}" for name in RUN), *LOAD)
    )
    run_ids = {row[0] for row in rows}
    stops = defaultdict(list)
    for stop, _ in stop_rows(Stop.objects.filter(load__run__in=run_ids).order_by("load_id", "sequence")):
        stops[stop.load_id].append(stop)
    return tuple(_run(list(of_run), stops) for _, of_run in groupby(rows, key=itemgetter(0)))


def stop_rows(stops: QuerySet[Stop], *more: str) -> Iterator[tuple[StopRow, tuple[Any, ...]]]:
    """Drops in the order asked, each with `more` columns of it."""
    for row in stops.values_list(*STOP, *more):
        yield StopRow._make(row[: len(STOP)]), row[len(STOP) :]


def _run(rows: list[tuple[Any, ...]], stops: Mapping[int, list[StopRow]]) -> RunRow:
    """Of a row for each of its loads."""
    row = rows[0]
    return RunRow._make(
        (
            *row[:WAGES_AT],
            _wages(*row[WAGES_AT:RIG_AT]),
            row[RIG_AT:HOME_AT],
            YardSpot._make(row[HOME_AT:LOAD_AT]),
            tuple(
                LoadRow._make(
                    (*load[LOAD_AT:YARD_AT], YardSpot._make(load[YARD_AT:]), tuple(stops[load[LOAD_AT]]))
                )
                for load in rows
            ),
        )
    )


def _wages(
    driver: Decimal | None, helper_id: int | None, helper: Decimal | None
) -> tuple[Decimal | None, ...]:
    return (driver, helper) if helper_id is not None else (driver,)
