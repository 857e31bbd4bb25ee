"""A true count below what is promised: recorded, shown with whom to call, mended by one tap."""

from datetime import date
from fractions import Fraction

import pytest

from inventory.models import Hold, Lot
from orders.models import Order
from orders.services.orders import Picked, confirm_order
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order
from tests.pages.seller.sheets import log

AT = an_instant()


@pytest.fixture
def promised(seller_client):
    """K1 with 1 cord, promised in thirds to two people; the count finds half a cord."""
    lot = make_lot(code="K1", cords=1, yard=make_yard(name="Siding Yard"), sale="for_sale")
    make_reading(lot)
    orders = []
    for name in ("Greta Sool", "Pilar Ostrander"):
        order = make_order(customer=make_customer(name, phone="+15415550177"))
        confirm_order(number=order.number, picks=[Picked(lot="K1", cords=Fraction(1, 3))], at=AT, who="ruth")
        orders.append(order)
    answer = log(seller_client, "measure", wood="K1", cords="1/2", amount="all", on="2026-09-18")
    assert answer.status_code == 302, answer.context["form"].errors
    return orders


def test_the_count_stands_and_today_says_whom_to_call(seller_client, promised):
    lot = Lot.objects.get(code="K1")
    assert (lot.on_hand_cords, lot.short_cords) == (Fraction(1, 2), Fraction(1, 6))

    page = seller_client.get("/seller/").content.decode()

    assert "K1 is 1/6 cord short of what is promised" in page
    assert "Call Pilar Ostrander first, +15415550177." in page


def test_one_tap_splits_the_newest_promise_over_another_lot(seller_client, promised):
    _first, last = promised
    make_reading(make_lot(code="K2", cords=1, yard=Lot.objects.get(code="K1").yard, sale="for_sale"))
    page = seller_client.get("/seller/lots/K1").content.decode()
    assert "Take 1/6 cord from K2" in page

    answer = seller_client.post(f"/seller/orders/{last.number}/move-wood/K1", follow=True)

    held = Hold.objects.filter(reference=last.reference, state="standing")
    assert {hold.lot.code: hold.cords for hold in held} == {"K1": Fraction(1, 6), "K2": Fraction(1, 6)}
    assert Lot.objects.get(code="K1").short_cords == 0
    assert Order.objects.get(pk=last.pk).state == "confirmed"
    assert "less is here than promised" not in answer.content.decode()


def test_the_first_numbers_are_what_can_be_sold_today_by_kind(seller_client, db):
    """13.28 cords once summed split wood, logs and kindling, for sale or not."""
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords=2, yard=yard, sale="for_sale"))
    make_lot(code="K9", cords=5, yard=yard, sale="not_yet")
    make_lot(code="L1", cords=3, yard=yard, wood="logs", form="logs", piling="decked", sale="for_sale",
             drying_from=date(2026, 8, 1))  # fmt: skip

    for path in ("/seller/", "/seller/wood"):
        page = seller_client.get(path)
        shown = [(row.wood, row.cords) for row in page.context["on_sale"]]
        assert shown == [("fir", 2), ("logs", 3)]
        assert "10 cords" not in page.content.decode()
