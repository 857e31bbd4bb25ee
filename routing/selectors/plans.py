"""A stored day as the planner's values: who is out, what stands where, what is pinned."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from routing.core.plan import RunSketch
from routing.core.problem import Pin
from routing.models import Load, Run, Stop
from routing.selectors.parcels import part_id
from routing.selectors.problems import Outing


def outings_of(dates: Iterable[date]) -> tuple[Outing, ...]:
    """The rigs out on stored days, with their hours."""
    rows = Run.objects.filter(day__on__in=list(dates)).select_related("day").order_by("day__on", "rig_id")
    return tuple(
        Outing(
            rig_id=run.rig_id,
            on=run.day.on,
            starts_at=run.starts_at,
            ends_at=run.ends_at,
            longest_minutes=run.longest_minutes,
            driver_name=run.driver_name,
        )
        for run in rows
    )


def day_sketch(on: date) -> tuple[RunSketch, ...]:
    """What was decided for a stored day: runs, their loads, the parts in dropping order."""
    return sketch_of((on,))


def sketch_of(dates: Iterable[date]) -> tuple[RunSketch, ...]:
    """The same for several days, in as many queries as for one."""
    of_days = list(dates)
    parts: dict[int, list[str]] = defaultdict(list)
    stops = Stop.objects.filter(load__run__day__on__in=of_days).order_by("load_id", "sequence")
    for load_id, number, part in stops.values_list("load_id", "order__number", "part"):
        parts[load_id].append(part_id(number, part))
    loads: dict[int, list[tuple[str, tuple[str, ...]]]] = defaultdict(list)
    filled = Load.objects.filter(run__day__on__in=of_days).order_by("run_id", "sequence")
    for load_id, run_id, yard_id in filled.values_list("pk", "run_id", "yard_id"):
        loads[run_id].append((str(yard_id), tuple(parts[load_id])))
    runs = Run.objects.filter(day__on__in=of_days).order_by("day__on", "rig_id")
    return tuple(
        (Outing(rig_id=rig_id, on=on).shift, tuple(loads[run_id]))
        for run_id, on, rig_id in runs.values_list("pk", "day__on", "rig_id")
    )


def pins_of(dates: Iterable[date]) -> tuple[Pin, ...]:
    """Drops the seller pinned to their run."""
    rows = Stop.objects.filter(load__run__day__on__in=list(dates), pinned=True)
    return tuple(
        Pin(
            part=part_id(stop.order.number, stop.part),
            shift=Outing(rig_id=stop.load.run.rig_id, on=stop.load.run.day.on).shift,
        )
        for stop in rows.select_related("order", "load__run__day")
    )
