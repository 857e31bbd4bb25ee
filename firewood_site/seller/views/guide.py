"""The guide: what each part of the app is for, in short pages."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.seller.finding import words_of
from firewood_site.seller.guide import GUIDE, guide_page, guide_pages_with

LONGEST = 80


@seller_required
@require_safe
def guide(request: HttpRequest) -> HttpResponse:
    """All pages, or those that hold the words looked for."""
    term = request.GET.get("q", "").strip()[:LONGEST]
    pages = guide_pages_with(words_of(term)) if term else GUIDE
    return render(request, "guide/index.html", {"q": term, "pages": pages, "guide": GUIDE})


@seller_required
@require_safe
def one_page(request: HttpRequest, slug: str) -> HttpResponse:
    """One page, with the way to the page before and after it."""
    page = found(guide_page(slug), "The guide has no such page.")
    place = GUIDE.index(page)
    context = {
        "page": page,
        "before": GUIDE[place - 1] if place else None,
        "after": GUIDE[place + 1] if place + 1 < len(GUIDE) else None,
    }
    return render(request, page.template, context)
