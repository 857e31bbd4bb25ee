"""A bank's file: transfers that came in, ticked off against the orders they pay."""

from django.contrib import messages
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from firewood_site.access import seller_required
from firewood_site.bringing_in.bank import BankLine, bank_lines
from firewood_site.bringing_in.tables import Table, read_table
from firewood_site.clock import signed
from firewood_site.letters import reference_initials
from firewood_site.refusals import PageRefusal, refusals
from orders.selectors.orders import orders_list
from orders.services.payments import record_payment

KEPT_SECONDS = 2 * 3600
MOST_ORDERS = 500


@seller_required
def bank(request: HttpRequest) -> HttpResponse:
    """Take the file; then record the lines that were ticked."""
    context: dict[str, object] = {}
    with refusals() as refused:
        if request.method == "POST":
            lines = _lines(request)
            ticked = request.POST.getlist("line")
            if request.POST.get("act") == "record":
                told = _record(request, [row for row in lines if f"{row.key}" in ticked])
                messages.success(request, told)
                return redirect("money")
            context["lines"] = lines
            context["may_tick"] = any(row.order and not row.is_booked for row in lines)
    context["refused"] = refused.text
    return render(request, "seller/orders/bank.html", context, status=422 if refused else 200)


def _lines(request: HttpRequest) -> tuple[BankLine, ...]:
    sent, key = request.FILES.get("file"), f"bank:{request.user.pk}"
    if sent is not None:
        table = read_table(sent.name or "", sent.read())
        cache.set(key, (table.names, table.rows), KEPT_SECONDS)
    elif (kept := cache.get(key)) is not None:
        table = Table(names=kept[0], rows=kept[1])
    else:
        raise PageRefusal(_("Choose the file you downloaded from your bank."))
    waiting = orders_list(open_only=True, rows_per_page=MOST_ORDERS).rows
    owing = tuple(row for row in waiting if row.due > 0)
    return bank_lines(table, owing, initials=reference_initials())


def _record(request: HttpRequest, lines: list[BankLine]) -> str:
    """Each ticked line by itself; what was refused is named."""
    done, left = 0, []
    for row in lines:
        if row.order is None or row.is_booked:
            continue
        with refusals() as refused:
            record_payment(
                number=row.order.number,
                dollars=row.dollars,
                method="transfer",
                on=row.on,
                key=row.key,
                is_deposit=row.order.state in ("asked", "confirmed"),
                note="From the bank's file",
                **signed(request),
            )
            done += 1
        if refused:
            left.append(_("Order {number}: {text}").format(number=row.order.number, text=refused.text))
    told = ngettext("{count} transfer recorded.", "{count} transfers recorded.", done).format(count=done)
    return " ".join([told, *left])
