"""One of two neighbors cancels: the other keeps the price and is told; the seller sees what it costs."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from firewood_site.access import order_path
from firewood_site.clock import now, today
from firewood_site.daily import daily_work
from orders.models import Letter, Order
from tests.pages.customer import test_neighbors as neighbors
from tests.pages.customer.test_neighbors import joined, link, ordered, status, words

pytestmark = pytest.mark.django_db

first = neighbors.first
_patient_hand = neighbors._patient_hand


@pytest.fixture
def second(client, seller_client, first):
    """Ben's third of a cord to Greta's drop, confirmed: each pays $11 of the drive."""
    order = ordered(client, joined(client, first)["Location"])
    confirm(seller_client, order)
    first.refresh_from_db()
    return order


def confirm(seller_client, order, **more):
    seller_client.post(f"/seller/orders/{order.number}/confirm", {"lot-K1": "1/3", **more})
    order.refresh_from_db()


def cancel(client, order):
    answer = client.post(f"{order_path(order.number, order.link_secret)}/cancel")
    assert answer.status_code == 302
    order.refresh_from_db()
    assert order.state == Order.State.CANCELLED


def test_both_read_before_they_join_that_the_price_stays(client, first):
    assert "stays there even if they cancel" in words(status(client, first))
    assert "your half is $11.00, even if your neighbor cancels" in words(client.get(link(first), follow=True))


def test_the_second_cancels_and_the_first_keeps_the_lower_price_and_is_told(
    client, seller_client, first, second
):
    cancel(client, second)

    first.refresh_from_db()
    assert first.total_dollars == 111
    letter = Letter.objects.get(kind="neighbor_left")
    assert letter.customer == first.customer
    assert "$111 in all as promised" in letter.body
    page = words(status(client, first))
    assert "Your neighbor's order is cancelled. Yours stays as it is" in page
    assert "Your neighbor's wood comes with yours" not in page
    today = words(seller_client.get("/seller/"))
    assert "Greta Sool's neighbor has cancelled" in today
    assert "Order 213 keeps its price: $11.00 of the drive is yours" in today
    assert "$11.00 of the drive is yours" in words(seller_client.get("/seller/orders/213"))


def test_the_first_cancels_and_the_second_keeps_its_half(client, seller_client, first, second):
    cancel(client, first)

    second.refresh_from_db()
    assert second.total_dollars == 111
    assert Letter.objects.get(kind="neighbor_left").customer == second.customer
    assert "Yours stays as it is" in words(status(client, second))
    assert f"Order {second.number} keeps its price: $11.00" in words(seller_client.get("/seller/"))


def test_the_first_cancels_before_the_sellers_yes_and_the_seller_reads_the_cost_first(
    client, seller_client, first
):
    second = ordered(client, joined(client, first)["Location"])
    cancel(client, first)

    assert "$11.00 of the drive is yours" in words(seller_client.get(f"/seller/orders/{second.number}"))
    confirm(seller_client, second)

    assert (second.state, second.total_dollars) == (Order.State.CONFIRMED, 111)
    assert not Letter.objects.filter(kind="drive_shared").exists()


def test_a_second_who_cancels_before_the_sellers_yes_changes_nothing(client, seller_client, first):
    second = ordered(client, joined(client, first)["Location"])

    cancel(client, second)

    first.refresh_from_db()
    assert first.total_dollars == 122
    assert not Letter.objects.filter(kind="neighbor_left").exists()
    assert "neighbor has cancelled" not in words(seller_client.get("/seller/"))


def test_another_neighbor_takes_the_free_half_and_the_first_pays_no_less_twice(
    client, seller_client, first, second
):
    cancel(client, second)

    path = joined(client, first)["Location"]
    assert "$111" in words(client.get(path))  # the half that nobody pays, not half of what is left
    Order.objects.filter(pk=second.pk).update(customer=first.customer)
    third = ordered(client, path)
    confirm(seller_client, third)

    first.refresh_from_db()
    assert (first.total_dollars, third.total_dollars) == (111, 111)
    assert first.drive_dollars + third.drive_dollars == neighbors.DRIVE
    assert Letter.objects.filter(kind="drive_shared").count() == 1
    assert "neighbor has cancelled" not in words(seller_client.get("/seller/"))


def test_a_deposit_that_never_came_tells_the_neighbor_too(client, seller_client, first):
    second = ordered(client, joined(client, first)["Location"])
    confirm(seller_client, second, lapses_on=(today() + timedelta(days=2)).isoformat())

    daily_work(on=today() + timedelta(days=3), at=now() + timedelta(days=3))

    second.refresh_from_db()
    assert second.state == Order.State.CANCELLED
    assert Letter.objects.get(kind="neighbor_left").customer == first.customer


def test_who_is_left_alone_may_change_the_order_again(client, first, second):
    cancel(client, first)

    client.get(f"{order_path(second.number, second.link_secret)}/other")
    town = second.place.town_id
    asked = {
        "choice": "fir:seasoned",
        "amount": "1/2",
        "town": town,
        "where": "40 Willow Lane",
        "how": "delivered",
    }
    page = client.get(client.post("/price", asked)["Location"]).content.decode()

    action = re.search(r'action="(/o/[^"]+/take/[^"]+)"', page)[1]
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    day = re.search(r'name="day" value="(\d{4}-\d\d-\d\d)" checked', page)[1]
    client.post(action, {"day": day, "seen": seen})

    second.refresh_from_db()
    assert second.neighbor is None
    assert second.drive_dollars > Decimal(11)
