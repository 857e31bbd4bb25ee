"""Every address of the first version's pages and forms, and the page that does its job now."""

import pytest
from django.urls import resolve

pytestmark = pytest.mark.django_db
NOW = {
    "/seller/wood/new": "log",
    "/seller/wood/count": "stock",
    "/seller/readiness": "stock",
    "/seller/measure": "log",
    "/seller/lots/K1/move": "log",
    "/seller/lots/K1/change/step": "log",
    "/seller/lots/K1/change/count": "log",
    "/seller/restack": "restack",
    "/seller/work": "log",
    "/seller/work/expense": "expense",
    "/seller/work/4/remove": "work-remove",
    "/seller/work/expense/4/remove": "expense-remove",
    "/seller/yards": "yards",
    "/seller/yards/new": "yard-new",
    "/seller/yards/4": "yard",
    "/seller/yards/4/air": "yard-weather",
    "/seller/ground": "units",
    "/seller/ground/new": "unit-new",
    "/seller/ground/4": "unit",
    "/seller/woods": "species",
    "/seller/prices": "prices",
    "/seller/prices/new": "prices-new",
    "/seller/rigs": "rigs",
    "/seller/rigs/new": "rig-new",
    "/seller/rigs/4": "rig",
    "/seller/rigs/4/cost": "rig-cost",
    "/seller/rigs/4/out": "rig-out",
    "/seller/rigs/4/heap": "rig",
    "/seller/shuts": "shuts",
    "/seller/shuts/4/open": "shut-open",
    "/seller/days/2026-09-18/looked": "day-resolve",
    "/seller/settings": "settings",
    "/seller/settings/books.zip": "export-files",
    "/seller/audit": "audit",
    "/seller/margins": "margins",
    "/seller/margins/load/4": "load-margin",
    "/seller/margins/order/4": "order-margin",
    "/seller/haul": "haul",
    "/seller/pool": "pool",
    "/seller/acre-sheet": "acre-sheet",
    "/seller/season": "season",
}


@pytest.mark.parametrize("send", ["get", "post"])
@pytest.mark.parametrize("old", NOW)
def test_an_old_address_leads_to_the_page_that_does_its_job(seller_client, old, send):
    answer = getattr(seller_client, send)(old)

    assert answer.status_code == {"get": 301, "post": 308}[send]
    now = resolve(answer.headers["Location"].partition("#")[0].partition("?")[0])
    assert now.view_name == NOW[old]
    ids = {name: value for name, value in now.kwargs.items() if name != "code"}
    assert all(str(value) in old for value in ids.values())
