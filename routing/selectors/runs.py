"""A run as its driver sees it: loads, drops, what is next, and the times as they have become."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from django.db.models import Q, QuerySet
from django.utils import timezone

from inventory.core.money import to_cents
from routing.core.costs import METERS_PER_MILE, NoRates, exact_road_dollars, rates_on
from routing.core.lateness import Halt, NewTime, new_times
from routing.models import Day, DriverEvent, Run, Stop
from routing.selectors.loads import DropView, LoadView, load_views, loads_with_all
from routing.selectors.rigs import rates_of

# A committed day that is being changed stays with its driver until it is committed anew or taken back.
SHOWN = Q(day__state__in=(Day.State.FIXED, Day.State.DONE)) | Q(day__committed_at__isnull=False)
SAY_LATE_MINUTES = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class HaltView:
    """One line of a run: a yard to load at, a drop, or home. late_minutes is against the plan."""

    kind: str  # load, drop, home
    name: str
    load: LoadView | None
    drop: DropView | None
    lat: float
    lon: float
    mark: str
    arrive_at: time | None
    begin_at: time | None
    leave_at: time | None
    now_at: time | None
    late_minutes: int
    leg_meters: int
    leg_seconds: int
    is_done: bool
    is_next: bool

    @property
    def is_late(self) -> bool:
        return not self.is_done and self.late_minutes >= SAY_LATE_MINUTES


@dataclass(frozen=True, slots=True, kw_only=True)
class RunView:
    """One rig's day."""

    id: int
    on: date
    day_state: str
    version: int
    rig_id: int
    rig: str
    truck: str
    driver_name: str
    home_yard: str
    starts_at: time
    ends_at: time
    leaves_at: time | None
    home_at: time | None
    loaded_meters: int
    empty_meters: int
    paid_seconds: int
    cost_cents: int
    road_cents: int
    is_frozen: bool
    is_estimate: bool
    left_at: datetime | None
    came_home_at: datetime | None
    loads: tuple[LoadView, ...]
    halts: tuple[HaltView, ...]

    @property
    def meters(self) -> int:
        return self.loaded_meters + self.empty_meters

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


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """Something a phone told, kept because it wants a look."""

    key: str
    kind: str
    order: int | None
    customer: str
    said: tuple[tuple[str, str], ...]
    happened_at: datetime
    who: str
    message: str


def runs_of(on: date, *, at: datetime | None = None, drafts: bool = False) -> tuple[RunView, ...]:
    """The runs of a date, committed ones unless `drafts`; constant queries.

    Units
        at: the clock for new times; None shows the plan's.
    """
    rows = Run.objects.filter(day__on=on)
    if not drafts:
        rows = rows.filter(SHOWN)
    return _views(rows, at=at)


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


def events_to_look_at(*, on: date | None = None) -> tuple[EventRow, ...]:
    """What phones told that could not be applied, oldest first."""
    rows = DriverEvent.objects.filter(outcome=DriverEvent.Outcome.CONFLICT)
    if on is not None:
        first = timezone.make_aware(datetime.combine(on, time()))
        rows = rows.filter(happened_at__gte=first, happened_at__lt=first + timedelta(days=1))
    return tuple(
        EventRow(
            key=str(row.key),
            kind=row.kind.replace("_", " "),
            order=row.stop.order.number if row.stop else row.said.get("order"),
            customer=row.stop.order.customer.name if row.stop else "",
            said=tuple((str(name), str(value)) for name, value in row.said.items() if value),
            happened_at=row.happened_at,
            who=row.who,
            message=row.message,
        )
        for row in rows.select_related("stop__order__customer")
    )


