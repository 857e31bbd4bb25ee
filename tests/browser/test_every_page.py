"""Every page of the demo in Chromium: policy kept, no script error, nothing for axe to find."""

from collections.abc import Iterator
from datetime import datetime, time
from fractions import Fraction
from typing import Any
from urllib.parse import urlparse

import pytest
from django.contrib.auth.models import User
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from playwright.sync_api import Page

from firewood_site.access import neighbor_token, order_path
from firewood_site.demo import DEMO_DAY
from firewood_site.letters import stop_link
from firewood_site.people import invitation_of
from firewood_site.seller.views.lots import CHANGES
from inventory.models import Unit, WorkEntry, Yard
from orders.models import Customer, Order, Ticket, Town
from orders.services.tickets import make_ticket
from routing.models import Driver, Load, Rig, Run, Stop
from routing.quoting.prices import PriceInput, price_request
from routing.services.jobs import start_job
from tests.browser.conftest import DESK, PHONE, fits, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MORNING = timezone.make_aware(datetime.combine(DEMO_DAY, time(9)))
STILL = {"reduced_motion": "reduce"}  # colors half way from light to dark are nobody's
NO_PAGE = {
    "admin",  # Django's own
    # acts, answered by going back to a page
    "order-place", "quote-place", "order-cancel", "order-repeat", "order-remind", "text-back-order",
    "order-confirm",
    "order-decline", "order-call-off", "order-note", "order-new-link", "order-fetched", "order-write-ticket",
    "order-pay", "order-give-back", "order-check-returned", "customer-pay-first", "customer-erase",
    "claim-settle", "hold-release", "expense", "work-remove", "expense-remove", "yard-weather",
    "log-photo", "log-take-back",
    "wood-photo-add", "wood-photo-off",
    "day-plan", "day-commit", "day-take-back", "day-clear", "day-resolve", "day-edit", "day-job-stop",
    "rig-cost", "rig-out", "shut-open", "driver-events", "driver-photo", "log-out", "choose-language",
    "customer-merge", "order-letter", "drop-moves", "order-day", "told",
    "driver-resolve", "road-mark", "road-unmark",
    "set-up-add", "set-up-remove", "set-up-role",
    "order-card", "card-event", "order-other", "order-take", "quote-anew", "order-keep-money",
    "order-move-wood",
    "waiting-add", "waiting-step", "customer-called", "set-up-invite",
    "set-up-roads-progress", "order-undelivered",
    "paces", "order-came-home",
    "order-place-confirmed", "order-reopen", "order-replace-ticket", "order-undo-payment", "pool-put",
    "species-drop", "text-back-counter",
    # files, pictures and answers for scripts
    "order-calendar", "order-ticket-pdf", "ticket-pdf", "order-photo", "order-photo-kept", "wood-photo",
    "customer-export", "export-files", "run-gpx", "calendar-feed", "map-tile", "street-search", "where-am-i",
    "service-worker", "manifest", "health", "stock-count", "readiness", "part-told", "worth-it-picture",
    "money-file", "shop-photo", "our-picture",
}  # fmt: skip
A_LOAD = "fill=heaped&box=bed_long&form=rounds&wood=oak&dry=green&hours=3+to+5&price=250&costs=15"
STAFF_DOOR = (
    "account_change_password", "account_email", "account_reset_password", "account_logout",
    "account_reauthenticate", "mfa_index", "mfa_list_webauthn", "usersessions_list",
)  # fmt: skip
OF_ALLAUTH = (
    "account_",
    "mfa_",
    "usersessions_",
)  # the rest of its pages want a state of their own: a code, a key, a second step


def order_page(name: str, number: int) -> str:
    """A page of one order's signed link."""
    order = Order.objects.get(number=number)
    return reverse(name, args=[order_path(order.number, order.link_secret).split("/")[2]])


