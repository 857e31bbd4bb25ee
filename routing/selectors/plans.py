"""A stored day as the planner's values: who is out, what stands where, what is pinned."""

from collections.abc import Iterable
from datetime import date

from routing.core.plan import RunSketch
from routing.core.problem import Pin
from routing.models import Run, Stop
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
    sketch = []
    runs = Run.objects.filter(day__on__in=list(dates)).select_related("day").order_by("day__on", "rig_id")
    for run in runs.prefetch_related("loads__stops__order"):
        loads = tuple(
            (
                str(load.yard_id),
                tuple(
                    part_id(stop.order.number, stop.part)
                    for stop in sorted(load.stops.all(), key=lambda row: row.sequence)
                ),
            )
            for load in sorted(run.loads.all(), key=lambda row: row.sequence)
        )
        sketch.append((Outing(rig_id=run.rig_id, on=run.day.on).shift, loads))
    return tuple(sketch)


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