def _views(rows: QuerySet[Run], *, at: datetime | None) -> tuple[RunView, ...]:
    runs = list(
        rows.select_related("day", "rig__home_yard")
        .prefetch_related("loads__stops")
        .order_by("rig_id")
        .distinct()
    )
    if not runs:
        return ()
    loads = loads_with_all().filter(run__in=runs).order_by("run", "sequence")
    by_run: dict[int, list[LoadView]] = defaultdict(list)
    run_of = {}
    read = list(loads)
    for row, view in zip(read, load_views(read, on=runs[0].day.on), strict=True):
        by_run[row.run_id].append(view)
        run_of[view.id] = row.run_id
    told = _told(runs)
    wages = _road_cents(runs)
    return tuple(_view(run, tuple(by_run[run.pk]), told[run.pk], wages[run.pk], at) for run in runs)


def _view(
    run: Run, loads: tuple[LoadView, ...], told: list[DriverEvent], road_cents: int, at: datetime | None
) -> RunView:
    return RunView(
        id=run.pk,
        on=run.day.on,
        day_state=run.day.state,
        version=run.day.version,
        rig_id=run.rig_id,
        rig=run.rig.name,
        truck=run.rig.truck,
        driver_name=run.driver_name,
        home_yard=run.rig.home_yard.name,
        starts_at=run.starts_at,
        ends_at=run.ends_at,
        leaves_at=run.leaves_at,
        home_at=run.home_at,
        loaded_meters=run.loaded_meters,
        empty_meters=run.empty_meters,
        paid_seconds=run.paid_seconds,
        cost_cents=run.cost_cents,
        road_cents=road_cents,
        is_frozen=run.is_frozen,
        is_estimate=run.day.is_estimate,
        left_at=run.actual_leave_at,
        came_home_at=run.actual_home_at,
        loads=loads,
        halts=_halts(run, loads, told, at),
    )


def _halts(
    run: Run, loads: tuple[LoadView, ...], told: list[DriverEvent], at: datetime | None
) -> tuple[HaltView, ...]:
    arrived, loaded = _moments(told)
    plain: list[tuple[str, LoadView | None, DropView | None]] = []
    for load in loads:
        plain.append(("load", load, None))
        plain += [("drop", load, drop) for drop in load.drops]
    plain.append(("home", None, None))
    halts = [_halt(run, kind, load, drop, arrived, loaded) for kind, load, drop in plain]
    left = _seconds_of(run.actual_leave_at) if run.actual_leave_at else None
    now_s = _seconds_of(at) if at is not None and timezone.localdate(at) == run.day.on else 0
    planned_leave = _seconds(run.leaves_at)
    times = new_times(halts, left_s=left if left is not None else max(planned_leave, now_s), now_s=now_s)
    upcoming = next((place for place, time_ in enumerate(times) if not time_.is_done), None)
    marks = _marks(plain)
    return tuple(
        _halt_view(run, *plain[place], times[place], marks[place], is_next=place == upcoming)
        for place in range(len(plain))
    )


def _halt(
    run: Run,
    kind: str,
    load: LoadView | None,
    drop: DropView | None,
    arrived: dict[int, int],
    loaded: dict[int, int],
) -> Halt:
    if kind == "home" or load is None:
        return Halt(
            name="home",
            drive_s=_home_seconds(run),
            stay_s=0,
            planned_arrive_s=_seconds(run.home_at),
            done_s=_seconds_of(run.actual_home_at) if run.actual_home_at else None,
        )
    if drop is None:
        started = load.is_loaded or any(not other.is_open for other in load.drops)
        done = loaded.get(load.id) or (_seconds(load.leave_at) if started else None)
        return Halt(
            name=f"load {load.id}",
            drive_s=load.leg_seconds,
            stay_s=max(0, _seconds(load.leave_at) - _seconds(load.begin_at)),
            begins_from_s=0,
            planned_arrive_s=_seconds(load.arrive_at),
            done_s=done,
        )
    return Halt(
        name=f"drop {drop.id}",
        drive_s=drop.leg_seconds,
        stay_s=max(0, _seconds(drop.leave_at) - _seconds(drop.begin_at)),
        begins_from_s=_seconds(drop.window_from),
        planned_arrive_s=_seconds(drop.arrive_at),
        arrived_s=arrived.get(drop.id) if drop.state == Stop.State.ARRIVED else None,
        done_s=_seconds_of(drop.done_at) if drop.done_at else None,
    )


