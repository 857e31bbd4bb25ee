"""One box that finds pages, lots, orders and people; and the answer to a part of the app told of."""

from collections.abc import Iterator

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site import clock, helper_rights
from firewood_site.access import is_helper, seller_required
from firewood_site.seller.finding import PHONE_DIGITS, Candidate, Hit, ranked, words_of
from firewood_site.seller.guide import guide_pages_with
from firewood_site.seller.page_index import IndexedPage, pages_for
from firewood_site.seller.parts_in_use import ANSWERS, PARTS, SHOWN
from firewood_site.seller.post_only import post_only
from inventory.core.sentences import ENGLISH, text_of
from inventory.core.species import mix_words
from inventory.selectors.lot_choices import lots_named
from inventory.selectors.spoken import reader_language, short_day
from inventory.selectors.yards import unit_choices, yard_choices
from inventory.services.business import tell_of_part
from orders.selectors.customers import customers, customers_owing
from orders.selectors.orders import orders_list
from routing.selectors.days.today import next_planned_day

MOST = 12  # of each kind
MOST_GUIDES = 3
LONGEST = 80


@seller_required
@require_safe
def find(request: HttpRequest) -> HttpResponse:
    term = request.GET.get("q", "").strip()[:LONGEST]
    pages = pages_for(request.user)
    context = {"q": term, "hits": _found(term, request) if term else (), "pages": pages}
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


def _found(term: str, request: HttpRequest) -> list[Hit]:
    """What is looked for by name and number, the pages first, and after all of it the guide."""
    words = words_of(term)
    things = (
        *_load_sheet(), *_pages(pages_for(request.user)), *_owing(), *_lots(), *_people(words),
        *_orders(words), *_places(),
    )  # fmt: skip
    helps = is_helper(request.user)
    hits = [hit for hit in ranked(words, things) if not helps or helper_rights.may_open(hit.href)]
    return [*hits[:MOST], *_guides(words)]


def _load_sheet() -> Iterator[Candidate]:
    """What goes on first, of the next day that has loads."""
    on = next_planned_day(clock.today())
    if on is not None:
        text = _("Load sheet, {day}").format(day=short_day(on))
        hit = Hit(text=text, kind=_("what goes on first"), href=reverse("load-sheet", args=[on.isoformat()]))
        yield Candidate(hit=hit, names=f"{text} {hit.kind} {_('loads trailer packing')}")


def _pages(known: tuple[IndexedPage, ...]) -> Iterator[Candidate]:
    for page in known:
        hit = Hit(text=page.title, kind=_("page"), href=reverse(page.name))
        yield Candidate(hit=hit, names=f"{page.title} {page.about}")


def _owing() -> Iterator[Candidate]:
    """Who owes, for whoever asks who owes."""
    for customer_id, name in customers_owing():
        hit = Hit(text=name, kind=_("customer, owes"), href=reverse("customer", args=[customer_id]))
        yield Candidate(hit=hit, names=f"{name} {_('owes owed unpaid')}", about=_("money"))


def _lots() -> Iterator[Candidate]:
    for row in lots_named():
        hit = Hit(
            text=f"{row.code} {row.name}",
            kind=_("lot, {yard}").format(yard=row.yard),
            href=reverse("lot", args=[row.code]),
        )
        names = f"{row.code} {row.name} {text_of(mix_words(row.mix), reader_language())}"
        yield Candidate(hit=hit, names=names, about=_("dry lot heap wood"))


def _orders(words: tuple[str, ...]) -> Iterator[Candidate]:
    for word in words:
        for row in orders_list(search=word, rows_per_page=MOST).rows:
            hit = Hit(
                text=_("Order {number}, {customer}").format(number=row.number, customer=row.customer),
                kind=_("order, {town}").format(town=row.town),
                href=reverse("order", args=[row.number]),
            )
            said = f"{_('order')} {_phone(word)}"
            yield Candidate(hit=hit, names=f"{row.number} {row.customer} {row.town} {said}")


def _people(words: tuple[str, ...]) -> Iterator[Candidate]:
    for word in words:
        for row in customers(search=word).rows:
            hit = Hit(text=row.name, kind=_("customer"), href=reverse("customer", args=[row.id]))
            yield Candidate(hit=hit, names=f"{row.name} {_phone(word)}")


def _phone(word: str) -> str:
    """The part of a phone number that found somebody."""
    return word if sum(sign.isdigit() for sign in word) >= PHONE_DIGITS else ""


def _places() -> Iterator[Candidate]:
    for kind, address, rows in ((_("yard"), "yard", yard_choices()), (_("ground"), "unit", unit_choices())):
        for row_id, name in rows:
            yield Candidate(hit=Hit(text=name, kind=kind, href=reverse(address, args=[row_id])), names=name)


def _guides(words: tuple[str, ...]) -> list[Hit]:
    """The guide is written in English alone."""
    return [
        Hit(text=page.title, kind=_("guide"), href=reverse("guide-page", args=[page.slug]))
        for page in guide_pages_with(words)[:MOST_GUIDES]
        if get_language() == ENGLISH
    ]
