"""A stored day as it stands: what has happened to it, which runs are under way, and its plan as values."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, time

from django.db.models import Q

from inventory.core.gaps import InTurn, ShortDay, Stopped
from inventory.core.sentences import Sentence
from orders.models import Order
from routing.core import RoutingError
from routing.models import Day, DriverEvent, Run, Shut, Stop
from routing.planner.fault_sentences import fault_sentences
from routing.planner.hand_edits import judged, without_parts
from routing.planner.plan import Plan
from routing.planner.sketches import RunSketch
from routing.planner.verdict import Verdict
from routing.selectors.drivers import usual_crews
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.plans import (
    day_sketch,
    numbers_on,
    open_runs_of,
    sketch_of,
)
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import Prepared, prepare

UNDER_WAY_KINDS = ("left", "loaded", "ticked", "on_the_way", "arrived", "delivered")


class NoSuchDay(RoutingError):
    says = "Nothing is planned for {on} yet: choose orders and plan it first."
    in_words = {"on": ShortDay}


class PlanRefused(RoutingError):
    """The referee found rules broken; every one as a sentence."""

    def __init__(self, *sentences: Sentence) -> None:
        self.sentences = sentences
        super().__init__("{faults}", faults=InTurn(tuple(Stopped(sentence) for sentence in sentences)))


def plan_in_books(
    on: date,
    *,
    lot_swaps: Mapping[tuple[int, int], int] | None = None,
    also_numbers: Iterable[int] = (),
    else_run: OpenRun | None = None,
    starts: Mapping[int, time] | None = None,
) -> tuple[Prepared, Plan]:
    """The day as it stands, as a problem of its own orders and a plan with its clock.

    Units
        also_numbers: further orders to have in the problem, left out of the plan so far.
        else_run: goes out where no rig does yet. starts: by rig, when it leaves instead.

    Errors
        NoSuchDay
    """
    open_runs = open_runs_of((on,)) or ((else_run,) if else_run else ())
    later = starts or {}
    open_runs = tuple(replace(run, starts_at=later.get(run.rig_id, run.starts_at)) for run in open_runs)
    if not open_runs:
        raise NoSuchDay(on=on)
    sketch = day_sketch(on)
    prepared = prepare(
        open_runs=open_runs,
        order_numbers={*numbers_on((on,)), *also_numbers},
        must_go=True,
        keep_parts=True,
        lot_swaps=lot_swaps,
    )
    standing, _ = judged(prepared.problem, _known(sketch, prepared))
    return prepared, standing


def day_with(on: date, *, number: int, rig_id: int | None = None) -> tuple[Prepared, Plan]:
    """A day as it stands with one more order in its problem; where no rig goes out yet, this one does.

    Errors
        NoSuchDay: no rig goes out, and none is named.
        PlanRefused: the order can't be brought at all, with the reason.
    """
    usual = _usual_run(rig_id, on) if rig_id else None
    prepared, plan = plan_in_books(on, also_numbers=(number,), else_run=usual)
    if all(row.number != number for row in prepared.parts.values()):
        reasons = [row.reason for row in prepared.impossible if row.order == str(number)]
        raise PlanRefused(*(reasons or [Sentence("Order {number} cannot go", {"number": number})]))
    return prepared, plan


def _usual_run(rig_id: int, on: date) -> OpenRun:
    driver, helper = usual_crews((rig_id,))[rig_id]
    return OpenRun(rig_id=rig_id, on=on, driver_id=driver, helper_id=helper)


def without_wood(on: date, prepared: Prepared) -> tuple[Sentence, ...]:
    """Orders of the stored day that have lost the wood held for them, each as a sentence."""
    numbers = sorted(numbers_on((on,)) - {part.number for part in prepared.parts.values()})
    return tuple(
        Sentence(
            "No wood is held for order {number}: pick a lot on its page, or take it off", {"number": number}
        )
        for number in numbers
    )


def _known(sketch: Iterable[RunSketch], prepared: Prepared) -> tuple[RunSketch, ...]:
    """The sketch without drops whose wood is held no more, such as those of a cancelled order."""
    known = []
    for run, loads in sketch:
        gone = {part for _, stops in loads for part in stops} - prepared.parts.keys()
        kept = [without_parts(load, gone) for load in loads]
        known.append((run, tuple(load for load in kept if load[1])))
    return tuple(known)


def troubles_of(on: date) -> tuple[Sentence, ...]:
    """What has happened since the plan was made: cancelled orders, broken rigs, closures; each a sentence."""
    runs = Run.objects.filter(day__on=on, rig__works=False).exclude(loads=None).select_related("rig")
    problems = [
        Sentence(
            "{rig} is out ({reason})",
            {"rig": run.rig.name, "reason": run.rig.out_reason or Sentence("no reason given")},
        )
        for run in runs.distinct()
    ]
    gone = Order.objects.filter(
        stops__load__run__day__on=on, stops__state__in=(Stop.State.PLANNED, Stop.State.ARRIVED)
    ).exclude(state__in=(Order.State.CONFIRMED, Order.State.PLANNED))
    problems += [
        Sentence(
            "Order {number} is {state}: take it off the day",
            {"number": order.number, "state": Sentence(order.get_state_display())},
        )
        for order in gone.order_by("number").distinct()
    ]
    problems += _brought_twice(on)
    closed = Shut.objects.filter(from_on__lte=on, to_on__gte=on, from_time=None)
    yards = closed.filter(kind=Shut.Kind.YARD, yard__loads__run__day__on=on).distinct()
    problems += [
        Sentence(
            "{yard} is shut ({reason}): plan again around it", {"yard": shut.yard, "reason": shut.reason}
        )
        for shut in yards
    ]
    towns = closed.filter(kind=Shut.Kind.ROAD, town__places__orders__stops__load__run__day__on=on).distinct()
    problems += [
        Sentence(
            "The road to {town} is shut ({reason}): plan again without it",
            {"town": shut.town, "reason": shut.reason},
        )
        for shut in towns
    ]
    return tuple(problems)


def _brought_twice(on: date) -> list[Sentence]:
    """Orders of the day that a committed other day brings as well."""
    here = Stop.objects.filter(load__run__day__on=on, state=Stop.State.PLANNED).values_list("order", "part")
    parts = set(here)
    others = Stop.objects.filter(
        order__in={order for order, _ in parts},
        load__run__day__state=Day.State.FIXED,
        state__in=(Stop.State.PLANNED, Stop.State.ARRIVED),
    )
    rows = others.exclude(load__run__day__on=on).select_related("order", "load__run__day")
    days = {
        stop.order.number: stop.load.run.day.on
        for stop in rows.order_by("order__number")
        if (stop.order_id, stop.part) in parts
    }
    return [
        Sentence(
            "Order {number} goes on {day} already: take it off this day or that one",
            {"number": number, "day": ShortDay(other)},
        )
        for number, other in days.items()
    ]


def in_words(prepared: Prepared, verdict: Verdict) -> tuple[Sentence, ...]:
    """The referee's faults as sentences; a trailer that a yard cannot take is told of the yard."""
    problems = list(fault_sentences(prepared.problem, verdict))
    for fault in verdict.faults:
        part = prepared.parts.get(fault.part)
        if fault.rule == "trailer" and part is not None and part.yard_id in prepared.tight_yards:
            yard = next(row.label for row in prepared.problem.yards if row.id == str(part.yard_id))
            problems.append(
                Sentence(
                    "The wood of order {number} lies at {yard}, where no big trailer turns.",
                    {"number": part.number, "yard": yard},
                )
            )
    return tuple(problems)


