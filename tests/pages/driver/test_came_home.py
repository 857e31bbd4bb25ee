"""Wood that came home: the driver's run and the seller's order ask where it lies, and the books move it."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Lot
from tests.factories.day import at, commit, drive_by_the_job, drop, make_friday
from tests.routing.services.test_driver_conflicts import send

pytestmark = pytest.mark.django_db


@pytest.fixture
def committed(business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    return commit(make_friday(), an_instant)


def asked(client):
    """The forms on the run page that ask where wood lies: order number, and whether it is asked now."""
    page = client.get(reverse("run-today")).content.decode()
    forms = page.split("data-came-home")[1:]
    return {form.split('name="order" value="')[1].split('"')[0]: form[:8] != " hidden>" for form in forms}


def test_the_run_asks_once_the_drop_came_home_and_keeps_the_question_for_the_others(driver_client, committed):
    assert asked(driver_client) == {"201": False, "202": False, "203": False}

    send("no_show", 202, when=at(10, 20))

    assert asked(driver_client) == {"201": False, "202": True, "203": False}
    event = {
        "uuid": str(uuid4()), "kind": "put_back", "stop": drop(202).pk, "order": 202,
        "place": f"yard:{committed.upper.pk}", "at": at(13).isoformat(),
    }  # fmt: skip
    driver_client.post(reverse("driver-events"), event)
    assert drop(202).back_lot.yard == committed.upper
    assert asked(driver_client) == {"201": False, "203": False}


def test_the_seller_is_asked_on_today_and_says_it_on_the_order(seller_client, committed):
    send("no_show", 202, when=at(10, 20))
    assert "Say where Greta Sool&#x27;s wood lies" in seller_client.get(reverse("today")).content.decode()
    order = reverse("order", args=[202])
    assert "Siding Yard, back on lot K1" in seller_client.get(order).content.decode()

    given = {"stop": drop(202).pk, "place": f"yard:{committed.upper.pk}"}
    page = seller_client.post(reverse("order-came-home", args=[202]), given, follow=True).content.decode()

    assert "Its wood is recorded where it is." in page
    assert "came home" in page
    assert Lot.objects.get(parent=committed.knob_fir).yard == committed.upper
    assert "where does it lie now" not in page
    assert "Say where Greta" not in seller_client.get(reverse("today")).content.decode()


@pytest.mark.parametrize("stop", ["", "x", "9" * 30, "-1"])
def test_a_drop_that_never_came_home_is_refused(seller_client, committed, stop):
    given = {"stop": stop, "place": "lot:K1"}

    answer = seller_client.post(reverse("order-came-home", args=[202]), given)

    assert answer.status_code == 422
    assert "This drop is not on a run any more." in answer.content.decode()
