"""What the phones' taps taught: loading by yard, unloading by customer, driving by rig and road class."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, time
from typing import NamedTuple

from routing.core.paces import Pace, pace_of
from routing.core.road_engine import road_class
from routing.models import DriverEvent, Load, Stop

LATEST_STOPS = 400  # older ones were another year's trailer
FEWEST = 2  # taps before somebody or something is named
LEAST_DRIVE_S = 300  # shorter drives are mostly gates and turning


class Subject(NamedTuple):
    """What is learned of. id: the yard, customer or rig; None, all of the kind. road_class: of its drives."""

    kind: str
    id: int | None
    road_class: str = ""


type _Pairs = dict[int, list[tuple[int, int]]]


def taught() -> dict[Subject, Pace]:
    """All together, and each by itself from two taps on; in four queries.

    What was planned by a learned pace is taken back to the time without one, so that a pace does not feed on
    itself.
    """
    stops = list(
        Stop.objects.filter(state=Stop.State.DELIVERED, done_at__isnull=False)
        .select_related("order", "load__run")
        .order_by("-done_at")[:LATEST_STOPS]
    )
    loads = {row.pk: row for row in Load.objects.filter(stops__in=stops).select_related("run").distinct()}
    arrived = dict(_told("arrived", "stop_id", [stop.pk for stop in stops]))
    loaded = dict(_told("loaded", "load_id", list(loads)))
    unloading: _Pairs = defaultdict(list)
    driving: dict[tuple[int, str], list[tuple[int, int]]] = defaultdict(list)
    loading: _Pairs = defaultdict(list)
    done = {(stop.load_id, stop.sequence): stop.done_at for stop in stops}
    for stop in stops:
        there = arrived.get(stop.pk)
        if there is None or stop.done_at is None:
            continue
        planned = _unpaced(_seconds(stop.begin_at, stop.leave_at), stop.unload_percent)
        unloading[stop.order.customer_id].append((planned, _between(there, stop.done_at)))
        since = (
            loaded.get(stop.load_id) if stop.sequence == 1 else done.get((stop.load_id, stop.sequence - 1))
        )
        if since is not None and stop.leg_seconds >= LEAST_DRIVE_S:
            planned = _unpaced(stop.leg_seconds, stop.drive_percent)
            drive = stop.load.run.rig_id, road_class(stop.leg_meters, planned)
            driving[drive].append((planned, _between(since, there)))
    for load in loads.values():
        on = loaded.get(load.pk)
        since = _free_since(load, loads, done)
        if on is not None and since is not None:
            took = _between(since, on) - load.leg_seconds
            planned = _unpaced(_seconds(load.begin_at, load.leave_at), load.load_percent)
            loading[load.yard_id].append((planned, took))
    return {**_learned("load", loading), **_learned("unload", unloading), **_drives(driving)}


def _learned(kind: str, pairs: Mapping[int, Sequence[tuple[int, int]]]) -> dict[Subject, Pace]:
    whole = pace_of(pair for rows in pairs.values() for pair in rows)
    if not whole.count:
        return {}
    each = {Subject(kind, of): pace_of(rows, around=whole.ratio) for of, rows in pairs.items()}
    return {Subject(kind, None): whole} | {of: pace for of, pace in each.items() if pace.count >= FEWEST}


def _drives(pairs: Mapping[tuple[int, str], Sequence[tuple[int, int]]]) -> dict[Subject, Pace]:
    """By rig, and by rig and road class: each drawn toward what it is a part of."""
    by_rig: _Pairs = defaultdict(list)
    for (rig_id, _), rows in pairs.items():
        by_rig[rig_id] += rows
    found = _learned("drive", by_rig)
    for (rig_id, name), rows in pairs.items():
        rig = found.get(Subject("drive", rig_id))
        if rig is not None and len(rows) >= FEWEST:
            found[Subject("drive", rig_id, name)] = pace_of(rows, around=rig.ratio)
    return found


def _unpaced(seconds: int, percent: int) -> int:
    return round(seconds * 100 / percent) if percent else seconds


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
