"""What loads and orders left, month by month."""

from calendar import monthrange
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import islice

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import today
from firewood_site.seller.asked import month_asked
from inventory.selectors.business import business
from routing.core.charts import Bar, bars_chart, shares_chart
from routing.core.drawing import money
from routing.core.margins import Compared, Margin, added_up, side_by_side
from routing.selectors.margins import LoadEarned, load_earned, loads_earned, months_with_loads
from routing.selectors.order_margins import order_earned
from routing.selectors.roads import roads_now

MOST_BARS = 20  # the newest loads
PAGE_LOADS = 40  # figures and markets are of the whole month all the same


@seller_required
@require_safe
def margins(request: HttpRequest) -> HttpResponse:
    months = months_with_loads()
    first = _month(request.GET.get("month", ""), months)
    loads = loads_earned(first, first.replace(day=monthrange(first.year, first.month)[1]))
    page = Paginator(range(len(loads)), PAGE_LOADS).get_page(request.GET.get("page"))
    shown = [loads[place] for place in page.object_list]
    whole = [load.latest for load in loads if load.latest is not None]
    total = added_up(whole, name="total") if whole else None
    wage = business().target_wage
    context = {
        "months": months,
        "month": first,
        "loads": shown,  # a context lives until the next collection: give it no more than it shows
        "page": page,
        "drops": [drop for load in shown for drop in load.drops],
        "markets": _markets(loads),
        "total": total,
        "left": total.left_after_wages(wage) if total else None,
        "chart": _chart(loads),
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
    if load.planned and load.actual:
        compared = side_by_side(load.planned.whole, load.actual, target_wage=wage)
    context = {
        "load": load,
        "wage": wage,
        "left": load.latest.left_after_wages(wage) if load.latest else None,
        "wages": load.latest.wages(wage) if load.latest else None,
        "compared": compared,
        "shares": load.planned.shares if load.planned else None,
        "chart": mark_safe(shares_chart(load.planned.shares, key=f"load-{load.id}")) if load.planned else "",
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


def _month(said: str, months: tuple[date, ...]) -> date:
    """The month asked for as 2026-09, else the newest that has loads, else this one."""
    return month_asked(said) or (months[0] if months else today().replace(day=1))


def _chart(loads: tuple[LoadEarned, ...]) -> str:
    drawn = list(islice((load for load in loads if load.latest is not None), MOST_BARS))
    bars = [
        Bar(
            label=f"{load.name} · {load.rig}",
            value=load.latest.cash_left,
            kind="bad" if load.latest.cash_left < 0 else "",
            note=f"({money(load.latest.per_hour)}/h)" if load.latest.per_hour is not None else "",
        )
        for load in reversed(drawn)
        if load.latest is not None
    ]
    return mark_safe(bars_chart(bars, key="loads", title="Cash left by load")) if bars else ""


def _markets(loads: tuple[LoadEarned, ...]) -> list[tuple[str, bool, Margin, Fraction]]:
    """Near beside far: each market's orders added up, with its hours."""
    by_market: dict[tuple[bool, str], list[Margin]] = {}
    for load in loads:
        for drop in load.drops:
            by_market.setdefault((drop.is_far, drop.market_name), []).append(drop.latest)
    sums = [(name, is_far, added_up(rows, name=name)) for (is_far, name), rows in sorted(by_market.items())]
    return [(name, is_far, row, row.hours) for name, is_far, row in sums]
