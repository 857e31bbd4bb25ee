"""The list of days: one line each, planned or not."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Max, Min, Q, QuerySet, Sum
from django.utils.translation import gettext

from orders.models import Order
from orders.selectors.parts import NamedOrder
from routing.models import Day, Run, Stop
from routing.selectors.days.shuts import ShutRow, shuts_on
from routing.selectors.days.warnings import day_warnings


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFigures:
    """What a day is and brings, wherever it is shown."""

    on: date
    state: str
    state_words: str
    cost_cents: int | None
    dollars: Decimal
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow(DayFigures):
    """One line of the list of days."""

    drops: int
    done: int
    cords: Fraction
    leaves_at: time | None
    home_at: time | None
    must_go: int  # confirmed orders whose last day it is and that no run brings
    may_go: int
    pick_ups: int  # orders somebody comes for
    shuts: tuple[str, ...]
    gap_percent: Decimal | None  # above the bound of all days planned with it


def days_list(first: date, *, days: int = 21, today: date | None = None) -> tuple[DayRow, ...]:
    """Days in date order, planned or not, in seven queries."""
    last = first + timedelta(days=days - 1)
    rows = {row.on: row for row in Day.objects.filter(on__range=(first, last))}
    sums = _sums(first, last)
    hours = {
        row["day__on"]: (row["out"], row["home"])
        for row in Run.objects.filter(day__on__range=(first, last), loads__isnull=False)
        .values("day__on")
        .annotate(out=Min("leaves_at"), home=Max("home_at"))
        .order_by()
    }
    waiting = list(_waiting(first, last).values_list("first_on", "last_on", "how"))
    brought = [(first_on, last_on) for first_on, last_on, how in waiting if how == Order.How.DELIVERED]
    fetched = [(first_on, last_on) for first_on, last_on, how in waiting if how == Order.How.PICK_UP]
    closed = shuts_on(first, last=last)
    warned = day_warnings(first, last, today=today)
    return tuple(
        _day_row(first + timedelta(days=n), rows, sums, hours, brought, fetched, closed, warned)
        for n in range(days)
    )


def pick_ups_on(on: date) -> tuple[NamedOrder, ...]:
    """Those who may come for their wood on a day, by number: whom the list of days counts."""
    rows = _waiting(on, on).filter(how=Order.How.PICK_UP).order_by("number")
    return tuple(
        NamedOrder(number=number, customer=name)
        for number, name in rows.values_list("number", "customer__name")
    )


def _waiting(first: date, last: date) -> QuerySet[Order]:
    """Confirmed orders on no run yet that may be had on one of these days."""
    return (
        Order.objects.filter(state=Order.State.CONFIRMED, is_pool=False)
        .filter(first_on__lte=last, last_on__gte=first)
        .exclude(stops__state__in=(Stop.State.PLANNED, Stop.State.ARRIVED))
    )


def _sums(first: date, last: date) -> dict[date, dict[str, object]]:
    stops = Stop.objects.filter(load__run__day__on__range=(first, last))
    ended = Q(state__in=(Stop.State.DELIVERED, Stop.State.NO_SHOW, Stop.State.TROUBLE))
    rows = (
        stops.values("load__run__day__on")
        .annotate(
            drops=Count("pk"),
            done=Count("pk", filter=ended),
            cords=Sum("cords"),
            dollars=Sum("order__total_dollars", filter=Q(part=1)),
        )
        .order_by()
    )
    return {row["load__run__day__on"]: dict(row) for row in rows}


def _day_row(
    on: date,
    rows: dict[date, Day],
    sums: dict[date, dict[str, object]],
    hours: dict[date, tuple[time, time]],
    brought: list[tuple[date, date]],
    fetched: list[tuple[date, date]],
    closed: tuple[ShutRow, ...],
    warned: dict[date, tuple[str, ...]],
) -> DayRow:
    row = rows.get(on) or Day(on=on)
    told = sums.get(on, {})
    out, home = hours.get(on, (None, None))
    return DayRow(
        on=on,
        state=row.state,
        state_words=gettext(row.get_state_display()),
        drops=int(str(told.get("drops") or 0)),
        done=int(str(told.get("done") or 0)),
        cords=Fraction(str(told.get("cords") or 0)),
        leaves_at=out,
        home_at=home,
        cost_cents=row.cost_cents,
        dollars=Decimal(str(told.get("dollars") or 0)),
        must_go=sum(last == on for _, last in brought),
        may_go=sum(first <= on <= last for first, last in brought),
        pick_ups=sum(first <= on <= last for first, last in fetched),
        shuts=tuple(
            f"{shut.kind_words} {shut.what}".strip() for shut in closed if shut.from_on <= on <= shut.to_on
        ),
        warnings=warned.get(on, ()),
        gap_percent=row.gap_percent,
    )
