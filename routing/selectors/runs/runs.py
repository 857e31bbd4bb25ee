"""A run as its driver sees it: loads, drops, what is next, and the times as they have become."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, QuerySet

from inventory.core.money import to_cents
from inventory.core.rows import from_row
from inventory.core.units import METERS_PER_MILE, miles_of
from routing.earned.costs import NoRates, exact_road_dollars, rates_on
from routing.models import Day, DriverEvent, Load, Run
from routing.selectors.drivers import crew_key
from routing.selectors.rigs import rates_by_rig
from routing.selectors.runs.drops import DropView
from routing.selectors.runs.halts import SAY_LATE_MINUTES, HaltView, halts_of
from routing.selectors.runs.loads import LoadView, load_views, loads_with_all
from routing.selectors.runs.run_rows import RunRow

# A committed day that is being changed stays with its driver until it is committed anew or taken back.
SHOWN = Q(day__state__in=(Day.State.FIXED, Day.State.DONE)) | Q(day__committed_at__isnull=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunView(RunRow):
    """One rig's day."""

    truck: str
    helper_name: str
    home_yard: str
    paid_seconds: int
    cost_cents: int
    road_cents: int
    is_frozen: bool
    is_estimate: bool
    loads: tuple[LoadView, ...]
    halts: tuple[HaltView, ...]

    @property
    def crew(self) -> str:
        return crew_key(self.driver_id, self.helper_id)

    @property
    def meters(self) -> int:
        return self.loaded_meters + self.empty_meters

    @property
    def miles(self) -> Decimal:
        """To a tenth, as loaded and empty miles are shown: the two add up to it."""
        return sum((round(miles_of(part), 1) for part in (self.loaded_meters, self.empty_meters)), Decimal(0))

    @property
    def drops(self) -> tuple[DropView, ...]:
        return tuple(drop for load in self.loads for drop in load.drops)

    @property
    def next_halt(self) -> HaltView | None:
        return next((halt for halt in self.halts if halt.is_next), None)

    @property
    def late_minutes(self) -> int:
        """How late the next halt will be; 0 when on time, early or done."""
        return max(0, self.next_halt.late_minutes) if self.next_halt else 0

    @property
    def is_behind(self) -> bool:
        """Whether it is late enough to say so."""
        return self.late_minutes >= SAY_LATE_MINUTES


def runs_of(on: date, *, at: datetime | None = None, drafts: bool = False) -> tuple[RunView, ...]:
    """The runs of a date, committed ones unless `drafts`; constant queries.

    Units
        at: the clock for new times; None shows the plan's.
    """
    rows = Run.objects.filter(day__on=on)
    if not drafts:
        rows = rows.filter(SHOWN)
    return _views(rows, at=at)


def due_at_the_door(on: date) -> dict[int, Decimal]:
    """What is to be collected at the open drops of committed runs, by order, as the load sheet says."""
    drops = [drop for run in runs_of(on) for drop in run.drops if drop.is_open]
    return {drop.order.number: drop.order.balance.due for drop in drops if drop.order.balance.due > 0}


def run_view(run_id: int, *, at: datetime | None = None) -> RunView | None:
    """One run."""
    return next(iter(_views(Run.objects.filter(pk=run_id), at=at)), None)


def run_of_load(load_id: int, *, at: datetime | None = None) -> RunView | None:
    """The run a load belongs to."""
    return next(iter(_views(Run.objects.filter(loads=load_id), at=at)), None)


def run_of_drop(stop_id: int, *, at: datetime | None = None) -> RunView | None:
    """The run a drop belongs to."""
    return next(iter(_views(Run.objects.filter(loads__stops=stop_id), at=at)), None)


def next_days(on: date, *, days: int = 14) -> tuple[date, ...]:
    """Dates with committed runs, from a date on."""
    rows = Run.objects.filter(SHOWN, day__on__gte=on, day__on__lte=on + timedelta(days=days))
    return tuple(rows.order_by("day__on").values_list("day__on", flat=True).distinct())


def _views(rows: QuerySet[Run], *, at: datetime | None) -> tuple[RunView, ...]:
    runs = list(
        rows.select_related("day", "driver", "helper", "rig__home_yard", "rig__pickup")
        .order_by("rig_id")
        .distinct()
    )
    if not runs:
        return ()
    loads = list(loads_with_all().filter(run__in=runs).order_by("run", "sequence"))
    by_run: dict[int, list[LoadView]] = defaultdict(list)
    for row, view in zip(loads, load_views(loads, on=runs[0].day.on), strict=True):
        by_run[row.run_id].append(view)
    told = _told(loads)
    wages = _road_cents(runs)
    return tuple(_view(run, tuple(by_run[run.pk]), told, wages[run.pk], at) for run in runs)


def _view(
    run: Run, loads: tuple[LoadView, ...], told: list[DriverEvent], road_cents: int, at: datetime | None
) -> RunView:
    return from_row(
        RunView,
        run,
        on=run.day.on,
        day_state=run.day.state,
        version=run.day.version,
        rig=run.rig.name,
        truck=run.rig.truck,
        helper_name=run.helper.name if run.helper else "",
        home_yard=run.rig.home_yard.name,
        road_cents=road_cents,
        is_estimate=run.day.is_estimate,
        loads=loads,
        halts=halts_of(run, loads, told, at),
    )


def _told(loads: list[Load]) -> list[DriverEvent]:
    """When loads were on and drops reached, oldest first."""
    stops = [stop.pk for load in loads for stop in load.stops.all()]
    rows = DriverEvent.objects.filter(Q(kind="arrived", stop__in=stops) | Q(kind="loaded", load__in=loads))
    return list(rows.order_by("happened_at"))


def _road_cents(runs: list[Run]) -> dict[int, int]:
    """Cents of each run without the driver's hours."""
    found, known = {}, rates_by_rig({run.rig_id for run in runs})
    for run in runs:
        try:
            rates = rates_on(known[run.rig_id], run.day.on)
        except NoRates:
            found[run.pk] = 0
            continue
        dollars = exact_road_dollars(
            loaded_miles=Fraction(run.loaded_meters) / METERS_PER_MILE,
            empty_miles=Fraction(run.empty_meters) / METERS_PER_MILE,
            rates=rates,
            fixed=rates.fixed_run,
        )
        found[run.pk] = to_cents(dollars)
    return found
