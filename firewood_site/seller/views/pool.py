"""Far orders waiting to share a load."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import signed, today
from firewood_site.parts import page_or_part
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.query_values import day_of_query, row_of_query
from firewood_site.seller.steps import step
from inventory.core.charts.bars import Bar, bars_chart
from inventory.core.charts.figure import Chart
from inventory.core.charts.marks import money
from orders.core.places import cautions_on
from routing.maps.woodpiles import woodpile
from routing.selectors.earned.pool import PoolView, pools
from routing.services.pools import Trip, put_on_day, trip_of


@seller_required
@require_safe
def pool(request: HttpRequest) -> HttpResponse:
    return _page(request)


def _refused(request: HttpRequest, sentence: str) -> HttpResponse:
    return _page(request, problem=sentence, status=422)


@step(_refused)
def put(request: HttpRequest) -> HttpResponse:
    """Plan a day with those who ride, and go there to look it over."""
    on = day_of_query(request.POST.get("on", ""))
    numbers = [row_of_query(number) for number in request.POST.getlist("orders")]
    if on is None:
        raise PageRefusal("Choose the day to put them on.")
    planned = put_on_day(numbers=numbers, on=on, **signed(request))
    left = f" {len(planned.postponed)} left out, see why." if planned.postponed else ""
    messages.success(
        request,
        f"{planned.drops} drop{'' if planned.drops == 1 else 's'} planned.{left} "
        "It is a draft: look it over, then commit it and the customers are told.",
    )
    return redirect("day", on.isoformat())


def _page(request: HttpRequest, *, problem: str = "", status: int = 200) -> HttpResponse:
    ticked = {*request.GET.getlist("ticked"), *request.GET}  # an older address names each
    anyway, unsold = "anyway" in ticked, "unsold" in ticked
    context: dict[str, Any] = {
        "anyway": anyway,
        "unsold": unsold,
        "cautions": cautions_on("haul"),
        "problem": problem,
        "pools": (),
    }
    with refusals() as refused:
        views = pools(today(), is_going_anyway=anyway, would_sell_here=not unsold)
        context["pools"] = [(view, _fill(view), _growth(view), _trip(view)) for view in views]
    if refused:
        context["problem"] = refused.text
    return page_or_part(request, "seller/money/pool.html", "answer", context, status=status)


def _trip(view: PoolView) -> Trip | None:
    """The planner's word on those who ride together."""
    numbers = [int(step.joined.order) for step in view.answer.steps]
    return trip_of(numbers, today=today()) if numbers else None


def _fill(view: PoolView) -> str:
    share = view.answer.steps[-1].box_share if view.answer.steps else 0
    return mark_safe(
        woodpile(
            key=f"pool-{view.town.id}",
            share=share,
            title=f"How full the {view.rig.name} is with the orders that ride together",
        )
    )


def _growth(view: PoolView) -> Chart | None:
    """The gain as the pool fills, one bar an order that joins."""
    bars = [
        Bar(
            label=f"{'+ ' if place else ''}{step.joined.customer}",
            value=step.answer.gain,
            kind="near" if step.answer.is_worth_it else "far",
            note=f"({money(step.answer.per_extra_hour)} an extra hour)" if step.answer.per_extra_hour else "",
        )
        for place, step in enumerate(view.answer.steps)
    ]
    if not bars:
        return None
    return bars_chart(bars, key=f"growth-{view.town.id}", title="Gain as the pool fills, dollars")
