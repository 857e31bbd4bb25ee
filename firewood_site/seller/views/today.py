"""What is to be done now."""

from collections.abc import Iterable
from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site import clock, helper_rights
from firewood_site.access import is_helper, seller_required
from firewood_site.health import checks
from firewood_site.heartbeats import DAILY, heartbeat
from firewood_site.seller import today_tasks
from firewood_site.seller.closures_today import closure_notes
from firewood_site.seller.first_start import blocking
from firewood_site.seller.ground_tasks import ground_tasks
from firewood_site.seller.parts_in_use import to_announce
from firewood_site.seller.today_tasks import Task
from firewood_site.seller.views.tell import late_rows
from inventory.selectors.business import business
from inventory.selectors.stock import open_wood
from inventory.selectors.yards import units
from orders.selectors.claims import claims
from orders.selectors.letters import failed_letters, to_tell_count
from orders.selectors.money import owed, to_pay_back
from orders.selectors.on_sale import sellable_today
from orders.selectors.orders import orders_in
from orders.selectors.sharing import left_alone
from orders.selectors.shortfalls import short_lots
from orders.selectors.spoken_for import spoken_for
from orders.selectors.waiting import ready_to_tell
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.days.shuts import shuts_on
from routing.selectors.days.today import day_brief, gone_drops, short_drops, upset_days
from routing.selectors.rigs import rigs
from routing.selectors.roads.current import roads_now
from routing.selectors.runs.brought_home import waiting_home

A_DAY = timedelta(days=1)


@seller_required
@require_safe
def today_page(request: HttpRequest) -> HttpResponse:
    on, at = clock.today(), clock.now()
    who = business()
    wood = open_wood(on)
    waiting, shut = orders_in("confirmed"), shuts_on(on)
    groups = (
        (
            _("Answer"),
            (
                *today_tasks.sale_tasks(orders_in("asked"), claims(open_only=True)),
                *today_tasks.tell_tasks(to_tell_count(at=at) + len(late_rows(at))),
                *today_tasks.waiting_tasks(ready_to_tell(on, at=at)),
                *today_tasks.letter_tasks(failed_letters()),
            ),
        ),
        (
            _("Drive"),
            (
                *today_tasks.conflict_tasks(events_to_look_at()),
                *today_tasks.short_tasks(short_drops(on)),
                *today_tasks.came_home_tasks(waiting_home(on)),
                *today_tasks.upset_tasks(upset_days(on)),
                *today_tasks.gone_tasks(gone_drops(on)),
                *today_tasks.alone_tasks(left_alone()),
                *today_tasks.road_tasks(waiting, on=on),
                *today_tasks.rating_tasks(rigs()),
            ),
        ),
        (
            _("Wood"),
            (
                *today_tasks.shortfall_tasks(short_lots(on)),
                *today_tasks.wood_tasks(wood, on=on, business=who),
            ),
        ),
        (
            _("Ground"),
            tuple(ground_tasks(units(), on=on, closures=closure_notes(shut, kinds=("burn",)))),
        ),
        (_("Money"), tuple(today_tasks.money_tasks(owed(on), to_pay_back()))),
        (_("Behind the pages"), _behind()),
    )
    morning = heartbeat(DAILY)
    context = {
        "groups": [(name, shown) for name, rows in groups if (shown := _that_lead_somewhere(request, rows))],
        "run": day_brief(on),
        "tomorrow": on + A_DAY,
        "next_run": day_brief(on + A_DAY),
        "on_sale": sellable_today(on, spoken=spoken_for(at)),
        "shut": closure_notes(shut),
        "pool": sum(1 for row in waiting if row.is_pool),
        "blocking": _that_lead_somewhere(request, blocking(on, wood)),
        "new_part": next(to_announce(who), None),
        "morning": morning,
        "morning_is_today": morning and timezone.localdate(morning.at) == timezone.localdate(),
    }
    return render(request, "seller/money/today.html", context)


def _that_lead_somewhere(request: HttpRequest, rows: Iterable[Task]) -> tuple[Task, ...]:
    """Those whose page this person may open."""
    helps = is_helper(request.user)
    return tuple(row for row in rows if not helps or helper_rights.may_open(row.href))


def _behind() -> tuple[Task, ...]:
    """What is wrong behind the pages; roads nobody loaded yet are told above, with what is to be set up."""
    found = checks(at=timezone.now())
    told = tuple(row for row in found if row.name != "roads" or roads_now().name)
    return tuple(today_tasks.system_tasks(told))
