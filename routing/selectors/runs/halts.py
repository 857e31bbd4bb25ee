"""The halts of a run in order: yards, drops and home, and when each is reached as things stand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, NamedTuple

from django.utils import timezone

from inventory.models import Yard
from routing.core.day_clock import HaltTimes, seconds_of, time_at
from routing.core.lateness import Halt, NewTime, chance_in_time, new_times
from routing.maps.run_drawing import MapStop
from routing.models import DriverEvent, Run, Stop
from routing.selectors.runs.drops import DropView
from routing.selectors.runs.loads import FillView, LoadView

SAY_LATE_MINUTES = 10


class _Halt(NamedTuple):
    """A yard or a drop of a load; home has none."""

    load: LoadView | None
    at: HaltTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class HaltView(MapStop):
    """One line of a run: a yard to load at, a drop, or home; `now` is when as things stand.

    chance_pct: that a drop is begun within the hours told, from 1 to 99.
    """

    load: LoadView | None
    planned: HaltTimes
    now: NewTime
    is_next: bool
    chance_pct: int | None

    @property
    def kind(self) -> str:
        return "drop" if self.drop else "load" if self.fill else "home"

    @property
    def drop(self) -> DropView | None:
        return self.planned if isinstance(self.planned, DropView) else None

    @property
    def fill(self) -> FillView | None:
        return self.planned if isinstance(self.planned, FillView) else None

    @property
    def hours(self) -> tuple[time, time] | None:
        """The hours told to who waits for a drop."""
        return self.drop.order.promise.hours if self.drop else None

    @property
    def box_share(self) -> float:
        """How full the load filled here is, 1 = full."""
        return float(self.load.box_share) if self.load and self.fill else 0.0

    @property
    def now_at(self) -> time:
        return time_at(self.now.arrive_s)

    @property
    def late_minutes(self) -> int:
        """Against the plan."""
        return self.now.late_minutes

    @property
    def is_done(self) -> bool:
        return self.now.is_done

    @property
    def is_late(self) -> bool:
        return not self.is_done and self.late_minutes >= SAY_LATE_MINUTES


def halts_of(
    run: Run, loads: tuple[LoadView, ...], told: list[DriverEvent], at: datetime | None
) -> tuple[HaltView, ...]:
    arrived, loaded = _moments(told)
    plain = [_Halt(load, at) for load in loads for at in (*load.fills, *load.drops)]
    home = HaltTimes(
        arrive_at=run.home_at,
        begin_at=None,
        leave_at=None,
        leg_meters=max(0, run.empty_meters - sum(load.first_fill.leg_meters for load in loads)),
        leg_seconds=max(0, seconds_of_day(run.home_at) - _last_leave(run, loads)),
    )
    plain.append(_Halt(None, home))
    begun = _begun(loads, loaded, is_home=run.actual_home_at is not None)
    halts = [_halt(run, *halt, arrived, loaded, begun) for halt in plain]
    left = seconds_of_day(run.actual_leave_at) if run.actual_leave_at else None
    now_s = seconds_of_day(at) if at is not None and timezone.localdate(at) == run.day.on else 0
    planned_leave = seconds_of_day(run.leaves_at)
    times = new_times(halts, left_s=left if left is not None else max(planned_leave, now_s), now_s=now_s)
    upcoming = next((place for place, now in enumerate(times) if not now.is_done), None)
    marks, chances = _marks(plain), _chances(plain, halts)
    return tuple(
        _halt_view(
            *halt, run.rig.home_yard,
            now=times[place], mark=marks[place], chance_pct=chances[place], is_next=place == upcoming,
        )
        for place, halt in enumerate(plain)
    )  # fmt: skip


def _chances(plain: Sequence[_Halt], halts: Sequence[Halt]) -> list[int | None]:
    """Of each drop, that the plan keeps its hours; of other halts none."""
    pieces: list[int] = []
    found: list[int | None] = []
    for (_, at), halt in zip(plain, halts, strict=True):
        pieces.append(halt.drive_s)
        chance = None
        if isinstance(at, DropView) and at.begin_at is not None:
            spare_s = seconds_of(at.order.promise.hours[1]) - at.begin_s
            chance = min(99, max(1, round(chance_in_time(pieces, spare_s=spare_s) * 100)))
        found.append(chance)
        pieces.append(halt.stay_s)
    return found


def _begun(loads: tuple[LoadView, ...], loaded: dict[int, int], *, is_home: bool) -> set[int]:
    """Loads that are on or over, ticked or not: a drop reached, a later load begun, or the rig home."""
    begun: set[int] = set()
    later = is_home
    for load in reversed(loads):
        reached = any(drop.state != Stop.State.PLANNED for drop in load.drops)
        later = later or load.is_loaded or load.id in loaded or reached
        if later:
            begun.add(load.id)
    return begun


def _halt(
    run: Run,
    load: LoadView | None,
    at: HaltTimes,
    arrived: dict[int, int],
    loaded: dict[int, int],
    begun: set[int],
) -> Halt:
    planned = {
        "drive_s": at.leg_seconds,
        "stay_s": max(0, at.leave_s - at.begin_s),
        "planned_arrive_s": at.arrive_s,
    }
    if load is None:
        home_s = seconds_of_day(run.actual_home_at) if run.actual_home_at else None
        return Halt(name="home", done_s=home_s, **planned)
    if isinstance(at, DropView):
        return Halt(
            name=f"drop {at.id}",
            begins_from_s=seconds_of(at.order.promise.window_from),
            arrived_s=arrived.get(at.id) if at.state == Stop.State.ARRIVED else None,
            done_s=seconds_of_day(at.done_at) if at.done_at else None,
            **planned,
        )
    done = loaded.get(load.id) or (at.leave_s if load.id in begun else None)
    return Halt(name=f"load {load.id}", done_s=done, **planned)


def _halt_view(load: LoadView | None, at: HaltTimes, home: Yard, **more: Any) -> HaltView:
    if isinstance(at, DropView):
        name, spot = at.order.customer.name, at.order.place.spot or (home.lat, home.lon)
    elif isinstance(at, FillView):
        name, spot = at.yard, (at.lat, at.lon)
    else:
        name, spot = home.name, (home.lat, home.lon)
    is_yard = not isinstance(at, DropView)
    return HaltView(load=load, planned=at, name=name, lat=spot[0], lon=spot[1], is_yard=is_yard, **more)


def _marks(plain: Iterable[_Halt]) -> list[str]:
    """Drops are numbered through the run; yards carry a letter."""
    marks, drops, letters = [], 0, 0
    for _, at in plain:
        if isinstance(at, DropView):
            drops += 1
            marks.append(str(drops))
        elif isinstance(at, FillView):
            marks.append(chr(ord("A") + letters))
            letters += 1
        else:
            marks.append("H")
    return marks


def _moments(told: list[DriverEvent]) -> tuple[dict[int, int], dict[int, int]]:
    """Seconds of the day at which drops were reached and loads were on."""
    arrived, loaded = {}, {}
    for row in told:
        if row.kind == "arrived" and row.stop_id:
            arrived[row.stop_id] = seconds_of_day(row.happened_at)
        elif row.kind == "loaded" and row.load_id:
            loaded[row.load_id] = seconds_of_day(row.happened_at)
    return arrived, loaded


def _last_leave(run: Run, loads: tuple[LoadView, ...]) -> int:
    leaves = [drop.leave_at for load in loads for drop in load.drops]
    return max((seconds_of_day(at) for at in leaves), default=seconds_of_day(run.leaves_at))


def seconds_of_day(at: time | datetime | None) -> int:
    """After midnight here; 0 for no time."""
    return seconds_of(timezone.localtime(at).time() if isinstance(at, datetime) else at)
