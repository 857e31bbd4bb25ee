"""What an hour earned, from the books: months brought forward, then the firm's own orders, runs and work.

A month or season counts receipts as its cash out. By load, run, order or market there are no receipts to
go by, so those are read from margins: wood at its cost per cord and the road at the rig's running costs.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, Q, Sum
from django.db.models.functions import Coalesce

from inventory.core.dates import short_day
from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from inventory.core.units import bundle_cords, miles_of
from inventory.models import Expense, WorkEntry
from orders.models import Order, Payment
from orders.selectors.money import WOOD_IS_GONE, delivered_between
from routing.earned.carried import Put, by_the_cord
from routing.earned.worth import SEASON_STARTS_IN, Earned, Worth, season_of, worth_by, worth_of
from routing.models import BroughtForward, Run, Stop
from routing.selectors.earned.carried import carried_work
from routing.selectors.earned.margins import LoadEarned

HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRow:
    """One month of a season. brought: how much of it stood in older books."""

    first_on: date
    label: str
    worth: Worth
    is_brought: bool
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonView:
    """A season month by month. counted_until: the last day that older books cover, if any. waiting: hours and
    dollars put into wood that is not sold; none where work counts on its own day."""

    name: str
    months: tuple[MonthRow, ...]
    total: Worth | None
    seasons: tuple[str, ...]
    counted_until: date | None
    waiting: Put | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtRow:
    """A month of older books, as its list shows it."""

    id: int
    month: date
    cords: Fraction
    revenue: Decimal


def months_brought() -> tuple[BroughtRow, ...]:
    """Months of older books, newest first."""
    return tuple(from_row(BroughtRow, row) for row in reversed(_months()))


def brought_forward_until() -> date | None:
    """The last day the months brought forward cover."""
    return max(_ends().values(), default=None)


def entries_of_books(first: date, last: date) -> tuple[Earned, ...]:
    """Everything the books say of some days: months brought forward, then our own; constant queries."""
    return (*_brought(first, last), *_own(first, last))


@once_a_page
def season(on: date, name: str = "", *, is_carried: bool = False) -> SeasonView:
    """A season's months and their total; the season of the day when none is named.

    is_carried: what was put into a lot counts when its wood was sold, not when it was done.
    """
    wanted = name or season_of(on)
    known = _seasons(on)
    if wanted not in known:
        wanted = season_of(on)
    first, last = season_days(wanted)
    carried = carried_work(first, last, since=brought_forward_until()) if is_carried else None
    ours = _own(first, last) if carried is None else (*_own(first, last, lots=False), *carried.entries)
    older = _brought(first, last)
    entries = (*(by_the_cord(older) if is_carried else older), *ours)
    brought = {row.month: row.label for row in _months() if first <= row.month <= last}
    own = {entry.on.replace(day=1) for entry in ours}
    months = tuple(
        MonthRow(
            first_on=(month := date.fromisoformat(f"{row.name}-01")),
            label=brought.get(month, ""),
            worth=row,
            is_brought=month in brought,
            is_own=month in own,
        )
        for row in worth_by(entries, "month")
    )
    return SeasonView(
        name=wanted,
        months=months,
        total=worth_of(entries, name=wanted) if entries else None,
        seasons=known,
        counted_until=brought_forward_until(),
        waiting=carried.waiting if carried else None,
    )


def seasons_worth(on: date, *, is_carried: bool = False) -> tuple[Worth, ...]:
    """Every season of the books, oldest first; is_carried as in `season`."""
    known = _seasons(on)
    first, _ = season_days(known[-1])
    if not is_carried:
        return worth_by(entries_of_books(first, on), "season")
    carried = carried_work(first, on, since=brought_forward_until()).entries
    return worth_by((*_brought(first, on), *_own(first, on, lots=False), *carried), "season")


def season_days(name: str) -> tuple[date, date]:
    """First and last day of a season named as 2025-26."""
    year = int(name[:4])
    return date(year, SEASON_STARTS_IN, 1), date(year + 1, SEASON_STARTS_IN, 1) - timedelta(days=1)


def entries_of_loads(loads: Iterable[LoadEarned]) -> tuple[Earned, ...]:
    """Loads as entries: each drop's price, its wood's and road's cost, its hours. Miles stay with the run."""
    return tuple(entry for load in loads for entry in _entries(load))


def _entries(load: LoadEarned) -> Iterator[Earned]:
    run = f"{short_day(load.run.on)}, {load.run.rig}"
    for drop in load.drops:
        left, stop = drop.latest, drop.stop
        yield Earned(
            on=load.run.on,
            revenue=left.price,
            cash_out=left.wood_cash + left.road + left.fees,
            cords=left.cords,
            delivery_hours=left.delivery_minutes / 60,
            yard_hours=left.wood_hours,
            order=f"{stop.number} {stop.customer}",
            load=load.name,
            run=run,
            market=stop.market_name,
            wood=stop.wood,
            customer=stop.customer,
            town=stop.town or "",
        )


def _brought(first: date, last: date) -> tuple[Earned, ...]:
    return tuple(
        Earned(
            on=row.month,
            revenue=row.revenue,
            cash_out=row.cash_out,
            cords=row.cords,
            miles=row.miles,
            delivery_hours=Fraction(row.delivery_hours),
            yard_hours=Fraction(row.yard_hours),
        )
        for row in _months()
        if first <= row.month <= last
    )


@once_a_page
def _months() -> tuple[BroughtForward, ...]:
    return tuple(BroughtForward.objects.order_by("month"))


