"""Far orders waiting to share a load."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from orders.core.places import cautions_on
from routing.core import RoutingError
from routing.core.charts import Bar, bars_chart
from routing.core.drawing import money
from routing.core.woodpiles import woodpile
from routing.selectors.pool import PoolView, pools


@seller_required
@require_safe
def pool(request: HttpRequest) -> HttpResponse:
    anyway, unsold = "anyway" in request.GET, "unsold" in request.GET
    context: dict[str, Any] = {"anyway": anyway, "unsold": unsold, "cautions": cautions_on("haul")}
    status = 200
    try:
        views = pools(today(), is_going_anyway=anyway, would_sell_here=not unsold)
    except RoutingError as error:
        context["trouble"] = str(error)
        views = ()
    context["pools"] = [(view, _fill(view), _growth(view)) for view in views]
    return page_or_part(request, "seller/money/pool.html", "answer", context, status=status)


def _fill(view: PoolView) -> str:
    share = view.answer.steps[-1].box_share if view.answer.steps else 0
    return mark_safe(
        woodpile(
            key=f"pool-{view.town.id}",
            share=share,
            title=f"How full the {view.rig.name} is with the orders that ride together",
        )
    )


def _growth(view: PoolView) -> str:
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
        return ""
    return mark_safe(bars_chart(bars, key=f"growth-{view.town.id}", title="Gain as the pool fills"))
