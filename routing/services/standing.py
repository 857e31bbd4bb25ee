"""A stored day as it stands: what has happened to it, which runs are under way, and its plan as values."""

from collections.abc import Iterable, Mapping
from datetime import date
from re import Match, sub

from orders.models import Order
from routing.core import RoutingError
from routing.core.check import Verdict
from routing.core.edit import judged
from routing.core.plan import Plan, RunSketch
from routing.core.problem import FrozenRun
from routing.models import Day, Run, Shut, Stop
from routing.selectors.parcels import part_id
from routing.selectors.plans import day_sketch, outings_of
from routing.selectors.problems import VOLUME_STEPS, Outing, Prepared, frozen_run, prepare


class NoSuchDay(RoutingError):
    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(f"Nothing is planned for {on:%a %d %b} yet: choose orders and plan it first.")


class PlanRefused(RoutingError):
    """The referee found rules broken; every one as a sentence."""

    def __init__(self, *, sentences: tuple[str, ...]) -> None:
        self.sentences = sentences
        super().__init__(". ".join(sentence.rstrip(".") for sentence in sentences) + ".")


def plan_in_books(
    on: date,
    *,
    lot_swaps: Mapping[tuple[int, int], int] | None = None,
    also_numbers: Iterable[int] = (),
) -> tuple[Prepared, Plan]:
    """The day as it stands, as a problem of its own orders and a plan with its clock.

    Units
        also_numbers: further orders to have in the problem, left out of the plan so far.

    Errors
        NoSuchDay
    """
    outings = outings_of((on,))
    if not outings:
        raise NoSuchDay(on=on)
    sketch = day_sketch(on)
    numbers = {int(part.split(".")[0]) for _, loads in sketch for _, parts in loads for part in parts}
    prepared = prepare(
        outings=outings,
        order_numbers={*numbers, *also_numbers},
        must_go=True,
        keep_parts=True,
        lot_swaps=lot_swaps,
    )
    standing, _ = judged(prepared.problem, _known(sketch, prepared))
    return prepared, standing


def without_wood(on: date, prepared: Prepared) -> tuple[str, ...]:
    """Orders of the stored day that have lost the wood held for them, each as a sentence."""
    parts = {part for _, loads in day_sketch(on) for _, stops in loads for part in stops}
    numbers = sorted({int(part.split(".")[0]) for part in parts - set(prepared.parts)})
    return tuple(
        f"No wood is held for order {number}: pick a lot on its page, or take it off" for number in numbers
    )


def _known(sketch: Iterable[RunSketch], prepared: Prepared) -> tuple[RunSketch, ...]:
    """The sketch without drops whose wood is held no more, such as those of a cancelled order."""
    return tuple(
        (
            shift,
            tuple(
                (yard, known)
                for yard, stops in loads
                if (known := tuple(part for part in stops if part in prepared.parts))
            ),
        )
        for shift, loads in sketch
    )


def troubles_of(on: date) -> tuple[str, ...]:
    """What has happened since the plan was made: cancelled orders, broken rigs, closures; each a sentence."""
    runs = Run.objects.filter(day__on=on, rig__works=False).exclude(loads=None).select_related("rig")
    said = [f"{run.rig.name} is out ({run.rig.out_reason or 'no reason given'})" for run in runs.distinct()]
    gone = Order.objects.filter(
        stops__load__run__day__on=on, stops__state__in=(Stop.State.PLANNED, Stop.State.ARRIVED)
    ).exclude(state__in=(Order.State.CONFIRMED, Order.State.PLANNED))
    said += [
        f"Order {order.number} is {order.get_state_display()}: take it off the day"
        for order in gone.order_by("number").distinct()
    ]
    said += _brought_twice(on)
    closed = Shut.objects.filter(from_on__lte=on, to_on__gte=on, from_time=None)
    yards = closed.filter(kind=Shut.Kind.YARD, yard__loads__run__day__on=on).distinct()
    said += [f"{shut.yard} is shut ({shut.reason}): plan again around it" for shut in yards]
    towns = closed.filter(kind=Shut.Kind.ROAD, town__places__orders__stops__load__run__day__on=on).distinct()
    said += [f"The road to {shut.town} is shut ({shut.reason}): plan again without it" for shut in towns]
    return tuple(said)


def _brought_twice(on: date) -> list[str]:
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
        f"Order {number} goes on {other:%a %d %b} already: take it off this day or that one"
        for number, other in days.items()
    ]


def in_words(prepared: Prepared, verdict: Verdict) -> tuple[str, ...]:
    """The referee's faults with rigs by their names, in cubic feet, hours and minutes."""
    names = {rig.id: rig.label for rig in prepared.problem.rigs}
    said = []
    for sentence in verdict.sentences:
        for shift in prepared.problem.shifts:
            sentence = sentence.replace(shift.id, f"{names[shift.rig]}'s run")
        said.append(_plainer(sentence))
    for fault in verdict.faults:
        part = prepared.parts.get(fault.where)
        if fault.rule == "trailer" and part is not None and part.yard_id in prepared.tight_yards:
            yard = next(row.label for row in prepared.problem.yards if row.id == str(part.yard_id))
            said.append(f"The wood of order {part.number} lies at {yard}, where no big trailer turns")
    return tuple(said)


def _plainer(sentence: str) -> str:
    """The referee counts seconds and tenths of a cubic foot; people do not."""
    sentence = sentence.replace("The run ", "", 1)
    sentence = sub(r"^of (.+?) \(order (\d+)\)", r"Order \2 of \1", sentence)
    sentence = sub(r"^(A load .*) is ([\d.]+) ft3, (.*) holds (\d+)", _box, sentence)
    return sub(r"\b(\d+) s\b", lambda found: _hours(int(found[1])), sentence)


def _box(found: Match[str]) -> str:
    loose, room = float(found[2]) / VOLUME_STEPS, int(found[4]) / VOLUME_STEPS
    return f"{found[1]} is {loose:.0f} loose ft3, {found[3]} holds {room:.0f}"


def _hours(seconds: int) -> str:
    hours, minutes = divmod(-(-seconds // 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def under_way(dates: Iterable[date]) -> tuple[tuple[FrozenRun, ...], set[int]]:
    """Runs that are fixed by hand or have left home, and the orders on them.

    Of a rig that broke on the road only what it has done stays; its other drops are free for another.
    """
    frozen, numbers = [], set()
    for run in Run.objects.filter(day__on__in=list(dates)).select_related("day", "rig"):
        if not (run.is_frozen or is_under_way(run)):
            continue
        loads = []
        for load in run.loads.order_by("sequence"):
            stops = list(load.stops.select_related("order").order_by("sequence"))
            if not run.rig.works:
                stops = [stop for stop in stops if stop.done_at is not None]
            if not stops:
                continue
            numbers |= {stop.order.number for stop in stops}
            loads.append((load.yard_id, [part_id(stop.order.number, stop.part) for stop in stops]))
        if loads:
            frozen.append(frozen_run(Outing(rig_id=run.rig_id, on=run.day.on).shift, loads))
    return tuple(frozen), numbers


def is_under_way(run: Run) -> bool:
    """Whether it has left, or something was delivered though nobody said that it left."""
    return run.actual_leave_at is not None or run.loads.filter(stops__done_at__isnull=False).exists()