def _halt_view(
    run: Run,
    kind: str,
    load: LoadView | None,
    drop: DropView | None,
    now: NewTime,
    mark: str,
    *,
    is_next: bool,
) -> HaltView:
    at: DropView | LoadView | None = drop or load
    yard = run.rig.home_yard
    return HaltView(
        kind=kind,
        name=drop.customer if drop else load.yard if load else yard.name,
        load=load,
        drop=drop,
        lat=(drop.lat or yard.lat) if drop else load.yard_lat if load else yard.lat,
        lon=(drop.lon or yard.lon) if drop else load.yard_lon if load else yard.lon,
        mark=mark,
        arrive_at=at.arrive_at if at else run.home_at,
        begin_at=at.begin_at if at else None,
        leave_at=at.leave_at if at else None,
        now_at=_time(now.arrive_s),
        late_minutes=now.late_minutes,
        leg_meters=at.leg_meters if at else _home_meters(run),
        leg_seconds=at.leg_seconds if at else _home_seconds(run),
        is_done=now.is_done,
        is_next=is_next,
    )


def _marks(plain: Iterable[tuple[str, LoadView | None, DropView | None]]) -> list[str]:
    """Drops are numbered through the run; yards carry a letter."""
    marks, drops, letters = [], 0, 0
    for kind, _, _ in plain:
        if kind == "drop":
            drops += 1
            marks.append(str(drops))
        elif kind == "load":
            marks.append(chr(ord("A") + letters))
            letters += 1
        else:
            marks.append("H")
    return marks


def _told(runs: list[Run]) -> dict[int, list[DriverEvent]]:
    found: dict[int, list[DriverEvent]] = defaultdict(list)
    rows = DriverEvent.objects.filter(kind__in=("arrived", "loaded")).order_by("happened_at")
    ids = [run.pk for run in runs]
    for row in rows.filter(stop__load__run__in=ids).select_related("stop__load"):
        found[row.stop.load.run_id].append(row)  # type: ignore[union-attr]
    for row in rows.filter(load__run__in=ids).select_related("load"):
        found[row.load.run_id].append(row)  # type: ignore[union-attr]
    return found


def _moments(told: list[DriverEvent]) -> tuple[dict[int, int], dict[int, int]]:
    """Seconds of the day at which drops were reached and loads were on."""
    arrived, loaded = {}, {}
    for row in told:
        if row.kind == "arrived" and row.stop_id:
            arrived[row.stop_id] = _seconds_of(row.happened_at)
        elif row.kind == "loaded" and row.load_id:
            loaded[row.load_id] = _seconds_of(row.happened_at)
    return arrived, loaded


def _road_cents(runs: list[Run]) -> dict[int, int]:
    """Cents of each run without the driver's hours."""
    found = {}
    for run in runs:
        try:
            rates = rates_on(rates_of(run.rig_id), run.day.on)
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


def _home_seconds(run: Run) -> int:
    return max(0, _seconds(run.home_at) - _last_leave(run))


def _home_meters(run: Run) -> int:
    legs = sum(load.leg_meters for load in run.loads.all())
    return max(0, run.empty_meters - legs)


def _last_leave(run: Run) -> int:
    leaves = [stop.leave_at for load in run.loads.all() for stop in load.stops.all()]
    return max((_seconds(at) for at in leaves), default=_seconds(run.leaves_at))


def _seconds(at: time | None) -> int:
    return at.hour * 3600 + at.minute * 60 + at.second if at else 0


def _seconds_of(at: datetime) -> int:
    return _seconds(timezone.localtime(at).time())


def _time(seconds: int) -> time:
    seconds = max(0, min(seconds, 24 * 3600 - 1))
    return time(seconds // 3600, seconds // 60 % 60, seconds % 60)
