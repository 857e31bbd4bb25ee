"""What wants doing now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site import clock
from firewood_site.access import seller_required
from firewood_site.seller import todo
from inventory.selectors.business import business
from inventory.selectors.stock import open_wood
from orders.selectors.claims import claims
from orders.selectors.orders import orders_asked, orders_list
from routing.selectors.shuts import shuts_on
from routing.selectors.today import day_brief, gone_drops, upset_days


@seller_required
@require_safe
def today_page(request: HttpRequest) -> HttpResponse:
    on = clock.today()
    who = business()
    wood = open_wood(on)
    waiting = orders_list(state="confirmed", rows_per_page=200).rows
    owed = orders_list(state="delivered", rows_per_page=50).rows
    groups = (
        ("Answer", tuple(todo.sale_todos(orders_asked(), claims()))),
        (
            "Drive",
            (
                *todo.upset_todos(upset_days(on)),
                *todo.gone_todos(gone_drops(on)),
                *todo.road_todos(waiting, on=on),
            ),
        ),
        ("Wood", tuple(todo.wood_todos(wood, on=on, business=who))),
        ("Money", tuple(todo.money_todos(owed))),
    )
    context = {
        "groups": [(name, rows) for name, rows in groups if rows],
        "run": day_brief(on),
        "wood": wood.total,
        "shut": todo.shut_notes(shuts_on(on)),
        "pool": sum(1 for row in waiting if row.is_pool),
        "is_new": not who.address and not wood.lots,
    }
    return render(request, "seller/money/today.html", context)
