"""Committed runs as entries of a calendar."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction

from routing.models import Run, Stop
from routing.selectors.runs.runs import SHOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarRun:
    """One rig's committed day. drops: when, who and which town, in order; changed_at: last committed."""

    on: date
    rig_id: int
    rig: str
    driver: str
    home_yard: str
    leaves_at: time
    home_at: time
    version: int
    changed_at: datetime | None
    cords: Fraction
    drops: tuple[tuple[time | None, str, str], ...]


def calendar_runs(first: date, last: date) -> tuple[CalendarRun, ...]:
    """Committed runs between two dates, in two queries."""
    rows = Run.objects.filter(
        SHOWN, day__on__range=(first, last), leaves_at__isnull=False, home_at__isnull=False
    )
    runs = list(
        rows.select_related("day", "rig__home_yard", "driver").order_by("day__on", "leaves_at").distinct()
    )
    stops: dict[int, list[Stop]] = defaultdict(list)
    for stop in (
        Stop.objects.filter(load__run__in=runs)
        .select_related("load", "order__customer", "order__place__town")
        .order_by("load__sequence", "sequence")
    ):
        stops[stop.load.run_id].append(stop)
    return tuple(_entry(run, stops[run.pk]) for run in runs if stops[run.pk])


def _entry(run: Run, stops: list[Stop]) -> CalendarRun:
    return CalendarRun(
        on=run.day.on,
        rig_id=run.rig_id,
        rig=run.rig.name,
        driver=run.driver_name,
        home_yard=run.rig.home_yard.name,
        leaves_at=run.leaves_at or time(0),
        home_at=run.home_at or time(0),
        version=run.day.version,
        changed_at=run.day.committed_at,
        cords=sum((stop.cords for stop in stops), Fraction(0)),
        drops=tuple((stop.begin_at, stop.order.customer.name, _town(stop)) for stop in stops),
    )


def _town(stop: Stop) -> str:
    place = stop.order.place
    return place.town.name if place and place.town else ""
