"""What the phones' taps taught: loading by yard, unloading by customer, driving by rig."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time

from routing.core.paces import Pace, pace_of
from routing.models import DriverEvent, Load, Stop

LATEST_STOPS = 400  # older ones were another year's trailer
FEWEST = 2  # taps before somebody or something is named
LEAST_DRIVE_S = 300  # shorter drives are mostly gates and turning


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """One thing learned. kind: load, unload or drive; name: the yard, the customer, the rig; "" = all."""

    kind: str
    name: str
    pace: Pace


type _Pairs = dict[str, list[tuple[int, int]]]


def taught() -> tuple[Taught, ...]:
    """All together first, then each by name, those with most taps first; in four queries."""
    stops = list(
        Stop.objects.filter(state=Stop.State.DELIVERED, done_at__isnull=False)
        .select_related("order__customer", "load__run__rig")
        .order_by("-done_at")[:LATEST_STOPS]
    )
    loads = {
        row.pk: row for row in Load.objects.filter(stops__in=stops).select_related("yard", "run").distinct()
    }
    arrived = dict(_told("arrived", "stop_id", [stop.pk for stop in stops]))
    loaded = dict(_told("loaded", "load_id", list(loads)))
    unloading: _Pairs = defaultdict(list)
    driving: _Pairs = defaultdict(list)
    loading: _Pairs = defaultdict(list)
    done = {(stop.load_id, stop.sequence): stop.done_at for stop in stops}
    for stop in stops:
        there = arrived.get(stop.pk)
        if there is None or stop.done_at is None:
            continue
        unloading[stop.order.customer.name].append(
            (_seconds(stop.begin_at, stop.leave_at), _between(there, stop.done_at))
        )
        since = (
            loaded.get(stop.load_id) if stop.sequence == 1 else done.get((stop.load_id, stop.sequence - 1))
        )
        if since is not None and stop.leg_seconds >= LEAST_DRIVE_S:
            driving[stop.load.run.rig.name].append((stop.leg_seconds, _between(since, there)))
    for load in loads.values():
        on = loaded.get(load.pk)
        since = _free_since(load, loads, done)
        if on is not None and since is not None:
            took = _between(since, on) - load.leg_seconds
            loading[load.yard.name].append((_seconds(load.begin_at, load.leave_at), took))
    kinds = (("load", loading), ("unload", unloading), ("drive", driving))
    return tuple(row for kind, pairs in kinds for row in _learned(kind, pairs))


def _learned(kind: str, pairs: _Pairs) -> list[Taught]:
    whole = pace_of(pair for rows in pairs.values() for pair in rows)
    if not whole.count:
        return []
    each = [
        Taught(kind=kind, name=name, pace=pace_of(rows, around=whole.ratio)) for name, rows in pairs.items()
    ]
    named = sorted(
        (row for row in each if row.pace.count >= FEWEST), key=lambda row: (-row.pace.count, row.name)
    )
    return [Taught(kind=kind, name="", pace=whole), *named]


def _free_since(
    load: Load, loads: Mapping[int, Load], done: Mapping[tuple[int, int], datetime | None]
) -> datetime | None:
    """When the rig set out to the yard of a load: from home, or from the last drop of the load before."""
    if load.sequence == 1:
        return load.run.actual_leave_at
    before = [
        row.pk for row in loads.values() if row.run_id == load.run_id and row.sequence == load.sequence - 1
    ]
    ended = [at for (load_id, _), at in done.items() if load_id in before and at is not None]
    return max(ended, default=None)


def _told(kind: str, of: str, ids: list[int]) -> list[tuple[int, datetime]]:
    rows = DriverEvent.objects.filter(kind=kind, **{f"{of}__in": ids}).order_by("happened_at")
    return list(rows.values_list(of, "happened_at"))


def _between(start: datetime, end: datetime) -> int:
    return int((end - start).total_seconds())


def _seconds(start: time | None, end: time | None) -> int:
    if start is None or end is None:
        return 0
    return (end.hour - start.hour) * 3600 + (end.minute - start.minute) * 60 + end.second - start.second
