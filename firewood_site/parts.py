"""Whole page or part of one: the only place that asks whether htmx is asking."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def page_or_part(
    request: HttpRequest, template: str, part: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    """The page, or only its named partial when htmx asked for it."""
    asked_by_htmx = bool(getattr(request, "htmx", False))
    name = f"{template}#{part}" if asked_by_htmx else template
    return render(request, name, context, status=status)


def has_demo_log_ins() -> bool:
    """Whether the demo's people can log in: books begun anew have none of them."""
    from django.conf import settings
    from django.contrib.auth.models import User

    return settings.DEMO and User.objects.filter(username="ruth").exists()


def who_we_are(request: HttpRequest) -> dict[str, Any]:
    """Context for every page: the business, today's date, whether this is the demo, and who only helps."""
    from django.conf import settings

    from firewood_site.access import is_helper
    from firewood_site.clock import today
    from inventory.selectors.business import business

    return {
        "business": business(),
        "today": today(),
        "is_demo": settings.DEMO,
        "has_demo_log_ins": has_demo_log_ins,  # asked on the log-in page only
        "helping": lambda: is_helper(request.user),  # asked on staff pages only: others stay free of sessions
    }
