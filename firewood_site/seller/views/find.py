"""One box that finds pages, lots, orders and people; and the answer to a part of the app told of."""

from collections import Counter
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.seller.guide import guide_pages_with
from firewood_site.seller.page_index import IndexedPage, pages_for
from firewood_site.seller.parts_in_use import ANSWERS, PARTS, SHOWN
from firewood_site.seller.post_only import post_only
from inventory.core.sentences import ENGLISH
from inventory.selectors.lot_choices import lots_found
from inventory.selectors.yards import unit_choices, yard_choices
from inventory.services.business import tell_of_part
from orders.selectors.customers import customers
from orders.selectors.orders import orders_list

MOST = 12  # of each kind
MOST_GUIDES = 3
LONGEST = 80
MOST_WORDS = 5  # looked for one by one
SHORTEST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something found: what it is called, what it is, and where it stands."""

    text: str
    kind: str
    href: str


@seller_required
@require_safe
def find(request: HttpRequest) -> HttpResponse:
    term = request.GET.get("q", "").strip()[:LONGEST]
    pages = pages_for(request.user)
    context = {"q": term, "hits": _found(term, pages) if term else (), "pages": pages}
    return render(request, "seller/find.html", context)


@seller_required
@post_only
def part_told(request: HttpRequest, part: str, answer: str) -> HttpResponse:
    """Show a part of the app from now on, or leave it to the search box."""
    told = next((row for row in PARTS if row.key == part), None)
    if told is None or answer not in ANSWERS:
        raise Http404("There is no such part.")
    tell_of_part(part=part, answer=answer)
    return redirect(told.name if answer == SHOWN else "today")


def _found(term: str, known_pages: tuple[IndexedPage, ...]) -> list[Hit]:
    """What all the words lead to; else what each of them does, first what most of them lead to."""
    words = [word for word in dict.fromkeys(term.split()) if len(word) >= SHORTEST][:MOST_WORDS]
    hits = _hits(term, known_pages)
    if len(words) < 2 or any(hit.kind != _("guide") for hit in hits):
        return hits
    found = Counter(hit for word in words for hit in dict.fromkeys(_hits(word, known_pages)))
    return [hit for hit, _times in found.most_common(MOST)]


def _hits(term: str, known_pages: tuple[IndexedPage, ...]) -> list[Hit]:
    words = term.lower().split()
    pages = [
        Hit(text=page.title, kind=_("page"), href=reverse(page.name))
        for page in known_pages
        if all(
            any(known.startswith(word) for known in f"{page.title} {page.about}".lower().split())
            for word in words
        )
    ]
    lots = [
        Hit(
            text=f"{row.code} {row.name}",
            kind=_("lot, {yard}").format(yard=row.yard),
            href=reverse("lot", args=[row.code]),
        )
        for row in lots_found(term, most=MOST)
    ]
    orders = [
        Hit(
            text=_("Order {number}, {customer}").format(number=row.number, customer=row.customer),
            kind=_("order, {town}").format(town=row.town),
            href=reverse("order", args=[row.number]),
        )
        for row in orders_list(search=term, rows_per_page=MOST).rows
    ]  # fmt: skip
    people = [
        Hit(text=row.name, kind=_("customer"), href=reverse("customer", args=[row.id]))
        for row in customers(search=term).rows[:MOST]
    ]
    places = [
        Hit(text=name, kind=kind, href=reverse(address, args=[row_id]))
        for kind, address, rows in (
            (_("yard"), "yard", yard_choices()),
            (_("ground"), "unit", unit_choices()),
        )
        for row_id, name in rows
        if term.lower() in name.lower()
    ]
    guides = [
        Hit(text=page.title, kind=_("guide"), href=reverse("guide-page", args=[page.slug]))
        for page in guide_pages_with(term)[:MOST_GUIDES]
        if get_language() == ENGLISH  # the guide is written in English alone
    ]
    return [*pages, *lots, *orders, *people, *places, *guides]
