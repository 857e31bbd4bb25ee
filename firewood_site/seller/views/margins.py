"""What loads and orders left, month by month."""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import today
from firewood_site.seller.query_values import month_of_query
from inventory.core.charts.bars import Bar, bars_chart
from inventory.core.charts.figure import Chart
from inventory.core.charts.marks import money
from inventory.core.local import in_local_units, local
from inventory.core.units import by_the_unit
from inventory.selectors.business import business
from routing.earned.charts import shares_chart
from routing.earned.margins import Compared, Margin, added_up, side_by_side
from routing.earned.moved import moved_chart, why_moved
from routing.earned.worth import GROUPINGS, worth_by
from routing.selectors.earned.margins import LoadEarned, load_earned, loads_earned, months_with_loads
from routing.selectors.earned.order_margins import order_earned
from routing.selectors.earned.worth import entries_of_loads
from routing.selectors.roads.current import roads_now

MOST_BARS = 20  # the newest loads
BY = ("load", "town", "wood", "month")  # what a bar of the chart stands for
MOST_MONTHS = 12
PAGE_LOADS = 40  # figures and markets are of the whole month all the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How far loads have come, so that a plan is never read as money earned."""

    key: str
    title: str
    help: str


STAGES = (
    Stage(key="driven", title="Driven", help="loads that are home, as they went"),
    Stage(key="committed", title="Committed, still to drive", help="planned figures"),
    Stage(key="draft", title="Drafts", help="planned, of days not committed; in no sum above"),
)


@seller_required
@require_safe
def margins(request: HttpRequest) -> HttpResponse:
    months = months_with_loads()
    first = _month(request.GET.get("month", ""), months)
    loads = loads_earned(first, first.replace(day=monthrange(first.year, first.month)[1]))
    page = Paginator(range(len(loads)), PAGE_LOADS).get_page(request.GET.get("page"))
    shown = [loads[place] for place in page.object_list]
    stages = _stages(loads)
    wage = business().target_wage
    by = request.GET.get("by", "")
    by = by if by in BY else BY[0]
    context = {
        "by": by,
        "groupings": BY,
        "months": months,
        "month": first,
        "loads": shown,  # a context lives until the next collection: give it no more than it shows
        "page": page,
        "drops": [drop for load in shown for drop in load.drops],
        "markets": _markets(tuple(load for load in loads if not load.is_draft)),
        "earlier": next((row for row in months if row < first), None),
        "why": _why_moved(loads, request.GET.get("against", ""), wage),
        "stages": [(stage, total, total.left_after_wages(wage)) for stage, total in stages],
        "chart": _chart(loads, by, months),
        "wage": wage,
        "has_estimates": any(load.is_estimate for load in loads),
        "roads": roads_now(),
    }
    return render(request, "seller/money/margins.html", context)


@seller_required
@require_safe
def load_margin(request: HttpRequest, load_id: int) -> HttpResponse:
    load = found(load_earned(load_id), "There is no such load: its day may have been planned anew.")
    wage = business().target_wage
    compared: tuple[Compared, ...] = ()
    why = None
    if load.planned and load.actual:
        compared = side_by_side(load.planned.whole, load.actual, target_wage=wage)
        moved = why_moved(load.planned.whole, load.actual, target_wage=wage)
        why = moved_chart(moved, key="moved", title="Why it moved from the plan, dollars left after wages")
    context = {
        "load": load,
        "wage": wage,
        "left": load.latest.left_after_wages(wage) if load.latest else None,
        "wages": load.latest.wages(wage) if load.latest else None,
        "compared": compared,
        "why": why,
        "shares": load.planned.shares if load.planned else None,
        "chart": shares_chart(load.planned.shares, key=f"load-{load.row.id}") if load.planned else None,
        "over_given": sum((drop.latest.over_given for drop in load.drops), Decimal(0)),
        "roads": roads_now(),
    }
    return render(request, "seller/money/load.html", context)


@seller_required
@require_safe
def order_margin(request: HttpRequest, number: int) -> HttpResponse:
    order = found(order_earned(number), "There is no order with this number.")
    wage = business().target_wage
    context = {
        "order": order,
        "margin": order.margin,
        "wage": wage,
        "left": order.margin.left_after_wages(wage) if order.margin else None,
        "wages": order.margin.wages(wage) if order.margin else None,
    }
    return render(request, "seller/money/order.html", context)


