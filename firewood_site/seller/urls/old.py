"""Addresses of pages that are part of Worth, Set up, Log it or another page now."""

from django.urls import path, re_path

from firewood_site.seller.moved import moved, moved_below, moved_one

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

LOGGED = [  # changes of a lot that are logged now: before the address of all other changes
    path("lots/<str:code>/move", moved("log", asks="steps=haul")),
    path("lots/<str:code>/change/step", moved("log", asks="steps=split")),
    path("lots/<str:code>/change/count", moved("log", asks="steps=measure&amount=all")),
]
urlpatterns = [
    path("work", moved("log", "last")),
    path("log/work", moved("log")),
    path("measure", moved("log", asks="steps=measure")),
    path("wood/new", moved("log", asks="steps=measure&wood=new")),
    path("yards/<int:yard_id>/air", moved_one("yard-weather")),
    path("rigs/<int:rig_id>/heap", moved_one("rig")),
    path("days/<str:on>/looked", moved_one("day-resolve")),
    *(re_path(rf"^{old}(?P<rest>(?:/.*)?)$", moved_below(old, new)) for old, new in NOW.items()),
]
