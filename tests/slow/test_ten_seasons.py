"""Pages ask the database as often over many orders as over few."""

import json
from datetime import date
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection
from django.db.models import Model
from django.test import Client
from django.test.utils import CaptureQueriesContext

from firewood_site import throttle
from inventory.models import AuditEntry, Business, Hold, Movement
from orders.models import Order, OrderHold, Town
from routing.models import DriverEvent, Rig, Stop
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


# differs from buyer to buyer, in bulk as well
# steps to take back end with their day; prices kept before the floor was have none
LEFT_EMPTY = {"Customer.is_repeat", "Day.undo", "Quote.floor_dollars"}


def one_order_through_the_pages(monkeypatch: pytest.MonkeyPatch) -> Order:
    """Asked, confirmed, planned, committed, delivered and paid as people do it, on estimated roads."""
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)  # a test fills a form faster than a hand
    stranger, ruth, tam = Client(), Client(), Client()
    ruth.force_login(User.objects.get(username="ruth"))
    tam.force_login(User.objects.get(username="tam"))
    town = Town.objects.get(name="Larch Prairie").pk
    asked = {
        "choice": "fir:seasoned",
        "amount": "2/3",
        "how": "delivered",
        "laid": "drop",
        "town": town,
    }
    priced = stranger.post("/price", asked)["Location"]
    key = str(uuid4())
    form = {
        "key": key, "stamp": throttle.stamp(key), "day": "2026-09-25", "window": "any",
        "name": "Tansy Orme", "phone": "541 555 0188", "pay_how": "cash", "address": "8 Orchard Road",
    }  # fmt: skip
    assert stranger.post(f"{priced}/order", form).status_code == 302
    order = Order.objects.get(customer__name="Tansy Orme")
    ruth.post(f"/seller/orders/{order.number}/confirm", {"lot-K1": "2/3"})
    rig = Rig.objects.get(name="Big trailer").pk
    plan = {"orders": [str(order.number)], "rigs": [str(rig)], "starts_at": "07:00", "ends_at": "18:00"}
    ruth.post("/seller/days/2026-09-25/plan", {**plan, "seconds": "2"})
    ruth.post("/seller/days/2026-09-25/commit")
    Business.objects.update(pinned_today=date(2026, 9, 25))
    stop = Stop.objects.select_related("load__run").get(order=order)
    told = [
        {"uuid": str(uuid4()), "kind": kind, "at": f"2026-09-25T{at}:00-07:00", **about}
        for kind, at, about in (
            ("left", "07:00", {"run": stop.load.run_id}),
            ("arrived", "11:00", {"stop": stop.pk}),
            ("delivered", "11:30", {"stop": stop.pk, "dollars": str(order.total_dollars), "method": "cash"}),
            ("home", "13:00", {"run": stop.load.run_id, "loaded_miles": "20", "empty_miles": "20"}),
        )
    ]
    tam.post("/driver/events", json.dumps({"events": told}), content_type="application/json")
    order.refresh_from_db()
    assert order.state == "settled"
    return order


def the_rows_of(order: Order) -> list[Model]:
    """Every row that one delivered order leaves behind, in all the tables it passes through."""
    stop = Stop.objects.select_related("load__run__day").get(order=order)
    sold = Movement.objects.get(kind="sold", reference=order.reference)
    holds = Hold.objects.filter(reference=order.reference)
    return [
        order, order.quote, order.customer, order.place, order.ticket, *order.payments.all(), sold,
        *holds, *OrderHold.objects.filter(order=order), stop, stop.load, stop.load.run, stop.load.run.day,
        DriverEvent.objects.get(stop=stop, kind="delivered"), *order.letters.filter(kind="delivered"),
        AuditEntry.objects.filter(thing=order.reference, verb="confirmed").get(),
    ]  # fmt: skip


def filled(row: Model) -> set[str]:
    return {
        field.name
        for field in row._meta.concrete_fields
        if getattr(row, field.attname) not in (None, "", [], {}, 0, False)
    }


def test_an_order_made_in_bulk_fills_the_columns_that_the_services_fill(monkeypatch):
    call_command("load_demo", "--no-roads", verbosity=0)
    by_services = one_order_through_the_pages(monkeypatch)
    make_seasons(last_on=LAST, orders=300, seasons=2)
    in_bulk = Order.objects.filter(number__gte=10_000, state="settled").order_by("-number").first()

    told = {type(row).__name__: row for row in the_rows_of(by_services)}
    made = {type(row).__name__: row for row in the_rows_of(in_bulk)}
    empty = {f"{name}.{column}" for name in told for column in filled(told[name]) - filled(made[name])}

    assert told.keys() == made.keys()
    assert ", ".join(sorted(empty - LEFT_EMPTY)) == ""


def test_every_row_made_in_bulk_is_one_the_services_would_let_through():
    call_command("load_demo", "--no-roads", verbosity=0)
    make_seasons(last_on=LAST, orders=300, seasons=2)
    newest = Order.objects.filter(number__gte=10_000, state="settled").order_by("-number")[:20]

    for order in newest:
        for row in the_rows_of(order):
            row.full_clean(validate_unique=False)
