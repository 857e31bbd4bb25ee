"""Bring in what was kept elsewhere: a file, its columns matched, every line tried, then added."""

from typing import Any

from django.contrib import messages
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from firewood_site.access import seller_required
from firewood_site.bringing_in.columns import KINDS, guessed
from firewood_site.bringing_in.rows import Fate, bring_in
from firewood_site.bringing_in.tables import Table, read_table
from firewood_site.clock import signed, today
from firewood_site.people import Author
from firewood_site.refusals import PageRefusal, refusals

KEPT_SECONDS = 2 * 3600
SHOWN = 200  # lines told one by one; those that are wrong come first
TITLES = {"customers": "Customers", "orders": "Orders delivered before", "lots": "Lots: wood in the yard"}


@seller_required
def bring(request: HttpRequest) -> HttpResponse:
    """Take a file, or look again with other columns, or add what was looked at."""
    if request.method != "POST":
        return render(request, "seller/money/bring_in.html", {"titles": TITLES, "kind": "customers"})
    kind = request.POST.get("kind", "")
    context: dict[str, Any] = {"titles": TITLES, "kind": kind if kind in KINDS else "customers"}
    with refusals() as refused:
        if kind not in KINDS:
            raise PageRefusal("Say what the file holds: customers, orders or lots.")
        table = _table(request, kind)
        columns = _columns(request, kind, table)
        add = request.POST.get("act") == "add"
        by = Author(on=today(), **signed(request))
        fates = bring_in(kind, table, columns, by=by, keep=add)
        if add:
            messages.success(request, _told(fates))
            cache.delete(_key(request, kind))
            return redirect("bring-in")
        context |= _looked_at(kind, table, columns, fates)
    context["refused"] = refused.text
    return render(request, "seller/money/bring_in.html", context, status=422 if refused else 200)


def _table(request: HttpRequest, kind: str) -> Table:
    """The file that came along, kept for the next step; else the one kept."""
    sent = request.FILES.get("file")
    if sent is not None:
        table = read_table(sent.name or "", sent.read())
        cache.set(_key(request, kind), (table.names, table.rows), KEPT_SECONDS)
        return table
    kept = cache.get(_key(request, kind))
    if kept is None:
        raise PageRefusal("Choose the file to bring in.")
    return Table(names=kept[0], rows=kept[1])


def _columns(request: HttpRequest, kind: str, table: Table) -> dict[str, int]:
    if request.FILES.get("file") is not None:
        return guessed(kind, table.names)
    chosen = {field.key: request.POST.get(f"column-{field.key}", "") for field in KINDS[kind]}
    return {
        key: int(place)
        for key, place in chosen.items()
        if place.isascii() and place.isdigit() and int(place[:4]) < len(table.names)
    }


def _looked_at(kind: str, table: Table, columns: dict[str, int], fates: tuple[Fate, ...]) -> dict[str, Any]:
    first = {"bad": 0, "known": 1, "new": 2}
    counts = {state: sum(1 for fate in fates if fate.state == state) for state in first}
    return {
        "fields": [(field, columns.get(field.key, -1)) for field in KINDS[kind]],
        "names": list(enumerate(table.names)),
        "fates": sorted(fates, key=lambda fate: (first[fate.state], fate.line))[:SHOWN],
        "more": max(0, len(fates) - SHOWN),
        "counts": counts,
    }


def _told(fates: tuple[Fate, ...]) -> str:
    added = sum(1 for fate in fates if fate.state == "new")
    left = len(fates) - added
    rest = f" {left} left out: they were known already, or could not be read." if left else ""
    return f"{added} added.{rest}"


def _key(request: HttpRequest, kind: str) -> str:
    return f"bring-in:{request.user.pk}:{kind}"