def _ends() -> dict[date, date]:
    """The last day that each month of older books covers, by its first."""
    return {row.month: row.covers_until or _month_end(row.month) for row in _months()}


def _own(first: date, last: date, *, lots: bool = True) -> tuple[Earned, ...]:
    """Our own rows, but none of days that a month of older books covers: its totals hold them already.
    Without `lots`, no work or receipt that was put into one."""
    ends = _ends()
    rows = (
        *_own_sales(first, last),
        *_own_runs(first, last),
        *_own_work(first, last, lots=lots),
        *_own_receipts(first, last, lots=lots),
    )
    if not ends:
        return rows
    return tuple(row for row in rows if row.on > ends.get(row.on.replace(day=1), date.min))


@once_a_page
def _own_sales(first: date, last: date) -> tuple[Earned, ...]:
    """Delivered orders, added up by day: without sales tax, less what was credited for short wood."""
    sold = (
        delivered_between(first, last)
        .order_by()
        .values_list("delivered_on")
        .annotate(
            total=Sum("total_dollars"),
            tax=Sum("tax_dollars"),
            all_cords=Sum(Coalesce("delivered_cords", "cords")),
            all_bundles=Sum("bundles", filter=Q(cords=0, delivered_cords=None)),
        )
    )
    credits = Payment.objects.filter(kind=Payment.Kind.CREDIT)  # few; by kind alone they are found sooner
    credited: dict[date | None, Decimal] = defaultdict(Decimal)
    for state, on, dollars in credits.values_list("order__state", "order__delivered_on", "dollars"):
        if state in WOOD_IS_GONE:
            credited[on] += dollars
    return tuple(
        Earned(
            on=on,
            revenue=total - tax - credited[on],
            cords=Fraction(cords or 0) + (bundle_cords(bundles) if bundles else 0),
        )
        for on, total, tax, cords, bundles in sold
    )


@once_a_page
def _own_runs(first: date, last: date) -> tuple[Earned, ...]:
    """Miles and hours of runs that delivered something, by day: as told by the driver, else as planned."""
    was_driven = Stop.objects.filter(load__run=OuterRef("pk"), state=Stop.State.DELIVERED)
    rows = Run.objects.filter(Exists(was_driven), day__on__gte=first, day__on__lte=last).values_list(
        "day__on",
        "loaded_meters",
        "empty_meters",
        "paid_seconds",
        "actual_leave_at",
        "actual_home_at",
        "actual_loaded_miles",
        "actual_empty_miles",
    )
    miles: dict[date, Decimal] = defaultdict(Decimal)
    seconds: dict[date, int] = defaultdict(int)
    for on, loaded_m, empty_m, paid_s, left_at, home_at, loaded, empty in rows:
        miles[on] += _run_miles(loaded_m + empty_m, loaded, empty)
        seconds[on] += _run_seconds(paid_s, left_at, home_at)
    return tuple(
        Earned(on=on, miles=driven, delivery_hours=Fraction(seconds[on], 3600))
        for on, driven in miles.items()
    )


def _own_work(first: date, last: date, *, lots: bool) -> tuple[Earned, ...]:
    """Hours by day; delivering written down on a day that has a run is not counted twice."""
    is_delivering = Q(job=WorkEntry.Job.DELIVER)
    counted = Q() if lots else Q(lot__isnull=True) | is_delivering
    rows = (
        WorkEntry.objects.filter(counted, on__gte=first, on__lte=last)
        .order_by()
        .values_list("on")
        .annotate(
            delivering=Sum("hours_likely", filter=is_delivering, default=0),
            in_yard=Sum("hours_likely", filter=~is_delivering, default=0),
        )
    )
    run_days = {run.on for run in _own_runs(first, last)}
    return tuple(
        Earned(
            on=on,
            delivery_hours=Fraction(0 if on in run_days else delivering),
            yard_hours=Fraction(in_yard),
        )
        for on, delivering, in_yard in rows
    )


def _own_receipts(first: date, last: date, *, lots: bool) -> tuple[Earned, ...]:
    counted = Q() if lots else Q(lot__isnull=True)
    rows = (
        Expense.objects.filter(counted, on__gte=first, on__lte=last)
        .order_by()
        .values_list("on")
        .annotate(sum=Sum("dollars"))
    )
    return tuple(Earned(on=on, cash_out=spent) for on, spent in rows)


def _run_miles(meters: int, loaded: Decimal | None, empty: Decimal | None) -> Decimal:
    if loaded is not None or empty is not None:
        return (loaded or Decimal(0)) + (empty or Decimal(0))
    return miles_of(meters).quantize(HUNDREDTH)


def _run_seconds(paid_seconds: int, left_at: datetime | None, home_at: datetime | None) -> int:
    if left_at is not None and home_at is not None:
        return max(0, int((home_at - left_at).total_seconds()))
    return paid_seconds


@once_a_page
def _seasons(on: date) -> tuple[str, ...]:
    """Seasons the books know, newest first; the running one always."""
    oldest = (
        next((row.month for row in _months()), None),
        Order.objects.filter(delivered_on__isnull=False)
        .order_by("delivered_on")
        .values_list("delivered_on", flat=True)
        .first(),
    )
    days = [on, *(day for day in oldest if day is not None)]
    start, end = int(season_of(min(days))[:4]), int(season_of(on)[:4])
    return tuple(f"{year}-{(year + 1) % 100:02d}" for year in range(end, start - 1, -1))


def _month_end(month: date) -> date:
    after = (month.replace(day=28) + timedelta(days=4)).replace(day=1)
    return after - timedelta(days=1)
