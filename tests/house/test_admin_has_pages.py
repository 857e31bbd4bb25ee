"""No seller task needs the admin: everything it can show or change has a page of the seller's."""

from pathlib import Path

from django.contrib import admin
from django.urls import reverse

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
