"""Small at first: four tabs, one box that finds the rest, parts told of when they are first needed."""

import pytest
from django.urls import reverse

from firewood_site.seller.page_index import PAGES
from inventory.models import Business
from tests.factories.inventory import make_yard
from tests.factories.orders import make_order
from tests.factories.routing import make_day

pytestmark = pytest.mark.django_db


def tabs(client):
    text = client.get(reverse("today")).text
    return text[text.index('<nav class="tabs"') : text.index("</nav>", text.index('<nav class="tabs"'))]


def test_a_new_seller_has_four_tabs_and_days_come_with_the_first_delivery(seller_client):
    assert [word in tabs(seller_client) for word in ("Today", "Wood", "Sell", "Worth", "Days")] == [
        True
    ] * 4 + [False]

    make_day()

    assert "Days" in tabs(seller_client)


def test_a_part_is_told_of_once_and_not_now_leaves_it_to_the_search_box(seller_client):
    make_day()
    assert "New here: Delivery days" in seller_client.get(reverse("today")).text

    seller_client.post(reverse("part-told", args=["days", "not_now"]))

    assert "New here" not in seller_client.get(reverse("today")).text
    assert "Days" not in tabs(seller_client)
    assert seller_client.get(reverse("days")).status_code == 200
    assert reverse("days") in seller_client.get(reverse("find"), {"q": "delivery days"}).text


def test_showing_a_part_leads_to_it(seller_client):
    make_yard()
    make_yard()
    assert "New here: Wood between yards" in seller_client.get(reverse("today")).text

    answer = seller_client.post(reverse("part-told", args=["moves", "shown"]))

    assert answer.url == reverse("yards")
    assert Business.objects.get().parts_told == {"moves": "shown"}
    assert seller_client.post(reverse("part-told", args=["nothing", "shown"])).status_code == 404


def test_readings_are_told_of_with_the_first_splits_for_sale_and_only_once(seller_client, knob):
    assert "New here: Readings with a meter" in seller_client.get(reverse("today")).text

    answer = seller_client.post(reverse("part-told", args=["readings", "shown"]))

    assert answer.url == reverse("stock")
    assert "Readings with a meter" not in seller_client.get(reverse("today")).text


def test_one_box_finds_a_lot_an_order_a_customer_and_a_page(seller_client, knob):
    order = make_order()

    def found(term):
        return seller_client.get(reverse("find"), {"q": term}).text

    assert reverse("lot", args=["K1"]) in found("knob")
    assert reverse("order", args=[order.number]) in found(str(order.number))
    assert reverse("customer", args=[order.customer_id]) in found(order.customer.name.split()[0])
    assert reverse("acre-sheet") in found(["which", "patch", "next"][1])
    assert "Nothing is called that" in found("zzzz")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_page_of_the_index_opens_on_empty_books(seller_client, page):
    if page.name in ("run-today", "mfa_index"):
        pytest.skip("the driver's door and the log-in have tests of their own")
    assert seller_client.get(reverse(page.name), follow=True).status_code == 200


@pytest.mark.parametrize(("old", "anchor"), [("readiness", "#dry"), ("stock-count", "#count")])
def test_pages_that_became_part_of_the_wood_page_lead_there(seller_client, driver_client, old, anchor):
    answer = seller_client.get(reverse(old), {"by": "2026-10-10"})

    assert answer.url == f"{reverse('stock')}?by=2026-10-10{anchor}"
    assert driver_client.get(reverse(old)).status_code == 403
