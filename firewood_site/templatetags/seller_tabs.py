"""Which tabs a seller sees: small at first."""

from typing import Any

from django import template
from django.urls import reverse
from django.utils.translation import gettext

from firewood_site.seller.page_index import pages_for
from firewood_site.seller.parts_in_use import shows_days

register = template.Library()


@register.simple_tag(takes_context=True)
def days_tab(context: Any) -> bool:
    """Whether the seller's tab Days is there yet."""
    return shows_days(context["business"])


@register.simple_tag(takes_context=True)
def set_up_parts(context: Any) -> list[dict[str, Any]]:
    """Every part of the set-up page this person may open, and which one is open."""
    path = context["request"].path
    parts = [
        (page.title, reverse(page.name))
        for page in pages_for(context["request"].user)
        if page.tab == gettext("Set up")
    ]
    return [
        {"title": title, "href": href, "is_here": href != reverse("set-up") and path.startswith(href)}
        for title, href in parts
    ]
