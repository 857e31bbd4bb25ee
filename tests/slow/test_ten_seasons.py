"""Pages ask the database as often over many orders as over few."""

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.bench.pages import addresses
from tests.factories.season import make_seasons

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

LAST = date(2026, 9, 18)
# what hangs on how many kinds of things are met (both markets, a claim, a pool), not on how many orders
SLACK = 3
# one day's runs each bring their own ways and pins: a query or two a rig, whatever the number of orders
BY_RIG = ("day, past",)


def _queries(client: Client) -> dict[str, int]:
    counts = {}
    for name, path in addresses().items():
        assert client.get(path).status_code == 200, path
        with CaptureQueriesContext(connection) as seen:
            client.get(path)
            counts[name] = len(seen)
    return counts


def test_no_page_asks_more_of_the_database_over_many_orders_than_over_few():
    call_command("load_demo", "--no-roads", verbosity=0)
    client = Client()
    make_seasons(last_on=LAST, orders=300, seasons=10, seed=1)
    client.force_login(User.objects.get(username="ruth"))
    few = _queries(client)

    make_more(1500)
    many = _queries(client)

    grown = {
        name: (few[name], many[name])
        for name in many
        if name not in BY_RIG and many[name] > few[name] + SLACK
    }
    assert grown == {}


def make_more(orders: int) -> None:
    """Further seasons before those, under numbers of their own."""
    make_seasons(
        last_on=date(2016, 9, 1), orders=orders, seasons=5, open_orders=150, seed=2, first_number=100_000
    )


def test_a_season_made_in_bulk_is_what_the_services_would_have_left():
    """Balances are the movements and promises the holds, lot by lot."""
    from django.db.models import Sum

    from inventory.models import Lot

    call_command("load_demo", "--no-roads", verbosity=0)
    make_seasons(last_on=LAST, orders=300, seasons=2)

    for lot in Lot.objects.annotate(moved=Sum("movements__cords")).filter(code__startswith="S"):
        held = lot.holds.filter(state="standing").aggregate(all=Sum("cords"))["all"] or 0
        assert (lot.code, lot.on_hand_cords, lot.firm_cords) == (lot.code, lot.moved, held)
