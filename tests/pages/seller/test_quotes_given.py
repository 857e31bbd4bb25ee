"""Quotes given by text or phone: listed with what became of them, countered, accepted by a link."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.models import Yard
from orders.models import Quote
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town

ASKED = {"choice": "fir:seasoned", "amount": "1/2", "laid": "drop", "asked_by": "Ida, 555-0144"}


@pytest.fixture
def quote(seller_client, settings):
    settings.ROAD_ENGINE = "estimate"
    make_sheet()
    town = make_town()
    make_reading(make_lot(code="K1", cords=2, yard=make_yard(name="Siding Yard"), sale="for_sale"))
    answer = seller_client.post("/seller/quote", {**ASKED, "town": town.pk})
    assert answer.status_code == 302
    return Quote.objects.get()


def test_a_quote_waits_in_the_list_until_it_is_ordered_or_lapses(seller_client, quote):
    page = seller_client.get("/seller/quote/given")
    assert [row.asked_by for row in page.context["waiting"]] == ["Ida, 555-0144"]

    order = make_order(quote=quote)
    assert [row.order for row in seller_client.get("/seller/quote/given").context["over"]] == [order.number]

    order.delete()
    Quote.objects.update(last_day=quote.made_on - timedelta(days=1))
    assert "lapsed" in seller_client.get("/seller/quote/given").content.decode()


def test_log_length_is_picked_up_whether_the_seller_or_the_customer_asks(seller_client, client, quote):
    make_lot(code="K8", cords=4, wood="logs", form="logs", yard=Yard.objects.get())
    logs = {"choice": "logs:green", "amount": "1", "town": make_town().pk}

    seller_client.post("/seller/quote", {**ASKED, **logs})
    client.post("/price", {**logs, "how": "delivered"})

    assert list(Quote.objects.filter(wood="logs").values_list("how", flat=True)) == ["pick_up"] * 2


def test_the_text_has_a_link_that_leads_to_the_order(seller_client, client, quote):
    page = seller_client.get(f"/seller/quote/{quote.token}")
    assert f"/price/{quote.token}" in page.context["line"]

    price = client.get(f"/price/{quote.token}")

    assert price.status_code == 200
    assert "drop_spot" in price.content.decode()


def test_another_price_is_a_quote_of_its_own_and_warns_below_the_floor(seller_client, quote):
    Quote.objects.update(floor_dollars=Decimal(120))
    path = f"/seller/quote/{quote.token}/price"

    fair = seller_client.post(path, {"dollars": "130"}, follow=True).context["quote"]
    low = seller_client.post(path, {"dollars": "100"}, follow=True).context["quote"]

    assert (fair.price.total, fair.warning, fair.asked_by) == (130, "", "Ida, 555-0144")
    assert sum(line.dollars for line in fair.price.reasons) == 130
    assert "$20.00 short" in str(low.warning)
    quote.refresh_from_db()
    assert quote.total_dollars not in (100, 130)


@pytest.mark.parametrize("dollars", ["", "x", "-5", "0", "1e9", "NaN"])
def test_a_price_that_is_none_is_refused_on_the_page(seller_client, quote, dollars):
    answer = seller_client.post(f"/seller/quote/{quote.token}/price", {"dollars": dollars})

    assert answer.status_code == 422
    assert Quote.objects.count() == 1