def neighbor_page(number: int) -> str:
    """The link that a neighbor of the order opens."""
    order = Order.objects.get(number=number)
    return reverse("neighbor", args=[neighbor_token(order.number, order.link_secret)])


def ticketed_order() -> int:
    """A delivered order of the season, with its ticket written."""
    number = (
        Order.objects.filter(state="settled", cords__gt=0)
        .order_by("number")
        .values_list("number", flat=True)[0]
    )
    make_ticket(number=number, at=MORNING, who="ruth", measured_by="Ruth Averill")
    return number


def one_quote(*, is_far: bool = False) -> Any:
    town = Town.objects.get(name="Sandhook" if is_far else "Larch Prairie")
    asked = PriceInput(wood="fir", dryness="seasoned", cords=Fraction(2, 3), town_id=town.pk)
    return price_request(asked, on=DEMO_DAY, at=MORNING).token


def customer_pages() -> dict[str, list[str]]:
    given = ticketed_order()
    return {
        "shop": ["/", f"/?town={Town.objects.get(name='Sandhook').pk}"],
        "quote": ["/price", "/price?choice=kindling:seasoned"],
        "quote-price": [reverse("quote-price", args=[one_quote(is_far=far)]) for far in (False, True)],
        "order-status": [order_page("order-status", number) for number in (203, 204, 205, given)],
        "order-change": [order_page("order-change", 204)],
        "order-ticket": [order_page("order-ticket", given)],
        "order-claim": [order_page("order-claim", given)],
        "reminder-stop": [urlparse(stop_link(Customer.objects.order_by("pk")[0].pk)).path],
        "log-in": ["/log-in"],
        "join": [urlparse(invitation_of(User.objects.get(username="tam"), code="x").link).path],
        "cord-card": ["/cord-and-dryness"],
        "choosing": ["/how-much"],
        # once the link is opened, the neighbor's card stands on the first page and above the price form
        "neighbor": [neighbor_page(204), "/", "/price", reverse("quote-price", args=[one_quote()])],
        "link-again": ["/my-order"],
        "tell-me": ["/tell-me", "/tell-me?choice=fir:seasoned"],
        "worth-it": ["/worth-it", f"/worth-it?{A_LOAD}"],
    }


def seller_pages() -> dict[str, list[str]]:
    given = ticketed_order()
    names = {
        name: [reverse(name)]
        for name in (
            "today", "find", "guide", "settings", "audit", "margins", "worth", "haul", "pool", "acre-sheet",
            "season", "text-back", "orders", "tell", "money", "customers", "prices", "prices-new",
            "claims", "stock",
            "restack", "log", "yards", "yard-new", "units", "unit-new",
            "species", "days", "days-together", "week-board",
            "rigs", "rig-new", "driver-new", "species-new",
            "quotes-given", "bring-in", "texts", "money-bank",
            "money-books", "shuts", "set-up", "season-ahead", *STAFF_DOOR,
        )
    }  # fmt: skip
    return names | {
        "text-back-answer": [reverse("text-back-answer", args=[one_quote()])],
        "order": [f"/seller/orders/{number}" for number in (201, 203, 204, 207, 209, 212, given)],
        "ticket": [reverse("ticket", args=[given])],
        "guide-page": ["/seller/find/guide/days", "/seller/find/guide/safe"],
        "ticket-as-given": [
            reverse("ticket-as-given", args=[given, Ticket.objects.get(order__number=given).number])
        ],
        "where-cut": [reverse("where-cut", args=[203])],
        "day-where-cut": [reverse("day-where-cut", args=["2026-09-18"])],
        "species-own": [reverse("species-own", args=["fir"])],
        "driver-one": [reverse("driver-one", args=[Driver.objects.create(name="Tam Wick").pk])],
        "customer": [reverse("customer", args=[Customer.objects.get(name="Gus Morrow").pk])],
        "lot": [f"/seller/lots/K{number}" for number in (1, 2, 3, 7, 8)],
        "reading": ["/seller/lots/K3/reading"],
        "lot-change": [reverse("lot-change", args=["K1", act]) for act in CHANGES],
        "work-change": [reverse("work-change", args=[WorkEntry.objects.values_list("pk", flat=True)[0]])],
        "yard": [reverse("yard", args=[Yard.objects.values_list("pk", flat=True)[0]])],
        "unit": [reverse("unit", args=[Unit.objects.values_list("pk", flat=True)[0]])],
        "day": ["/seller/days/2026-09-18", "/seller/days/2026-09-25"],
        "load-sheet": ["/seller/days/2026-09-18/load-sheet", "/seller/days/2026-09-25/load-sheet"],
        "day-job": [
            reverse(
                "day-job", args=[start_job(first_on=DEMO_DAY, last_on=DEMO_DAY, orders=[204], at=MORNING)]
            )
        ],
        "rig": [reverse("rig", args=[Rig.objects.values_list("pk", flat=True)[0]])],
        "load-margin": [
            reverse("load-margin", args=[key]) for key in Load.objects.values_list("pk", flat=True)
        ],
        "order-margin": [reverse("order-margin", args=[number]) for number in (203, 209)],
    }


