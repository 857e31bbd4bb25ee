"""No seller task needs the admin: everything it can show or change has a page of the seller's."""

import re
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib import admin
from django.contrib.auth.models import User
from django.urls import reverse

from firewood_site.seller.forms.ground import GROUND_DAYS
from firewood_site.seller.forms.lines import LineForm
from inventory.models import Unit, WorkEntry
from routing.services import seasons
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town
from tests.factories.routing import make_rig
from tests.slow.test_every_form import Forms

PAGES = {  # what the admin registers, and the page where a seller reads it and puts it right
    "auditentry": "audit",
    "broughtforward": "set-up",
    "business": "settings",
    "claim": "claims",
    "customer": "customers",
    "day": "days",
    "driverevent": "days",
    "expense": "log",
    "hold": "stock",
    "letter": "tell",
    "load": "days",
    "lot": "stock",
    "market": "set-up",
    "measurement": "log",
    "movement": "stock",
    "order": "orders",
    "payment": "money",
    "paymentkind": "set-up",
    "photo": "settings",
    "place": "customers",
    "planjob": "days",
    "pricesheet": "prices",
    "quote": "quotes-given",
    "reading": "stock",
    "restack": "restack",
    "rig": "rigs",
    "roadextract": "set-up",
    "roadlimit": "set-up",
    "run": "days",
    "runningcost": "rigs",
    "shut": "shuts",
    "stop": "days",
    "ticket": "orders",
    "town": "set-up",
    "unit": "units",
    "user": "set-up",
    "group": "set-up",
    "workentry": "log",
    "yard": "yards",
}
CHANGED_AT = {  # what the admin lets change: the page of the seller's, and fields it calls otherwise there
    "business": (
        "settings",
        dict.fromkeys(("first_rain_month", "first_rain_day"), "first_rain") | {"picture": "photo"},
    ),
    "unit": ("unit", {"plot_size": "plots"} | dict.fromkeys(GROUND_DAYS.values(), "dates")),
    "workentry": (
        "work-change",  # hours are typed with their range: 2 to 3
        {
            "hours_low": "hours",
            "hours_likely": "hours",
            "hours_high": "hours",
            "lot": "about",
            "unit": "about",
        },
    ),
    "yard": (
        "yard",
        {"climate_city": "city", "climate_emc": "months", "station": "file", "lat": "where", "lon": "where"},
    ),
    "pricesheet": (
        "prices-new",
        {"log_cord_price": "price-logs", "deposit_new_customers_only": "deposit", "tax_on": "tax"},
    ),
    "woodprice": (
        "prices-new",
        dict.fromkeys(("market", "wood", "dryness", "cord_dollars"), "price-near-fir-seasoned"),
    ),
    "uplift": ("prices-new", dict.fromkeys(("cords", "share"), "size-1_2")),
    "market": ("set-up:market", {"key": "name"}),  # made of its name
    "town": ("set-up:town", {"lat": "where", "lon": "where"}),
    "paymentkind": (
        "set-up:way",
        {"key": "kind", "is_offered": "kind", "at_the_door": "kind", "caution": "note"},
    ),  # offered by adding it, stopped by its button
    "rig": (
        "rig",
        {
            "home_yard": "home_yard_id",
            "driver": "crew",
            "helper": "crew",
            "pickup": "truck",
            "works": "reason",
            "out_reason": "reason",
        },
    ),
    "runningcost": ("rig", {}),
    "shut": ("shuts", {"yard": "where", "town": "where", "what": "reason"}),
    "roadlimit": ("set-up:limit", {}),
    "broughtforward": ("set-up:month", dict.fromkeys((*seasons.COLUMNS, "month"), "months")),
    "user": (
        "set-up:person",
        {"username": "name"} | dict.fromkeys(("password1", "password2", "usable_password"), "name"),
    ),  # a first password is made up with the name
    "group": ("set-up:person", {"name": "role", "permissions": "role"}),  # seller, driver or helper
}
OWNERS = {"sheet", "rig"}  # the row a line belongs to: its own page's
OURS = ("inventory", "orders", "routing", "auth")
SEEN_BY_SELLERS = ("seller", "guide", "driver", "customer", "parts")


