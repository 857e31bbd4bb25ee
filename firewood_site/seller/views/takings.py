"""Money over a month or a year, and its lines as a file for whoever does the taxes."""

import csv
from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.seller.query_values import day_of_query
from inventory.core.sentences import text_of
from inventory.selectors.spoken import reader_language
from orders.selectors.takings import ledger_between, takings

COLUMNS = ("day", "order", "customer", "what", "way of payment", "dollars", "undone", "note")
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@seller_required
@require_safe
def books(request: HttpRequest) -> HttpResponse:
    """What came in between two days, by month, way of payment and town; what is open now."""
    first, last = _days(request)
    context = {
        "first": first,
        "last": last,
        "books": takings(first, last, today=today()),
        "spans": _spans(today()),
        "file": f"{reverse('money-file')}?from={first:%Y-%m-%d}&to={last:%Y-%m-%d}",
    }
    return render(request, "seller/orders/books.html", context)


@seller_required
@require_safe
def ledger_file(request: HttpRequest) -> HttpResponse:
    """The ledger of the days as CSV (RFC 4180), every line with its undoing."""
    first, last = _days(request)
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="money-{first:%Y-%m-%d}-{last:%Y-%m-%d}.csv"'
    writer = csv.writer(answer)
    writer.writerow(COLUMNS)
    for row in ledger_between(first, last):
        undone = "" if row.stands else "yes"
        plain = (row.customer, row.kind_words, row.method)
        writer.writerow(
            [
                row.on,
                row.number,
                *map(_safe, plain),
                f"{row.dollars:.2f}",
                undone,
                _safe(str(text_of(row.note, reader_language()))),
            ]
        )
    return answer


def _safe(text: str) -> str:
    """Text that a spreadsheet would read as a formula, kept as text."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _days(request: HttpRequest) -> tuple[date, date]:
    """The days asked for; this year so far when none or no days are named, turned round where needed."""
    on = today()
    first = day_of_query(request.GET.get("from", "")) or on.replace(month=1, day=1)
    last = day_of_query(request.GET.get("to", "")) or on
    return min(first, last), max(first, last)


def _spans(on: date) -> tuple[tuple[str, date, date], ...]:
    """This and last month and year, as links."""
    month, year = on.replace(day=1), on.replace(month=1, day=1)
    before_month, before_year = month - timedelta(days=1), year - timedelta(days=1)
    return (
        (_("This month"), month, on),
        (_("Last month"), before_month.replace(day=1), before_month),
        (_("This year"), year, on),
        (_("Last year"), before_year.replace(month=1, day=1), before_year),
    )
