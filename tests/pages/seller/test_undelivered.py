"""A delivery or pickup marked by mistake is taken back in one tap; wood, drop and messages follow."""

from fractions import Fraction

import pytest

from inventory.models import Hold, Lot
from orders.models import Claim, Letter, Order, Payment
from routing.models import Run, Stop
from tests.factories.day import FRIDAY, at, commit, drive_by_the_job, make_friday
from tests.factories.inventory import an_instant
from tests.routing.services.test_driver_conflicts import send

pytestmark = pytest.mark.django_db


@pytest.fixture
def delivered(business, monkeypatch, an_instant):
    """Greta's third of a cord is marked delivered and paid, on a committed Friday."""
    drive_by_the_job(monkeypatch)
    commit(make_friday(), an_instant)
    send("delivered", 202, when=at(10, 20), dollars="100", method="cash")
    return Order.objects.get(number=202)


def books(number):
    lots = {lot.code: (lot.on_hand_cords, lot.firm_cords) for lot in Lot.objects.all()}
    order = Order.objects.get(number=number)
    return lots, order.state, order.delivered_on, order.promised_on, Stop.objects.get(order=order).state


def undo(client, number=202):
    return client.post(f"/seller/orders/{number}/undelivered", follow=True).content.decode()


def test_while_the_truck_is_out_the_drop_is_open_again_and_can_be_marked_anew(
    seller_client, business, monkeypatch, an_instant
):
    drive_by_the_job(monkeypatch)
    commit(make_friday(), an_instant)
    before = books(202)
    send("delivered", 202, when=at(10, 20), dollars="100", method="cash")
    assert books(202) != before
    assert "Not delivered after all" in seller_client.get("/seller/orders/202").content.decode()

    said = undo(seller_client)

    assert "is back to not delivered; its wood is held again" in said
    assert books(202) == before
    assert Payment.objects.get(order__number=202).dollars == 100  # real money stays, as paid ahead
    assert not Letter.objects.filter(kind="delivered", sent_at=None).exists()
    send("delivered", 202, when=at(10, 50))
    assert Order.objects.get(number=202).state == "settled"
    assert "nothing to undo" in undo(seller_client, 203)


def test_once_the_truck_is_home_the_order_waits_for_another_day(seller_client, delivered):
    Run.objects.update(actual_home_at=an_instant())

    undo(seller_client)

    order = Order.objects.get(number=202)
    assert (order.state, order.promised_on, order.delivered_cords) == ("confirmed", None, None)
    assert Stop.objects.get(order=order).state == "trouble"
    held = Hold.objects.filter(reference="order 202", state="standing")
    assert sum((hold.cords for hold in held), Fraction(0)) == order.cords


def test_a_delivery_somebody_complained_of_is_not_taken_back(seller_client, delivered):
    Claim.objects.create(order=delivered, kind="late", on=FRIDAY, made_at=an_instant())

    assert "has a complaint about its delivery" in undo(seller_client)
    assert Order.objects.get(number=202).state == "settled"