def _month(month_text: str, months: tuple[date, ...]) -> date:
    """The month asked for as 2026-09, else the newest that has loads, else this one."""
    return month_of_query(month_text) or (months[0] if months else today().replace(day=1))


def _stages(loads: tuple[LoadEarned, ...]) -> list[tuple[Stage, Margin]]:
    """What was earned, what is committed and what is only a draft, each added up by itself."""
    by_stage: dict[str, list[Margin]] = {}
    for load in loads:
        if load.latest is not None:
            by_stage.setdefault(_stage_of(load), []).append(load.latest)
    return [
        (stage, added_up(by_stage[stage.key], name=stage.key)) for stage in STAGES if stage.key in by_stage
    ]


def _why_moved(loads: tuple[LoadEarned, ...], against: str, wage: Decimal) -> Chart | None:
    """Why a driven cord left more or less than in another month; None unasked, and where none was driven."""
    other = month_of_query(against) if against else None
    if other is None:
        return None
    then = loads_earned(other, other.replace(day=monthrange(other.year, other.month)[1]))
    here, there = (
        added_up([load.latest for load in rows if load.is_home and load.latest], name="")
        for rows in (loads, then)
    )
    moved = why_moved(there, here, target_wage=wage, a_cord=True)
    if not moved:
        return None
    one = in_local_units("a cord")
    title = f"Why {one} left more or less than in {other:%B %Y}, {local().currency} after wages"
    rows = [replace(row, dollars=by_the_unit(row.dollars)) for row in moved]
    return moved_chart(rows, key="moved", title=title, of=one)


def _stage_of(load: LoadEarned) -> str:
    if load.is_home:
        return "driven"
    return "draft" if load.is_draft else "committed"


def _chart(loads: Sequence[LoadEarned], by: str, months: Sequence[date]) -> Chart | None:
    """Cash left by load, town or wood of the month, or month by month; drafts count in none."""
    if by == "month" and months:
        last = months[0].replace(day=monthrange(months[0].year, months[0].month)[1])
        loads = loads_earned(months[:MOST_MONTHS][-1], last)
    committed = [load for load in loads if not load.is_draft and load.latest is not None]
    if not committed:
        return None
    bars = _load_bars(committed) if by == "load" else _sum_bars(committed, by)
    return bars_chart(bars, key="margins", title=f"Cash left by {by}, dollars")


def _load_bars(loads: Sequence[LoadEarned]) -> list[Bar]:
    """The newest loads, the oldest of them on top."""
    return [
        _bar(
            f"{load.name} · {load.run.rig}", load.latest.cash_left, load.latest.per_hour, is_home=load.is_home
        )
        for load in reversed(loads[:MOST_BARS])
        if load.latest is not None
    ]


def _sum_bars(loads: Sequence[LoadEarned], by: str) -> list[Bar]:
    """Each group's orders added up: months in their order, of towns and woods the best first."""
    rows = list(worth_by(entries_of_loads(loads), by))
    if by != "month":
        rows.sort(key=lambda row: -row.net)
    still = {GROUPINGS[by](entry) for load in loads if not load.is_home for entry in entries_of_loads([load])}
    return [
        _bar(_group_words(row.name, by), row.net, row.per_hour, is_home=row.name not in still)
        for row in rows[:MOST_BARS]
    ]


def _bar(label: str, value: Decimal, per_hour: Decimal | None, *, is_home: bool) -> Bar:
    note = f"({money(per_hour)}/h)" if per_hour is not None else ""
    return Bar(label=label, value=value, kind="" if is_home else "planned", note=note)


def _group_words(name: str, by: str) -> str:
    if by == "month":
        return f"{date.fromisoformat(f'{name}-01'):%b %Y}"
    return name or "none"


def _markets(loads: tuple[LoadEarned, ...]) -> list[tuple[str, bool, Margin, Fraction]]:
    """Near beside far: each market's orders added up, with its hours."""
    by_market: dict[tuple[bool, str], list[Margin]] = {}
    for load in loads:
        for drop in load.drops:
            by_market.setdefault((drop.stop.is_far, drop.stop.market_name), []).append(drop.latest)
    sums = [(name, is_far, added_up(rows, name=name)) for (is_far, name), rows in sorted(by_market.items())]
    return [(name, is_far, row, row.hours) for name, is_far, row in sums]
