"""A whole order, read and sent in Spanish: the page writes its own figures so that the form can read them."""

import re

import pytest

from firewood_site import throttle
from orders.models import Order
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town

pytestmark = pytest.mark.django_db


def test_an_order_is_placed_from_the_spanish_page_as_it_stands(client, business, monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    town = make_town("Larch Prairie")
    client.get("/?lang=es")
    asked = {"choice": "fir:seasoned", "amount": "1/2", "town": town.pk, "laid": "drop", "how": "delivered"}
    path = client.post("/price", asked)["Location"]
    page = client.get(path).content.decode()
    hidden = dict(re.findall(r'name="(key|stamp|seen)"[^>]*?value="([^"]*)"', page))
    assert "Haga su pedido" in page

    typed = {"name": "Ana Prueba", "phone": "541 555 0199", "address": "12 Mill Street"}
    answer = client.post(
        f"{path}/order", {**hidden, **typed, "day": "any", "window": "any", "pay_how": "cash"}
    )

    assert answer.status_code == 302
    assert Order.objects.count() == 1
