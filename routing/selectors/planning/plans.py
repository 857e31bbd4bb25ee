"""A stored day as the planner's values: who is out, what stands where, what is pinned."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from inventory.core.rows import from_row
from routing.models import Fill, Load, Run, Stop
from routing.planner.problem import Pin
from routing.planner.sketches import LoadSketch, RunSketch
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.problem_values import OpenRun


def open_runs_of(dates: Iterable[date]) -> tuple[OpenRun, ...]:
    """The rigs out on stored days, with their hours."""
    rows = Run.objects.filter(day__on__in=list(dates)).select_related("day").order_by("day__on", "rig_id")
    return tuple(
        from_row(
            OpenRun,
            run,
            on=run.day.on,
        )
        for run in rows
    )


def day_sketch(on: date) -> tuple[RunSketch, ...]:
    """What was decided for a stored day: runs, their loads, the parts in dropping order."""
    return sketch_of((on,))


def sketch_of(dates: Iterable[date]) -> tuple[RunSketch, ...]:
    """The same for several days, in as many queries as for one; runs in the order they are carried out."""
    of_days = list(dates)
    parts: dict[int, list[str]] = defaultdict(list)
    filled: dict[int, dict[int, list[str]]] = defaultdict(
        lambda: defaultdict(list)
    )  # by load and fill, 0 = first
    stops = Stop.objects.filter(load__run__day__on__in=of_days).order_by("load_id", "sequence")
    for load_id, fill_id, number, part in stops.values_list("load_id", "fill_id", "order__number", "part"):
        parts[load_id].append(part_id(number, part))
        filled[load_id][fill_id or 0].append(part_id(number, part))
    further: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for load_id, fill_id, yard_id in Fill.objects.filter(load__run__day__on__in=of_days).values_list(
        "load_id", "pk", "yard_id"
    ):
        further[load_id].append((fill_id, yard_id))
    loads: dict[int, list[LoadSketch]] = defaultdict(list)
    rows = Load.objects.filter(run__day__on__in=of_days).order_by("run_id", "sequence")
    for load_id, run_id, yard_id in rows.values_list("pk", "run_id", "yard_id"):
        yards = [(0, yard_id), *further[load_id]]
        fills = tuple(
            (str(yard), tuple(filled[load_id][fill])) for fill, yard in yards if filled[load_id][fill]
        )
        where = fills if len(fills) > 1 else str(fills[0][0] if fills else yard_id)
        loads[run_id].append((where, tuple(parts[load_id])))
    runs = Run.objects.filter(day__on__in=of_days).order_by("day__on", "leaves_at", "rig_id")
    return tuple(
        (OpenRun(rig_id=rig_id, on=on).id, tuple(loads[run_id]))
        for run_id, on, rig_id in runs.values_list("pk", "day__on", "rig_id")
    )


def numbers_on(dates: Iterable[date]) -> set[int]:
    """Numbers of the orders on the stored plans of these dates."""
    stops = Stop.objects.filter(load__run__day__on__in=list(dates))
    return set(stops.order_by().values_list("order__number", flat=True).distinct())


def pins_of(dates: Iterable[date]) -> tuple[Pin, ...]:
    """Drops the seller pinned to their run."""
    rows = Stop.objects.filter(load__run__day__on__in=list(dates), pinned=True)
    return tuple(
        Pin(
            part=part_id(stop.order.number, stop.part),
            run=OpenRun(rig_id=stop.load.run.rig_id, on=stop.load.run.day.on).id,
        )
        for stop in rows.select_related("order", "load__run__day")
    )