def driver_pages() -> dict[str, list[str]]:
    return {
        "run-today": ["/driver/"],
        "run": [reverse("run", args=[key]) for key in Run.objects.values_list("pk", flat=True)],
        "load-card": [reverse("load-card", args=[key]) for key in Load.objects.values_list("pk", flat=True)],
        "drop": [reverse("drop", args=[key]) for key in Stop.objects.values_list("pk", flat=True)],
        "driver-told": ["/driver/told"],
    }


def every_name(patterns: list[Any]) -> Iterator[str]:
    for one in patterns:
        if isinstance(one, URLResolver) and one.namespace:
            yield one.namespace
        elif isinstance(one, URLResolver):
            yield from every_name(one.url_patterns)
        elif isinstance(one, URLPattern) and one.name:
            yield one.name


def look_at(page: Page, pages: dict[str, list[str]], axe: Any, shot: Any) -> None:
    """Each page on a phone in the light, then on a desk in the dark."""
    refused = []
    for name, paths in pages.items():
        for place, path in enumerate(paths):
            page.set_viewport_size(PHONE)
            page.emulate_media(color_scheme="light")
            answer = page.goto(path)
            if answer is None or answer.status != 200:
                refused.append((name, path, answer and answer.status))
                continue
            if page.locator(".map[data-json]").count():
                page.wait_for_selector(".map[data-ready]")
            fits(page)
            axe(page)
            shot(page, f"{name}{place or ''}-390")
            page.set_viewport_size(DESK)
            page.emulate_media(color_scheme="dark")
            fits(page)
            axe(page)
            shot(page, f"{name}{place or ''}-1280-dark")
    assert refused == []


def test_no_page_is_left_out(demo):
    looked_at = customer_pages().keys() | seller_pages().keys() | driver_pages().keys()

    names = set(every_name(get_resolver().url_patterns)) - NO_PAGE
    assert {name for name in names if not name.startswith(OF_ALLAUTH)} == looked_at - set(STAFF_DOOR)


@pytest.mark.parametrize("language", ["en-US", "es"])
def test_the_customers_pages_are_clean(demo, open_page, axe, shot, language):
    look_at(open_page("/", locale=language, **STILL), customer_pages(), axe, shot)


def test_the_sellers_pages_are_clean(demo, open_page, axe, shot):
    page = open_page("/log-in", **STILL)
    log_in(page, "ruth")

    look_at(page, seller_pages(), axe, shot)


def test_the_drivers_pages_are_clean(demo, open_page, axe, shot):
    page = open_page("/log-in", **STILL)
    log_in(page, "tam")

    look_at(page, driver_pages(), axe, shot)