def under_way(dates: Iterable[date]) -> tuple[tuple[RunSketch, ...], set[int]]:
    """Runs that are fixed by hand or have left home, and the orders on them.

    Of a rig that broke on the road only what it has done stays; its other drops are free for another.
    """
    of_days = list(dates)
    known = dict(sketch_of(of_days))
    frozen, numbers = [], set()
    for run in Run.objects.filter(day__on__in=of_days).select_related("day", "rig"):
        if not (run.is_frozen or is_under_way(run)):
            continue
        stops = list(Stop.objects.filter(load__run=run).select_related("order"))
        gone = [stop for stop in stops if not run.rig.works and stop.done_at is None]
        numbers |= {stop.order.number for stop in stops if stop not in gone}
        key = OpenRun(rig_id=run.rig_id, on=run.day.on).id
        parts = {part_id(stop.order.number, stop.part) for stop in gone}
        loads = tuple(load for row in known.get(key, ()) if (load := without_parts(row, parts))[1])
        if loads:
            frozen.append((key, loads))
    return tuple(frozen), numbers


def is_under_way(run: Run) -> bool:
    """Whether it has left, or a phone told of wood aboard or a drop though nobody said that it left."""
    if run.actual_leave_at is not None or run.loads.filter(stops__done_at__isnull=False).exists():
        return True
    from_it = Q(run=run) | Q(load__run=run) | Q(stop__load__run=run)
    return DriverEvent.objects.filter(from_it, kind__in=UNDER_WAY_KINDS).exists()
