"""Addresses of pages that are part of Worth, Set up, Log it or another page now."""

from django.urls import path, re_path

from firewood_site.seller.moved import moved, moved_below

NOW = {
    "margins": "worth/margins",
    "haul": "worth/near-or-far",
    "pool": "worth/pool",
    "acre-sheet": "worth/patches",
    "season/ahead": "worth/ahead",
    "season": "worth/season",
    "settings": "set-up/settings",
    "audit": "set-up/audit",
    "yards": "set-up/yards",
    "ground": "set-up/ground",
    "woods": "set-up/woods",
    "prices": "set-up/prices",
    "rigs": "set-up/rigs",
    "drivers": "set-up/drivers",
    "shuts": "set-up/closures",
    "roads": "set-up/road-marks",
    "restack": "set-up/heap-numbers",
    "quotes": "quote/given",
    "work/expense": "log/expense",
    "work": "log/work",
}

urlpatterns = [
    path("work", moved("log", "last")),
    *(re_path(rf"^{old}(?P<rest>(?:/.*)?)$", moved_below(old, new)) for old, new in NOW.items()),
]