def test_whatever_the_admin_registers_has_a_page_of_the_sellers():
    registered = {model._meta.model_name for model in admin.site._registry if model._meta.app_label in OURS}

    assert registered <= set(PAGES)
    for name in set(PAGES.values()):
        assert reverse(name).startswith("/seller/")


def test_no_page_sends_anybody_to_the_admin():
    templates = Path("firewood_site/templates")
    said = [
        str(path)
        for folder in SEEN_BY_SELLERS
        for path in (templates / folder).rglob("*.html")
        if "/admin/" in path.read_text() or "admin:" in path.read_text()
    ]

    assert said == []


@pytest.fixture
def one_of_each(business, settings):
    """A row of each kind that has a page of its own, by the name of that page."""
    settings.ROAD_ENGINE = "estimate"
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords=2, yard=yard, sale="for_sale"))
    make_sheet()
    make_town()
    unit = Unit.objects.create(name="Knob", acres=1)
    hours = Decimal(2)
    work = WorkEntry.objects.create(
        on=date(2026, 9, 18), job="split", hours_low=hours, hours_likely=hours, hours_high=hours, unit=unit
    )
    return {"unit": unit.pk, "work-change": work.pk, "yard": yard.pk, "rig": make_rig(home_yard=yard).pk}


def test_every_field_the_admin_lets_change_can_be_changed_on_a_page_of_the_sellers(
    rf, seller_client, one_of_each
):
    request = rf.get("/")
    request.user = User(is_superuser=True, is_staff=True, is_active=True)
    changed: dict[str, list[str]] = {}
    for model, page in admin.site._registry.items():
        if model._meta.app_label in OURS and page.has_change_permission(request):
            changed[model._meta.model_name] = list(page.get_form(request).base_fields)
            for line in page.get_inline_instances(request):
                fields = line.get_formset(request).form.base_fields
                changed[line.model._meta.model_name] = [
                    name for name in fields if name not in ("id", "DELETE")
                ]
    asked = {
        name: _asked_on(seller_client, name, one_of_each)
        for name in {page for page, _ in CHANGED_AT.values()}
    }

    assert changed.keys() == CHANGED_AT.keys()
    missing = [
        (model, field)
        for model, fields in changed.items()
        for field in fields
        if field not in OWNERS and CHANGED_AT[model][1].get(field, field) not in asked[CHANGED_AT[model][0]]
    ]
    assert missing == []


def _asked_on(client, page, rows):
    """What the forms of a page ask for; of set-up, those of one part."""
    name, _, part = page.partition(":")
    answer = client.get(reverse(name, args=[rows[name]] if name in rows else []))
    assert answer.status_code == 200, page
    read = Forms()
    read.feed(answer.text)
    to = reverse("set-up-add", args=[part]) if part else ""
    asked = {
        field
        for action, filled, files in read.forms
        for field in (*filled, *files)
        if not part or action == to
    }
    together = [group for form in _kinds_of(LineForm) for group in {**form.lines, **form.ticks}.items()]
    return asked | {one for line, group in together if line in asked for one in group.parts}


def _kinds_of(kind):
    """A form that asks figures together, and all made of it."""
    return [kind, *(below for child in kind.__subclasses__() for below in _kinds_of(child))]


def test_every_table_is_named_as_people_would():
    """Django's own plural adds an s to anything."""
    wrong = [
        str(name)
        for model in admin.site._registry
        for name in [model._meta.verbose_name_plural]
        if re.search(r"[^aeiou]ys$|forwards$|^shuts$|[a-z] [A-Z]", str(name))
    ]

    assert wrong == []
